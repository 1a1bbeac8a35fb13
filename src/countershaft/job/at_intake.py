"""What is said at intake: the job, the complaint, what the vehicle shows, how far the shop may go."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from countershaft.job.body import Body, Digest, Money, Ref, Short, Typed, Words
from countershaft.job.words import (
    Debris,
    Degree,
    Feel,
    FluidColour,
    FluidLevel,
    FluidSmell,
    Load,
    Onset,
    Stage,
    Temperature,
)

__all__ = ["Complaint", "Consent", "FluidFound", "JobOpened", "PanFound", "Symptom"]


class JobOpened(Body):
    """A job begins: its tag, the vehicle, and the transmission file it is worked by."""

    STAGE = Stage.INTAKE
    kind: Literal["job_opened"] = "job_opened"
    tag: Annotated[
        str, StringConstraints(strip_whitespace=True, pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$")
    ]
    vehicle: Short
    unit: Short
    definition: Digest
    mileage_km: Annotated[int, Field(ge=0, le=9_999_999)] | None = None


class Complaint(Body):
    """The complaint in the customer's words, and the one sentence by which the end is judged."""

    STAGE = Stage.INTAKE
    kind: Literal["complaint"] = "complaint"
    words: Words
    fixed_when: Words


class Symptom(Body):
    """One symptom: what it does, in which gear, when, and since when."""

    STAGE = Stage.INTAKE
    kind: Literal["symptom"] = "symptom"
    feel: Feel
    gear: Ref | None = None
    temperature: Temperature
    load: Load
    onset: Onset
    words: Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)] = ""


class FluidFound(Body):
    """How the fluid was found."""

    STAGE = Stage.INTAKE
    kind: Literal["fluid_found"] = "fluid_found"
    level: FluidLevel
    colour: FluidColour
    smell: FluidSmell
    temperature_c: Typed | None = None
    words: Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)] = ""


class PanFound(Body):
    """What lay in the pan."""

    STAGE = Stage.INTAKE
    kind: Literal["pan_found"] = "pan_found"
    debris: tuple[Debris, ...] = Field(min_length=1)
    degree: Degree
    words: Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)] = ""


class Consent(Body):
    """The customer allows work up to a sum."""

    STAGE = Stage.INTAKE
    kind: Literal["consent"] = "consent"
    purpose: Literal["diagnosis", "overhaul"]
    limit: Money
    given_by: Short
    how: Literal["signed", "by telephone", "in writing"]
