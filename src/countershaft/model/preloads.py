"""Preloads that are set by turning torque: tapered bearings whose shim is chosen by how hard the shaft turns."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Annotated

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Figure, Length, Name, Record, Text, Torque
from countershaft.model.fits import exact_mm

__all__ = ["Preload"]

_Positive = Annotated[Figure, Field(gt=0)]


class Preload(Record):
    """One preload that is set by turning torque.

    A trial shim is fitted and the turning torque read; every millimetre of shim adds `torque_per_mm`.
    `limit` names the limit that closes it, with new bearings, `limit_reused` the one for bearings that ran before.
    """

    id: Name
    name: Text
    limit: Name
    limit_reused: Name | None = None
    goal: Torque
    trial: Length
    torque_per_mm: Torque
    part: Name
    selective: Text = Field(description="what the selective part is called at the bench")
    sizes_mm: tuple[_Positive, ...] = Field(min_length=1)
    method: Text | None = None
    suspects: tuple[Text, ...] = ()
    note: Text | None = None
    source: Name | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Preload:
        raise_all("preload", self._faults())
        return self

    def _faults(self) -> Iterator[InitErrorDetails]:
        if list(self.sizes_mm) != sorted(set(self.sizes_mm)):
            yield fault(("sizes_mm",), "sizes_mm must rise without repeats", self.sizes_mm)
        if self.torque_per_mm.value <= 0:
            text = "a thicker shim makes the shaft turn harder, so this must be more than 0"
            yield fault(("torque_per_mm",), text, self.torque_per_mm)

    def needed_mm(self, torque_with_trial: Decimal) -> Decimal:
        """The shim that would give the goal, from the turning torque in N·m with the trial shim."""
        goal, rate = (Decimal(str(one.to("N·m"))) for one in (self.goal, self.torque_per_mm))
        return exact_mm(self.trial) + (goal - torque_with_trial) / rate

    def expected_torque(self, size_mm: Decimal, torque_with_trial: Decimal) -> Decimal:
        """The turning torque in N·m to expect with a shim of that size."""
        rate = Decimal(str(self.torque_per_mm.to("N·m")))
        return torque_with_trial + (size_mm - exact_mm(self.trial)) * rate
