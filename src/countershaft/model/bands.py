"""Band brakes: drum, wrap and servo, and the sense in which the drum helps the servo."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from math import pi, radians
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.mechanics import band as mechanics
from countershaft.mechanics.element_load import BandBrake
from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Figure, Force, Name, Pressure, Record, Text

__all__ = ["Band"]

_Positive = Annotated[Figure, Field(gt=0)]
Energised = Annotated[
    Literal["+", "-"],
    Field(description="sense, seen as the input turns, in which the drum pushes when it helps the servo"),
]


class Band(Record):
    """One band with its servo.  `element` is the band of the train that it is.

    `wrap_deg` is what the lining covers, more than 360 where it goes round twice.  `piston_od_mm` and `piston_id_mm`
    bound the area of the servo on which the pressure acts; the inner one is left out where the piston is whole.
    `lever_ratio` is force at the band over force at the piston.  Where `energised_by` is left out, the weaker way is
    counted in both senses.
    """

    element: Name
    name: Text
    drum_od_mm: _Positive | None = None
    wrap_deg: Annotated[Figure, Field(gt=0, le=1080)] | None = None
    friction_coefficient: Annotated[Figure, Field(gt=0, lt=1)] | None = None
    piston_od_mm: _Positive | None = None
    piston_id_mm: _Positive | None = None
    full_pressure: Pressure | None = None
    return_spring: Force | None = None
    lever_ratio: _Positive = Decimal(1)
    energised_by: Energised | None = None
    adjust: Text | None = None
    note: Text | None = None
    source: Name | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        raise_all("band", self._faults())
        return self

    def _faults(self) -> Iterator[InitErrorDetails]:
        outer, inner = self.piston_od_mm, self.piston_id_mm
        if outer is not None and inner is not None and inner >= outer:
            text = f"the inner diameter must be smaller than the outer one ({outer} mm); are they swapped?"
            yield fault(("piston_id_mm",), text, inner)

    def mechanical(self) -> BandBrake | None:
        """The band as the mechanics know it; None where `missing` names a figure.

        A return spring that is not in the file pulls with nothing.
        """
        if (
            self.drum_od_mm is None
            or self.wrap_deg is None
            or self.friction_coefficient is None
            or self.piston_od_mm is None
        ):
            return None
        outer, inner = float(self.piston_od_mm), float(self.piston_id_mm or 0)
        return BandBrake(
            band=mechanics.Band(
                float(self.drum_od_mm) / 2e3, radians(self.wrap_deg), float(self.friction_coefficient)
            ),
            servo=mechanics.Servo(
                pi / 4 * (outer**2 - inner**2) / 1e6,
                return_spring=self.return_spring.to("N") if self.return_spring is not None else 0.0,
                lever_ratio=float(self.lever_ratio),
            ),
            energised_by=self.energised_by,
        )

    @property
    def missing(self) -> tuple[str, ...]:
        """Keys without which nothing can be said of what it holds."""
        keys = ("drum_od_mm", "wrap_deg", "friction_coefficient", "piston_od_mm")
        return tuple(key for key in keys if getattr(self, key) is None)
