"""Preloads that are set by turning torque: tapered bearings whose shim is chosen by how hard the shaft turns."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Figure, Length, Name, Record, Text, Torque
from countershaft.model.fit_methods import ByTurningTorque
from countershaft.model.fits import Fit
from countershaft.model.instrument import Instrument
from countershaft.model.limits import Limit

__all__ = ["Preload"]

_Positive = Annotated[Figure, Field(gt=0)]


class Preload(Record):
    """One preload that is set by turning torque.

    A trial shim is fitted and the turning torque read; every millimetre of shim adds `torque_per_mm`, give or take
    `torque_per_mm_within`.  Without it the rate is learned from two trials.
    `limit` names the limit that closes it, with new bearings, `limit_reused` the one for bearings that ran before.
    """

    id: Name
    name: Text
    limit: Name
    limit_reused: Name | None = None
    goal: Torque
    trial: Length
    torque_per_mm: Torque | None = None
    torque_per_mm_within: Torque | None = None
    part: Name
    selective: Text = Field(description="what the selective part is called at the bench")
    sizes_mm: tuple[_Positive, ...] = Field(min_length=1)
    method: Text | None = None
    rests_on: tuple[Name, ...] = ()
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
        if self.torque_per_mm is not None and self.torque_per_mm.value <= 0:
            text = "a thicker shim makes the shaft turn harder, so this must be more than 0"
            yield fault(("torque_per_mm",), text, self.torque_per_mm)

    def as_fit(self, limit: Limit, reused: Limit | None) -> Fit:
        """The preload as a fit that is followed; raises ValidationError where limit and goal do not agree."""
        return Fit.model_validate(
            {
                "id": self.id,
                "name": self.name,
                "kind": "preload",
                "min": limit.min,
                "max": limit.max,
                "goal": self.goal,
                "trial": self.trial,
                "by": ByTurningTorque(
                    torque_per_mm=self.torque_per_mm,
                    torque_per_mm_within=self.torque_per_mm_within,
                    reused_min=reused.min if reused is not None else None,
                    reused_max=reused.max if reused is not None else None,
                ),
                "part": self.part,
                "selective": self.selective,
                "sizes_mm": self.sizes_mm,
                "instrument": limit.instrument or Instrument(name="torque gauge"),
                "readings": limit.readings,
                "method": self.method,
                "rests_on": self.rests_on,
                "suspects": self.suspects,
                "note": self.note,
                "source": self.source or limit.source,
            }
        )
