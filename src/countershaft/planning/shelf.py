"""What can be chosen from, and what the choice must bring about: pieces, prices, places and gaps.

Sizes and gaps are exact fractions, so that two sizes are equal or not; uncertainties are floats, since they only weigh.
A gap is a sum: a measured rest, and for every place the size that goes there times a factor.
For a shim the factor is -1; for a preload that is set by turning torque it is the rate, in N m for every millimetre.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from countershaft.errors import OutOfRange, Unknown

__all__ = ["Family", "Gap", "Listed", "Piece", "Place", "Shop", "Term"]


@dataclass(frozen=True, slots=True)
class Family:
    """Parts that fit the same places and differ in size only; `table` [mm] holds all sizes that exist, rising."""

    name: str
    table: tuple[Fraction, ...]

    def __post_init__(self) -> None:
        if not self.table:
            raise OutOfRange(f"the table of {self.name} is empty; give the sizes that exist.")
        if list(self.table) != sorted(set(self.table)):
            raise OutOfRange(f"the table of {self.name} must rise without repeats.")

    @property
    def reach(self) -> tuple[Fraction, Fraction]:
        """The smallest and the largest size that the table still answers for: half a step beyond its ends."""
        sizes = self.table
        if len(sizes) == 1:
            return sizes[0], sizes[0]
        return sizes[0] - (sizes[1] - sizes[0]) / 2, sizes[-1] + (sizes[-1] - sizes[-2]) / 2


@dataclass(frozen=True, slots=True)
class Piece:
    """One part on the shelf with its own measured size [mm] and standard uncertainty [mm]; it can go in once."""

    name: str
    family: str
    size: Fraction
    standard: float = 0.0

    def __post_init__(self) -> None:
        _check_size(f"piece {self.name}", self.size, self.standard)


@dataclass(frozen=True, slots=True)
class Listed:
    """One size that can be ordered, as often as wanted.

    `size` and `standard` [mm] are what a delivered part will measure; `price` is in whole cents, `days` until it is
    here.
    """

    family: str
    size: Fraction
    standard: float = 0.0
    price: int = 0
    days: int = 0

    def __post_init__(self) -> None:
        _check_size(f"listed {self.family}", self.size, self.standard)
        if self.price < 0 or self.days < 0:
            raise OutOfRange(
                f"{self.family} {float(self.size):g} mm is listed at {self.price} cents in {self.days} days; "
                "neither can be below zero."
            )


@dataclass(frozen=True, slots=True)
class Place:
    """Where one part of a family goes."""

    name: str
    family: str


@dataclass(frozen=True, slots=True)
class Term:
    """How the size at a place enters a gap: `factor` times the size.

    `standard` is the uncertainty of the factor itself, learned by measuring at the size `pivot` [mm]: the farther
    the part is from there, the more it counts.
    """

    place: str
    factor: Fraction = Fraction(-1)
    pivot: Fraction = Fraction(0)
    standard: float = 0.0


@dataclass(frozen=True, slots=True)
class Gap:
    """One fit: what is left is `rest` plus the terms, and must lie between `lower` and `upper`, best at `goal`.

    `rest` is measured with the standard uncertainty `standard`.  A preload is a gap below nothing.
    All are in one unit, mostly millimetres.  `suspects` is what to look at where the size needed is beyond the table.
    """

    name: str
    rest: Fraction
    standard: float
    terms: tuple[Term, ...]
    lower: Fraction
    upper: Fraction
    goal: Fraction
    suspects: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.lower < self.upper or not self.lower <= self.goal <= self.upper:
            raise OutOfRange(
                f"{self.name}: the goal {float(self.goal):g} does not lie between {float(self.lower):g} and "
                f"{float(self.upper):g}; correct one of them."
            )
        if not (math.isfinite(self.standard) and self.standard >= 0):
            raise OutOfRange(
                f"{self.name}: the standard uncertainty is {self.standard:g}; expected 0 or more."
            )
        places = [term.place for term in self.terms]
        if not places or len(set(places)) < len(places):
            raise OutOfRange(f"{self.name} needs one term, or one each for several places; got {places}.")
        if any(term.factor == 0 or not term.standard >= 0 for term in self.terms):
            raise OutOfRange(f"{self.name}: a factor is zero, or its uncertainty is negative; correct it.")


@dataclass(frozen=True, slots=True)
class Shop:
    """All fits of a job, and all that can go in.

    Every place, family and gap has its own name; every piece has its own name in the whole shop.
    """

    families: tuple[Family, ...]
    places: tuple[Place, ...]
    gaps: tuple[Gap, ...]
    pieces: tuple[Piece, ...] = ()
    listed: tuple[Listed, ...] = ()

    def __post_init__(self) -> None:
        for what, names in (
            ("families", [one.name for one in self.families]),
            ("places", [one.name for one in self.places]),
            ("gaps", [one.name for one in self.gaps]),
            ("pieces", [one.name for one in self.pieces]),
        ):
            twice = next((name for name in names if names.count(name) > 1), None)
            if twice is not None:
                raise OutOfRange(f"two {what} are called {twice}; every one needs its own name.")
        families = {one.name for one in self.families}
        for where, family in (
            *((f"place {one.name}", one.family) for one in self.places),
            *((f"piece {one.name}", one.family) for one in self.pieces),
            *((f"the price list, {float(one.size):g} mm", one.family) for one in self.listed),
        ):
            if family not in families:
                raise Unknown(
                    f"{where}: there is no family {family}; there are {', '.join(sorted(families))}."
                )
        places = {one.name for one in self.places}
        for gap in self.gaps:
            for term in gap.terms:
                if term.place not in places:
                    raise Unknown(
                        f"gap {gap.name}: there is no place {term.place}; there are {', '.join(sorted(places))}."
                    )
        idle = places - {term.place for gap in self.gaps for term in gap.terms}
        if idle:
            raise OutOfRange(f"no gap says what goes to {min(idle)}; give its gap, or leave the place out.")


def _check_size(what: str, size: Fraction, standard: float) -> None:
    if size <= 0:
        raise OutOfRange(f"{what} measures {float(size):g} mm; expected more than 0.")
    if not (math.isfinite(standard) and standard >= 0):
        raise OutOfRange(f"{what} has a standard uncertainty of {standard:g} mm; expected 0 or more.")
