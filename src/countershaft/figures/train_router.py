"""A board of cells on which the members of one axis are drawn as lines that run straight and bend squarely.

Each way is the cheapest one: short, with few bends, and crossing another member only where nothing else is
left.
Two members never share a stretch; where they cross, both run straight on.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import inf

from countershaft.figures.train_search import (
    ACROSS,
    CROSSING,
    PASSED,
    RISE,
    ROOMLESS,
    SLOTTED,
    TAKEN,
    UPWARD,
    Cell,
    Search,
    grid_of,
)

__all__ = ["ACROSS", "CROSSING", "UPWARD", "Board", "Cell", "Part", "Path"]

_TEE = 0.7
_WEB = 6.0

Goal = Callable[[Cell, int], bool]


@dataclass(frozen=True, slots=True)
class Path:
    """Cells of a way in their order; the element sits between cell `slot` and the next, if there is one."""

    cells: tuple[Cell, ...]
    cost: float
    slot: int | None = None


@dataclass(eq=False, slots=True)
class Part:
    """Cells of a member that are joined to each other.

    The stem of a wheel that nothing is joined to yet offers its whole column: the line that comes first joins
    it at `rows` of its choice; with `upward` the stem keeps the column from there to the top.
    """

    cells: set[Cell]
    column: int = -1
    rows: range = range(0)
    upward: bool = False

    @property
    def offered(self) -> bool:
        """Whether it is a stem that waits for its first line."""
        return not self.cells


@dataclass
class Board:
    """Who holds which cell and which stretch between two cells.

    `steps` is the price of going from each column to the next, dearer by `lift` for every row above the axis; an
    element may sit only where `slots` says so.  `busy` counts what every member is joined to in the end.
    In two neighbouring rows that are both `tight` two elements do not fit one above the other.
    A way that would bring `cost` to the `limit` is not found.
    """

    height: int
    steps: tuple[float, ...]
    slots: tuple[bool, ...]
    closed: Collection[Cell]
    lift: float = 0.0
    corners: dict[Cell, str] = field(default_factory=dict)
    across: dict[Cell, str] = field(default_factory=dict)
    upward: dict[Cell, str] = field(default_factory=dict)
    edges: dict[tuple[Cell, int], str] = field(default_factory=dict)
    parts: dict[str, list[Part]] = field(default_factory=dict)
    busy: Counter[str] = field(default_factory=Counter)
    webs: set[Cell] = field(default_factory=set)
    tight: Collection[int] = ()
    cost: float = 0.0
    limit: float = inf

    def __post_init__(self) -> None:
        self.width = len(self.steps) + 1
        self._grid = grid_of(self.height, self.steps, self.slots, self.lift)

    def add_part(self, member: str, cells: Iterable[Cell]) -> None:
        """Give a member cells that are joined to each other inside a set."""
        held = set(cells)
        for cell in held:
            self.corners[cell] = member
        self.parts.setdefault(member, []).append(Part(held))

    def add_stem(self, member: str, column: int, rows: range, *, upward: bool) -> Part:
        """Give a member a wheel's stem that can be joined at any of these rows."""
        part = Part(set(), column, rows, upward)
        self.parts.setdefault(member, []).append(part)
        return part

    def open_cells(self, parts: Iterable[Part]) -> dict[Cell, float]:
        """Cells of parts at which a line can start or end, with what that costs on top."""
        cells: dict[Cell, float] = {}
        for part in parts:
            if part.offered:
                cells.update(self._offers(part))
            else:
                cells.update((cell, self._join_price(cell)) for cell in part.cells if not self._crossed(cell))
        return cells

    def _offers(self, part: Part) -> Iterator[tuple[Cell, float]]:
        price = 0.0
        for row in reversed(range(self.height)):
            cell = (part.column, row)
            if row in part.rows and self.free(cell):
                yield cell, price
            if part.upward and (cell in self.corners or cell in self.upward or cell in self.closed):
                return
            price += CROSSING if part.upward and cell in self.across else 0.0

    def _join_price(self, cell: Cell) -> float:
        """A line is better joined to a shaft than to the web of a wheel."""
        return _WEB if cell in self.webs else 0.0

    def _crossed(self, cell: Cell) -> bool:
        return cell in self.across and cell in self.upward and self.across[cell] != self.upward[cell]

    def free(self, cell: Cell) -> bool:
        """Whether nobody holds or passes a cell."""
        taken = cell in self.closed or cell in self.corners or cell in self.across or cell in self.upward
        return not taken and 0 <= cell[0] < self.width and 0 <= cell[1] < self.height

    def search(
        self,
        member: str,
        starts: Mapping[Cell, float],
        goal: Goal | None = None,
        *,
        other: str | None = None,
        ends: Mapping[Cell, float],
        limit: float = inf,
    ) -> Path | None:
        """The cheapest way of a member from any start to one of the ends, or to a goal, below the limit.

        With `other` the way holds one element, behind which it belongs to that member; the element sits early on it.
        """
        numbers = self._grid.numbers

        def price(place: Cell, way: int, behind: bool) -> float | None:
            return self._price(place, way, other if behind and other is not None else member, ends)

        search = Search(
            self._grid,
            self._marks(ends),
            self._blocked(),
            self._distance(ends),
            price,
            min(limit, self.limit - self.cost),
            other is not None,
        )
        found = search.run(
            {numbers[cell]: cost for cell, cost in starts.items()}, {numbers[cell] for cell in ends}, goal
        )
        if found is None:
            return None
        states, cost = found
        slot = next((i for i, state in enumerate(states[1:]) if state >> 1 & 3 == SLOTTED), None)
        return Path(tuple(self._grid.cells[state >> 3] for state in states), cost, slot)

    def _marks(self, ends: Iterable[Cell]) -> bytearray:
        """Of each cell, whether entering it has a price of its own, and whether a line runs through it."""
        numbers = self._grid.numbers
        marks = bytearray(len(numbers))
        for cells, mark in (
            (self.closed, TAKEN), (self.corners, TAKEN), (ends, TAKEN),
            (self.across, TAKEN | PASSED), (self.upward, TAKEN | PASSED),
        ):  # fmt: skip
            for cell in cells:
                if cell in numbers:
                    marks[numbers[cell]] |= mark
        return marks

    def _blocked(self) -> bytearray:
        """Of each stretch, whether it is taken, and whether an element would touch one above or under it."""
        stretches = self._grid.stretches
        blocked = bytearray(len(stretches))
        for edge, held in self.edges.items():
            if edge in stretches:
                blocked[stretches[edge]] |= TAKEN
            (column, row), way = edge
            if not held and way == ACROSS and row in self.tight:
                for other in (row - 1, row + 1):
                    if other in self.tight:
                        blocked[stretches[(column, other), ACROSS]] |= ROOMLESS
        return blocked

    def _distance(self, ends: Collection[Cell]) -> list[float]:
        """The least that any way from each cell to the ends can cost; 0 where there are none."""
        if not ends:
            return [0.0] * len(self._grid.cells)
        first, last = min(cell[0] for cell in ends), max(cell[0] for cell in ends)
        low, high = min(cell[1] for cell in ends), max(cell[1] for cell in ends)
        step = min(self.steps)
        beside = [max(first - column, column - last, 0) * step for column in range(self.width)]
        under = [max(low - row, row - high, 0) * RISE for row in range(self.height)]
        return [one + other for one in beside for other in under]

    def _price(self, place: Cell, way: int, who: str, ends: Mapping[Cell, float]) -> float | None:
        """What entering a cell costs, None where it cannot be entered."""
        held = self.across.get(place), self.upward.get(place)
        if place in ends and (self.corners.get(place) == who or who in held):
            return ends[place] + (0.0 if place in self.corners else _TEE)
        if place in self.closed or place in self.corners:
            return None
        if held == (None, None):
            return ends.get(place, 0.0)
        if who in held or None not in held or held[0 if way == ACROSS else 1] is not None:
            return None
        return CROSSING

    def lay(self, member: str, path: Path, *, element: str = "", other: str | None = None) -> None:
        """Draw a way: it becomes part of its member, and of the other one behind the element."""
        self.cost += path.cost
        if path.slot is None:
            self._lay_line(member, path.cells)
            return
        left, right = path.cells[path.slot], path.cells[path.slot + 1]
        self.edges[min(left, right), ACROSS] = element
        self._lay_line(member, path.cells[: path.slot + 1])
        self._lay_line(other or member, path.cells[path.slot + 1 :])

    def _lay_line(self, member: str, cells: Sequence[Cell]) -> None:
        ways = [ACROSS if a[1] == b[1] else UPWARD for a, b in pairwise(cells)]
        for (a, b), way in zip(pairwise(cells), ways, strict=True):
            self.edges[min(a, b), way] = member
        for index, cell in enumerate(cells):
            inner = 0 < index < len(cells) - 1
            mine = member in (self.across.get(cell), self.upward.get(cell))
            if inner and ways[index - 1] == ways[index] and not mine:
                (self.across if ways[index] == ACROSS else self.upward)[cell] = member
            else:
                self.corners[cell] = member
        self._join(member, cells)

    def _join(self, member: str, cells: Iterable[Cell]) -> None:
        """Merge all parts of a member that a new line touches."""
        line = set(cells)
        apart: list[Part] = []
        for part in self.parts.get(member, []):
            if part.offered and (reached := line & {(part.column, row) for row in part.rows}):
                self._fix(member, part, max(reached))
            if part.cells & line:
                line |= part.cells
            else:
                apart.append(part)
        self.parts[member] = [*apart, Part(line)]

    def _fix(self, member: str, part: Part, cell: Cell) -> None:
        """A stem is joined: it keeps its column from there upward, or only that cell."""
        part.cells.add(cell)
        self.corners[cell] = member
        if part.upward:
            for row in range(cell[1] + 1, self.height):
                self.edges[(part.column, row - 1), UPWARD] = member
                if row + 1 == self.height:
                    self.corners[part.column, row] = member
                else:
                    self.upward[part.column, row] = member
                part.cells.add((part.column, row))
                self.webs.add((part.column, row))

    def connect(self, member: str) -> bool:
        """Join all parts of a member; False where one cannot be reached."""
        while len(self.parts.get(member, ())) > 1:
            best: Path | None = None
            for part in self.parts[member][:-1]:
                others = (other for other in self.parts[member] if other is not part)
                limit = best.cost if best is not None else inf
                found = self.search(
                    member, self.open_cells([part]), ends=self.open_cells(others), limit=limit
                )
                best = found or best
            if best is None:
                return False
            self.lay(member, best)
        return True

    def settle(self, member: str) -> None:
        """Fix the stems of a member that nothing was joined to, as near to the axis as they may be."""
        for part in self.parts.get(member, ()):
            if part.offered:
                offers = self.open_cells([part])
                self._fix(member, part, min(offers, key=lambda cell: (offers[cell], cell[1])))
