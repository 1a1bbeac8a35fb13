"""One axis of a train on the routing grid: its board, its sets and wheels, and where its shift elements sit."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from countershaft.figures.train_bodies import TOP, Blueprint
from countershaft.figures.train_router import UPWARD, Board, Cell, Part
from countershaft.mechanics.shift_elements import Element

__all__ = ["PLAIN_TOP", "Site", "Strip", "Tracks"]

PLAIN_TOP = 4
"""The highest row of an axis without gear sets."""


@dataclass(frozen=True)
class Tracks:
    """Columns of the grid from left to right: where each body or plane starts, and which are tracks between."""

    starts: tuple[int, ...]
    widths: tuple[int, ...]
    total: int

    def of(self, index: int) -> range:
        """The grid columns of a body or plane."""
        return range(self.starts[index], self.starts[index] + self.widths[index])


@dataclass(frozen=True, slots=True)
class Site:
    """Where an element sits: at one cell, or between `cell` and its right neighbour(s).

    `part` is the position of a sleeve that this symbol stands for, empty for the whole element.
    `left` and `right` are the members on its two sides; `hub` that of a sleeve's middle.
    """

    element: Element | None
    cell: Cell
    left: str = ""
    right: str = ""
    hub: str = ""
    part: str = ""
    ground: str = ""


@dataclass
class Strip:
    """One axis with its board and what was placed on it."""

    axis: int
    plain: bool
    board: Board
    blueprints: dict[int, Blueprint]
    sites: list[Site] = field(default_factory=list)
    stems: dict[tuple[int, str], Part] = field(default_factory=dict)
    pins: frozenset[Cell] = frozenset()

    turned: tuple[int, ...] = ()
    missed: tuple[str, ...] = ()
    downward: frozenset[tuple[int, str]] = frozenset()

    def copy(self) -> Strip:
        """The same strip, on which more can be laid without a trace on this one."""
        board = self.board
        parts = [*self.stems.values(), *(part for own in board.parts.values() for part in own)]
        copies = {id(part): replace(part, cells=set(part.cells)) for part in parts}
        fresh = replace(
            board,
            corners=board.corners.copy(),
            across=board.across.copy(),
            upward=board.upward.copy(),
            edges=board.edges.copy(),
            webs=board.webs.copy(),
            parts={member: [copies[id(part)] for part in own] for member, own in board.parts.items()},
        )
        stems = {key: copies[id(part)] for key, part in self.stems.items()}
        return replace(self, board=fresh, sites=self.sites.copy(), stems=stems)

    def lowest(self, stem: Part) -> int:
        """The lowest row in which a wheel's stem is joined to its member."""
        row = min(cell[1] for cell in stem.cells)
        member = self.board.corners[stem.column, row]
        while self.board.edges.get(((stem.column, row - 1), UPWARD)) == member:
            row -= 1
        return row

    @property
    def hubs_of_sleeves(self) -> set[Cell]:
        """The middle cells of sleeves, which need no joint."""
        return {(site.cell[0] + 1, site.cell[1]) for site in self.sites if site.hub}

    def drawn_below(self, stem: Part) -> bool:
        """Whether the half of a wheel below the axis is drawn."""
        return self.plain or not stem.upward or any(self.stems[key] is stem for key in self.downward)

    def mirrored(self, index: int) -> bool:
        """Whether a set is turned end for end."""
        return index in self.turned

    @property
    def top(self) -> int:
        """The highest row, at which brakes reach the case."""
        return PLAIN_TOP if self.plain else TOP
