"""Clutch and brake packs: plates, piston, spring, and which fit sets their clearance."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from pydantic import Field

from countershaft.model.fields import Count, Figure, Force, Name, Pressure, Record, Text

__all__ = ["OtherPlate", "Pack", "PlateRow"]

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
    clearance: Name | None = None
    source: Name | None = None

    @property
    def nominal_stack_mm(self) -> Decimal:
        """Sum of the plates as the file gives them, without the selective part."""
        rows = self.friction.count * self.friction.thickness_mm + self.steel.count * self.steel.thickness_mm
        return rows + sum((plate.thickness_mm for plate in self.others), Decimal(0))
