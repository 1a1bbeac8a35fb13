"""What is said while the cause is looked for: gears, tests, the cause, and what would kill the next unit."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import StringConstraints

from countershaft.job.body import Body, Ref, Short, Words
from countershaft.job.words import Stage, Temperature

__all__ = ["Cause", "GearTried", "KillerCleared", "TestDone"]


class GearTried(Body):
    """A gear was driven and found good or bad."""

    STAGE = Stage.DIAGNOSE
    kind: Literal["gear_tried"] = "gear_tried"
    gear: Ref
    verdict: Literal["good", "bad"]
    temperature: Temperature = Temperature.ANY
    words: Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)] = ""


class TestDone(Body):
    """A test and what it said, in words."""

    STAGE = Stage.DIAGNOSE
    kind: Literal["test_done"] = "test_done"
    test: Short
    result: Words


class Cause(Body):
    """The cause of death, named, and what would destroy the next unit too."""

    STAGE = Stage.DIAGNOSE
    kind: Literal["cause"] = "cause"
    words: Words
    element: Ref | None = None
    killers: tuple[Short, ...] = ()


class KillerCleared(Body):
    """A killer was dealt with, and how."""

    STAGE = Stage.DECIDE
    kind: Literal["killer_cleared"] = "killer_cleared"
    killer: Short
    how: Words
