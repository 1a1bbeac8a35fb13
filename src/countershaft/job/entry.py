"""Entries: one frozen record per kind of fact that a job can hold.

An entry's id is made by the client before it is sent, so a re-sent entry is harmless.
Figures are kept as they were typed, with their unit beside them.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, ClassVar, Literal, Union, get_args

from pydantic import AwareDatetime, BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints

from countershaft.job.words import (
    Debris,
    Degree,
    Feel,
    FindingWord,
    FluidColour,
    FluidLevel,
    FluidSmell,
    Load,
    Onset,
    PartVerdict,
    Pattern,
    Stage,
    Temperature,
)

__all__ = [
    "ANY_BODY",
    "KINDS",
    "Body",
    "Cause",
    "Chosen",
    "Complaint",
    "Consent",
    "Dimensions",
    "Entry",
    "Estimate",
    "EstimateLine",
    "Finding",
    "FixedWhen",
    "FluidFound",
    "GearTried",
    "JobOpened",
    "KillerCleared",
    "Labour",
    "Look",
    "NotMeasured",
    "Note",
    "PanFound",
    "PartDecided",
    "Photo",
    "Placed",
    "Priced",
    "Reading",
    "Released",
    "Remeasured",
    "Shelf",
    "StepDone",
    "StepSkipped",
    "Symptom",
    "TestDone",
    "Tightened",
    "Trial",
    "TurnsCounted",
    "Undone",
    "Waiting",
    "Waived",
]

Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=4000)]
Short = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]
Ref = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=80)]
Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
#: Figures as they were typed, where that was in another unit than the one they are kept in.
AsTyped = Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)]
EntryId = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]


def _decimal_comma(value: Any) -> Any:
    return value.strip().replace(",", ".").replace("−", "-") if isinstance(value, str) else value


Typed = Annotated[
    Decimal, BeforeValidator(_decimal_comma), Field(allow_inf_nan=False, ge=-1_000_000, le=1_000_000)
]
Readings = Annotated[tuple[Typed, ...], Field(min_length=1, max_length=12)]
Money = Annotated[Decimal, BeforeValidator(_decimal_comma), Field(allow_inf_nan=False, ge=0, le=10_000_000)]


class Body(BaseModel):
    """What an entry says.  `STAGE` is the stage it belongs to; `kind` names it in the stored log."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    STAGE: ClassVar[Stage | None] = None
    kind: str


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


class Note(Body):
    """Free words at a stage, about a step, part, fit or limit where one is named."""

    kind: Literal["note"] = "note"
    stage: Stage
    about: Ref | None = None
    words: Words


class Photo(Body):
    """A picture that the store keeps under its digest."""

    kind: Literal["photo"] = "photo"
    stage: Stage
    about: Ref | None = None
    digest: Digest
    caption: Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)] = ""


class Undone(Body):
    """An earlier entry no longer counts; it stays in the log."""

    kind: Literal["undone"] = "undone"
    target: EntryId
    because: Words


class Waiting(Body):
    """The job waits for something, or no longer waits."""

    kind: Literal["waiting"] = "waiting"
    what: Short
    over: bool = False


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


class Placed(BaseModel):
    """A number of pieces of a part, and the tagged place where they lie."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    part: Ref
    count: Annotated[int, Field(ge=1, le=9999)]
    place: Ref


class StepDone(Body):
    """A step of teardown or build was done.

    `placed` says where the pieces went, `new` which parts and joints were ticked as new, `counted` and
    `written` what was asked for and answered.
    """

    kind: Literal["step_done"] = "step_done"
    step: Ref
    placed: tuple[Placed, ...] = ()
    new: tuple[Ref, ...] = ()
    counted: Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)] = ""
    written: Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000)] = ""
    verified: bool = False


class StepSkipped(Body):
    """A step was left out on purpose; the reason stays visible."""

    kind: Literal["step_skipped"] = "step_skipped"
    step: Ref
    because: Words


class Finding(Body):
    """What was seen on a part, in one word of the closed list, where, in which pattern, how much."""

    STAGE = Stage.INSPECT
    kind: Literal["finding"] = "finding"
    part: Ref
    word: FindingWord
    place: Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)] = ""
    pattern: Pattern
    degree: Degree
    verdict: PartVerdict
    words: Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)] = ""


class Reading(Body):
    """Readings of one limit, as typed, in one unit, with the step of the instrument's scale."""

    kind: Literal["reading"] = "reading"
    limit: Ref
    when: Literal["as found", "as left"]
    values: Readings
    unit: Short
    instrument: Short
    resolution: Annotated[Typed, Field(gt=0)]


