"""Intake: what the customer says, what the vehicle does, how the fluid was found, how far the shop may go."""

from __future__ import annotations

from dataclasses import dataclass

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Consent, Labour, Symptom
from countershaft.job.words import Stage
from countershaft.stages import intake as stage
from countershaft.stages.progress import Progress
from countershaft.web.pages.first import stage_href
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Caution, Head, Link, Picture, at_stage, enter, onward, pictures, said

__all__ = ["ConsentRow", "IntakePage", "SymptomRow", "intake_page"]


@dataclass(frozen=True, slots=True)
class SymptomRow:
    """One symptom in structured words."""

    feel: str
    gear: str
    temperature: str
    load: str
    onset: str
    words: str
    said: str


@dataclass(frozen=True, slots=True)
class ConsentRow:
    """How far the customer lets the shop go."""

    purpose: str
    limit: str
    given: str


@dataclass(frozen=True, slots=True)
class IntakePage:
    """Intake as its page shows it; what is not known yet is empty."""

    frame: Frame
    head: Head
    complaint: str
    fixed_when: str
    symptoms: tuple[SymptomRow, ...]
    fluid: str
    pan: str
    consents: tuple[ConsentRow, ...]
    mileage: str
    again: tuple[Link, ...]
    photos: tuple[Picture, ...]


def intake_page(job: OpenJob, progress: Progress) -> IntakePage:
    """Intake as its template reads it."""
    found = stage.survey(job.transmission, job.state)
    here = stage_href(job.tag, Stage.INTAKE)
    form = {name: enter(job, name, back=here) for name in ("complaint", "symptom", "fluid", "pan", "consent")}
    asked = (
        (Link("Write down the complaint", form["complaint"]), found.complaint is None),
        (Link("Say what it does", form["symptom"]), not found.symptoms),
        (Link("Say how the fluid was found", form["fluid"]), found.fluid is None),
        (Link("Ask for consent with a limit", form["consent"]), not found.consents),
    )
    still = [link for link, open_now in asked if open_now] or [onward(job, progress)]
    return IntakePage(
        frame=frame(job, progress, Stage.INTAKE),
        head=Head(
            heading=found.opened.vehicle,
            lead=f"Still open: {'; '.join(found.open)}."
            if found.open
            else "Everything that intake asks for is known.",
            cautions=tuple(Caution("NOTICE", words) for words in found.warnings),
            next=still[0],
            beside=tuple(still[1:]),
            further=at_stage(job, Stage.INTAKE),
        ),
        complaint=found.complaint.words if found.complaint else "",
        fixed_when=found.complaint.fixed_when if found.complaint else "",
        symptoms=tuple(_symptom(body, said(entry)) for entry, body in found.symptoms),
        fluid=_fluid(found),
        pan=_pan(found),
        consents=tuple(_consent(job, body) for body in found.consents),
        mileage=f"{found.opened.mileage_km:,} km".replace(",", "\u202f")
        if found.opened.mileage_km is not None
        else "not read",
        again=_again(found, form),
        photos=pictures(job, Stage.INTAKE),
    )


def _again(found: stage.Intake, form: dict[str, str]) -> tuple[Link, ...]:
    """What may be said anew or added once the first answer is there."""
    return (
        *([Link("Change the complaint", form["complaint"])] if found.complaint else []),
        *([Link("Another symptom", form["symptom"])] if found.symptoms else []),
        *([Link("The fluid again", form["fluid"])] if found.fluid else []),
        Link("The pan again" if found.pan else "What lay in the pan", form["pan"]),
        *([Link("Another consent", form["consent"])] if found.consents else []),
    )


def _symptom(body: Symptom, who: str) -> SymptomRow:
    return SymptomRow(
        feel=body.feel.value,
        gear=body.gear or "all, or none",
        temperature=body.temperature.value,
        load=body.load.value,
        onset=body.onset.value,
        words=body.words,
        said=who,
    )


def _fluid(found: stage.Intake) -> str:
    one = found.fluid
    if one is None:
        return ""
    at = f" at {one.temperature_c} °C" if one.temperature_c is not None else ""
    seen = f"level {one.level.value}{at}; colour {one.colour.value}; smell {one.smell.value}"
    return f"{seen}; {one.words}" if one.words else seen


def _pan(found: stage.Intake) -> str:
    one = found.pan
    if one is None:
        return ""
    seen = f"{', '.join(debris.value for debris in one.debris)}; {one.degree.value}"
    return f"{seen}; {one.words}" if one.words else seen


def _consent(job: OpenJob, body: Consent) -> ConsentRow:
    labour = job.state.last(Labour)
    limit = f"{body.limit} {labour.currency}" if labour else f"{body.limit} in the shop's currency"
    return ConsentRow(body.purpose, limit, f"{body.given_by}, {body.how}")
