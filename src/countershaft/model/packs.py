"""Clutch and brake packs: plates, piston, spring, and which fit sets their clearance."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Annotated, Self

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.mechanics.friction import DiscPack, FluidChamber, PressureLaw
from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Count, Figure, Force, Name, Pressure, Record, Text

__all__ = ["OtherPlate", "Pack", "PackFluid", "PlateRow"]

_Positive = Annotated[Figure, Field(gt=0)]


class PlateRow(Record):
    """A number of equal plates; `part` is the part under which they are listed."""

    count: Count
    thickness_mm: _Positive
    part: Name | None = None


class OtherPlate(Record):
    """A plate that is neither friction nor steel: pressure plate, cushion plate, reaction plate."""

    name: Text
    thickness_mm: _Positive
    part: Name | None = None
    faces: Text | None = None


class PackFluid(Record):
    """The fluid that turns with a clutch: fed where its pressure from turning is zero, and what balances it.

    `fed_at_mm` is the diameter at which the apply chamber is fed, `balance_fed_at_mm` that of the balance chamber.
    """

    fed_at_mm: Annotated[Figure, Field(ge=0)]
    balance_od_mm: _Positive | None = None
    balance_id_mm: _Positive | None = None
    balance_fed_at_mm: Annotated[Figure, Field(ge=0)] | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        raise_all("fluid", self._faults())
        return self

    def _faults(self) -> Iterator[InitErrorDetails]:
        keys = ("balance_od_mm", "balance_id_mm", "balance_fed_at_mm")
        missing = [key for key in keys if getattr(self, key) is None]
        if missing and len(missing) < len(keys):
            yield fault((), f"a balance chamber needs {', '.join(keys)}; {missing[0]} is missing", None)
        yield from _ring_faults("balance_id_mm", self.balance_od_mm, self.balance_id_mm)

    def balance(self) -> FluidChamber | None:
        """The balance chamber as the mechanics know it; None where there is none."""
        if self.balance_od_mm is None or self.balance_id_mm is None or self.balance_fed_at_mm is None:
            return None
        return FluidChamber(
            _radius(self.balance_od_mm), _radius(self.balance_id_mm), _radius(self.balance_fed_at_mm)
        )


def _radius(diameter_mm: Decimal) -> float:
    return float(diameter_mm) / 2e3


def _ring_faults(key: str, outer: Decimal | None, inner: Decimal | None) -> Iterator[InitErrorDetails]:
    if outer is not None and inner is not None and inner >= outer:
        text = f"the inner diameter must be smaller than the outer one ({outer} mm); are they swapped?"
        yield fault((key,), text, inner)


class Pack(Record):
    """One pack.  `element` is the shift element of the train that it serves."""

    element: Name
    name: Text
    friction: PlateRow
    steel: PlateRow
    others: tuple[OtherPlate, ...] = ()
    faces: Count | None = None
    lining_od_mm: _Positive | None = None
    lining_id_mm: _Positive | None = None
    piston_od_mm: _Positive | None = None
    piston_id_mm: _Positive | None = None
    full_pressure: Pressure | None = None
    return_spring: Force | None = None
    friction_coefficient: Annotated[Figure, Field(gt=0, lt=1)] | None = None
    fluid: PackFluid | None = None
    clearance: Name | None = None
    source: Name | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        faults = [
            *_ring_faults("lining_id_mm", self.lining_od_mm, self.lining_id_mm),
            *_ring_faults("piston_id_mm", self.piston_od_mm, self.piston_id_mm),
        ]
        raise_all("pack", faults)
        return self

    @property
    def nominal_stack_mm(self) -> Decimal:
        """Sum of the plates as the file gives them, without the selective part."""
        rows = self.friction.count * self.friction.thickness_mm + self.steel.count * self.steel.thickness_mm
        return rows + sum((plate.thickness_mm for plate in self.others), Decimal(0))

    @property
    def missing(self) -> tuple[str, ...]:
        """Keys without which nothing can be said of what it holds."""
        keys = (
            "faces", "lining_od_mm", "lining_id_mm", "piston_od_mm", "piston_id_mm", "friction_coefficient",
        )  # fmt: skip
        return tuple(key for key in keys if getattr(self, key) is None)

    def mechanical(self, law: PressureLaw = PressureLaw.UNIFORM_PRESSURE) -> DiscPack | None:
        """The pack as the mechanics know it; None where `missing` names a figure.

        A return spring that is not in the file pulls with nothing.
        """
        if (
            self.lining_od_mm is None
            or self.lining_id_mm is None
            or self.piston_od_mm is None
            or self.piston_id_mm is None
            or self.faces is None
            or self.friction_coefficient is None
        ):
            return None
        outer, inner = _radius(self.piston_od_mm), _radius(self.piston_id_mm)
        fluid = self.fluid
        return DiscPack(
            faces=self.faces,
            lining_outer_radius=_radius(self.lining_od_mm),
            lining_inner_radius=_radius(self.lining_id_mm),
            friction_coefficient=float(self.friction_coefficient),
            piston_outer_radius=outer,
            piston_inner_radius=inner,
            return_spring=self.return_spring.to("N") if self.return_spring is not None else 0.0,
            law=law,
            chamber=FluidChamber(outer, inner, _radius(fluid.fed_at_mm)) if fluid is not None else None,
            balance=fluid.balance() if fluid is not None else None,
        )
