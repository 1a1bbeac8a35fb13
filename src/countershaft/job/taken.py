"""How a figure was taken: on which instrument, by whom, when, how warm, and what was answered when it was doubted."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from countershaft.job.body import AsTyped, Short, Typed

__all__ = ["InstrumentUsed", "RuleName", "Taken", "Warmth"]

#: How a shop decides: by the value alone, or with the uncertainty on the safe side.
RuleName = Literal["plain", "guarded"]

_Text = Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)]


class InstrumentUsed(BaseModel):
    """An instrument of the shop's list as it stood on the day of the reading; `tag` is its id on that list.

    Figures are in `unit`.  What is calibrated later changes nothing in a reading that was taken before.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    tag: Short
    name: Short
    kind: Short
    unit: Short
    resolution: Annotated[Typed, Field(gt=0)]
    permitted_error: Annotated[Typed, Field(ge=0)]
    zero_offset: Typed | None = None
    calibrated: date | None = None
    due: date | None = None
    certificate_u: Annotated[Typed, Field(ge=0)] | None = None
    certificate_k: Annotated[Typed, Field(gt=0)] | None = None


class Warmth(BaseModel):
    """How warm part and instrument were, where that matters, and what the part is made of."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    part_c: Annotated[Typed, Field(ge=-40, le=200)]
    tool_c: Annotated[Typed, Field(ge=-40, le=200)]
    material: Literal["steel", "cast iron", "aluminium", "magnesium", "bronze"]


class Taken(BaseModel):
    """How readings were taken.

    `places` names one place for each reading, or none; `by` and `on` are told where somebody else types the figures
    in afterwards; `sure` answers a question that was asked about the figures; `typed` is what was typed, where that
    was in other units than the figures are kept in.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    used: InstrumentUsed | None = None
    rule: RuleName = "guarded"
    places: tuple[Short, ...] = ()
    warmth: Warmth | None = None
    by: Short | None = None
    on: date | None = None
    sure: _Text = ""
    typed: AsTyped = ""
