"""Gear sets and gear pairs, each with the rows that its teeth impose on the speeds of its members.

The conventions of sign and naming stand in `countershaft.mechanics.network`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from countershaft.errors import TrainError
from countershaft.mechanics.constraints import Row, RowKind, willis

__all__ = [
    "BasicRatio",
    "CompoundPlanet",
    "Differential",
    "DoublePinion",
    "GearPair",
    "GearSet",
    "Ravigneaux",
    "SinglePinion",
    "Teeth",
    "Wheel",
]

Teeth = int | Fraction
ONE = Fraction(1)


def _check(origin: str, members: Iterable[str | None], teeth: Iterable[Teeth | None] = ()) -> None:
    names = [member for member in members if member is not None]
    twice = sorted(name for name, count in Counter(names).items() if count > 1)
    if twice:
        raise TrainError(f"{origin}: member {twice[0]!r} stands in two places; give each its own name.")
    for count in teeth:
        if count is not None and count <= 0:
            raise TrainError(f"{origin}: a tooth count is {count}; expected a number above zero.")


def _planet_needs_teeth(origin: str, planet: str | None, teeth: Teeth | None) -> None:
    if planet is not None and teeth is None:
        raise TrainError(f"{origin}: planet {planet!r} has a name but no tooth count; give its teeth too.")


@dataclass(frozen=True, slots=True)
class SinglePinion:
    """Sun, carrier and ring with one pinion between; `planet` names the pinion as a member."""

    id: str
    sun: str
    carrier: str
    ring: str
    sun_teeth: Teeth
    ring_teeth: Teeth
    planet: str | None = None
    planet_teeth: Teeth | None = None

    def __post_init__(self) -> None:
        _check(self.id, self.members, (self.sun_teeth, self.ring_teeth, self.planet_teeth))
        _planet_needs_teeth(self.id, self.planet, self.planet_teeth)

    @property
    def members(self) -> tuple[str, ...]:
        """Members of the set, sun first."""
        return (self.sun, self.carrier, self.ring, *((self.planet,) if self.planet else ()))

    def rows(self) -> tuple[Row, ...]:
        """Willis' row, and one for the planet if it is a member."""
        sun = (self.sun, Fraction(self.sun_teeth))
        rows = [
            willis(self.id, self.id, a=sun, b=(self.ring, -Fraction(self.ring_teeth)), carrier=self.carrier)
        ]
        if self.planet and self.planet_teeth:
            planet = (self.planet, -Fraction(self.planet_teeth))
            rows.append(willis(self.id, f"{self.id} planet", a=sun, b=planet, carrier=self.carrier))
        return tuple(rows)


@dataclass(frozen=True, slots=True)
class DoublePinion:
    """Sun, carrier and ring with two pinions in a row, the inner on the sun, the outer on the ring."""

    id: str
    sun: str
    carrier: str
    ring: str
    sun_teeth: Teeth
    ring_teeth: Teeth
    inner_planet: str | None = None
    inner_planet_teeth: Teeth | None = None
    outer_planet: str | None = None
    outer_planet_teeth: Teeth | None = None

    def __post_init__(self) -> None:
        teeth = (self.sun_teeth, self.ring_teeth, self.inner_planet_teeth, self.outer_planet_teeth)
        _check(self.id, self.members, teeth)
        _planet_needs_teeth(self.id, self.inner_planet, self.inner_planet_teeth)
        _planet_needs_teeth(self.id, self.outer_planet, self.outer_planet_teeth)

    @property
    def members(self) -> tuple[str, ...]:
        """Members of the set, sun first."""
        planets = tuple(name for name in (self.inner_planet, self.outer_planet) if name)
        return (self.sun, self.carrier, self.ring, *planets)

    def rows(self) -> tuple[Row, ...]:
        """Willis' row, and one for each planet that is a member."""
        sun, ring = (self.sun, Fraction(self.sun_teeth)), (self.ring, Fraction(self.ring_teeth))
        rows = [willis(self.id, self.id, a=sun, b=ring, carrier=self.carrier)]
        if self.inner_planet and self.inner_planet_teeth:
            inner = (self.inner_planet, -Fraction(self.inner_planet_teeth))
            rows.append(willis(self.id, f"{self.id} inner planet", a=sun, b=inner, carrier=self.carrier))
        if self.outer_planet and self.outer_planet_teeth:
            outer = (self.outer_planet, Fraction(self.outer_planet_teeth))
            rows.append(willis(self.id, f"{self.id} outer planet", a=ring, b=outer, carrier=self.carrier))
        return tuple(rows)


