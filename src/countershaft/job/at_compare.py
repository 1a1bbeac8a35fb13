"""What is said where people measure the same things blind, to see how well their figures agree."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from countershaft.job.body import Body, Readings, Ref, Short, Typed
from countershaft.job.taken import Taken
from countershaft.job.words import Stage

__all__ = ["ComparisonSet", "MeasuredBlind"]


class ComparisonSet(Body):
    """A comparison begins: what is measured, by whom, on how many pieces, how often each.

    With `limit` the pieces are held against that limit, and measuring against the width of its window.
    """

    STAGE = Stage.INSPECT
    kind: Literal["comparison_set"] = "comparison_set"
    comparison: Ref
    what: Short
    limit: Ref | None = None
    unit: Short
    people: Annotated[tuple[Short, ...], Field(min_length=2, max_length=6)]
    pieces: Annotated[int, Field(ge=1, le=12)] = 1
    trials: Annotated[int, Field(ge=1, le=6)] = 3

    @model_validator(mode="after")
    def _each_once(self) -> ComparisonSet:
        named = [one.casefold() for one in self.people]
        if len(set(named)) != len(named):
            raise ValueError("each person is named once; two people of one name need a letter after it")
        return self


class MeasuredBlind(Body):
    """What one person found on one piece, without seeing what the others found."""

    STAGE = Stage.INSPECT
    kind: Literal["measured_blind"] = "measured_blind"
    comparison: Ref
    person: Short
    piece: Annotated[int, Field(ge=1, le=12)]
    values: Readings
    instrument: Short
    resolution: Annotated[Typed, Field(gt=0)]
    taken: Taken | None = None
