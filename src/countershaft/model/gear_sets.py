"""Gear sets and gear pairs of a transmission file, each checked when built."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, PlainSerializer, WithJsonSchema, model_validator
from pydantic_core import InitErrorDetails

from countershaft.mechanics import gear_sets
from countershaft.mechanics.constraints import number
from countershaft.model.faults import by_kind, fault, raise_all
from countershaft.model.fields import Count, Name, Record, Text

__all__ = [
    "BasicRatioSet",
    "CompoundPlanetSet",
    "DifferentialSet",
    "DoublePinionSet",
    "DoublePinionTeeth",
    "GearSet",
    "Pair",
    "PlanetWheel",
    "RavigneauxSet",
    "RavigneauxTeeth",
    "SinglePinionSet",
    "SinglePinionTeeth",
]


def _ratio(value: Any) -> Any:
    if isinstance(value, Fraction):
        return value
    try:
        return Fraction(str(value).strip().replace(",", "."))
    except (ValueError, ZeroDivisionError) as cause:
        raise ValueError(
            f"{value!r} is no ratio; expected a decimal such as 2.6 or a fraction such as -1/4"
        ) from cause


def _above_zero(value: Fraction) -> Fraction:
    if value <= 0:
        raise ValueError(f"{number(value, minus='-')} is not above zero; give it without a sign")
    return value


def _not_zero(value: Fraction) -> Fraction:
    if value == 0:
        raise ValueError("0 is no ratio of speeds; expected any other number")
    return value


_RATIO_TEXT = r"^\s*[+-]?(\d+([.,]\d*)?|[.,]\d+)(/\d+)?\s*$"
Ratio = Annotated[
    Fraction,
    BeforeValidator(_ratio),
    PlainSerializer(lambda value: number(value, minus="-"), return_type=str),
    WithJsonSchema({"anyOf": [{"type": "number"}, {"type": "string", "pattern": _RATIO_TEXT}]}),
]
PositiveRatio = Annotated[Ratio, BeforeValidator(lambda value: _above_zero(_ratio(value)))]
Planets = Annotated[
    int, Field(ge=1, le=24, description="how many planets stand round the sun, of two rows the pairs")
]
BasicRatioValue = Annotated[Ratio, BeforeValidator(lambda value: _not_zero(_ratio(value)))]


def _distinct(**members: str | None) -> Iterator[InitErrorDetails]:
    seen: dict[str, str] = {}
    for key, member in members.items():
        if member is not None and member in seen:
            text = f"{member!r} already stands as {seen[member]} of this set; give each its own name"
            yield fault((key,), text, member)
        elif member is not None:
            seen[member] = key


def _toothed(
    teeth: Record | None, planets: Mapping[str, str | None], **ratios: Fraction | None
) -> Iterator[InitErrorDetails]:
    """Faults of a set that gives teeth or ratios: exactly one of the two, and teeth for named planets."""
    given = [key for key, ratio in ratios.items() if ratio is not None]
    if teeth is None and len(given) < len(ratios):
        yield fault((), f"the teeth are missing; give teeth, or {' and '.join(ratios)}", None)
    if teeth is not None and given:
        yield fault((given[0],), "teeth and a ratio are both given; keep the teeth, they say more", given[0])
    for key, planet in planets.items():
        if planet is not None and getattr(teeth, key, None) is None:
            yield fault((key,), f"{key} {planet!r} has a name but no tooth count; add teeth.{key}", planet)


class SinglePinionTeeth(Record):
    """Tooth counts of a single-pinion set."""

    sun: Count
    ring: Count
    planet: Count | None = None


class SinglePinionSet(Record):
    """Sun, carrier and ring with one row of pinions; `planet` names the pinion as a member of its own."""

    id: Name
    kind: Literal["single_pinion"]
    name: Text | None = None
    sun: Name
    carrier: Name
    ring: Name
    planet: Name | None = None
    planets: Planets | None = None
    teeth: SinglePinionTeeth | None = None
    ring_over_sun: PositiveRatio | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        named = _distinct(sun=self.sun, carrier=self.carrier, ring=self.ring, planet=self.planet)
        sized = _toothed(self.teeth, {"planet": self.planet}, ring_over_sun=self.ring_over_sun)
        raise_all("single_pinion", [*named, *sized])
        return self

    def mechanical(self) -> gear_sets.SinglePinion:
        """The set as the mechanics know it."""
        sun, ring = (self.teeth.sun, self.teeth.ring) if self.teeth else (1, self.ring_over_sun or 1)
        planet_teeth = self.teeth.planet if self.teeth else None
        return gear_sets.SinglePinion(
            self.id, self.sun, self.carrier, self.ring, sun, ring, self.planet, planet_teeth
        )


class DoublePinionTeeth(Record):
    """Tooth counts of a double-pinion set."""

    sun: Count
    ring: Count
    inner_planet: Count | None = None
    outer_planet: Count | None = None


class DoublePinionSet(Record):
    """Sun, carrier, ring and two pinions in a row: the inner meshes with the sun, the outer with the ring."""

    id: Name
    kind: Literal["double_pinion"]
    name: Text | None = None
    sun: Name
    carrier: Name
    ring: Name
    inner_planet: Name | None = None
    outer_planet: Name | None = None
    planets: Planets | None = None
    teeth: DoublePinionTeeth | None = None
    ring_over_sun: PositiveRatio | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        planets = {"inner_planet": self.inner_planet, "outer_planet": self.outer_planet}
        named = _distinct(sun=self.sun, carrier=self.carrier, ring=self.ring, **planets)
        sized = _toothed(self.teeth, planets, ring_over_sun=self.ring_over_sun)
        raise_all("double_pinion", [*named, *sized])
        return self

    def mechanical(self) -> gear_sets.DoublePinion:
        """The set as the mechanics know it."""
        sun, ring = (self.teeth.sun, self.teeth.ring) if self.teeth else (1, self.ring_over_sun or 1)
        return gear_sets.DoublePinion(
            self.id,
            self.sun,
            self.carrier,
            self.ring,
            sun,
            ring,
            inner_planet=self.inner_planet,
            inner_planet_teeth=self.teeth.inner_planet if self.teeth else None,
            outer_planet=self.outer_planet,
            outer_planet_teeth=self.teeth.outer_planet if self.teeth else None,
        )


class RavigneauxTeeth(Record):
    """Tooth counts of a Ravigneaux set."""

    small_sun: Count
    large_sun: Count
    ring: Count
    short_planet: Count | None = None
    long_planet: Count | None = None


class RavigneauxSet(Record):
    """Two suns and one ring on one carrier.

    `small_sun` is the sun that meshes with the short pinions, `large_sun` the one that meshes with the long
    ones.
    """

    id: Name
    kind: Literal["ravigneaux"]
    name: Text | None = None
    small_sun: Name
    large_sun: Name
    carrier: Name
    ring: Name
    short_planet: Name | None = None
    long_planet: Name | None = None
    planets: Planets | None = None
    teeth: RavigneauxTeeth | None = None
    ring_over_small_sun: PositiveRatio | None = None
    ring_over_large_sun: PositiveRatio | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        planets = {"short_planet": self.short_planet, "long_planet": self.long_planet}
        named = _distinct(
            small_sun=self.small_sun,
            large_sun=self.large_sun,
            carrier=self.carrier,
            ring=self.ring,
            **planets,
        )
        sized = _toothed(
            self.teeth,
            planets,
            ring_over_small_sun=self.ring_over_small_sun,
            ring_over_large_sun=self.ring_over_large_sun,
        )
        raise_all("ravigneaux", [*named, *sized])
        return self

    def mechanical(self) -> gear_sets.Ravigneaux:
        """The set as the mechanics know it."""
        teeth = self.teeth
        return gear_sets.Ravigneaux(
            self.id,
            self.small_sun,
            self.large_sun,
            self.carrier,
            self.ring,
            small_sun_teeth=teeth.small_sun if teeth else 1 / (self.ring_over_small_sun or Fraction(1)),
            large_sun_teeth=teeth.large_sun if teeth else 1 / (self.ring_over_large_sun or Fraction(1)),
            ring_teeth=teeth.ring if teeth else 1,
            short_planet=self.short_planet,
            short_planet_teeth=teeth.short_planet if teeth else None,
            long_planet=self.long_planet,
            long_planet_teeth=teeth.long_planet if teeth else None,
        )


class PlanetWheel(Record):
    """A central wheel on one step of a compound planet; `internal` where the wheel is a ring."""

    member: Name
    teeth: Count
    planet_teeth: Count
    internal: bool = False


class CompoundPlanetSet(Record):
    """Central wheels on the steps of one rigid planet shaft, whose name is `planet`, else `<id>.planet`."""

    id: Name
    kind: Literal["compound_planet"]
    name: Text | None = None
    carrier: Name
    planet: Name | None = None
    planets: Planets | None = None
    wheels: Annotated[tuple[PlanetWheel, ...], Field(min_length=1)]

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        seen = {self.carrier: "carrier"}
        faults = list(_distinct(carrier=self.carrier, planet=self.planet))
        if self.planet:
            seen[self.planet] = "planet"
        for index, wheel in enumerate(self.wheels):
            if wheel.member in seen:
                text = f"{wheel.member!r} already stands as {seen[wheel.member]}; give each its own name"
                faults.append(fault(("wheels", index, "member"), text, wheel.member))
            seen[wheel.member] = f"wheel {index + 1}"
        raise_all("compound_planet", faults)
        return self

    def mechanical(self) -> gear_sets.CompoundPlanet:
        """The set as the mechanics know it."""
        wheels = tuple(
            gear_sets.Wheel(wheel.member, wheel.teeth, wheel.planet_teeth, wheel.internal)
            for wheel in self.wheels
        )
        return gear_sets.CompoundPlanet(self.id, self.carrier, self.planet or f"{self.id}.planet", wheels)


class DifferentialSet(Record):
    """A differential: carrier (case) and its two equal side gears, with bevel or paired spur pinions."""

    id: Name
    kind: Literal["differential"]
    name: Text | None = None
    carrier: Name
    sides: tuple[Name, Name]
    pinions: Literal["bevel", "spur"] = "bevel"

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        first, second = self.sides
        if len({self.carrier, first, second}) < 3:
            text = "the carrier and the two sides need three different names"
            raise_all("differential", [fault(("sides",), text, self.sides)])
        return self

    def mechanical(self) -> gear_sets.Differential:
        """The set as the mechanics know it."""
        return gear_sets.Differential(self.id, self.carrier, *self.sides, spur=self.pinions == "spur")


class BasicRatioSet(Record):
    """A set known only by its ratios at standing carrier: speed of each other member over that of `b`."""

    id: Name
    kind: Literal["basic_ratio"]
    name: Text | None = None
    carrier: Name
    b: Name
    others: Annotated[dict[Name, BasicRatioValue], Field(min_length=1)]

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        faults = list(_distinct(carrier=self.carrier, b=self.b))
        for member in self.others:
            if member in (self.carrier, self.b):
                text = f"{member!r} already stands as carrier or b of this set; give each its own name"
                faults.append(fault(("others", member), text, member))
        raise_all("basic_ratio", faults)
        return self

    def mechanical(self) -> gear_sets.BasicRatio:
        """The set as the mechanics know it."""
        return gear_sets.BasicRatio(self.id, self.carrier, self.b, tuple(self.others.items()))


class Pair(Record):
    """Two wheels on standing axes; `internal` where one has inner teeth, kind chain where a chain joins them."""

    id: Name | None = None
    kind: Literal["gears", "chain"] = "gears"
    name: Text | None = None
    a: Name
    b: Name
    teeth: tuple[Count, Count]
    internal: bool = False

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        faults = list(_distinct(a=self.a, b=self.b))
        if self.kind == "chain" and self.internal:
            text = "the two wheels of a chain turn the same way already; leave internal out"
            faults.append(fault(("internal",), text, self.internal))
        raise_all("pair", faults)
        return self

    def mechanical(self) -> gear_sets.GearPair:
        """The pair as the mechanics know it."""
        first, second = self.teeth
        return gear_sets.GearPair(
            self.id or f"{self.a}-{self.b}",
            self.a,
            self.b,
            first,
            second,
            self.internal,
            chain=self.kind == "chain",
        )


GearSet = Annotated[
    SinglePinionSet | DoublePinionSet | RavigneauxSet | CompoundPlanetSet | DifferentialSet | BasicRatioSet,
    Field(discriminator="kind"),
    by_kind(
        SinglePinionSet, DoublePinionSet, RavigneauxSet, CompoundPlanetSet, DifferentialSet, BasicRatioSet
    ),
]
