"""What is said at the bench: steps and places, findings and readings, fits, and rounds of fasteners."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, model_validator

from countershaft.job.at_places import Stowed
from countershaft.job.at_removal import CameOff
from countershaft.job.body import AsTyped, Body, Readings, Ref, Short, Typed, Words
from countershaft.job.taken import Taken
from countershaft.job.words import Degree, FindingWord, PartVerdict, Pattern, Stage

__all__ = [
    "Chosen",
    "Dimensions",
    "Finding",
    "Look",
    "NotMeasured",
    "Placed",
    "Reading",
    "Remeasured",
    "Shelf",
    "StepDone",
    "StepSkipped",
    "Tightened",
    "Trial",
]


class Placed(BaseModel):
    """A number of pieces of a part, and the tagged place where they lie."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    part: Ref
    count: Annotated[int, Field(ge=1, le=9999)]
    place: Ref


class StepDone(Body):
    """A step of teardown or build was done.

    `placed` says where the pieces went, `stowed` where the fasteners went, `new` which parts and joints were ticked
    as new, `counted` and `written` what was asked for and answered.
    `ahead` names steps that until now always came first, and did not this time; `seen` is what came off where no file
    has the step.  `way` is the other way in which it was done, `unchecked` why what it hides goes unchecked.
    """

    kind: Literal["step_done"] = "step_done"
    step: Ref
    placed: tuple[Placed, ...] = ()
    stowed: tuple[Stowed, ...] = ()
    new: tuple[Ref, ...] = ()
    counted: Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)] = ""
    written: Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000)] = ""
    verified: bool = False
    way: Annotated[str, StringConstraints(strip_whitespace=True, max_length=80)] = ""
    unchecked: Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)] = ""
    ahead: tuple[Ref, ...] = ()
    seen: CameOff | None = None

    @model_validator(mode="after")
    def _numbered(self) -> StepDone:
        if self.seen is not None and not re.fullmatch(r"T\d{2,6}", self.step):
            raise ValueError(f"a removal that no file has is numbered as T01, T02, …; got {self.step!r}")
        return self


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
    when: Literal["as found", "trial", "as left"]
    values: Readings
    unit: Short
    instrument: Short
    resolution: Annotated[Typed, Field(gt=0)]
    taken: Taken | None = None


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


class Trial(Body):
    """First readings of a fit with a selective part of known size in place; `found_mm` is the part that was found."""

    STAGE = Stage.FIT
    kind: Literal["trial"] = "trial"
    fit: Ref
    size_mm: Annotated[Typed, Field(gt=0)]
    values_mm: Readings
    resolution_mm: Annotated[Typed, Field(gt=0)]
    found_mm: Annotated[Typed, Field(gt=0)] | None = None
    typed: AsTyped = ""
    taken: Taken | None = None


class Dimensions(Body):
    """Measured dimensions of a fit's gap, without the selective part."""

    STAGE = Stage.FIT
    kind: Literal["dimensions"] = "dimensions"
    fit: Ref
    values_mm: dict[Ref, Readings]
    resolution_mm: Annotated[Typed, Field(gt=0)]
    typed: AsTyped = ""
    taken: Taken | None = None


class Shelf(Body):
    """Which sizes of a fit's selective part lie on the shelf."""

    STAGE = Stage.FIT
    kind: Literal["shelf"] = "shelf"
    fit: Ref
    sizes_mm: tuple[Typed, ...]


class Chosen(Body):
    """The size that goes in; `piece` is the label of the measured piece, empty for one that is only marked.

    `side` says where, of a fit with two shims; `plates_mm` what a height is made up of.
    """

    STAGE = Stage.FIT
    kind: Literal["chosen"] = "chosen"
    fit: Ref
    size_mm: Annotated[Typed, Field(gt=0)]
    piece: Annotated[str, StringConstraints(strip_whitespace=True, max_length=80)] = ""
    side: Literal["", "left", "right"] = ""
    plates_mm: Annotated[tuple[Typed, ...], Field(max_length=40)] = ()
    because: Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)] = ""


class Remeasured(Body):
    """The gap with the chosen part in place: the only thing that closes a fit."""

    STAGE = Stage.FIT
    kind: Literal["remeasured"] = "remeasured"
    fit: Ref
    values_mm: Readings
    resolution_mm: Annotated[Typed, Field(gt=0)]
    typed: AsTyped = ""
    taken: Taken | None = None


class Tightened(Body):
    """Places of a joint that got one round."""

    STAGE = Stage.BUILD
    kind: Literal["tightened"] = "tightened"
    joint: Ref
    round: Annotated[int, Field(ge=1, le=20)]
    places: tuple[Ref, ...] = Field(min_length=1)
