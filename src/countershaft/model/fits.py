"""Fits: gaps that are set by choosing a selective part, and closed only by measuring again."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Figure, Length, Name, Record, Text
from countershaft.model.instrument import Instrument
from countershaft.units import Quantity

__all__ = ["Coupling", "Dimension", "Fit", "exact_mm"]

_Positive = Annotated[Figure, Field(gt=0)]


class Dimension(Record):
    """One measured dimension of a gap, with the sign it has in the sum."""

    name: Text
    sign: Literal["+", "-"] = "+"


class Coupling(Record):
    """Another fit whose selective part this gap hangs on too.

    `factor` is what this gap grows by for each millimetre of that part: -1 where a thicker one closes it, 1 where it
    opens it.
    `measured_with` is what lies in the other place while this gap is measured, as long as nothing was chosen there;
    without it, the other fit's trial part, or nothing where that fit has none.
    """

    fit: Name
    factor: Figure
    measured_with: Length | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Coupling:
        if self.factor == 0:
            raise_all("coupling", iter([fault(("factor",), "a factor of 0 couples nothing", self.factor)]))
        return self


class Fit(Record):
    """A gap that a selective part closes: the thicker the part, the smaller the gap.

    A preload is a gap below nothing: its window is negative, -0.11 mm to -0.05 mm for 0.05 to 0.11 mm of interference.

    Two ways to find the size that is needed.
    With `trial`, the gap is measured with a part of known size in place: needed = trial + reading - goal.
    With `gap`, it is a signed sum of measured dimensions without the selective part: needed = sum - goal.
    Either way the fit is closed only by a reading with the chosen part in place.
    """

    id: Name
    name: Text
    kind: Literal["end play", "clutch clearance", "preload"]
    min: Length
    max: Length
    goal: Length | None = None
    trial: Length | None = None
    gap: tuple[Dimension, ...] = ()
    part: Name
    selective: Text = Field(description="what the selective part is called at the bench")
    sizes_mm: tuple[_Positive, ...] = Field(min_length=1)
    family: Name | None = Field(
        default=None,
        description="fits that name the same family take the same pieces; without it, those of one part and one table",
    )
    also: tuple[Coupling, ...] = ()
    instrument: Instrument
    readings: Annotated[int, Field(ge=1, le=12)] = 3
    method: Text | None = None
    suspects: tuple[Text, ...] = ()
    note: Text | None = None
    source: Name | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Fit:
        raise_all("fit", self._faults())
        return self

    def _faults(self) -> Iterator[InitErrorDetails]:
        if (self.trial is None) == (not self.gap):
            text = (
                "give either trial (a size fitted for the first reading) or gap (dimensions to sum), not both"
            )
            yield fault(("trial",) if self.gap else (), text, self.trial)
        if self.lower_mm >= self.upper_mm:
            text = f"min {self.min} is not below max {self.max}; swap the two, or look at the source"
            yield fault(("min",), text, self.min)
        elif not self.lower_mm <= self.goal_mm <= self.upper_mm:
            yield fault(("goal",), f"goal {self.goal} lies outside {self.min} to {self.max}", self.goal)
        if list(self.sizes_mm) != sorted(set(self.sizes_mm)):
            yield fault(("sizes_mm",), "sizes_mm must rise without repeats", self.sizes_mm)

    @property
    def lower_mm(self) -> float:
        """Smallest gap allowed."""
        return self.min.to("mm")

    @property
    def upper_mm(self) -> float:
        """Largest gap allowed."""
        return self.max.to("mm")

    @property
    def goal_exact_mm(self) -> Decimal:
        """The gap to aim at, exact: as given, else the middle of the window."""
        if self.goal is not None:
            return exact_mm(self.goal)
        return (exact_mm(self.min) + exact_mm(self.max)) / 2

    @property
    def goal_mm(self) -> float:
        """The gap to aim at."""
        return float(self.goal_exact_mm)

    @property
    def digits(self) -> int:
        """Digits behind the point in which the gap is shown."""
        resolution = self.instrument.resolution
        steps = resolution.value if resolution and resolution.unit == "mm" else Decimal("0.01")
        return max(2, -int(steps.normalize().as_tuple().exponent))


def exact_mm(length: Quantity) -> Decimal:
    """A length in millimetres without a binary rounding; an inch is exactly 25.4 mm."""
    return length.value if length.unit == "mm" else Decimal(str(round(length.to("mm"), 6)))
