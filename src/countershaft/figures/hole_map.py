"""The hole map of a joint: every head where it sits, its turn in the order, and how far it stands.

A bolt dropped into its own hole stands with its head a known height above the face.
A head that stands higher or lower is in the wrong hole, so that height is drawn beside every hole.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from countershaft.errors import OutOfRange
from countershaft.figures.canvas import Box, Canvas, text_width, wrap
from countershaft.figures.hole_layout import WIDTH, Layout, cell, lay_out

__all__ = ["TOUCH", "Hole", "HoleMap", "hole_map"]

TOUCH = 49.0
"""Half the side of the square that a finger may hit: 98 pixels, 18 mm on a tablet of 10.5 inches."""

_HEAD = 34.0
_RING = 43.0
_TURN_ARROW = 51.0
_ORDER = 47.0
_LABEL = 22.0
_SMALL = 18.0
_TITLE = 22.0
#: A map that no finger has to hit may be shown this many times smaller before it is laid out in rows.
_SMALLER = (1.0, 1.2, 1.4, 1.6)
_ROOM = WIDTH - 20.0
_STUB_AT = 65.0
_STUB_ROOM = 41.0
_FACE = 22.0
_TALLEST = 38.0
_NAME_AT, _LENGTH_AT = 68.0, 92.0
_NAME_WIDTH = 100.0
_CROSS = 43.0


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole: `order` is its turn, None if it is free; the place is seen on the heads, y upward.

    `standing_height_mm` is how far the underside of the head stays off the face when the bolt is
    dropped in; `length_mm` the length under the head.
    """

    id: str
    order: int | None
    x_mm: float | None
    y_mm: float | None
    standing_height_mm: float | None
    length_mm: float | None
    done: bool
    next: bool
    hand: Literal["right", "left"]
    href: str | None


@dataclass(frozen=True, slots=True)
class HoleMap:
    """A joint in one round of its tightening or loosening; `stage_text` says what this round does."""

    joint: str
    holes: tuple[Hole, ...]
    round: int
    rounds: int
    stage_text: str


def hole_map(record: HoleMap) -> str:
    """Draw the hole map and return its SVG text."""
    _check(record)
    places = [(hole.x_mm, hole.y_mm) for hole in record.holes]
    free = max((hole.order or 0 for hole in record.holes), default=0) + 1
    touched = any(hole.href is not None for hole in record.holes)
    layout = lay_out(
        places,
        [free if hole.order is None else hole.order for hole in record.holes],
        widths=(WIDTH,) if touched else tuple(WIDTH * share for share in _SMALLER),
    )
    head, foot = _head_lines(record), _foot_lines(record, layout)
    grown = layout.width / WIDTH
    title, small = _TITLE * grown, _SMALL * grown
    top = title * 1.3 * len(head) + 18
    height = top + layout.height + 8 + small * 1.35 * len(foot) + 6
    canvas = Canvas(
        layout.width,
        height,
        title=f"Hole map: {record.joint}",
        description=_in_words(record),
        linked=touched,
    )
    for index, row in enumerate(head):
        canvas.text(0, title * (1 + 1.3 * index), row, title, "d-strong" if index == 0 else "")
    _axes(canvas, layout, top)
    for hole, (x, y) in zip(record.holes, layout.centres, strict=True):
        _hole(canvas, record, hole, x, y + top)
    for index, row in enumerate(foot):
        canvas.text(0, top + layout.height + 8 + small * (1 + 1.35 * index), row, small, "d-quiet")
    return canvas.svg()


def _check(record: HoleMap) -> None:
    """Refuse a map that cannot be drawn as meant."""
    if not record.holes:
        raise OutOfRange(f"hole map {record.joint!r}: no holes; expected at least one.")
    for hole in record.holes:
        figures = (hole.x_mm, hole.y_mm, hole.standing_height_mm, hole.length_mm)
        if any(figure is not None and not math.isfinite(figure) for figure in figures):
            raise OutOfRange(
                f"hole map {record.joint!r}, hole {hole.id}: every figure must be finite, got {figures}."
            )


def _heights(record: HoleMap) -> list[float]:
    """Return the standing heights that are known, each once."""
    return sorted({hole.standing_height_mm for hole in record.holes if hole.standing_height_mm is not None})


def _head_lines(record: HoleMap) -> list[str]:
    """Return the joint, and the round with what it does."""
    rounds = f"Round {record.round} of {record.rounds}"
    said = f"{rounds}: {record.stage_text}" if record.stage_text else rounds
    return [*wrap(record.joint, _TITLE, _ROOM, 2), *wrap(said, _TITLE, _ROOM, 3)]


def _foot_lines(record: HoleMap, layout: Layout) -> list[str]:
    """Return the lines below the map: what the side view means, and what the lay-out is not."""
    lines = []
    heights = _heights(record)
    if len(heights) == 1:
        known = [hole for hole in record.holes if hole.standing_height_mm is not None]
        every = "every head" if len(known) == len(record.holes) else "every head drawn from the side"
        lines.append(f"Dropped into its own hole, {every} stands {heights[0]:g} mm off the face.")
    elif heights:
        lines.append(
            "Beside each head: how far it stands off the face, in mm, when dropped into its own hole."
        )
    if any(hole.length_mm is not None for hole in record.holes):
        lines.append("L: length under the head in mm.")
    if any(hole.hand == "left" for hole in record.holes):
        lines.append("LH: left-hand thread; the arrow is the way it tightens.")
    if layout.in_rows:
        lines.append("Drawn in rows, not where the holes lie.")
    return [row for line in lines for row in wrap(line, _SMALL, _ROOM, 2)]


