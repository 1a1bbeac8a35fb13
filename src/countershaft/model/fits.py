"""Fits: gaps that are set by choosing a selective part, and closed only by measuring again."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Annotated, Final, Literal

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Figure, Length, Name, Record, Text, TypedQuantity
from countershaft.model.fit_methods import ByTurns, Method
from countershaft.model.instrument import Instrument
from countershaft.units import Quantity

__all__ = ["Coupling", "Dimension", "Fit", "TableRow", "exact_mm"]

_Positive = Annotated[Figure, Field(gt=0)]

#: Ways that read the gap with a part of known size in place.
_WITH_TRIAL: Final = ("feeler", "dial", "two loads", "push and pull", "turning torque", "two-sided")
#: Which kinds of fit a way can serve.
_SERVES: Final[dict[str, tuple[str, ...]]] = {
    "feeler": ("clutch clearance", "end play"),
    "dial": ("clutch clearance", "end play"),
    "plates": ("clutch clearance",),
    "two loads": ("clutch clearance",),
    "push and pull": ("preload",),
    "turning torque": ("preload",),
    "two-sided": ("preload",),
    "turns": ("band",),
}


class Dimension(Record):
    """One measured dimension of a gap, with the sign it has in the sum; `part` is what it is measured on."""

    name: Text
    sign: Literal["+", "-"] = "+"
    part: Name | None = None


class TableRow(Record):
    """One row of a maker's table: for readings from `low_mm` up to, not including, `high_mm`, this code and size."""

    low_mm: Figure
    high_mm: Figure
    code: Text
    size_mm: _Positive


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
    `by` names another way.  Either way the fit is closed only by a reading with the chosen part in place.

    `rows` is a maker's table that says the size for a reading.  With `pieces`, the size is made up of so many plates
    of `sizes_mm`.  What is changed of `rests_on` (parts, joints, other fits) makes the fit void.
    """

    id: Name
    name: Text
    kind: Literal["end play", "clutch clearance", "preload", "band"]
    min: TypedQuantity
    max: TypedQuantity
    goal: TypedQuantity | None = None
    trial: Length | None = None
    gap: tuple[Dimension, ...] = ()
    by: Method | None = None
    part: Name
    selective: Text = Field(description="what the selective part is called at the bench")
    sizes_mm: tuple[_Positive, ...] = Field(min_length=1)
    family: Name | None = Field(
        default=None,
        description="fits that name the same family take the same pieces; without it, those of one part and one table",
    )
    also: tuple[Coupling, ...] = ()
    pieces: Annotated[int, Field(ge=1, le=40)] = 1
    rows: tuple[TableRow, ...] = ()
    instrument: Instrument
    readings: Annotated[int, Field(ge=1, le=12)] = 3
    method: Text | None = None
    rests_on: tuple[Name, ...] = ()
    suspects: tuple[Text, ...] = ()
    note: Text | None = None
    source: Name | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Fit:
        raise_all("fit", self._faults())
        return self

    def _faults(self) -> Iterator[InitErrorDetails]:
        yield from self._way_faults()
        wrong = list(self._unit_faults())
        yield from wrong
        if not wrong:
            yield from self._window_faults()
        if list(self.sizes_mm) != sorted(set(self.sizes_mm)):
            yield fault(("sizes_mm",), "sizes_mm must rise without repeats", self.sizes_mm)
        yield from self._row_faults()

    def _way_faults(self) -> Iterator[InitErrorDetails]:
        """What a way of reading needs, and which kinds of fit it can serve."""
        way = self.by.kind if self.by is not None else None
        if way is None and (self.trial is None) == (not self.gap):
            text = (
                "give either trial (a size fitted for the first reading) or gap (dimensions to sum), not both"
            )
            yield fault(("trial",) if self.gap else (), text, self.trial)
        if way in _WITH_TRIAL and self.trial is None:
            yield fault((), f"{way} reads the gap with a part of known size in place; give trial", None)
        if way in ("plates", "turns") and self.trial is not None:
            yield fault(("trial",), f"{way} needs no part in place; take trial out", self.trial)
        if way is not None and self.gap:
            yield fault(("gap",), f"by {way} says what is measured; take gap out, or by", len(self.gap))
        if way is not None and self.kind not in _SERVES[way]:
            text = f"{way} serves {' or '.join(_SERVES[way])}, not {self.kind}"
            yield fault(("by", "kind"), text, way)
        if self.pieces > 1 and (self.rows or way in ("turning torque", "two-sided", "turns")):
            yield fault(("pieces",), "only a gap that is read as a length is made up of plates", self.pieces)

    def _unit_faults(self) -> Iterator[InitErrorDetails]:
        """Limits in the unit of what is read: a torque, turns of a screw, else a length."""
        way = self.by.kind if self.by is not None else None
        kind, example = {
            "turning torque": ("torque", "1.9 N·m"),
            "turns": ("angle" if self.min.kind == "angle" else "length", "3.25 turns"),
        }.get(way or "", ("length", "0.35 mm"))
        for key, given in (("min", self.min), ("max", self.max), ("goal", self.goal)):
            if given is not None and given.kind != kind:
                yield fault(
                    (key,), f"{given.unit!r} does not measure {kind}; expected one such as {example}", given
                )
        if isinstance(self.by, ByTurns) and self.by.pitch is None and kind == "length":
            text = "a clearance follows from turns only with the pitch of the screw; give by.pitch, or limits in turns"
            yield fault(("by",), text, None)

    def _window_faults(self) -> Iterator[InitErrorDetails]:
        if self.lower >= self.upper:
            text = f"min {self.min} is not below max {self.max}; swap the two, or look at the source"
            yield fault(("min",), text, self.min)
        elif not self.lower <= self.goal_value <= self.upper:
            yield fault(("goal",), f"goal {self.goal} lies outside {self.min} to {self.max}", self.goal)

    def _row_faults(self) -> Iterator[InitErrorDetails]:
        """A table that rises, does not overlap, and gives sizes that exist."""
        for place, row in enumerate(self.rows):
            if row.low_mm >= row.high_mm:
                text = f"row {row.code} runs from {row.low_mm} to {row.high_mm}; swap the two"
                yield fault(("rows", place, "low_mm"), text, row.low_mm)
            elif place and row.low_mm < self.rows[place - 1].high_mm:
                text = f"it overlaps row {self.rows[place - 1].code}, which ends at {self.rows[place - 1].high_mm}"
                yield fault(("rows", place, "low_mm"), text, row.low_mm)
            if row.size_mm not in self.sizes_mm:
                text = f"{row.size_mm} is not in sizes_mm; put it there, or correct the row"
                yield fault(("rows", place, "size_mm"), text, row.size_mm)

    @property
    def unit(self) -> str:
        """The unit of the gap as the stage counts it: mm, N·m or turns."""
        return {"length": "mm", "torque": "N·m", "angle": "turns"}[self.min.kind]

    @property
    def size_unit(self) -> str:
        """The unit of what is chosen: mm of a part, or turns of a screw."""
        return "turns" if isinstance(self.by, ByTurns) else "mm"

    @property
    def lower(self) -> float:
        """Smallest gap allowed, in the fit's unit."""
        return float(self._exact(self.min))

    @property
    def upper(self) -> float:
        """Largest gap allowed, in the fit's unit."""
        return float(self._exact(self.max))

    @property
    def window(self) -> tuple[Decimal, Decimal]:
        """Both limits, exact, in the fit's unit."""
        return self._exact(self.min), self._exact(self.max)

    @property
    def goal_exact(self) -> Decimal:
        """The gap to aim at, exact: as given, else the middle of the window."""
        if self.goal is not None:
            return self._exact(self.goal)
        return sum(self.window, Decimal(0)) / 2

    @property
    def goal_value(self) -> float:
        """The gap to aim at, in the fit's unit."""
        return float(self.goal_exact)

    @property
    def digits(self) -> int:
        """Digits behind the point in which the gap is shown."""
        resolution = self.instrument.resolution
        usual = Decimal("0.01") if self.unit == "mm" else Decimal("0.1")
        steps = resolution.value if resolution and resolution.unit == self.unit else usual
        fewest = 2 if self.unit != "N·m" else 1
        return max(fewest, -int(steps.normalize().as_tuple().exponent))

    def _exact(self, given: Quantity) -> Decimal:
        if given.unit == self.unit:
            return given.value
        return Decimal(str(round(given.to(self.unit), 6)))


def exact_mm(length: Quantity) -> Decimal:
    """A length in millimetres without a binary rounding; an inch is exactly 25.4 mm."""
    return length.value if length.unit == "mm" else Decimal(str(round(length.to("mm"), 6)))
