"""The converter housing against the engine: runout of bore and face, dowels, converter depth and gap, hub runout.

Places round the crank are hours of a clock face, seen from the gearbox.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Figure, Length, Name, Record, Text
from countershaft.model.instrument import Instrument

__all__ = ["BoltUp", "Dowel", "FaceRunout", "Housing", "LengthWindow", "RunoutLimit"]


class LengthWindow(Record):
    """A length between two limits; `check` names the limit of the file that its readings answer."""

    min: Length
    max: Length
    check: Name | None = None
    source: Name | None = None

    @model_validator(mode="after")
    def _rising(self) -> LengthWindow:
        raise_all("window", _not_rising(self.min, self.max))
        return self


class RunoutLimit(Record):
    """The most total indicator reading; `check` names the limit of the file that a sweep answers."""

    max: Length
    check: Name | None = None
    source: Name | None = None

    @model_validator(mode="after")
    def _above_zero(self) -> RunoutLimit:
        raise_all("runout", _not_above_zero("max", self.max))
        return self


class FaceRunout(RunoutLimit):
    """The runout of the face, with the diameter of the circle that the plunger runs on."""

    diameter: Length

    @model_validator(mode="after")
    def _wide(self) -> FaceRunout:
        raise_all("runout", _not_above_zero("diameter", self.diameter))
        return self


class Dowel(Record):
    """One dowel of the engine, and how far it must stand out of the block.

    `clock` is where it stands, in hours of the clock face.
    """

    name: Text
    where: Text | None = None
    clock: Annotated[Figure, Field(ge=0, le=12)] | None = None
    min: Length
    max: Length
    source: Name | None = None

    @model_validator(mode="after")
    def _rising(self) -> Dowel:
        raise_all("dowel", _not_rising(self.min, self.max))
        return self

    @property
    def title(self) -> str:
        """Name and place, as people say them."""
        return f"{self.name}, {self.where}" if self.where else self.name


class BoltUp(Record):
    """The converter against the drive plate.

    `depth` is from the mating face down to the pads with the converter home, `gap` what must be left to the plate.
    `spacer` is the thickness of an adapter between the faces.  `positions` is how many ways the converter can be
    bolted on, evenly turned.
    """

    depth: LengthWindow | None = None
    gap: LengthWindow | None = None
    spacer: Length | None = None
    hub: RunoutLimit | None = None
    positions: Annotated[int, Field(ge=2, le=24)] | None = None
    instrument: Instrument | None = None

    def checks(self, *, plate: bool) -> tuple[str, ...]:
        """The limits that the depths answer; that of the gap where the drive plate is read too."""
        held = (self.depth, self.gap if plate else None)
        return tuple(one.check for one in held if one is not None and one.check is not None)


class Housing(Record):
    """What is swept and measured where the gearbox meets the engine.

    `bushing` is the distance from the face to the hub bushing, `closure` the most that a sweep may contradict itself
    by where the shop sets that itself.  `offset_dowels` lists the offsets that can be had in pairs.
    """

    part: Name | None = Field(default=None, description="the part that is the housing")
    bore: RunoutLimit | None = None
    face: FaceRunout | None = None
    bushing: Length | None = None
    closure: Length | None = None
    instrument: Instrument | None = None
    dowels: tuple[Dowel, ...] = ()
    offset_dowels: tuple[Length, ...] = ()
    converter: BoltUp | None = None
    note: Text | None = None
    source: Name | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Housing:
        raise_all("housing", self._faults())
        return self

    def checks(self, *, face: bool) -> tuple[str, ...]:
        """The limits that a sweep answers; that of the face where it is swept too."""
        held = (self.bore, self.face if face else None)
        return tuple(one.check for one in held if one is not None and one.check is not None)

    def _faults(self) -> Iterator[InitErrorDetails]:
        names = [dowel.name for dowel in self.dowels]
        for index, name in enumerate(names):
            if name in names[:index]:
                yield fault(
                    ("dowels", index, "name"), f"the dowel {name!r} stands twice; name each once", name
                )
        for key in ("bushing", "closure"):
            given = getattr(self, key)
            if given is not None:
                yield from _not_above_zero(key, given)
        offsets = [size.to("mm") for size in self.offset_dowels]
        if any(offset <= 0 for offset in offsets) or offsets != sorted(set(offsets)):
            text = "offset_dowels must be above 0 and rise without repeats"
            yield fault(("offset_dowels",), text, [str(size) for size in self.offset_dowels])


def _not_rising(low: Length, high: Length) -> Iterator[InitErrorDetails]:
    if float(low.value) >= high.to(low.unit):
        yield fault(("min",), f"min {low} is not below max {high}; swap the two, or look at the source", low)


def _not_above_zero(key: str, length: Length) -> Iterator[InitErrorDetails]:
    if not length.value > 0:
        yield fault((key,), f"{key} must be above 0, got {length}; look at the source", length)
