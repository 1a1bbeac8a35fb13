"""How high each row lies above its axis, how far the axes lie apart, and how large the wheels are drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from countershaft.figures.train_axes import Plane, Schematic
from countershaft.figures.train_bodies import BODY, PORT_LOW
from countershaft.figures.train_columns import Spacing
from countershaft.figures.train_router import ACROSS, Board
from countershaft.figures.train_strips import Strip

__all__ = ["AXIS_GAP", "CASE", "HALF", "MESH", "Rows", "row_places"]

HALF = 46.0
"""From the middle of the planets to the teeth of sun and ring."""

AXIS_GAP = 18.0
"""From an axis with gear sets to the innermost line above it."""

CASE = 62.0
"""What a brake needs above the line that it holds."""

MESH = 7.0
"""Between the teeth of two wheels that mesh."""

_STEM = 38.0
_LEAST_WHEEL = 44.0
_FREE, _APART = 40.0, 16.0
_SPREAD = 0.4
_LARGEST = 90.0


@dataclass(frozen=True)
class Rows:
    """Rows of all strips on paper, y downward.

    `reach` is, for a strip and a wheel of a plane there (by plane and member), how far its teeth lie above and
    below the axis.
    """

    axis_y: tuple[float, ...]
    heights: tuple[tuple[float, ...], ...]
    reach: dict[tuple[int, str], tuple[float, float]]
    bottom: float

    def y(self, strip: int, row: int) -> float:
        """The y of a row."""
        return self.axis_y[strip] - self.heights[strip][row]

    def middle(self, strip: int) -> float:
        """The y of the middle of the planets."""
        return self.y(strip, BODY + 2)


def row_places(schematic: Schematic, strips: Sequence[Strip], spacing: Spacing) -> Rows:
    """Stack the strips from top to bottom, as close as rows, brakes and wheels allow."""
    heights = [_heights(strip, spacing) for strip in strips]
    above = [_above(strip, high) for strip, high in zip(strips, heights, strict=True)]
    distances = [_distance(schematic, strips, heights, above, upper) for upper in range(len(strips) - 1)]
    reach = _reaches(schematic, strips, heights, above, distances)
    for upper, distance in enumerate(distances):
        if not _meshing(schematic, upper):
            down = max([0.0, *(low for _, (_, low) in _on(schematic, reach, upper))])
            up = max([above[upper + 1], *(high for _, (high, _) in _on(schematic, reach, upper + 1))])
            distances[upper] = max(distance, down + up + _APART)
    first = max([above[0], *(up for (_, _), (up, _) in _on(schematic, reach, 0))])
    axis_y = [first]
    for distance in distances:
        axis_y.append(axis_y[-1] + distance)
    below = max([16.0, *(down for (_, _), (_, down) in _on(schematic, reach, len(strips) - 1))])
    return Rows(tuple(axis_y), tuple(tuple(high) for high in heights), reach, axis_y[-1] + below)


def _on(
    schematic: Schematic, reach: dict[tuple[int, str], tuple[float, float]], axis: int
) -> list[tuple[tuple[int, str], tuple[float, float]]]:
    return [(key, value) for key, value in reach.items() if schematic.axis_of[key[1]] == axis]


def _used(strip: Strip) -> set[int]:
    """Rows in which a line runs, ends or bends; a cell that nothing leads to does not count."""
    board = strip.board
    rows = {row for (_, row), way in board.edges if way == ACROSS}
    rows |= {site.cell[1] for site in strip.sites}
    stems = {part.column for part in strip.stems.values()}
    for cell in board.corners:
        if cell[0] not in stems and _degree(board, cell) == 1 and not _is_port(strip, cell):
            rows.add(cell[1])
    return rows


def _is_port(strip: Strip, cell: tuple[int, int]) -> bool:
    return not strip.plain and PORT_LOW <= cell[1] <= BODY + 5


def _degree(board: Board, cell: tuple[int, int]) -> int:
    column, row = cell
    around = (((column, row), 1), ((column - 1, row), 1), ((column, row), 2), ((column, row - 1), 2))
    return sum(edge in board.edges for edge in around)


def _heights(strip: Strip, spacing: Spacing) -> list[float]:
    """Height of every row above the axis; a row in which nothing runs takes no room."""
    used = _used(strip)
    heights: list[float] = []
    height = 0.0 if strip.plain else AXIS_GAP
    for row in range(strip.board.height):
        if not strip.plain and row == BODY:
            height += _STEM
        elif not strip.plain and BODY < row < BODY + 5:
            height += HALF / 2
        elif row in used and (
            row > 0 if strip.plain else any(low in used for low in range(row)) or row > BODY
        ):
            height += spacing.row
        heights.append(height)
    return heights


def _above(strip: Strip, heights: Sequence[float]) -> float:
    """How far a strip reaches above its axis, without its wheels."""
    braked = any(site.element is not None and not site.right for site in strip.sites)
    grounded = any(site.ground == "above" for site in strip.sites)
    return heights[-1] + (CASE if braked else 30.0 if grounded else 24.0)


def _least(strip: Strip, heights: Sequence[float], above: float, *, upward: bool) -> float:
    """The smallest wheel that stands clear of the lines of its own axis."""
    if strip.plain:
        return max(_LEAST_WHEEL, heights[-1] + 20.0)
    return above if upward else _LEAST_WHEEL + heights[PORT_LOW]


def _meshing(schematic: Schematic, upper: int) -> bool:
    """Whether wheels of an axis mesh with wheels of the next one below it."""
    return any(
        {schematic.axis_of[pair.a], schematic.axis_of[pair.b]} == {upper, upper + 1}
        for column in schematic.columns
        if isinstance(column, Plane)
        for pair in column.pairs
    )


def _distance(
    schematic: Schematic,
    strips: Sequence[Strip],
    heights: Sequence[Sequence[float]],
    above: Sequence[float],
    upper: int,
) -> float:
    """Distance of an axis to the next one below it."""
    lower = upper + 1
    clear = above[lower] + _FREE
    if not _meshing(schematic, upper):
        return clear
    down = _least(strips[upper], heights[upper], above[upper], upward=False)
    up = _least(strips[lower], heights[lower], above[lower], upward=True)
    spread = 1.0 + _SPREAD * (strips[upper].plain + strips[lower].plain) / 2
    return max(clear, spread * (down + up) + MESH)


def _reaches(
    schematic: Schematic,
    strips: Sequence[Strip],
    heights: Sequence[Sequence[float]],
    above: Sequence[float],
    distances: Sequence[float],
) -> dict[tuple[int, str], tuple[float, float]]:
    """How far every wheel's teeth lie above and below its axis."""
    reach: dict[tuple[int, str], tuple[float, float]] = {}
    meshes = [
        (index, pair)
        for index, column in enumerate(schematic.columns)
        if isinstance(column, Plane)
        for pair in column.pairs
    ]
    apart = {pair.id: abs(schematic.axis_of[pair.a] - schematic.axis_of[pair.b]) > 1 for _, pair in meshes}
    for index, pair in sorted(meshes, key=lambda mesh: not apart[mesh[1].id]):
        (a, za), (b, zb) = sorted(
            ((pair.a, pair.a_teeth), (pair.b, pair.b_teeth)), key=lambda end: schematic.axis_of[end[0]]
        )
        upper, lower = schematic.axis_of[a], schematic.axis_of[b]
        down = _least(strips[upper], heights[upper], above[upper], upward=False)
        up = _least(strips[lower], heights[lower], above[lower], upward=True)
        if not apart[pair.id]:
            room = distances[upper] - MESH
            radius = min(max(room * float(za) / float(za + zb), down), room - up)
            down, up = radius, room - radius
        reach[index, a] = (reach.get((index, a), (0.0, 0.0))[0], down)
        reach[index, b] = (up, reach.get((index, b), (0.0, 0.0))[1])
    return {key: _balanced(strips, schematic, heights, key, both) for key, both in reach.items()}


def _balanced(
    strips: Sequence[Strip],
    schematic: Schematic,
    heights: Sequence[Sequence[float]],
    key: tuple[int, str],
    both: tuple[float, float],
) -> tuple[float, float]:
    """A wheel on an axis without sets is drawn whole; on one with sets only the half that meshes."""
    up, down = both
    strip = strips[schematic.axis_of[key[1]]]
    if not strip.plain:
        return both
    least = _least(strip, heights[strip.axis], 0.0, upward=True)
    return up or max(min(down, _LARGEST), least), down or max(min(up, _LARGEST), least)
