"""Which stage judges which entry."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from countershaft.errors import Unknown
from countershaft.job.entry import (
    Body,
    ConverterDepths,
    DowelSeen,
    Entry,
    FormSet,
    FormTaken,
    HousingSwept,
    HubTrial,
    Look,
    Moved,
    Note,
    NotMeasured,
    OrderFollowed,
    OrderSaid,
    PartLate,
    Photo,
    Reading,
    Released,
    SameSaid,
    StepDone,
    StepImpossible,
    StepSkipped,
    Undone,
    Waiting,
    Worked,
)
from countershaft.job.removals import as_logged
from countershaft.job.state import JobState
from countershaft.job.words import Stage
from countershaft.model.transmission import Transmission
from countershaft.stages import (
    alignment,
    bench_sums,
    build,
    converter,
    decide,
    diagnose,
    fit_review,
    handover,
    inspection,
    intake,
    order,
    places,
    prove,
    removals,
    teardown,
)
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.stages.prediction import review_coupled
from countershaft.stages.undo import stands_on

__all__ = ["review"]

Review = Callable[[Transmission, JobState, Entry], Outcome]

_BY_STAGE: Final[dict[Stage, Review]] = {
    Stage.INTAKE: intake.review,
    Stage.DIAGNOSE: diagnose.review,
    Stage.TEARDOWN: teardown.review,
    Stage.INSPECT: inspection.review,
    Stage.DECIDE: decide.review,
    Stage.FIT: fit_review.review,
    Stage.BUILD: build.review,
    Stage.PROVE: prove.review,
    Stage.HANDOVER: handover.review,
}

#: Entries that have a judge of their own, whatever the stage that they belong to.
_BY_KIND: Final[dict[type[Body], Review]] = {
    HousingSwept: alignment.review,
    DowelSeen: alignment.review,
    ConverterDepths: converter.review,
    HubTrial: converter.review,
    Moved: places.review,
    Worked: bench_sums.review,
}


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """What the stage that an entry belongs to says to it; raises Unknown for a step, part or fit that is not there."""
    body = entry.body
    closed = _closed(state, body)
    if not closed.accepted:
        return closed
    if isinstance(body, Undone):
        return _review_undo(transmission, state, body)
    if type(body) in _BY_KIND:
        return _BY_KIND[type(body)](transmission, state, entry)
    if isinstance(body, OrderSaid | SameSaid):
        return removals.review_said(transmission, state, body)
    if isinstance(body, PartLate | StepImpossible | OrderFollowed):
        return order.review(transmission, state, body)
    if isinstance(body, StepDone) and body.seen is not None:
        outcome = removals.review(transmission, state, body)
        if not outcome.accepted:
            return outcome
        transmission = as_logged(transmission, state, body)
    stage = _stage(transmission, body)
    outcome = ACCEPTED if stage is None else _BY_STAGE[stage](transmission, state, entry)
    return review_coupled(transmission, state, entry) if outcome.accepted else outcome


def _stage(transmission: Transmission, body: Body) -> Stage | None:
    if isinstance(body, StepDone | StepSkipped):
        return Stage.TEARDOWN if transmission.step(body.step).phase == "teardown" else Stage.BUILD
    if isinstance(body, Reading | FormSet | FormTaken | Look | NotMeasured):
        return Stage.INSPECT
    return Stage.DIAGNOSE if body.kind == "killer_cleared" else body.STAGE


def _review_undo(transmission: Transmission, state: JobState, body: Undone) -> Outcome:
    target = next((entry for entry in state.entries if entry.id == body.target), None)
    if target is None:
        return object_to("The entry to undo is not in this job's log.")
    if target.id in state.undone:
        return object_to("That entry is undone already.")
    if target.body.kind == "job_opened":
        return object_to("The opening of a job cannot be undone.")
    if isinstance(target.body, Undone):
        return _review_restored(transmission, state, target.body)
    standing = stands_on(transmission, state, target)
    return object_to(f"Undo first: {'; '.join(standing)}.") if standing else ACCEPTED


def _review_restored(transmission: Transmission, state: JobState, undo: Undone) -> Outcome:
    """An undo is undone only where the entry that would count again could be said now."""
    restored = next(entry for entry in state.entries if entry.id == undo.target)
    try:
        return review(transmission, state, restored)
    except Unknown as gone:
        return object_to(f"That entry cannot count again: {gone}")


def _closed(state: JobState, body: Body) -> Outcome:
    """Once the unit is released its story stands; only words, pictures and the undoing of the release join it."""
    if not state.bodies(Released):
        return ACCEPTED
    about = body
    if isinstance(body, Undone):
        about = next((entry.body for entry in state.entries if entry.id == body.target), body)
    if isinstance(about, Note | Photo | Waiting | Released):
        return ACCEPTED
    return object_to("The unit is released. Undo the release first, and say why; then go on.")
