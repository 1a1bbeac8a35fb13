"""What is read at a fit whose gap is not one figure: named figures, each with its own unit and step."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from countershaft.job.body import AsTyped, Body, Readings, Ref, Short, Typed
from countershaft.job.taken import Taken
from countershaft.job.words import Stage

__all__ = ["Bearings", "FitFigure", "FitLeft", "FitMeasured"]

#: Whether the bearings that a turning torque is read on are new; empty where that does not matter.
Bearings = Literal["", "new", "ran before"]


class FitFigure(BaseModel):
    """Readings of one quantity of a fit, as typed, in one unit, with one step of the scale."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    name: Ref
    values: Readings
    unit: Short
    resolution: Annotated[Typed, Field(gt=0)]


class _Figures(Body):
    """Figures by name, each once."""

    fit: Ref
    figures: Annotated[tuple[FitFigure, ...], Field(min_length=1, max_length=24)]
    bearings: Bearings = ""
    typed: AsTyped = ""
    taken: Taken | None = None

    @model_validator(mode="after")
    def _each_once(self) -> _Figures:
        names = [one.name for one in self.figures]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise ValueError(f"{twice!r} is given twice; each figure stands once")
        return self

    def figure(self, name: str) -> FitFigure | None:
        """The figure of that name; None where it was not read."""
        return next((one for one in self.figures if one.name == name), None)


class FitMeasured(_Figures):
    """First readings of a fit: what its way of reading asks for."""

    STAGE = Stage.FIT
    kind: Literal["fit_measured"] = "fit_measured"


class FitLeft(_Figures):
    """The fit with the chosen parts in place, read the same way: it closes the fit."""

    STAGE = Stage.FIT
    kind: Literal["fit_left"] = "fit_left"
