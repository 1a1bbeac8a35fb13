"""Every pair of bolt and hole of a set, and the fewest tags that make every dangerous mix-up impossible.

A pair that cannot be judged is treated as dangerous, since it cannot be shown to be harmless.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from countershaft.errors import OutOfRange, Unknown
from countershaft.planning.mix_verdict import Mixing, judge
from countershaft.planning.places import GLANCE_MM, Place, describe, neighbours, standing_heights
from countershaft.planning.tags import Grouping, smallest_grouping

__all__ = ["MixUps", "Pairing", "mix_ups"]


@dataclass(frozen=True, slots=True)
class Pairing:
    """Bolts of one sort in holes of one sort.

    `bolts` are the places that the bolts belong in, `holes` the places that they are put into; `by_mm` is by how much
    it shows, where it shows by a height or a diameter.
    """

    bolts: tuple[str, ...]
    holes: tuple[str, ...]
    result: Mixing
    by_mm: Fraction | None
    how: str


@dataclass(frozen=True, slots=True)
class MixUps:
    """All pairings of a set of places, and the fewest tags that make every dangerous one impossible.

    `tags` are groups of places; bolts of one group may lie in one tray.  `proven` says that fewer will not do.
    """

    pairings: tuple[Pairing, ...]
    tags: tuple[tuple[str, ...], ...]
    proven: bool
    words: str

    def of(self, bolt: str, hole: str) -> Pairing:
        """The pairing of the bolt of one place with the hole of another."""
        for pairing in self.pairings:
            if bolt in pairing.bolts and hole in pairing.holes:
                return pairing
        raise Unknown(
            f"no pairing of the bolt of {bolt} with the hole {hole}: one of the two places is not in the set."
        )

    @property
    def dangerous(self) -> tuple[Pairing, ...]:
        """Pairings that hide and are dangerous, and those that cannot be judged."""
        return tuple(pairing for pairing in self.pairings if pairing.result in ("dangerous", "unknown"))

    def count(self, result: Mixing) -> int:
        """How many pairs of one bolt and one hole come to a result."""
        return sum(
            len(pairing.bolts) * len(pairing.holes) for pairing in self.pairings if pairing.result == result
        )


def mix_ups(places: Sequence[Place], *, glance: Fraction = GLANCE_MM) -> MixUps:
    """Judge every pair of bolt and hole, and find the fewest tags.

    Parameters
    ----------
    places : Sequence[Place]
        Every place of the set, of one joint or of the whole unit.
    glance : Fraction, optional [mm]
        Difference in standing height that the eye sees.

    Returns
    -------
    MixUps
        Pairings by sort, tags, and the advice in words.

    Raises
    ------
    BadInput
        Two places have the same name.
    OutOfRange
        The glance is not positive.

    References
    ----------
    Common practice, no source, for what the eye sees; the rest is arithmetic.

    Examples
    --------
    >>> from countershaft.planning.places import Bolt
    >>> def place(name, length, depth):
    ...     bolt = Bolt(Fraction(6), Fraction(1), Fraction(length))
    ...     return Place(name, f"joint {name}", bolt, Fraction(10), Fraction(depth), Fraction(9))
    >>> found = mix_ups([place("a", 25, 17), place("b", 28, 30), place("c", 25, 17)])
    >>> found.of("b", "a").result, found.of("b", "a").how
    ('dangerous', 'meets the bottom with its head 1 mm off the part: nothing is clamped')
    >>> found.words
    'Bag 1 apart: b (6 × 1, 28 mm). The other 2 may share one tray.'
    """
    if glance <= 0:
        raise OutOfRange(f"a glance sees more than 0 mm, got {glance} mm.")
    standing_heights(places)  # refuses a name that is used twice
    bolts = _sorts(places, lambda place: place.bolt)
    holes = _sorts(places, lambda place: (_hole(place), _seen(place, places, glance)))
    beside = [[other.bolt for other in _level(hole[0], places, glance)] for hole in holes]
    pairings = [
        Pairing(
            tuple(place.id for place in sort),
            tuple(place.id for place in hole),
            *judge(sort[0].bolt, hole[0], level, glance=glance),
        )
        for sort in bolts
        for hole, level in zip(holes, beside, strict=True)
    ]
    grouping = smallest_grouping([len(sort) for sort in bolts], _conflicts(pairings, bolts))
    tags = tuple(tuple(place.id for index in group for place in bolts[index]) for group in grouping.groups)
    return MixUps(tuple(pairings), tags, grouping.proven, _advice(grouping, bolts))


def _sorts(places: Sequence[Place], key: Callable[[Place], object]) -> list[list[Place]]:
    """Places that are alike, in the order of the first of each."""
    groups: dict[object, list[Place]] = {}
    for place in places:
        groups.setdefault(key(place), []).append(place)
    return list(groups.values())


def _hole(place: Place) -> tuple[object, ...]:
    return place.bolt, place.grip, place.depth, place.needed


def _level(place: Place, places: Sequence[Place], glance: Fraction) -> Iterator[Place]:
    """Neighbours that stand as high as the right bolt does, as far as the eye sees."""
    height = place.height
    return (
        other
        for other in neighbours(place, places)
        if height is not None and other.height is not None and abs(other.height - height) < glance
    )


def _seen(place: Place, places: Sequence[Place], glance: Fraction) -> frozenset[str | None]:
    """All that judging takes from the neighbours: whether there are any, and their heads."""
    return frozenset(other.bolt.head for other in _level(place, places, glance))


def _conflicts(pairings: Sequence[Pairing], bolts: Sequence[Sequence[Place]]) -> set[tuple[int, int]]:
    """Sorts of bolts that must not lie together, since one in the other's hole can be dangerous."""
    sort_of = {place.id: index for index, sort in enumerate(bolts) for place in sort}
    found = set()
    for pairing in pairings:
        if pairing.result in ("dangerous", "unknown"):
            one, other = sort_of[pairing.bolts[0]], sort_of[pairing.holes[0]]
            found.add((min(one, other), max(one, other)))
    return found


def _advice(grouping: Grouping, bolts: Sequence[Sequence[Place]]) -> str:
    """What to bag apart and what may share a tray, in words."""
    if not bolts:
        return "There is nothing to tag."
    counts = [sum(len(bolts[index]) for index in group) for group in grouping.groups]
    if len(counts) == 1:
        return (
            f"All {counts[0]} may share one tray: no mix-up hides and is dangerous."
            if counts[0] > 1
            else "One bolt."
        )
    bags = []
    for group, count in list(zip(grouping.groups, counts, strict=True))[1:]:
        said = "; ".join(_listed(bolts[index]) for index in group)
        bags.append(f"{'these ' if count > 1 else ''}{count} apart: {said}")
    rest = f"The other {counts[0]} may share one tray." if counts[0] > 1 else "One is left."
    proof = (
        ""
        if grouping.proven
        else f" Not proven to be the fewest; at least {grouping.at_least} groups are needed."
    )
    return f"Bag {', '.join(bags)}. {rest}{proof}"


def _listed(sort: Sequence[Place]) -> str:
    return f"{', '.join(place.id for place in sort)} ({describe(sort[0].bolt)})"
