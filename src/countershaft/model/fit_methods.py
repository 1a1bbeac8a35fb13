"""How the gap of a fit is read where one figure with a trial part, or a plain sum of dimensions, does not do."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.model.faults import by_kind, fault, raise_all
from countershaft.model.fields import Count, Figure, Force, Length, Name, Record, Text, Torque

__all__ = [
    "ByDial",
    "ByFeeler",
    "ByPlates",
    "ByPushPull",
    "ByTurningTorque",
    "ByTurns",
    "ByTwoLoads",
    "Method",
    "PlateCount",
    "TwoSidedShims",
]

_Positive = Annotated[Figure, Field(gt=0)]
_Places = Annotated[tuple[Text, ...], Field(max_length=12)]


class ByFeeler(Record):
    """Two leaves at every place: the thickest that goes in and the thinnest that does not."""

    kind: Literal["feeler"] = "feeler"
    places: _Places = ()


class ByDial(Record):
    """A dial at every place: at rest, and with the pack lifted or the piston applied."""

    kind: Literal["dial"] = "dial"
    places: _Places = ()


class PlateCount(Record):
    """Plates of a pack of one kind: how many there must be."""

    name: Text
    count: Count


class ByPlates(Record):
    """The depth of the drum, and every kind of plate measured; the selective part is not among them."""

    kind: Literal["plates"] = "plates"
    plates: tuple[PlateCount, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _consistent(self) -> ByPlates:
        names = [one.name for one in self.plates]
        twice = next((place for place, name in enumerate(names) if name in names[:place]), None)
        text = "two kinds of plate have one name; each needs its own"
        raise_all("plates", () if twice is None else (fault(("plates", twice, "name"), text, names[twice]),))
        return self


class ByTwoLoads(Record):
    """Clearance under two loads, for a clearance that is given under a third."""

    kind: Literal["two loads"] = "two loads"
    load: Force
    first: Force
    second: Force

    @model_validator(mode="after")
    def _consistent(self) -> ByTwoLoads:
        same = self.first.to("N") == self.second.to("N")
        text = "both readings would be taken under one load; give two different ones"
        raise_all("two loads", (fault(("second",), text, self.second),) if same else ())
        return self


class ByPushPull(Record):
    """Travel between push and pull with a thin trial shim; `give` is what bearings and case give both ways together."""

    kind: Literal["push and pull"] = "push and pull"
    give: Length | None = None


class ByTurningTorque(Record):
    """How hard the shaft turns; without `torque_per_mm` it is learned from two trials.

    `torque_per_mm_within` is how far the rate may be off, either way.  `reused_min` and `reused_max` hold for bearings
    that ran before.
    """

    kind: Literal["turning torque"] = "turning torque"
    torque_per_mm: Torque | None = None
    torque_per_mm_within: Torque | None = None
    reused_min: Torque | None = None
    reused_max: Torque | None = None

    @model_validator(mode="after")
    def _consistent(self) -> ByTurningTorque:
        raise_all("turning torque", self._faults())
        return self

    def _faults(self) -> Iterator[InitErrorDetails]:
        if self.torque_per_mm is not None and self.torque_per_mm.value <= 0:
            text = "a thicker shim makes the shaft turn harder, so this must be more than 0"
            yield fault(("torque_per_mm",), text, self.torque_per_mm)
        low, high = self.reused_min, self.reused_max
        if (low is None) != (high is None):
            key = "reused_max" if high is None else "reused_min"
            yield fault((key,), "reused_min and reused_max stand together; one is missing", None)
        elif low is not None and high is not None and low.to("N·m") >= high.to("N·m"):
            text = f"reused_min {low} is not below reused_max {high}; swap the two"
            yield fault(("reused_min",), text, low)


class TwoSidedShims(Record):
    """Shims on both sides of a carrier: their sum sets the preload, their split the backlash.

    The fit's own trial, part and sizes are those of the left side.  `backlash_per_mm` is how much the backlash grows
    for every millimetre that the left shim grows: below zero where it shrinks.
    """

    kind: Literal["two-sided"] = "two-sided"
    right_trial: Length
    right_part: Name | None = None
    right_selective: Text = "right shim"
    right_sizes_mm: tuple[_Positive, ...] = ()
    backlash_min: Length
    backlash_max: Length
    backlash_goal: Length | None = None
    backlash_per_mm: Figure
    backlash_per_mm_within: Annotated[Figure, Field(ge=0)] = Decimal(0)

    @model_validator(mode="after")
    def _consistent(self) -> TwoSidedShims:
        raise_all("two-sided", self._faults())
        return self

    def _faults(self) -> Iterator[InitErrorDetails]:
        low, high = self.backlash_min, self.backlash_max
        if low.to("mm") >= high.to("mm"):
            text = f"backlash_min {low} is not below backlash_max {high}; swap the two"
            yield fault(("backlash_min",), text, low)
        goal = self.backlash_goal
        if goal is not None and not low.to("mm") <= goal.to("mm") <= high.to("mm"):
            yield fault(("backlash_goal",), f"goal {goal} lies outside {low} to {high}", goal)
        if self.backlash_per_mm == 0:
            text = "the backlash changes with the left shim, so this cannot be 0"
            yield fault(("backlash_per_mm",), text, self.backlash_per_mm)
        if list(self.right_sizes_mm) != sorted(set(self.right_sizes_mm)):
            text = "right_sizes_mm must rise without repeats"
            yield fault(("right_sizes_mm",), text, self.right_sizes_mm)


class ByTurns(Record):
    """A screw that is brought to its stop and backed off; with `pitch`, each turn moves it so far.

    `ratio` is travel of the band's end over travel of the screw.
    """

    kind: Literal["turns"] = "turns"
    pitch: Length | None = None
    ratio: _Positive = Decimal(1)
    stop: Torque | None = None


Method = Annotated[
    ByFeeler | ByDial | ByPlates | ByTwoLoads | ByPushPull | ByTurningTorque | TwoSidedShims | ByTurns,
    Field(discriminator="kind"),
    by_kind(ByFeeler, ByDial, ByPlates, ByTwoLoads, ByPushPull, ByTurningTorque, TwoSidedShims, ByTurns),
]
