"""Intake: the complaint, the symptoms, the fluid, and how far the customer lets the shop go."""

from __future__ import annotations

from dataclasses import dataclass

from countershaft.job.entry import (
    Complaint,
    Consent,
    Entry,
    FluidFound,
    JobOpened,
    PanFound,
    Photo,
    Symptom,
)
from countershaft.job.state import JobState
from countershaft.job.words import FluidColour, Stage
from countershaft.model.transmission import Transmission
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["Intake", "review", "survey"]


@dataclass(frozen=True, slots=True)
class Intake:
    """What is known when the vehicle comes in, and what is still open."""

    opened: JobOpened
    complaint: Complaint | None
    symptoms: tuple[tuple[Entry, Symptom], ...]
    fluid: FluidFound | None
    pan: PanFound | None
    consents: tuple[Consent, ...]
    photos: tuple[Photo, ...]
    warnings: tuple[str, ...]
    open: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Nothing that intake asks for is open."""
        return not self.open


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether an intake entry may join the log."""
    body = entry.body
    if isinstance(body, Symptom) and body.gear is not None and transmission.train is not None:
        gears = tuple(transmission.train.chart)
        if body.gear not in gears:
            return object_to(gear=f"{body.gear!r} is no gear of this unit; it has {', '.join(gears)}.")
    if isinstance(body, JobOpened) and state.entries:
        return object_to("This job is open already.")
    return ACCEPTED


def survey(transmission: Transmission, state: JobState) -> Intake:
    """Intake as its page shows it."""
    complaint, fluid, pan = state.last(Complaint), state.last(FluidFound), state.last(PanFound)
    consents = state.bodies(Consent)
    symptoms = state.of(Symptom)
    asked = (
        ("the complaint and the fixed-when sentence", complaint is not None),
        ("at least one symptom", bool(symptoms)),
        ("how the fluid was found", fluid is not None),
        ("consent with a limit", bool(consents)),
    )
    return Intake(
        opened=state.opened,
        complaint=complaint,
        symptoms=symptoms,
        fluid=fluid,
        pan=pan,
        consents=consents,
        photos=tuple(photo for photo in state.bodies(Photo) if photo.stage is Stage.INTAKE),
        warnings=_warnings(fluid),
        open=tuple(what for what, there in asked if not there),
    )


def _warnings(fluid: FluidFound | None) -> tuple[str, ...]:
    if fluid is not None and fluid.colour is FluidColour.MILKY:
        words = (
            "Milky fluid means water or coolant: linings that drank it come off their plates. "
            "Find the leak before anything is built."
        )
        return (words,)
    return ()
