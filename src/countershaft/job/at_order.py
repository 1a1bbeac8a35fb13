"""What is said about the order of work: a part is late, a step cannot be done, an order is followed."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from countershaft.job.body import Body, Ref, Words

__all__ = ["OrderFollowed", "PartLate", "StepImpossible"]


class PartLate(Body):
    """A part is not at hand, or it is broken and has to be got; `over` says that it is here now.

    `until` is when it is expected, in the words of whoever sends it.
    """

    kind: Literal["part_late"] = "part_late"
    part: Ref
    how: Literal["late", "broken"] = "late"
    until: Annotated[str, StringConstraints(strip_whitespace=True, max_length=120)] = ""
    over: bool = False


class StepImpossible(Body):
    """A step cannot be done as things stand, or not in one of its ways; what needs it must wait or go round it."""

    kind: Literal["step_impossible"] = "step_impossible"
    step: Ref
    way: Annotated[str, StringConstraints(strip_whitespace=True, max_length=80)] = ""
    because: Words


class OrderFollowed(Body):
    """From here on the steps of a phase are proposed in this order, wherever their needs leave it free."""

    kind: Literal["order_followed"] = "order_followed"
    phase: Literal["teardown", "build"]
    steps: Annotated[tuple[Ref, ...], Field(min_length=1, max_length=999)]
