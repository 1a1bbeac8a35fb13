"""Bolts and the places they belong in, as far as mixing them up matters; and the standing-height rule.

Lengths are exact fractions of a millimetre, so that "the same" is decided and never rounded.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from countershaft.errors import BadInput

__all__ = ["GLANCE_MM", "Bolt", "Place", "StandingHeights", "describe", "neighbours", "standing_heights"]

#: A difference in standing height that the eye sees beside its neighbours (common practice, no source) [mm].
GLANCE_MM: Final = Fraction(2)


@dataclass(frozen=True, slots=True)
class Bolt:
    """What a bolt is, in mm; equal bolts are interchangeable.  None is "not known".

    `proof` is its proof stress in MPa, so that classes can be ranked.  `special` names what it is besides a bolt:
    hollow, sealing, shouldered.  `one_use` bolts stretch or lock once.
    """

    diameter: Fraction
    pitch: Fraction
    length: Fraction | None
    hand: Literal["right", "left"] = "right"
    strength: str | None = None
    proof: Fraction | None = None
    head: str | None = None
    coating: str | None = None
    special: str | None = None
    one_use: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """A hole, what belongs in it, and what it takes, in mm.  None is "not known".

    `grip` is everything clamped, `depth` the full thread in the hole, `needed` the least engagement that holds.
    """

    id: str
    joint: str
    bolt: Bolt
    grip: Fraction | None = None
    depth: Fraction | None = None
    needed: Fraction | None = None

    @property
    def height(self) -> Fraction | None:
        """How high its head stands when it is dropped in: length minus grip [mm]."""
        if self.bolt.length is None or self.grip is None:
            return None
        return self.bolt.length - self.grip


@dataclass(frozen=True, slots=True)
class StandingHeights:
    """The bolts of one diameter in one joint: the height at which most stand, and who does not [mm]."""

    joint: str
    diameter: Fraction
    common: Fraction | None
    level: tuple[str, ...]
    odd: tuple[tuple[str, Fraction], ...]
    special: tuple[str, ...]
    unknown: tuple[str, ...]

    @property
    def words(self) -> str:
        """What to see before the first torque, in one or two sentences."""
        if self.common is None:
            return f"{self.joint}: no standing height is known; length or grip is missing."
        one = f"{self.joint}: dropped in without turning, {_count(len(self.level))} {_mm(self.common)} high."
        others = [f"{place} stands {_mm(height)}" for place, height in self.odd]
        others += [f"{place} is special and stands apart" for place in self.special]
        others += [f"{place} is not known" for place in self.unknown]
        return f"{one} Not so: {'; '.join(others)}." if others else one


def standing_heights(places: Sequence[Place]) -> tuple[StandingHeights, ...]:
    """The standing-height rule: all bolts of one diameter in a joint stand the same height when dropped in.

    Parameters
    ----------
    places : Sequence[Place]
        All places, of one joint or of many.

    Returns
    -------
    tuple[StandingHeights, ...]
        One per joint and diameter, in the order of the places.

    Raises
    ------
    BadInput
        Two places have the same name.

    References
    ----------
    Common practice, no source; the arithmetic is length − grip.

    Examples
    --------
    >>> def place(name, length, grip):
    ...     return Place(name, "cover", Bolt(Fraction(6), Fraction(1), Fraction(length)), Fraction(grip))
    >>> found, = standing_heights([place("V1", 45, 33), place("V2", 30, 18), place("V3", 40, 33)])
    >>> print(found.words)
    cover: dropped in without turning, 2 stand 12 mm high. Not so: V3 stands 7 mm.
    """
    names = Counter(place.id for place in places)
    twice = [name for name, count in names.items() if count > 1]
    if twice:
        raise BadInput(f"place {', '.join(twice)} is named twice; every place has its own name.")
    groups: dict[tuple[str, Fraction], list[Place]] = {}
    for place in places:
        groups.setdefault((place.joint, place.bolt.diameter), []).append(place)
    return tuple(_heights(joint, diameter, group) for (joint, diameter), group in groups.items())


def neighbours(place: Place, places: Sequence[Place]) -> Iterator[Place]:
    """The places that a bolt is compared with by eye: same joint, same diameter, nothing special.

    Parameters
    ----------
    place : Place
        The place that is looked at.
    places : Sequence[Place]
        All places.

    Yields
    ------
    Iterator[Place]
        Its neighbours.

    Examples
    --------
    >>> bolt = Bolt(Fraction(6), Fraction(1), Fraction(20))
    >>> row = [Place(name, "cover", bolt) for name in ("a", "b", "c")]
    >>> [other.id for other in neighbours(row[0], row)]
    ['b', 'c']
    """
    return (
        other
        for other in places
        if other.id != place.id
        and other.joint == place.joint
        and other.bolt.diameter == place.bolt.diameter
        and other.bolt.special is None
    )


def describe(bolt: Bolt) -> str:
    """A bolt in words, as it is told apart on the bench.

    Parameters
    ----------
    bolt : Bolt
        The bolt.

    Returns
    -------
    str
        Thread, length, and what else is known.

    Examples
    --------
    >>> describe(Bolt(Fraction(8), Fraction("1.25"), Fraction(40), "left", "10.9", special="hollow"))
    '8 × 1.25 LEFT-HAND, 40 mm, class 10.9, hollow'
    """
    thread = f"{_figure(bolt.diameter)} × {_figure(bolt.pitch)}{' LEFT-HAND' if bolt.hand == 'left' else ''}"
    length = "length not known" if bolt.length is None else _mm(bolt.length)
    strength = f"class {bolt.strength}" if bolt.strength else None
    one_use = "one use" if bolt.one_use else None
    parts = (thread, length, strength, bolt.head, bolt.coating, bolt.special, one_use)
    return ", ".join(part for part in parts if part)


def _heights(joint: str, diameter: Fraction, group: Sequence[Place]) -> StandingHeights:
    special = tuple(place.id for place in group if place.bolt.special is not None)
    plain = [place for place in group if place.bolt.special is None]
    known = [(place.id, place.height) for place in plain if place.height is not None]
    unknown = tuple(place.id for place in plain if place.height is None)
    common = Counter(height for _, height in known).most_common(1)[0][0] if known else None
    return StandingHeights(
        joint,
        diameter,
        common,
        tuple(name for name, height in known if height == common),
        tuple((name, height) for name, height in known if height != common),
        special,
        unknown,
    )


def _count(count: int) -> str:
    return "1 stands" if count == 1 else f"{count} stand"


def _mm(value: Fraction) -> str:
    return f"{_figure(value)} mm"


def _figure(value: Fraction) -> str:
    return f"{float(round(value, 3)):g}"