class Look(Body):
    """A check by eye, hand or ear, judged by a person in words."""

    kind: Literal["look"] = "look"
    limit: Ref
    when: Literal["as found", "as left"]
    verdict: Literal["good", "bad"]
    words: Words


class NotMeasured(Body):
    """A limit that was not measured, because."""

    kind: Literal["not_measured"] = "not_measured"
    limit: Ref
    because: Words


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


class Trial(Body):
    """First readings of a fit with a selective part of known size in place."""

    STAGE = Stage.FIT
    kind: Literal["trial"] = "trial"
    fit: Ref
    size_mm: Annotated[Typed, Field(gt=0)]
    values_mm: Readings
    resolution_mm: Annotated[Typed, Field(gt=0)]
    typed: AsTyped = ""


class Dimensions(Body):
    """Measured dimensions of a fit's gap, without the selective part."""

    STAGE = Stage.FIT
    kind: Literal["dimensions"] = "dimensions"
    fit: Ref
    values_mm: dict[Ref, Readings]
    resolution_mm: Annotated[Typed, Field(gt=0)]
    typed: AsTyped = ""


class Shelf(Body):
    """Which sizes of a fit's selective part lie on the shelf."""

    STAGE = Stage.FIT
    kind: Literal["shelf"] = "shelf"
    fit: Ref
    sizes_mm: tuple[Typed, ...]


class Chosen(Body):
    """The size that goes in."""

    STAGE = Stage.FIT
    kind: Literal["chosen"] = "chosen"
    fit: Ref
    size_mm: Annotated[Typed, Field(gt=0)]
    because: Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)] = ""


class Remeasured(Body):
    """The gap with the chosen part in place: the only thing that closes a fit."""

    STAGE = Stage.FIT
    kind: Literal["remeasured"] = "remeasured"
    fit: Ref
    values_mm: Readings
    resolution_mm: Annotated[Typed, Field(gt=0)]
    typed: AsTyped = ""


class Tightened(Body):
    """Places of a joint that got one round."""

    STAGE = Stage.BUILD
    kind: Literal["tightened"] = "tightened"
    joint: Ref
    round: Annotated[int, Field(ge=1, le=20)]
    places: tuple[Ref, ...] = Field(min_length=1)


class TurnsCounted(Body):
    """Input and output turns counted by hand in one gear."""

    STAGE = Stage.PROVE
    kind: Literal["turns_counted"] = "turns_counted"
    gear: Ref
    input_turns: Annotated[Typed, Field(gt=0)]
    output_turns: Typed
    counted_to: Annotated[Typed, Field(gt=0)] = Decimal("0.1")


class FixedWhen(Body):
    """Whether the fixed-when sentence is true now."""

    STAGE = Stage.PROVE
    kind: Literal["fixed_when"] = "fixed_when"
    true: bool
    words: Words


class Waived(Body):
    """An open point of the release gate that a person lets pass, because.

    `was` is what was open then, in the gate's words: when something else is open there, it is asked again.
    """

    STAGE = Stage.HANDOVER
    kind: Literal["waived"] = "waived"
    point: Ref
    was: Words
    because: Words


class Released(Body):
    """The unit goes out."""

    STAGE = Stage.HANDOVER
    kind: Literal["released"] = "released"
    warranty: Words
    words: Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000)] = ""


ANY_BODY = Annotated[
    Union[  # noqa: UP007  # pydantic wants one discriminated union
        JobOpened,
        Note,
        Photo,
        Undone,
        Waiting,
        Complaint,
        Symptom,
        FluidFound,
        PanFound,
        Consent,
        GearTried,
        TestDone,
        Cause,
        KillerCleared,
        StepDone,
        StepSkipped,
        Finding,
        Reading,
        Look,
        NotMeasured,
        PartDecided,
        Priced,
        Labour,
        Estimate,
        Trial,
        Dimensions,
        Shelf,
        Chosen,
        Remeasured,
        Tightened,
        TurnsCounted,
        FixedWhen,
        Waived,
        Released,
    ],
    Field(discriminator="kind"),
]

#: Every kind of body by the name it is stored under.
KINDS: dict[str, type[Body]] = {
    body.model_fields["kind"].default: body for body in get_args(get_args(ANY_BODY)[0])
}


class Entry(BaseModel):
    """One fact of a job: who, when, and what.

    `version` is the version of the body's shape; a reader that is older than it refuses instead of guessing.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    id: EntryId
    at: AwareDatetime
    by: Short
    version: Annotated[int, Field(ge=1)] = 1
    body: ANY_BODY
