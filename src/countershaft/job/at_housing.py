"""What is read where the gearbox meets the engine: sweeps of the housing, dowels, converter depths, hub trials.

Places are hours of a clock face seen from the gearbox; a reading is + where the plunger is pushed in.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from countershaft.job.body import Body, Readings, Ref, Short, Typed
from countershaft.job.taken import Taken
from countershaft.job.words import Stage
from countershaft.model.fields import Length

__all__ = ["ConverterDepths", "DowelSeen", "HousingSwept", "HubTrial", "LengthUnit", "Swept"]

LengthUnit = Literal["mm", "in", "thou"]
#: Readings at the places of a sweep, in their order.
Swept = Annotated[tuple[Typed, ...], Field(max_length=24)]
Clock = Annotated[tuple[Typed, ...], Field(min_length=4, max_length=24)]
_Done = Annotated[str, StringConstraints(strip_whitespace=True, max_length=400)]
_Step = Annotated[Typed, Field(gt=0)]
_Least0 = Annotated[Typed, Field(ge=0)]


class HousingSwept(Body):
    """One sweep round the bore of the housing, and round its face or of its total.

    `bore_back` and `face_back` are what the indicator read when it came back to the first place.
    `sag` is what the set-up reads at 6 o'clock in a true ring, zeroed at 12; `rise` how far the crank's axis rises to
    where it runs.  `bore_max`, `face_max`, `diameter` and `bushing` are typed where no file has them.
    `answers` names the limits of the file that the sweep answers.
    A sweep that contradicts itself is written down only where `taken` answers that it is so; it is never judged.
    """

    STAGE = Stage.INSPECT
    kind: Literal["housing_swept"] = "housing_swept"
    when: Literal["as found", "as left"]
    after: _Done = ""
    hours: Clock
    bore: Swept
    bore_back: Typed | None = None
    face: Swept = ()
    face_back: Typed | None = None
    face_total: _Least0 | None = None
    sag: Typed = Decimal(0)
    rise: _Least0 = Decimal(0)
    bore_max: Length | None = None
    face_max: Length | None = None
    diameter: Length | None = None
    bushing: Length | None = None
    unit: LengthUnit
    instrument: Short
    resolution: _Step
    answers: tuple[Ref, ...] = ()
    taken: Taken | None = None

    @model_validator(mode="after")
    def _matched(self) -> HousingSwept:
        if len(self.bore) != len(self.hours) or len(self.face) not in (0, len(self.hours)):
            raise ValueError(
                "a sweep has one reading of the bore at every place, and of the face at all or none"
            )
        return self


class DowelSeen(Body):
    """How far a dowel of the engine stands out of the block."""

    STAGE = Stage.INSPECT
    kind: Literal["dowel_seen"] = "dowel_seen"
    dowel: Ref
    when: Literal["as found", "as left"]
    values: Readings
    unit: LengthUnit
    instrument: Short
    resolution: _Step
    taken: Taken | None = None


class ConverterDepths(Body):
    """From the mating faces to the pads of the converter and to the drive plate.

    `depths` are read from the gearbox's mating face over a straightedge, the converter pushed home; `plate` from the
    engine's mating face to the plate, one figure or one for each pad, + where the plate stands toward the gearbox.
    `spacer` is typed where the file says nothing of one.
    """

    STAGE = Stage.BUILD
    kind: Literal["converter_depths"] = "converter_depths"
    depths: Readings
    straightedge: _Least0 = Decimal(0)
    plate: Swept = ()
    spacer: _Least0 = Decimal(0)
    unit: LengthUnit
    instrument: Short
    resolution: _Step
    answers: tuple[Ref, ...] = ()
    taken: Taken | None = None

    @property
    def when(self) -> Literal["as left"]:
        """Depths are read while the unit goes in."""
        return "as left"


class HubTrial(Body):
    """Runout of the converter's hub, bolted on in one position of its pattern.

    `hours` are places of the crank's own clock, 12 at the mark on its flange; the indicator stands still.
    """

    STAGE = Stage.BUILD
    kind: Literal["hub_trial"] = "hub_trial"
    position: Annotated[int, Field(ge=0, le=23)]
    hours: Clock
    values: Swept
    unit: LengthUnit
    instrument: Short
    resolution: _Step
    taken: Taken | None = None

    @model_validator(mode="after")
    def _matched(self) -> HubTrial:
        if len(self.values) != len(self.hours):
            raise ValueError("a trial has one reading at every place")
        return self
