"""What the elements must hold: how much torque the converter hands on in each gear, and at which pressure."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from pydantic import Field

from countershaft.model.fields import Figure, Name, Pressure, Record, Text

__all__ = ["LoadCase"]


class LoadCase(Record):
    """One gear at its worst.  `torque_ratio` is that of the converter: 1 locked, its stall ratio at stall.

    `pressures` are those of this gear, by element, where they differ from the full pressure of pack or band.
    """

    gear: Annotated[str, Field(min_length=1, max_length=40)]
    torque_ratio: Annotated[Figure, Field(gt=0, le=5)] = Decimal(1)
    pressures: dict[Name, Pressure] = Field(default_factory=dict)
    note: Text | None = None
    source: Name | None = None