@dataclass(frozen=True, slots=True)
class Ravigneaux:
    """Two suns and one ring on one carrier with short and long pinions."""

    id: str
    small_sun: str
    large_sun: str
    carrier: str
    ring: str
    small_sun_teeth: Teeth
    large_sun_teeth: Teeth
    ring_teeth: Teeth
    short_planet: str | None = None
    short_planet_teeth: Teeth | None = None
    long_planet: str | None = None
    long_planet_teeth: Teeth | None = None

    def __post_init__(self) -> None:
        teeth = (self.small_sun_teeth, self.large_sun_teeth, self.ring_teeth)
        _check(self.id, self.members, (*teeth, self.short_planet_teeth, self.long_planet_teeth))
        _planet_needs_teeth(self.id, self.short_planet, self.short_planet_teeth)
        _planet_needs_teeth(self.id, self.long_planet, self.long_planet_teeth)

    @property
    def members(self) -> tuple[str, ...]:
        """Members of the set, small sun first."""
        planets = tuple(name for name in (self.short_planet, self.long_planet) if name)
        return (self.small_sun, self.large_sun, self.carrier, self.ring, *planets)

    def rows(self) -> tuple[Row, ...]:
        """One row per sun, and one for each planet that is a member."""
        small = (self.small_sun, Fraction(self.small_sun_teeth))
        large = (self.large_sun, Fraction(self.large_sun_teeth))
        ring, name, carrier = Fraction(self.ring_teeth), self.id, self.carrier
        rows = [
            willis(name, f"{name} small sun", a=small, b=(self.ring, ring), carrier=carrier),
            willis(name, f"{name} large sun", a=large, b=(self.ring, -ring), carrier=carrier),
        ]
        if self.short_planet and self.short_planet_teeth:
            short = (self.short_planet, -Fraction(self.short_planet_teeth))
            rows.append(willis(name, f"{name} short planet", a=small, b=short, carrier=carrier))
        if self.long_planet and self.long_planet_teeth:
            long = (self.long_planet, -Fraction(self.long_planet_teeth))
            rows.append(willis(name, f"{name} long planet", a=large, b=long, carrier=carrier))
        return tuple(rows)


@dataclass(frozen=True, slots=True)
class Wheel:
    """A central wheel on one step of a compound planet; `internal` where the wheel is a ring."""

    member: str
    teeth: Teeth
    planet_teeth: Teeth
    internal: bool = False


@dataclass(frozen=True, slots=True)
class CompoundPlanet:
    """Central wheels on the steps of one rigid planet shaft; the planet shaft is a member."""

    id: str
    carrier: str
    planet: str
    wheels: tuple[Wheel, ...]

    def __post_init__(self) -> None:
        teeth = [count for wheel in self.wheels for count in (wheel.teeth, wheel.planet_teeth)]
        _check(self.id, self.members, teeth)
        if not self.wheels:
            raise TrainError(f"{self.id}: a compound planet without wheels; give at least one.")

    @property
    def members(self) -> tuple[str, ...]:
        """Wheels in their order, carrier, planet."""
        return (*(wheel.member for wheel in self.wheels), self.carrier, self.planet)

    def rows(self) -> tuple[Row, ...]:
        """One row per wheel, against the planet."""
        return tuple(
            willis(
                self.id,
                f"{self.id} {wheel.member}",
                a=(wheel.member, Fraction(wheel.teeth)),
                b=(self.planet, Fraction(wheel.planet_teeth) * (1 if wheel.internal else -1)),
                carrier=self.carrier,
            )
            for wheel in self.wheels
        )


@dataclass(frozen=True, slots=True)
class Differential:
    """A differential: carrier (case) and two equal side gears, with bevel pinions or, `spur`, paired spur pinions."""

    id: str
    carrier: str
    first_side: str
    second_side: str
    spur: bool = False

    def __post_init__(self) -> None:
        _check(self.id, self.members)

    @property
    def members(self) -> tuple[str, ...]:
        """Carrier and both sides."""
        return (self.carrier, self.first_side, self.second_side)

    def rows(self) -> tuple[Row, ...]:
        """Seen from the carrier the sides turn oppositely."""
        a, b = (self.first_side, ONE), (self.second_side, -ONE)
        return (willis(self.id, self.id, a=a, b=b, carrier=self.carrier),)


@dataclass(frozen=True, slots=True)
class BasicRatio:
    """A set known only by its ratios, each member's speed over that of `b`, seen from the carrier."""

    id: str
    carrier: str
    b: str
    others: tuple[tuple[str, Fraction], ...]

    def __post_init__(self) -> None:
        _check(self.id, self.members)
        if not self.others:
            raise TrainError(f"{self.id}: a basic ratio without a second member; give at least one.")
        for member, value in self.others:
            if value == 0:
                raise TrainError(f"{self.id}: the basic ratio of {member!r} is 0; expected any other number.")

    @property
    def members(self) -> tuple[str, ...]:
        """Reference member, the others, the carrier."""
        return (self.b, *(member for member, _ in self.others), self.carrier)

    def rows(self) -> tuple[Row, ...]:
        """One row per member other than the reference."""
        return tuple(
            willis(self.id, f"{self.id} {member}", a=(member, ONE), b=(self.b, value), carrier=self.carrier)
            for member, value in self.others
        )


@dataclass(frozen=True, slots=True)
class GearPair:
    """Two wheels on standing axes; `internal` where one has inner teeth, `chain` where a chain joins them."""

    id: str
    a: str
    b: str
    a_teeth: Teeth
    b_teeth: Teeth
    internal: bool = False
    chain: bool = False

    def __post_init__(self) -> None:
        _check(self.id, self.members, (self.a_teeth, self.b_teeth))
        if self.internal and self.chain:
            raise TrainError(
                f"{self.id}: a chain has no wheel with inner teeth; leave out internal or chain."
            )

    @property
    def members(self) -> tuple[str, ...]:
        """Both wheels."""
        return (self.a, self.b)

    def rows(self) -> tuple[Row, ...]:
        """Equal pitch-line speed."""
        sense = 1 if self.internal or self.chain else -1
        a, b = (self.a, Fraction(self.a_teeth)), (self.b, Fraction(self.b_teeth) * sense)
        return (willis(self.id, self.id, a=a, b=b, kind=RowKind.PAIR),)


GearSet = SinglePinion | DoublePinion | Ravigneaux | CompoundPlanet | Differential | BasicRatio
