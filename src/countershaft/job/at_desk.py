"""What is said about money and decisions: parts, prices, hours, and the estimate."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from countershaft.job.body import Body, Money, Ref, Short, Words
from countershaft.job.words import Stage

__all__ = ["Estimate", "EstimateLine", "Labour", "PartDecided", "Priced"]


class PartDecided(Body):
    """What happens to a part where that differs from the file's policy or a finding asks."""

    STAGE = Stage.DECIDE
    kind: Literal["part_decided"] = "part_decided"
    part: Ref
    count: Annotated[int, Field(ge=0, le=9999)]
    decision: Literal["replace", "reuse"]
    because: Words


class Priced(Body):
    """The price of one piece of a line of the kit."""

    STAGE = Stage.DECIDE
    kind: Literal["priced"] = "priced"
    line: Ref
    price: Money


class Labour(Body):
    """Hours and the rate of an hour."""

    STAGE = Stage.DECIDE
    kind: Literal["labour"] = "labour"
    hours: Annotated[Money, Field(le=1000)]
    rate: Money
    currency: Short


class EstimateLine(BaseModel):
    """One line of an estimate as it was shown to the customer."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    what: Words
    count: int
    price: Money


class Estimate(Body):
    """The estimate as it was given: its lines are frozen, later prices do not change it."""

    STAGE = Stage.DECIDE
    kind: Literal["estimate"] = "estimate"
    lines: tuple[EstimateLine, ...]
    hours: Money
    rate: Money
    total: Money
    currency: Short