def _axes(canvas: Canvas, layout: Layout, top: float) -> None:
    """Mark the middle of a map that shows places, where no hole is in the way."""
    if layout.axes is None:
        return
    x, y = layout.axes
    cross = Box(x - _CROSS, y - _CROSS, x + _CROSS, y + _CROSS)
    if any(cell(centre).touches(cross) for centre in layout.centres):
        return
    canvas.line(x - _CROSS, y + top, x + _CROSS, y + top, "d-chain")
    canvas.line(x, y + top - _CROSS, x, y + top + _CROSS, "d-chain")


def _hole(canvas: Canvas, record: HoleMap, hole: Hole, x: float, y: float) -> None:
    """Draw one hole with all that belongs to it, as a link if it leads somewhere."""
    style = "d-hole d-next" if hole.next else "d-hole"
    if hole.href is not None:
        canvas.begin_link(hole.href, _hole_in_words(hole), style)
        canvas.rect(Box(x - TOUCH, y - TOUCH, x + TOUCH, y + TOUCH), "d-touch")
    else:
        canvas.begin(style)
    canvas.circle(x, y, _HEAD, "d-head")
    if hole.done:
        canvas.line(x - _HEAD + 4, y + 19, x + _HEAD - 4, y - 19, "d-paint")
    if hole.next:
        canvas.circle(x, y, _RING, "d-ring")
    if hole.order is not None:
        size = _ORDER * min(1.0, 1.75 * _HEAD / text_width(str(hole.order), _ORDER))
        canvas.text(x, y + size * 0.35, str(hole.order), size, "d-strong", "middle")
    _left_hand(canvas, hole, x, y)
    _stub(canvas, record, hole, x + _STUB_AT, y + _FACE)
    name = wrap(hole.id, _LABEL, _NAME_WIDTH, 1)[0]
    canvas.text(x, y + _NAME_AT, name, _LABEL, "d-onpaper", "middle")
    if hole.length_mm is not None:
        canvas.text(x, y + _LENGTH_AT, f"L {hole.length_mm:g}", _LABEL, "d-onpaper", "middle")
    canvas.end()


def _left_hand(canvas: Canvas, hole: Hole, x: float, y: float) -> None:
    """Mark a left-hand thread: LH, and an arrow round the head the way it tightens."""
    if hole.hand != "left":
        return
    start, end = math.radians(145), math.radians(205)
    canvas.arc(x, y, _TURN_ARROW, start, end, "d-rule")
    tip = math.radians(130)
    corners = [(_TURN_ARROW, tip), (_TURN_ARROW - 5, start), (_TURN_ARROW + 5, start)]
    canvas.path([(x + r * math.cos(a), y + r * math.sin(a)) for r, a in corners], "d-solid", closed=True)
    canvas.text(x - 40, y - 42, "LH", _SMALL, "d-strong d-onpaper", "middle")


def _stub(canvas: Canvas, record: HoleMap, hole: Hole, x: float, face: float) -> None:
    """Draw the head from the side, standing off the face by its height, at one scale for the map."""
    heights = _heights(record)
    if hole.standing_height_mm is None:
        return
    lift = max(hole.standing_height_mm, 0.0) / max(heights[-1], 1e-9) * _TALLEST if heights[-1] > 0 else 0.0
    canvas.line(x - 12, face, x + 12, face, "d-rule")
    if lift > 0:
        canvas.rect(Box(x - 4, face - lift, x + 4, face), "d-shank")
    canvas.rect(Box(x - 9, face - lift - 9, x + 9, face - lift), "d-solid")
    if len(heights) > 1:
        widest = max(text_width(f"{height:g}", _LABEL) for height in heights)
        size = _LABEL * min(1.0, _STUB_ROOM / widest)
        canvas.text(x, face + _LABEL - 2, f"{hole.standing_height_mm:g}", size, "d-onpaper", "middle")


def _in_words(record: HoleMap) -> str:
    """Return order and state, for who cannot see the drawing."""
    ranked = sorted(record.holes, key=lambda hole: (hole.order is None, hole.order or 0))
    done = sum(hole.done for hole in record.holes)
    said = [f"Round {record.round} of {record.rounds}"]
    if record.stage_text:
        said.append(record.stage_text)
    said.append(f"{done} of {len(record.holes)} done")
    said.append(f"In order: {'; '.join(_hole_in_words(hole) for hole in ranked)}")
    return ". ".join(said) + "."


def _hole_in_words(hole: Hole) -> str:
    """Return one hole in words: turn, name, what it holds, state."""
    said = [hole.id if hole.order is None else f"{hole.order} {hole.id}"]
    if hole.length_mm is not None:
        said.append(f"{hole.length_mm:g} mm long")
    if hole.standing_height_mm is not None:
        said.append(f"stands {hole.standing_height_mm:g} mm")
    if hole.hand == "left":
        said.append("left-hand thread")
    said.append("done" if hole.done else "next" if hole.next else "open")
    return ", ".join(said)
