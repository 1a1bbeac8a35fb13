"""The cheapest way across a grid of cells: asked for thousands of times in a drawing, so cells are whole numbers here.

A *state* is a cell with the heading by which it was entered, and whether the element of the way lies behind.
States are numbered as they would be sorted by column, row, heading and that; of ways that cost the same, the one
whose states come first is found.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from heapq import heapify, heappop, heappush
from math import inf

__all__ = [
    "ACROSS",
    "CROSSING",
    "PASSED",
    "RISE",
    "ROOMLESS",
    "SLOTTED",
    "TAKEN",
    "UPWARD",
    "Cell",
    "Grid",
    "Search",
    "grid_of",
]

CROSSING = 30.0
"""The price of crossing another member."""

RISE = 0.6
"""The price of going up or down a row."""

_BEND = 2.0
_SLOT = 1.0
_LATE = 0.04

START, ACROSS, UPWARD, SLOTTED = 0, 1, 2, 3

#: What a turn costs, by the heading before and the way after it.
_TURNS = ((0.0, 0.0, 0.0), (_BEND, 0.0, _BEND), (_BEND, _BEND, 0.0), (_BEND, 0.0, _BEND))

#: Of a cell: that entering it has a price of its own, and that a line runs through it.
TAKEN, PASSED = 1, 2

#: Of a stretch: that it is taken, or else that no element fits there.
ROOMLESS = 2

_FIRST, _UNSEEN = -1, -2

Cell = tuple[int, int]
Price = Callable[[Cell, int, bool], float | None]


@dataclass(frozen=True, slots=True)
class Grid:
    """Cells by number, and around each its neighbours: cell, its state, way there, stretch between, and price.

    `beside` are those of them from which an element may part it.  A stretch leads right or up from a cell;
    `stretches` numbers them.
    """

    cells: tuple[Cell, ...]
    numbers: Mapping[Cell, int]
    stretches: Mapping[tuple[Cell, int], int]
    around: tuple[tuple[tuple[int, int, int, int, float], ...], ...]
    beside: tuple[tuple[tuple[int, int, float], ...], ...]


@lru_cache(maxsize=64)
def grid_of(height: int, steps: tuple[float, ...], slots: tuple[bool, ...], lift: float) -> Grid:
    """The grid of a board."""
    cells = tuple((column, row) for column in range(len(steps) + 1) for row in range(height))
    numbers = {cell: number for number, cell in enumerate(cells)}
    stretches: dict[tuple[Cell, int], int] = {}
    around: list[list[tuple[int, int, int, int, float]]] = [[] for _ in cells]
    beside: list[list[tuple[int, int, float]]] = [[] for _ in cells]
    for (column, row), here in numbers.items():
        for place, way in (((column + 1, row), ACROSS), ((column, row + 1), UPWARD)):
            there = numbers.get(place)
            if there is not None:
                edge = stretches[(column, row), way] = len(stretches)
                step = steps[column] + lift * row if way == ACROSS else RISE
                for one, other in ((here, there), (there, here)):
                    around[one].append((other, other << 3 | way << 1, way, edge, step))
                    if way == ACROSS and slots[column]:
                        beside[one].append((other, edge, step))
    return Grid(
        cells,
        numbers,
        stretches,
        tuple(tuple(near) for near in around),
        tuple(tuple(near) for near in beside),
    )


@dataclass(eq=False, slots=True)
class Search:
    """One search: marks on cells and stretches, what remains from each cell at least, and what taken cells cost.

    With `paired` the way holds one element; it is cheaper the earlier that sits.
    """

    grid: Grid
    marks: bytearray
    blocked: bytearray
    left: list[float]
    price: Price
    limit: float
    paired: bool
    _came: list[int] = field(init=False)
    _least: list[float] = field(init=False)
    _heap: list[tuple[float, float, int, int]] = field(init=False)

    def run(
        self,
        starts: Mapping[int, float],
        ends: Collection[int],
        goal: Callable[[Cell, int], bool] | None,
    ) -> tuple[list[int], float] | None:
        """The cheapest way from a start to one of the ends, or to a goal, as states; and what it costs."""
        self._came = came = [_UNSEEN] * (8 * len(self.grid.cells))
        self._least = [inf] * len(came)
        self._heap = heap = [(cost + self.left[at], cost, at << 3, _FIRST) for at, cost in starts.items()]
        heapify(heap)
        while heap:
            _, cost, state, origin = heappop(heap)
            if came[state] != _UNSEEN:
                continue
            came[state] = origin
            at = state >> 3
            if origin != _FIRST:
                ended = at in ends
                if (state & 1) == self.paired and (
                    ended or (goal and goal(self.grid.cells[at], state >> 1 & 3))
                ):
                    way = self._traced(state)
                    if len({each >> 3 for each in way}) == len(way):
                        return way, cost
                if ended:
                    continue
            self._spread(state, cost)
        return None

    def _spread(self, state: int, cost: float) -> None:
        """Put the steps from a state on the heap."""
        came, marks, blocked, least = self._came, self.marks, self.blocked, self._least
        left, heap, limit = self.left, self._heap, self.limit
        at, behind = state >> 3, state & 1
        back, turns = came[state] >> 3, _TURNS[state >> 1 & 3]
        passing = state & 6 and marks[at] & PASSED
        late = _LATE if self.paired and not behind else 0.0
        for place, then, way, edge, step in self.grid.around[at]:
            then |= behind  # noqa: PLW2901
            if came[then] != _UNSEEN or place == back or blocked[edge] & TAKEN or (passing and turns[way]):
                continue
            price = self.price(self.grid.cells[place], way, behind == 1) if marks[place] else 0.0
            if price is not None:
                total = cost + (step + turns[way] + late + price)
                due = total + left[place]
                if due < limit and total <= least[then]:
                    least[then] = total
                    heappush(heap, (due, total, then, state))
        if late and not passing:
            for place, edge, step in self.grid.beside[at]:
                if place != back and not blocked[edge]:
                    self._set(state, place, cost, step + turns[ACROSS] + late)

    def _set(self, state: int, place: int, cost: float, toll: float) -> None:
        """Put the step that holds the element on the heap."""
        price = self.price(self.grid.cells[place], ACROSS, True) if self.marks[place] else 0.0
        if price is None or price >= CROSSING:
            return
        total = cost + (toll + price + _SLOT)
        due = total + self.left[place]
        then = place << 3 | SLOTTED << 1 | 1
        if due < self.limit and total <= self._least[then]:
            self._least[then] = total
            heappush(self._heap, (due, total, then, state))

    def _traced(self, state: int) -> list[int]:
        states = [state]
        while (origin := self._came[states[-1]]) != _FIRST:
            states.append(origin)
        states.reverse()
        return states
