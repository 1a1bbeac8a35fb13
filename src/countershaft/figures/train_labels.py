"""Where the names stand in a drawing: beside what they name, clear of every line and of each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from countershaft.figures.canvas import Anchor, Box, text_box, text_width

__all__ = ["Label", "Spot", "Stroke", "beside_strokes", "place"]

_CLEAR = 4.0
_PADDING = 5.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line that a name may stand beside; a lower `rank` is better."""

    x1: float
    y1: float
    x2: float
    y2: float
    rank: float = 0.0


@dataclass(frozen=True, slots=True)
class Spot:
    """A place for a text: its base line, and how far from the best place it is."""

    x: float
    y: float
    anchor: Anchor
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class Label:
    """A text with the places that it may take."""

    text: str
    size: float
    spots: tuple[Spot, ...]
    padded: bool = False

    def box(self, spot: Spot) -> Box:
        """What the text covers at a place."""
        box = text_box(spot.x, spot.y, self.text, self.size, spot.anchor)
        pad = _PADDING if self.padded else 0.0
        return Box(
            box.left - pad, box.top + self.size * 0.03 - pad / 3, box.right + pad, box.bottom + pad / 3
        )


def beside_strokes(text: str, size: float, strokes: Iterable[Stroke]) -> tuple[Spot, ...]:
    """Places beside lines: on a flat one above or under it, on an upright one to its right or left."""
    return tuple(spot for stroke in strokes for spot in _beside(text, size, stroke))


def _beside(text: str, size: float, stroke: Stroke) -> Iterator[Spot]:
    width = text_width(text, size)
    if stroke.y1 == stroke.y2:
        left, right = sorted((stroke.x1, stroke.x2))
        middle = (left + right) / 2
        reach = max(right - left - width, 0.0) / 2
        short = 0.0 if right - left >= width + 8 else 6.0
        for share in (0.0, 0.5, -0.5, 1.0, -1.0, 0.25, -0.25, 0.75, -0.75):
            off = abs(share) * 2
            yield Spot(middle + share * reach, stroke.y1 - 11.0, "middle", stroke.rank + short + off)
            yield Spot(
                middle + share * reach,
                stroke.y1 + 13.0 + size * 0.76,
                "middle",
                stroke.rank + short + off + 1.5,
            )
        yield Spot(left - 10.0, stroke.y1 + size * 0.36, "end", stroke.rank + 4.0)
        yield Spot(right + 8.0, stroke.y1 + size * 0.36, "start", stroke.rank + 4.0)
        return
    top, bottom = sorted((stroke.y1, stroke.y2))
    middle = (top + bottom) / 2 + size * 0.28
    reach = max(bottom - top - size, 0.0) / 2
    for share in (0.0, 0.5, -0.5, 1.0, -1.0, 0.25, -0.25, 0.75, -0.75):
        off = abs(share) * 2 + 3.0
        yield Spot(stroke.x1 + 9.0, middle + share * reach, "start", stroke.rank + off)
        yield Spot(stroke.x1 - 13.0, middle + share * reach, "end", stroke.rank + off + 0.5)
    for end, off in ((top + size * 0.1, 6.0), (bottom + size * 0.45, 6.5)):
        yield Spot(stroke.x1 + 9.0, end, "start", stroke.rank + off)
        yield Spot(stroke.x1 - 13.0, end, "end", stroke.rank + off)
    yield Spot(stroke.x1, top - 11.0, "middle", stroke.rank + 4.0)
    yield Spot(stroke.x1, bottom + 7.0 + size * 0.76, "middle", stroke.rank + 4.5)


def place(labels: Sequence[Label], covered: Sequence[Box], frame: Box) -> list[Spot | None]:
    """The best free place of each label, those with the fewest choices first; None where none is free."""
    free = [[spot for spot in label.spots if _free(label.box(spot), covered, frame)] for label in labels]
    found: list[Spot | None] = [None] * len(labels)
    taken: list[Box] = []
    for index in sorted(range(len(labels)), key=lambda at: (len(free[at]), at)):
        options = [spot for spot in free[index] if _free(labels[index].box(spot), taken, frame)]
        if options:
            found[index] = min(options, key=lambda spot: (spot.cost, spot.x, spot.y))
            taken.append(labels[index].box(found[index] or options[0]))
    return found


def _free(box: Box, covered: Iterable[Box], frame: Box) -> bool:
    if not box.inside(frame):
        return False
    # Asked some hundred thousand times in a drawing: what `Box.touches` says, without a call for each.
    left, right, top, bottom = box.left, box.right + _CLEAR, box.top, box.bottom + _CLEAR
    for other in covered:
        across = left < other.right + _CLEAR and other.left < right
        if across and top < other.bottom + _CLEAR and other.top < bottom:
            return False
    return True
