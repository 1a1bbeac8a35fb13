"""Which loose bolt belongs where: one bolt or a whole pile, by what was measured, exactly.

As many bolts as can be are placed, at the least sum of deviations; bolts of one sort are interchangeable.  A bolt is
ambiguous where another sort is as possible for it while just as many bolts are placed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from countershaft.errors import BadInput
from countershaft.planning.assignment import assign
from countershaft.planning.places import Bolt, Place, describe

__all__ = ["Identified", "Loose", "Match", "Tolerances", "identify"]


@dataclass(frozen=True, slots=True)
class Loose:
    """A loose bolt as it was measured [mm]; None is "not measured".  `strength` is the mark on its head."""

    id: str
    length: Fraction | None = None
    diameter: Fraction | None = None
    pitch: Fraction | None = None
    hand: Literal["right", "left"] | None = None
    head: str | None = None
    strength: str | None = None


@dataclass(frozen=True, slots=True)
class Tolerances:
    """How far a measured figure may lie from the nominal one [mm].

    Bolts are thinner than their name by up to 0.3 mm (6g), and hardly ever thicker.
    """

    length: Fraction = Fraction(1, 2)
    thinner: Fraction = Fraction(35, 100)
    thicker: Fraction = Fraction(5, 100)
    pitch: Fraction = Fraction(6, 100)


@dataclass(frozen=True, slots=True)
class Match:
    """A loose bolt with its place.

    `equal` are all places that take the same bolt, its own among them; `also` holds the places of every other sort that
    it could be as well.
    """

    loose: str
    place: str
    equal: tuple[str, ...]
    also: tuple[tuple[str, ...], ...]

    @property
    def ambiguous(self) -> bool:
        """Whether the measurement leaves more than one sort."""
        return bool(self.also)


@dataclass(frozen=True, slots=True)
class Identified:
    """The pile sorted: matches, bolts that are one too many or fit nowhere, and places that stay empty."""

    matches: tuple[Match, ...]
    too_many: tuple[tuple[str, str], ...]
    missing: tuple[tuple[str, ...], ...]
    words: tuple[str, ...]

    @property
    def ambiguous(self) -> tuple[Match, ...]:
        """Matches that more measuring would have to settle."""
        return tuple(match for match in self.matches if match.ambiguous)


def identify(
    pile: Sequence[Loose],
    places: Sequence[Place],
    *,
    tolerances: Tolerances | None = None,
    whole: bool = True,
) -> Identified:
    """Put loose bolts to places.

    Parameters
    ----------
    pile : Sequence[Loose]
        The bolts, measured.
    places : Sequence[Place]
        The places that are open.
    tolerances : Tolerances, optional
        How far measured figures may deviate.
    whole : bool, optional
        Whether the pile is all there is, so that an empty place means a missing bolt.

    Returns
    -------
    Identified
        Matches, what is ambiguous, one too many, or missing.

    Raises
    ------
    BadInput
        Two loose bolts or two places have the same name.

    References
    ----------
    Assignment of least cost; deviations are summed in µm.

    Examples
    --------
    >>> short, long = (Bolt(Fraction(6), Fraction(1), Fraction(length)) for length in (20, 30))
    >>> places = [Place("V1", "cover", short), Place("V2", "cover", long)]
    >>> found = identify([Loose("x", Fraction("29.8"), Fraction("5.9")), Loose("y", Fraction(36))], places)
    >>> found.matches[0].place, found.missing
    ('V2', (('V1',),))
    >>> for line in found.words:
    ...     print(line)
    x goes to V2.
    y fits no place; nearest is V2 (6 × 1, 30 mm), 6 mm shorter.
    Missing: 1 × 6 × 1, 20 mm, for V1.
    """
    for what, names in (("loose bolt", [one.id for one in pile]), ("place", [one.id for one in places])):
        twice = sorted(name for name, count in Counter(names).items() if count > 1)
        if twice:
            raise BadInput(f"{what} {', '.join(twice)} is named twice; every one has its own name.")
    allowed = tolerances or Tolerances()
    sorts: dict[Bolt, list[str]] = {}
    for place in places:
        sorts.setdefault(place.bolt, []).append(place.id)
    bolts = list(sorts)
    costs = [[_cost(loose, bolt, allowed) for bolt in bolts] for loose in pile]
    sort_of = _placed(costs, [len(sorts[bolt]) for bolt in bolts])
    others = _alternatives(costs, sort_of, [len(sorts[bolt]) for bolt in bolts])
    free = {bolt: list(names) for bolt, names in sorts.items()}
    matches, too_many = [], []
    for loose, row, sort, also in zip(pile, costs, sort_of, others, strict=True):
        if sort is None:
            too_many.append((loose.id, _why_alone(loose, row, sorts, allowed)))
        else:
            place_id, equal = free[bolts[sort]].pop(0), tuple(sorts[bolts[sort]])
            matches.append(
                Match(loose.id, place_id, equal, tuple(tuple(sorts[bolts[each]]) for each in also))
            )
    missing = tuple(tuple(names) for names in free.values() if names) if whole else ()
    words = (*map(_match_words, matches), *(why for _, why in too_many), *_missing_words(missing, places))
    return Identified(tuple(matches), tuple(too_many), missing, words)


# --- what fits what -----------------------------------------------------------------------------------------


def _cost(loose: Loose, bolt: Bolt, allowed: Tolerances) -> int | None:
    """Sum of the deviations in µm; None where one is beyond its tolerance or a mark differs."""
    for measured, nominal in (
        (loose.hand, bolt.hand),
        (loose.head, bolt.head),
        (loose.strength, bolt.strength),
    ):
        if measured is not None and nominal is not None and measured != nominal:
            return None
    cost = Fraction(0)
    for measured_mm, nominal_mm, below, above in (
        (loose.length, bolt.length, allowed.length, allowed.length),
        (loose.diameter, bolt.diameter, allowed.thinner, allowed.thicker),
        (loose.pitch, bolt.pitch, allowed.pitch, allowed.pitch),
    ):
        if measured_mm is None:
            continue
        if nominal_mm is None:
            cost += below  # a sort of unknown length fits, but a known one goes first
            continue
        off = measured_mm - nominal_mm
        if not -below <= off <= above:
            return None
        cost += abs(off)
    return round(cost * 1000)


def _placed(costs: Sequence[Sequence[int | None]], room: Sequence[int]) -> list[int | None]:
    """The sort of each loose bolt; no sort gets more bolts than it has places."""
    columns = [sort for sort, places in enumerate(room) for _ in range(min(places, len(costs)))]
    found = assign([[row[sort] for sort in columns] for row in costs])
    return [None if column is None else columns[column] for column in found]


def _alternatives(
    costs: Sequence[Sequence[int | None]], sort_of: Sequence[int | None], room: Sequence[int]
) -> list[tuple[int, ...]]:
    """For each placed bolt the other sorts that it could be while just as many bolts are placed."""
    sorts = range(len(room))
    may = [{sort for sort in sorts if row[sort] is not None} for row in costs]
    gives: list[set[int]] = [set() for _ in sorts]
    for mine, own in zip(may, sort_of, strict=True):
        if own is not None:
            gives[own] |= mine - {own}
    reach = [_reached({sort}, gives) for sort in sorts]
    taken = Counter(own for own in sort_of if own is not None)
    spare = {sort for sort in sorts if taken[sort] < room[sort]}
    by_alone = _reached(
        {sort for mine, own in zip(may, sort_of, strict=True) if own is None for sort in mine}, gives
    )
    return [
        ()
        if own is None
        else tuple(
            sort
            for sort in sorted(mine - {own})
            if reach[sort] & spare or own in reach[sort] or own in by_alone
        )
        for mine, own in zip(may, sort_of, strict=True)
    ]


def _reached(start: set[int], gives: Sequence[set[int]]) -> set[int]:
    """All sorts that a chain of moves leads to."""
    found, front = set(start), list(start)
    while front:
        for sort in gives[front.pop()] - found:
            found.add(sort)
            front.append(sort)
    return found


# --- words --------------------------------------------------------------------------------------------------


def _match_words(match: Match) -> str:
    one = f"{match.loose} goes to {match.place}"
    if len(match.equal) > 1:
        one += f" or any of its equals ({_names([name for name in match.equal if name != match.place])})"
    if not match.also:
        return f"{one}."
    others = "; ".join(_names(names) for names in match.also)
    return f"{one}, but the measurement fits {others} as well: look at length, head mark and coating again."


def _why_alone(
    loose: Loose, row: Sequence[int | None], sorts: dict[Bolt, list[str]], allowed: Tolerances
) -> str:
    fits = [names for names, cost in zip(sorts.values(), row, strict=True) if cost is not None]
    if fits:
        full = "; ".join(_names(names) for names in fits)
        return f"{loose.id} is one too many: the places that take such a bolt ({full}) are all filled."
    alike = [bolt for bolt in sorts if _cost(_without_length(loose), bolt, allowed) is not None]
    measured = loose.length
    lengths = [
        (abs(bolt.length - measured), bolt)
        for bolt in alike
        if bolt.length is not None and measured is not None
    ]
    if not lengths or measured is None:
        return f"{loose.id} fits no place: no open place takes its thread."
    off, nearest = min(lengths, key=lambda pair: pair[0])
    word = "longer" if (nearest.length or 0) > measured else "shorter"
    return (
        f"{loose.id} fits no place; nearest is {_names(sorts[nearest])} ({describe(nearest)}), "
        f"{float(round(off, 3)):g} mm {word}."
    )


def _without_length(loose: Loose) -> Loose:
    return Loose(loose.id, None, loose.diameter, loose.pitch, loose.hand, loose.head, loose.strength)


def _missing_words(missing: Sequence[Sequence[str]], places: Sequence[Place]) -> list[str]:
    bolt_of = {place.id: place.bolt for place in places}
    return [
        f"Missing: {len(names)} × {describe(bolt_of[names[0]])}, for {_names(names)}." for names in missing
    ]


def _names(names: Sequence[str]) -> str:
    return ", ".join(names)
