"""The lines of the boards: straight stretches between corners, joints, and crossings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from countershaft.figures.train_bodies import BODY, PORT_HIGH, PORT_LOW
from countershaft.figures.train_router import ACROSS, UPWARD, Cell
from countershaft.figures.train_strips import Strip

__all__ = ["Stretch", "crossings", "degree", "stretches"]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A straight line of a member from one corner to the next on its board."""

    member: str
    start: Cell
    end: Cell
    way: int


def stretches(strip: Strip) -> Iterator[Stretch]:
    """Every stretch of a strip, each once, in a fixed order."""
    board = strip.board
    for cell, way in sorted(board.edges):
        member = board.edges[cell, way]
        step = (1, 0) if way == ACROSS else (0, 1)
        before = (cell[0] - step[0], cell[1] - step[1])
        if not member or (cell not in board.corners and board.edges.get((before, way)) == member):
            continue
        end = (cell[0] + step[0], cell[1] + step[1])
        while end not in board.corners and board.edges.get((end, way)) == member:
            end = (end[0] + step[0], end[1] + step[1])
        yield Stretch(member, cell, end, way)


def crossings(strip: Strip) -> list[Cell]:
    """Cells in which two members cross without touching."""
    board = strip.board
    return sorted(cell for cell in board.across if cell in board.upward and cell not in board.corners)


def degree(strip: Strip, cell: Cell) -> int:
    """How many lines meet in a corner, those of the set, wheel or element that sits there included."""
    board = strip.board
    column, row = cell
    around = (
        ((column, row), ACROSS),
        ((column - 1, row), ACROSS),
        ((column, row), UPWARD),
        ((column, row - 1), UPWARD),
    )
    lines = sum(edge in board.edges for edge in around)
    for site in strip.sites:
        if not site.right and site.cell == cell:
            lines += 1
    if not strip.plain and row in (PORT_LOW, PORT_HIGH) and (column, BODY) in board.closed:
        lines += 1
    if cell in strip.pins:
        lines += 1
    for part in strip.stems.values():
        if part.column == column:
            lines += part.upward and row == board.height - 1
            lines += strip.drawn_below(part) and row == strip.lowest(part)
    return lines
