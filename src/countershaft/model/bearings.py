"""Bearings and speed sensors of a gear train: where they sit, and what their lines follow from.

No catalogue ships; the geometry is what a sheet or a caliper says.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from math import pi, radians, sin
from typing import Annotated, Self

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.mechanics import bearing_lines, frequencies
from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Count, Figure, Name, Record, Text

__all__ = ["Bearing", "SpeedSensor"]

_Positive = Annotated[Figure, Field(gt=0)]


class Bearing(Record):
    """A rolling bearing between two members; a ring without a member sits in the case.

    `load` is the member with which the direction of the load turns, as the carrier does for the bearing of a planet;
    left out, the load stands in the case.
    """

    id: Name
    name: Text | None = None
    inner: Name | None = None
    outer: Name | None = None
    load: Name | None = None
    balls: Annotated[int, Field(ge=3, le=200)]
    ball_diameter_mm: _Positive
    pitch_diameter_mm: _Positive
    contact_angle_deg: Annotated[Figure, Field(ge=0, lt=90)] = Decimal(0)
    note: Text | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        raise_all("bearing", [*self._ring_faults(), *self._geometry_faults()])
        return self

    def _ring_faults(self) -> Iterator[InitErrorDetails]:
        if self.inner is None and self.outer is None:
            yield fault((), "neither ring names a member; give inner, outer or both", None)
        elif self.inner == self.outer:
            text = f"both rings turn with {self.outer!r}; name two members, or leave out the ring in the case"
            yield fault(("outer",), text, self.outer)

    def _geometry_faults(self) -> Iterator[InitErrorDetails]:
        ball, pitch = float(self.ball_diameter_mm), float(self.pitch_diameter_mm)
        if ball >= pitch:
            text = f"the pitch diameter must be larger than a ball ({self.ball_diameter_mm} mm)"
            yield fault(("pitch_diameter_mm",), text, self.pitch_diameter_mm)
        elif pitch * sin(pi / self.balls) < ball:
            most = next(count for count in range(self.balls, 0, -1) if pitch * sin(pi / count) >= ball)
            text = (
                f"{self.balls} balls of {self.ball_diameter_mm} mm do not fit on {self.pitch_diameter_mm} mm; "
                f"at most {most} do"
            )
            yield fault(("balls",), text, self.balls)

    @property
    def members(self) -> dict[str, str]:
        """Key to the member that it names."""
        named = {"inner": self.inner, "outer": self.outer, "load": self.load}
        return {key: member for key, member in named.items() if member is not None}

    def mechanical(self) -> frequencies.Bearing:
        """The bearing as the mechanics know it."""
        geometry = bearing_lines.BearingGeometry(
            self.balls,
            float(self.ball_diameter_mm) / 1e3,
            float(self.pitch_diameter_mm) / 1e3,
            radians(self.contact_angle_deg),
        )
        return frequencies.Bearing(self.id, geometry, self.inner, self.outer, self.load)


class SpeedSensor(Record):
    """A speed sensor that counts the teeth of a wheel on a member."""

    id: Name
    name: Text | None = None
    member: Name
    teeth: Count

    def mechanical(self) -> frequencies.SpeedSensor:
        """The sensor as the mechanics know it."""
        return frequencies.SpeedSensor(self.id, self.member, self.teeth)
