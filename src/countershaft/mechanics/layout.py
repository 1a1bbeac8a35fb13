"""A gear train made ready for solving: members as numbers, the sets as stars with whole sizes, made once.

What shift elements hold together turns as one *node*; the case, and all that is held to it, is the node 0.
In a given state only nodes are unknown, so the equations of a gear are few and thin.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import gcd, lcm

from countershaft.mechanics.gear_sets import GearPair, GearSet
from countershaft.mechanics.meshes import Planet, Star, planets_of, stars_of
from countershaft.mechanics.sparse import IntRow, reduce_rows

__all__ = ["CASE", "Layout", "Spokes", "Tie", "merge"]

#: The place of the case among the members.
CASE = -1

#: Two places that are held together; the second may be the case.
Tie = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Spokes:
    """A star by the places of its members, with sizes as whole numbers; `scale` times the true size is whole."""

    star: Star
    carrier: int
    places: tuple[int, ...]
    sizes: tuple[int, ...]
    scale: Fraction


@dataclass(frozen=True)
class Layout:
    """Members, and the stars of all sets and pairs; planets that only idle in their set are no members."""

    members: tuple[str, ...]
    spokes: tuple[Spokes, ...]
    idlers: tuple[tuple[Planet, int], ...]

    @cached_property
    def place(self) -> dict[str, int]:
        """Place of each member."""
        return {member: place for place, member in enumerate(self.members)}

    def tie(self, members: Sequence[str]) -> Tie:
        """The tie between two members, or between one and the case."""
        return self.place[members[0]], self.place[members[1]] if len(members) > 1 else CASE

    @classmethod
    def of(
        cls, members: Sequence[str], parts: Iterable[GearSet | GearPair], touched: Collection[str]
    ) -> Layout:
        """The layout of a train; `touched` are the members that something other than teeth holds or drives."""
        parts = tuple(parts)
        uses = Counter(member for part in parts for member in part.members)
        planets = {planet.name for part in parts for planet in planets_of(part)}
        loaded = {name for name in planets if name in touched or uses[name] > 1}
        kept = tuple(member for member in members if member in loaded or member not in planets)
        place = {member: index for index, member in enumerate(kept)}
        place_of: dict[str | None, int] = {**place, None: CASE}
        spokes: list[Spokes] = []
        idlers: list[tuple[Planet, int]] = []
        for part in parts:
            for star in stars_of(part, loaded):
                idlers += [(planet, len(spokes)) for planet in star.planets if planet.name not in loaded]
                spokes.append(_spokes(star, place_of))
        return cls(kept, tuple(spokes), tuple(idlers))

    def speeds(self, label: Sequence[int], driver: int) -> list[Fraction] | None:
        """Speed of each member while one turns once; None unless every row counts and every member is settled."""
        width = max(label, default=0) + 1
        drive = label[driver]
        if drive == 0:
            return None
        rows = [row for star in self.spokes for row in _speed_rows(star, label, drive, width)]
        if len(rows) != width - 2:
            return None
        found = reduce_rows(rows, width)
        if found.rests or len(found.pivots) != len(rows):
            return None
        nodes = [Fraction(0)] * width
        nodes[drive] = Fraction(1)
        for column, row in found.pivots.items():
            if len(row) == 1:
                continue
            value = row.get(width)
            if value is None or len(row) > 2:
                return None
            nodes[column] = Fraction(value, row[column])
        return [nodes[label[place]] for place in range(len(self.members))]

    def idler_speeds(self, speeds: Sequence[Fraction]) -> dict[str, Fraction]:
        """Speed of every planet that is no member and whose size is known."""
        found: dict[str, Fraction] = {}
        for planet, index in self.idlers:
            star = self.spokes[index]
            if planet.size is not None:
                carrier = speeds[star.carrier] if star.carrier != CASE else Fraction(0)
                rolling = star.sizes[0] / star.scale * (speeds[star.places[0]] - carrier)
                found[planet.name] = carrier + rolling / planet.size
        return found


def merge(count: int, ties: Iterable[Tie]) -> list[int]:
    """Node of each member, and of the case behind them; nodes are numbered from 0, the case's, without a gap.

    Parameters
    ----------
    count : int [-]
        Number of members.
    ties : Iterable[tuple[int, int]] [-]
        Places that are held together, the case as -1.

    Returns
    -------
    list[int] [-]
        Node of each place; the last is the case's and 0.

    Examples
    --------
    >>> merge(4, [(0, 2), (3, CASE)])
    [1, 2, 1, 0, 0]
    """
    mark = list(range(count + 1))
    for first, second in ties:
        old, new = mark[first], mark[second]
        if old != new:
            mark = [new if each == old else each for each in mark]
    number = {mark[CASE]: 0}
    return [number.setdefault(each, len(number)) for each in mark]


def _speed_rows(star: Spokes, label: Sequence[int], drive: int, width: int) -> Iterable[IntRow]:
    """Equal size · (w − w_carrier) for the first port and each other, as rows of the unknown nodes.

    A row without unknowns is kept: it says that not every row counts.
    """
    first, size = label[star.places[0]] if star.places else 0, star.sizes[0] if star.sizes else 0
    carrier = label[star.carrier]
    for place, other in zip(star.places[1:], star.sizes[1:], strict=True):
        row: IntRow = {}
        for node, value in ((first, size), (label[place], -other), (carrier, other - size)):
            if node == drive:
                row[width] = row.get(width, 0) - value
            elif node:
                row[node] = row.get(node, 0) + value
        yield {node: value for node, value in row.items() if value}


def _spokes(star: Star, place_of: dict[str | None, int]) -> Spokes:
    shared = lcm(*(port.size.denominator for port in star.ports))
    sizes = [port.size.numerator * (shared // port.size.denominator) for port in star.ports]
    common = gcd(*sizes) or 1
    return Spokes(
        star,
        place_of[star.carrier],
        tuple(place_of[port.member] for port in star.ports),
        tuple(size // common for size in sizes),
        Fraction(shared, common),
    )
