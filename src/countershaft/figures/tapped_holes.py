"""Holes that were tapped on a picture: a ring and a number at each, to be laid over the picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.figures.canvas import Canvas
from countershaft.figures.hole_layout import WIDTH

__all__ = ["PICTURE_WIDTH", "TappedHole", "picture_height", "tapped_holes"]

PICTURE_WIDTH = int(WIDTH)
"""Every picture is shown this wide where it is tapped, so that a tap means the same place on every screen."""

_RING = 20.0
_TEXT = 24.0


@dataclass(frozen=True, slots=True)
class TappedHole:
    """One hole: its name, its turn in the order once that is known, and where it was tapped."""

    id: str
    order: int | None
    across: float
    down: float


def picture_height(width: int, height: int) -> int:
    """The height of a picture of that size when it is shown as wide as every other."""
    if width <= 0 or height <= 0:
        raise OutOfRange(f"a picture of {width} × {height} pixels shows nothing.")
    return max(1, round(PICTURE_WIDTH * height / width))


def tapped_holes(joint: str, height: int, holes: Sequence[TappedHole]) -> str:
    """Draw the marks and return their SVG text; it lies over a picture of that height."""
    ranked = sorted(holes, key=lambda hole: (hole.order is None, hole.order or 0))
    said = "; ".join(hole.id if hole.order is None else f"{hole.order} {hole.id}" for hole in ranked)
    canvas = Canvas(
        WIDTH,
        float(height),
        title=f"Holes tapped on the picture: {joint}",
        description=f"In order: {said}." if holes else "No hole is tapped yet.",
    )
    for hole in holes:
        canvas.circle(hole.across, hole.down, _RING, "d-head")
        label = hole.id if hole.order is None else str(hole.order)
        size = _TEXT if len(label) < 3 else _TEXT * 2 / len(label)
        canvas.text(hole.across, hole.down + size * 0.35, label, size, "d-strong", "middle")
    return canvas.svg()
