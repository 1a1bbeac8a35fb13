"""Where the holes of a map stand on the paper: their true places where fingers allow it, else rows.

Every hole owns a cell that holds head, side view and labels.
Cells that overlap at the true places are pushed apart by the least that is needed; a map that would
have to be bent out of its shape is laid out in rows instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from countershaft.figures.canvas import Box

__all__ = ["CELL", "GAP", "WIDTH", "Layout", "cell", "lay_out"]

WIDTH = 764.0
"""Width of the map: one unit is one CSS pixel on a tablet 820 pixels wide."""

CELL = Box(-54.0, -58.0, 86.0, 98.0)
"""The cell of a hole about the centre of its head."""

GAP = 6.0
_TALL = 760.0
_MOST_PER_MM = 8.0
_PASSES = 300
_LEAST_SHIFT = 0.01
_MOST_SHIFT = 70.0
_ROW_GAP = 16.0

Place = tuple[float | None, float | None]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Layout:
    """The centres of the heads, the height they need, the centre lines (None when in rows), and the sheet's width."""

    centres: tuple[Point, ...]
    height: float
    axes: Point | None
    width: float = WIDTH

    @property
    def in_rows(self) -> bool:
        """Tell whether the lay-out shows rows instead of places."""
        return self.axes is None


def cell(centre: Point) -> Box:
    """Return the cell about a head."""
    x, y = centre
    return Box(x + CELL.left, y + CELL.top, x + CELL.right, y + CELL.bottom)


def lay_out(places: Sequence[Place], turns: Sequence[int], *, widths: Sequence[float] = (WIDTH,)) -> Layout:
    """Lay out holes; `turns` gives each hole's rank, by which rows are filled.

    The first of `widths` at which all holes stand near their true places is taken; a wider sheet is shown smaller.
    """
    points = [(x, y) for x, y in places if x is not None and y is not None]
    if len(points) < len(places) or not _spread(points):
        return _rows(turns)
    for width in widths:
        found = _in_places(points, width)
        if found is not None:
            return found
    return _rows(turns)


def _in_places(points: Sequence[Point], width: float) -> Layout | None:
    """The holes at their true places on a sheet of that width; None where they would be bent out of their shape."""
    true, axes = _at_scale(points, width)
    apart = _push_apart(true, width)
    shift = max(max(abs(x - u), abs(y - v)) for (x, y), (u, v) in zip(apart, true, strict=True))
    if shift > _MOST_SHIFT or _overlapping(apart):
        return None
    top = min(y for _, y in apart) + CELL.top
    bottom = max(y for _, y in apart) + CELL.bottom
    return Layout(tuple((x, y - top) for x, y in apart), bottom - top, (axes[0], axes[1] - top), width)


def _spread(points: Sequence[Point]) -> bool:
    """Tell whether no two holes share one place."""
    return len(set(points)) == len(points)


def _at_scale(points: Sequence[Point], width: float) -> tuple[list[Point], Point]:
    """Return the places on the paper, y turned downward, as large as the sheet allows; and the middle."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    wide, tall = max(xs) - min(xs), max(ys) - min(ys)
    scale = _MOST_PER_MM
    if wide > 0:
        scale = min(scale, (width - CELL.right + CELL.left) / wide)
    if tall > 0:
        scale = min(scale, (_TALL * width / WIDTH - CELL.bottom + CELL.top) / tall)
    middle_x, middle_y = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2
    paper_x = (width - CELL.right - CELL.left) / 2
    return [(paper_x + (x - middle_x) * scale, (middle_y - y) * scale) for x, y in points], (paper_x, 0.0)


def _push_apart(points: Sequence[Point], width: float) -> list[Point]:
    """Move overlapping cells apart, half each, along the way that is shorter."""
    moved = list(points)
    for _ in range(_PASSES):
        largest = 0.0
        for i in range(len(moved)):
            for j in range(i + 1, len(moved)):
                largest = max(largest, _part(moved, i, j, width))
        if largest < _LEAST_SHIFT:
            break
    return moved


def _part(moved: list[Point], i: int, j: int, width: float) -> float:
    """Part two cells if they overlap; return how far they were moved."""
    (x1, y1), (x2, y2) = moved[i], moved[j]
    need_x = CELL.right - CELL.left + GAP - abs(x2 - x1)
    need_y = CELL.bottom - CELL.top + GAP - abs(y2 - y1)
    if need_x <= 0 or need_y <= 0:
        return 0.0
    if need_x <= need_y:
        step = need_x / 2 if x2 >= x1 else -need_x / 2
        moved[i], moved[j] = (_held(x1 - step, width), y1), (_held(x2 + step, width), y2)
        return need_x
    step = need_y / 2 if y2 >= y1 else -need_y / 2
    moved[i], moved[j] = (x1, y1 - step), (x2, y2 + step)
    return need_y


def _held(x: float, width: float) -> float:
    """Keep a cell on the paper."""
    return min(max(x, -CELL.left), width - CELL.right)


def _overlapping(points: Sequence[Point]) -> bool:
    """Tell whether any two cells still overlap."""
    cells = [cell(point) for point in points]
    return any(one.touches(other) for i, one in enumerate(cells) for other in cells[i + 1 :])


def _rows(turns: Sequence[int]) -> Layout:
    """Lay out neat rows, filled by rank from the left and from the top."""
    wide, tall = CELL.right - CELL.left, CELL.bottom - CELL.top
    columns = min(int(WIDTH // (wide + GAP)), max(len(turns), 1))
    pitch = WIDTH / columns if len(turns) >= columns > 3 else wide + 4 * _ROW_GAP
    ranked = sorted(range(len(turns)), key=lambda index: (turns[index], index))
    centres = [(0.0, 0.0)] * len(turns)
    for rank, index in enumerate(ranked):
        row, column = divmod(rank, columns)
        centres[index] = (column * pitch - CELL.left, row * (tall + _ROW_GAP) - CELL.top)
    rows = -(-len(turns) // columns)
    return Layout(tuple(centres), rows * (tall + _ROW_GAP) - _ROW_GAP, None)
