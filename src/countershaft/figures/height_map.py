"""The height map of a face: every place where it lies, its height as digits, the highest and lowest marked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.figures.canvas import Canvas, text_width, wrap

__all__ = ["HeightMap", "PlaceHeight", "height_map"]

_WIDTH: Final = 640.0
_TALL: Final = 420.0
_MOST: Final = 1e9
_TITLE, _DIGITS, _NAME, _FOOT = 22.0, 22.0, 16.0, 17.0
_LARGEST: Final = 1600.0
_GAP: Final = 12.0
_CELL: Final = 66.0
_BARE: Final = 44.0
_MARK: Final = 7.0


@dataclass(frozen=True, slots=True)
class PlaceHeight:
    """One place: where it lies (y upward, any unit), and its height in words, empty before it is read."""

    name: str
    x: float
    y: float
    words: str = ""


@dataclass(frozen=True, slots=True)
class HeightMap:
    """A face in one drawing.

    `edges` are lines along which a straightedge lies, by the places' names; `highest` and `lowest` name the places
    that touch the zone; `told` says what the digits are.
    """

    title: str
    places: tuple[PlaceHeight, ...]
    edges: tuple[tuple[str, ...], ...] = ()
    highest: tuple[str, ...] = ()
    lowest: tuple[str, ...] = ()
    told: str = ""


def height_map(record: HeightMap) -> str:
    """Draw the height map and return its SVG text."""
    _check(record)
    spots, width, height = _laid_out(record.places)
    head = wrap(record.title, _TITLE, width - 20, 2)
    foot = wrap(record.told, _FOOT, width - 20, 3) if record.told else []
    top = _TITLE * 1.3 * len(head) + 14
    marks = 40.0 if record.highest or record.lowest else 0.0
    total = top + height + marks + len(foot) * _FOOT * 1.4 + 10
    canvas = Canvas(width, total, title=f"Height map: {record.title}", description=_in_words(record))
    for index, row in enumerate(head):
        canvas.text(0, _TITLE * (1 + 1.3 * index), row, _TITLE, "d-strong" if index == 0 else "")
    at = {name: (x, y + top) for name, (x, y) in spots.items()}
    for edge in record.edges:
        ends = [at[name] for name in edge]
        canvas.path(ends, "d-hair")
    for place in record.places:
        _place(canvas, record, place, *at[place.name])
    if marks:
        _legend(canvas, top + height + 26)
    for index, row in enumerate(foot):
        canvas.text(0, top + height + marks + _FOOT * (1 + 1.4 * index), row, _FOOT, "d-quiet")
    return canvas.svg()


def _check(record: HeightMap) -> None:
    """Refuse a map that cannot be drawn as meant."""
    names = [place.name for place in record.places]
    if not names:
        raise OutOfRange(f"height map {record.title!r}: no places; expected at least one.")
    if len(set(names)) < len(names):
        raise OutOfRange(f"height map {record.title!r}: a place stands twice; expected each name once.")
    strange = sorted({name for edge in record.edges for name in edge} - set(names))
    if strange:
        raise OutOfRange(
            f"height map {record.title!r}: a line names {', '.join(strange)}, which is no place."
        )
    if not all(math.isfinite(place.x) and math.isfinite(place.y) for place in record.places):
        raise OutOfRange(f"height map {record.title!r}: every place must be finite.")


def _laid_out(places: Sequence[PlaceHeight]) -> tuple[dict[str, tuple[float, float]], float, float]:
    """The middle of every place on the drawing, and its width and height; true to scale where the texts have room."""
    wide = max(
        max(text_width(place.words, _DIGITS), text_width(place.name, _NAME) + 2 * _MARK + 6)
        for place in places
    )
    wide += _GAP
    tall = _CELL if any(place.words for place in places) else _BARE
    left, right = min(place.x for place in places), max(place.x for place in places)
    low, high = min(place.y for place in places), max(place.y for place in places)
    room = (_WIDTH - wide - 4, _TALL - tall)
    across, up = right - left, high - low
    fits = [size / span if span > 0 else math.inf for size, span in zip(room, (across, up), strict=True)]
    scale = min(*fits, _MOST)
    x, y = scale, scale
    if _touching(places, x, y, wide, tall):
        x, y = (min(one, _MOST) for one in fits)
    while _touching(places, x, y, wide, tall) and max(x * across, y * up) < _LARGEST:
        x, y = x * 1.1, y * 1.1
    drawn = {
        place.name: (wide / 2 + 2 + (place.x - left) * x, tall / 2 + (high - place.y) * y) for place in places
    }
    width = max(_WIDTH, across * x + wide + 4)
    aside = (width - across * x - wide - 4) / 2
    return {name: (at + aside, down) for name, (at, down) in drawn.items()}, width, up * y + tall


def _touching(places: Sequence[PlaceHeight], x: float, y: float, wide: float, tall: float) -> bool:
    return any(
        abs(one.x - other.x) * x < wide and abs(one.y - other.y) * y < tall
        for one, other in combinations(places, 2)
    )


def _place(canvas: Canvas, record: HeightMap, place: PlaceHeight, x: float, y: float) -> None:
    """One place: its name above, its height below, its mark beside the name."""
    name = canvas.text(x, y - 8, place.name, _NAME, "d-quiet d-onpaper", "middle")
    touching = place.name in (*record.highest, *record.lowest)
    canvas.circle(x, y, 3.0, "d-solid")
    if place.words:
        canvas.text(
            x, y + 24, place.words, _DIGITS, "d-strong d-onpaper" if touching else "d-onpaper", "middle"
        )
    if touching:
        _mark(canvas, name.right + 10, y - 13, up=place.name in record.highest)


def _mark(canvas: Canvas, x: float, y: float, *, up: bool) -> None:
    """A filled triangle that points up at a highest place, a hollow one that points down at a lowest."""
    tip, base = (y - _MARK, y + _MARK * 0.7) if up else (y + _MARK, y - _MARK * 0.7)
    canvas.path([(x, tip), (x + _MARK, base), (x - _MARK, base)], "d-solid" if up else "d-rule", closed=True)


def _legend(canvas: Canvas, y: float) -> None:
    _mark(canvas, _MARK + 1, y - 5, up=True)
    first = canvas.text(22, y, "touches the upper plane", _FOOT)
    _mark(canvas, first.right + 32, y - 6, up=False)
    canvas.text(first.right + 46, y, "touches the lower plane", _FOOT)


def _in_words(record: HeightMap) -> str:
    """The drawing for one who does not see it."""
    read = [f"{place.name} {place.words}" for place in record.places if place.words]
    said = (
        [f"Heights: {', '.join(read)}."]
        if read
        else [f"Places: {', '.join(one.name for one in record.places)}."]
    )
    if record.edges:
        said.append(f"A straightedge lies along {'; '.join(' '.join(edge) for edge in record.edges)}.")
    if record.highest:
        said.append(f"Highest: {', '.join(record.highest)}. Lowest: {', '.join(record.lowest)}.")
    if record.told:
        said.append(record.told)
    return " ".join(said)
