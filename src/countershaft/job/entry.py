"""Entries: one frozen record per kind of fact that a job can hold.

An entry's id is made by the client before it is sent, so a re-sent entry is harmless.
Figures are kept as they were typed, with their unit beside them.
"""

from __future__ import annotations

from typing import Annotated, Union, get_args

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from countershaft.job.at_any_stage import Note, Photo, Undone, Waiting
from countershaft.job.at_bench import (
    Chosen,
    Dimensions,
    Finding,
    Look,
    NotMeasured,
    Placed,
    Reading,
    Remeasured,
    Shelf,
    StepDone,
    StepSkipped,
    Tightened,
    Trial,
)
from countershaft.job.at_compare import ComparisonSet, MeasuredBlind
from countershaft.job.at_desk import Estimate, EstimateLine, Labour, PartDecided, Priced
from countershaft.job.at_diagnose import Cause, GearTried, KillerCleared, TestDone
from countershaft.job.at_fastening import HeadSeen, HeightsSeen, HoleMarked
from countershaft.job.at_fit import FitFigure, FitLeft, FitMeasured
from countershaft.job.at_form import FormSet, FormTaken
from countershaft.job.at_housing import ConverterDepths, DowelSeen, HousingSwept, HubTrial
from countershaft.job.at_intake import Complaint, Consent, FluidFound, JobOpened, PanFound, Symptom
from countershaft.job.at_order import OrderFollowed, PartLate, StepImpossible
from countershaft.job.at_places import Moved, Spot, Stowed
from countershaft.job.at_release import FixedWhen, Released, TurnsCounted, Waived
from countershaft.job.at_removal import AllOff, CameOff, FastenersOff, OrderSaid, SameSaid
from countershaft.job.at_shelf import PieceGone, PieceMeasured, PriceList, SizesCounted
from countershaft.job.at_sums import Worked
from countershaft.job.body import Body, EntryId, Short

__all__ = [
    "ANY_BODY",
    "KINDS",
    "AllOff",
    "Body",
    "CameOff",
    "Cause",
    "Chosen",
    "ComparisonSet",
    "Complaint",
    "Consent",
    "ConverterDepths",
    "Dimensions",
    "DowelSeen",
    "Entry",
    "Estimate",
    "EstimateLine",
    "FastenersOff",
    "Finding",
    "FitFigure",
    "FitLeft",
    "FitMeasured",
    "FixedWhen",
    "FluidFound",
    "FormSet",
    "FormTaken",
    "GearTried",
    "HeadSeen",
    "HeightsSeen",
    "HoleMarked",
    "HousingSwept",
    "HubTrial",
    "JobOpened",
    "KillerCleared",
    "Labour",
    "Look",
    "MeasuredBlind",
    "Moved",
    "NotMeasured",
    "Note",
    "OrderFollowed",
    "OrderSaid",
    "PanFound",
    "PartDecided",
    "PartLate",
    "Photo",
    "PieceGone",
    "PieceMeasured",
    "Placed",
    "PriceList",
    "Priced",
    "Reading",
    "Released",
    "Remeasured",
    "SameSaid",
    "Shelf",
    "SizesCounted",
    "Spot",
    "StepDone",
    "StepImpossible",
    "StepSkipped",
    "Stowed",
    "Symptom",
    "TestDone",
    "Tightened",
    "Trial",
    "TurnsCounted",
    "Undone",
    "Waiting",
    "Waived",
    "Worked",
]

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
        AllOff,
        OrderSaid,
        SameSaid,
        PartLate,
        StepImpossible,
        OrderFollowed,
        Moved,
        Finding,
        Reading,
        Look,
        FormSet,
        FormTaken,
        NotMeasured,
        ComparisonSet,
        MeasuredBlind,
        PartDecided,
        Priced,
        Labour,
        Estimate,
        Trial,
        Dimensions,
        Shelf,
        SizesCounted,
        PieceMeasured,
        PieceGone,
        PriceList,
        Chosen,
        Remeasured,
        FitMeasured,
        FitLeft,
        HeightsSeen,
        HoleMarked,
        HousingSwept,
        DowelSeen,
        ConverterDepths,
        HubTrial,
        Worked,
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
