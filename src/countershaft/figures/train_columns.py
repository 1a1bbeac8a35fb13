"""Where each column of the grid stands along the axes: as close as what is drawn in it allows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from countershaft.figures.train_axes import Plane, Schematic
from countershaft.figures.train_bodies import BODY_STEP, PORT_HIGH, PORT_LOW
from countershaft.figures.train_router import UPWARD
from countershaft.figures.train_strips import Strip, Tracks

__all__ = ["Spacing", "column_places"]

CUP_STEP = 30.0
"""From a wheel with outer teeth to the web of the wheel with inner teeth around it."""

SLOT = 44.0
"""Room of an element between two columns."""

_TRACK, _WHEEL, _BRAKE = 12.0, 30.0, 30.0
_FULL = 660.0
_MOST_STRETCHED = 2.2


@dataclass(frozen=True, slots=True)
class Spacing:
    """Distances that grow until every text has its place: rows, and single columns."""

    row: float = 36.0
    wider: tuple[tuple[int, float], ...] = ()


@dataclass(frozen=True, slots=True)
class _Feature:
    """What stands in a column of a strip: the rows that it takes and half its width."""

    strip: int
    column: int
    low: int
    high: int
    half: float


def column_places(
    schematic: Schematic, tracks: Tracks, strips: tuple[Strip, ...], spacing: Spacing
) -> dict[int, float]:
    """The x of every column in which something stands, from 0."""
    features = [feature for strip in strips for feature in _features(schematic, tracks, strip)]
    columns = sorted({feature.column for feature in features} | {0, tracks.total - 1})
    rigid = _rigid(tracks, schematic)
    gaps = _gaps(features, strips, spacing)
    places = _packed(columns, rigid, gaps, 1.0)
    low, high = 1.0, _MOST_STRETCHED
    if places[columns[-1]] < _FULL:
        for _ in range(12):
            middle = (low + high) / 2
            trial = _packed(columns, rigid, gaps, middle)
            low, high = (middle, high) if trial[columns[-1]] <= _FULL else (low, middle)
        places = _packed(columns, rigid, gaps, low)
    return places


def _features(schematic: Schematic, tracks: Tracks, strip: Strip) -> Iterator[_Feature]:
    """What stands in the columns of a strip: lines, sets, brakes, wheels."""
    axis = strip.axis
    yield from _lines(strip)
    for index in strip.blueprints:
        for column in tracks.of(index):
            yield _Feature(axis, column, PORT_LOW, PORT_HIGH, BODY_STEP / 2)
    for site in strip.sites:
        if site.element is not None and not site.right:
            yield _Feature(axis, site.cell[0], strip.top, strip.top + 2, _BRAKE)
    for index, part in enumerate(schematic.columns):
        if isinstance(part, Plane):
            on = [schematic.axis_of[wheel.member] for wheel in part.wheels]
            if min(on) <= axis <= max(on):
                for column in tracks.of(index):
                    yield _Feature(axis, column, -1, strip.top + 1, _WHEEL)


def _lines(strip: Strip) -> Iterator[_Feature]:
    board = strip.board
    rows: dict[int, set[int]] = {}
    for (column, row), way in board.edges:
        if way == UPWARD:
            rows.setdefault(column, set()).update((row, row + 1))
    for column, row in board.corners:
        rows.setdefault(column, set()).add(row)
    for column, taken in rows.items():
        for low, high in _runs(sorted(taken)):
            yield _Feature(strip.axis, column, low, high, _TRACK)


def _runs(rows: list[int]) -> Iterator[tuple[int, int]]:
    """First and last of every stretch of rows without a hole."""
    start = before = rows[0]
    for row in rows[1:]:
        if row != before + 1:
            yield start, before
            start = row
        before = row
    yield start, before


def _rigid(tracks: Tracks, schematic: Schematic) -> dict[int, tuple[int, float]]:
    """Column of a set or plane to its first column and its distance from there."""
    rigid = {}
    for index, part in enumerate(schematic.columns):
        step = CUP_STEP if isinstance(part, Plane) else BODY_STEP
        for column in tracks.of(index):
            rigid[column] = (tracks.starts[index], step * (column - tracks.starts[index]))
    return rigid


def _gaps(
    features: list[_Feature], strips: tuple[Strip, ...], spacing: Spacing
) -> dict[tuple[int, int], float]:
    """Least distance of every two columns that see each other."""
    gaps: dict[tuple[int, int], float] = {}

    def widen(left: int, right: int, gap: float) -> None:
        gaps[left, right] = max(gaps.get((left, right), 0.0), gap)

    for one in features:
        for other in features:
            beside = one.strip == other.strip and one.column < other.column
            if beside and one.low - 1 <= other.high and other.low - 1 <= one.high:
                widen(one.column, other.column, one.half + other.half)
    for strip in strips:
        for site in strip.sites:
            for offset in range((2 if site.hub else 1) if site.right else 0):
                column = site.cell[0] + offset
                widen(column, column + 1, SLOT)
    extra = dict(spacing.wider)
    return {columns: gap + extra.get(columns[0], 0.0) for columns, gap in gaps.items()}


def _packed(
    columns: list[int],
    rigid: dict[int, tuple[int, float]],
    gaps: dict[tuple[int, int], float],
    stretch: float,
) -> dict[int, float]:
    """Columns pushed to the left as far as the gaps allow, then centred in the room that is left."""
    left = _pushed(columns, rigid, gaps, stretch)
    turned_gaps = {(-right, -left_): gap for (left_, right), gap in gaps.items()}
    turned_rigid = _turned(rigid)
    right = _pushed([-column for column in reversed(columns)], turned_rigid, turned_gaps, stretch)
    total = max(*left.values(), *right.values())
    middle = {column: (left[column] + total - right[-column]) / 2 for column in columns}
    return middle | {columns[0]: 0.0, columns[-1]: total}


def _turned(rigid: dict[int, tuple[int, float]]) -> dict[int, tuple[int, float]]:
    last: dict[int, int] = {}
    for column, (first, _) in rigid.items():
        last[first] = max(last.get(first, column), column)
    return {
        -column: (-last[first], rigid[last[first]][1] - offset) for column, (first, offset) in rigid.items()
    }


def _pushed(
    columns: list[int],
    rigid: dict[int, tuple[int, float]],
    gaps: dict[tuple[int, int], float],
    stretch: float,
) -> dict[int, float]:
    """The leftmost place of every column; those of one set keep their distances."""
    place: dict[int, float] = {}
    into: dict[int, list[tuple[int, float]]] = {}
    for (left, right), gap in gaps.items():
        if rigid.get(left, (left, 0.0))[0] != rigid.get(right, (right, 0.0))[0]:
            into.setdefault(right, []).append((left, gap * stretch))
    for column in columns:
        first, _ = rigid.get(column, (column, 0.0))
        if first != column and first in place:
            continue
        group = [other for other in columns if rigid.get(other, (other, 0.0))[0] == first]
        origin = 0.0
        for other in group:
            offset = rigid.get(other, (other, 0.0))[1]
            for left, gap in into.get(other, ()):
                if left in place:
                    origin = max(origin, place[left] + gap - offset)
        for other in group:
            place[other] = origin + rigid.get(other, (other, 0.0))[1]
    return place
