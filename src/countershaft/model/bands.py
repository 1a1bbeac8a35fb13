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
from countershaft.model.fields import Figure, Force, Name, Pressure, Record, Text, Torque
from countershaft.model.fit_methods import ByTurns
from countershaft.model.fits import Fit
from countershaft.model.instrument import Instrument
from countershaft.units import Quantity

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

    The screw is brought to its stop with the torque `stop` and backed off by `turns`, give or take `turns_within`; it
    can be set to parts of a turn of `turns_step`.  With `turns` and `part`, the band is followed as a fit.
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
    turns: _Positive | None = None
    turns_within: _Positive = Decimal("0.25")
    turns_step: _Positive = Decimal("0.125")
    stop: Torque | None = None
    part: Name | None = None
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
        if self.turns is not None and self.turns_within >= self.turns:
            text = f"it may be off by less than the {self.turns} turns themselves"
            yield fault(("turns_within",), text, self.turns_within)

    def as_fit(self) -> Fit | None:
        """The setting of its screw as a fit that is followed; None where turns or part are not in the file."""
        if self.turns is None or self.part is None:
            return None
        first = self.turns - 8 * self.turns_step
        around = tuple(first + number * self.turns_step for number in range(17))
        how = f"bring the screw to its stop with {self.stop}, " if self.stop is not None else ""
        return Fit.model_validate(
            {
                "id": f"BAND-{self.element}",
                "name": f"{self.name}: setting",
                "kind": "band",
                "min": Quantity(self.turns - self.turns_within, "turns"),
                "max": Quantity(self.turns + self.turns_within, "turns"),
                "goal": Quantity(self.turns, "turns"),
                "by": ByTurns(stop=self.stop),
                "part": self.part,
                "selective": "adjusting screw",
                "sizes_mm": tuple(one for one in around if one > 0),
                "instrument": Instrument(name="screw, marked", resolution=Quantity(self.turns_step, "turns")),
                "readings": 1,
                "method": self.adjust or f"{how}back it off {self.turns} turns and hold it for the lock nut",
                "suspects": ("the strut or the anchor is not in its seat", "the lining is worn through"),
                "note": self.note,
                "source": self.source,
            }
        )

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
