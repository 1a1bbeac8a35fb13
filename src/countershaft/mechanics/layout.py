"""A gear train made ready for solving: members as numbers, the sets as stars with whole sizes, made once.

What shift elements hold together turns as one *node*; the case, and all that is held to it, is the node 0.
In a given state only nodes are unknown, so the equations of a gear are few and thin.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import gcd, lcm

from countershaft.mechanics.exact import Shared
from countershaft.mechanics.gear_sets import GearPair, GearSet
from countershaft.mechanics.meshes import Planet, Star, planets_of, stars_of
from countershaft.mechanics.sparse import IntRow, reduce_rows, thin

__all__ = ["CASE", "Layout", "Spokes", "Tie", "merge"]

#: The place of the case among the members.
CASE = -1

#: Two places that are held together; the second may be the case.
Tie = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Spokes:
    """A star by the places of its members, with sizes as whole numbers; `scale` times the true size is whole.

    `ends` are the places of its members and its carrier, `names` the names of those that are no case.
    """

    star: Star
    carrier: int
    places: tuple[int, ...]
    sizes: tuple[int, ...]
    scale: Fraction
    ends: tuple[int, ...]
    names: tuple[str, ...]


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

    @cached_property
    def _speed_terms(self) -> tuple[tuple[tuple[int, int], ...], ...]:
        """Equal size · (w − w_carrier) for the first port of each star and each other, as numbers at places."""
        found = []
        for star in self.spokes:
            (first, *others), (size, *sizes) = star.places, star.sizes
            for place, other in zip(others, sizes, strict=True):
                terms = ((first, size), (place, -other), (star.carrier, other - size))
                found.append(tuple(term for term in terms if term[1] and term[0] != CASE))
        return tuple(found)

    @cached_property
    def starts(self) -> tuple[tuple[int, ...], int]:
        """First unknown force of each star, and how many there are.

        A star with two ports has one force, one with more has one for each port, and one with a single port none.
        """
        starts, width = [], 0
        for spokes in self.spokes:
            starts.append(width)
            count = len(spokes.sizes)
            width += count if count > 2 else count - 1
        return tuple(starts), width

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
        place_of: dict[str | None, int] = {member: index for index, member in enumerate(kept)}
        place_of[None] = CASE
        spokes: list[Spokes] = []
        idlers: list[tuple[Planet, int]] = []
        for part in parts:
            for star in stars_of(part, loaded):
                idlers += [(planet, len(spokes)) for planet in star.planets if planet.name not in loaded]
                spokes.append(_spokes(star, place_of))
        return cls(kept, tuple(spokes), tuple(idlers))

    def speeds(self, label: Sequence[int], driver: int) -> Shared | None:
        """Speed of each member while one turns once; None unless every row counts and every member is settled."""
        width = max(label, default=0) + 1
        drive = label[driver]
        if drive == 0:
            return None
        rows = self._speed_rows(label, drive, width)
        if len(rows) != width - 2:
            return None
        found = reduce_rows(rows, width)
        if found.rests or len(found.pivots) != len(rows):
            return None
        shared = lcm(*[row[column] for column, row in found.pivots.items()])
        nodes = [0] * width
        nodes[drive] = shared
        for column, row in found.pivots.items():
            if len(row) > 1:
                if len(row) > 2 or width not in row:
                    return None
                nodes[column] = row[width] * (shared // row[column])
        return Shared(
            {member: nodes[node] for member, node in zip(self.members, label, strict=False)}, shared
        )

    def _speed_rows(self, label: Sequence[int], drive: int, width: int) -> list[IntRow]:
        """The equations of the nodes' speeds; one without unknowns is kept: it says that not every row counts."""
        rows: list[IntRow] = []
        for terms in self._speed_terms:
            row: IntRow = {}
            for place, value in terms:
                node = label[place]
                if node == drive:
                    row[width] = row.get(width, 0) - value
                elif node:
                    row[node] = row.get(node, 0) + value
            rows.append(thin(row))
        return rows

    def with_idlers(self, speeds: Mapping[str, Fraction]) -> dict[str, Fraction]:
        """The speeds, and beside them those of every planet that is no member and whose size is known."""
        found = dict(speeds)
        for planet, index in self.idlers:
            star = self.spokes[index]
            if planet.size is not None:
                carrier = speeds[self.members[star.carrier]] if star.carrier != CASE else Fraction(0)
                first = speeds[self.members[star.places[0]]]
                found[planet.name] = carrier + star.sizes[0] / star.scale * (first - carrier) / planet.size
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


def _spokes(star: Star, place_of: dict[str | None, int]) -> Spokes:
    shared = lcm(*(port.size.denominator for port in star.ports))
    sizes = [port.size.numerator * (shared // port.size.denominator) for port in star.ports]
    common = gcd(*sizes) or 1
    carrier, places = place_of[star.carrier], tuple(place_of[port.member] for port in star.ports)
    names = (*(port.member for port in star.ports), *((star.carrier,) if star.carrier is not None else ()))
    whole = tuple(size // common for size in sizes)
    return Spokes(star, carrier, places, whole, Fraction(shared, common), (*places, carrier), names)
