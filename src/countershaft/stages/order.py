"""The order of work as things stand: which parts are late, which steps cannot be done, which order is followed."""

from __future__ import annotations

from countershaft.job.entry import (
    Entry,
    OrderFollowed,
    PartLate,
    StepDone,
    StepImpossible,
    StepSkipped,
)
from countershaft.job.state import JobState
from countershaft.model.transmission import Transmission
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["followed_order", "impossible_steps", "late_parts", "review"]

Said = OrderFollowed | PartLate | StepImpossible


def late_parts(state: JobState) -> dict[str, tuple[Entry, PartLate]]:
    """Each part that is late or broken now, with the entry that says so."""
    found: dict[str, tuple[Entry, PartLate]] = {}
    for entry, body in state.of(PartLate):
        if body.over:
            found.pop(body.part, None)
        else:
            found[body.part] = (entry, body)
    return found


def impossible_steps(state: JobState) -> tuple[tuple[Entry, StepImpossible], ...]:
    """Steps that cannot be done, and are not behind all the same."""
    over = _behind(state)
    return tuple((entry, body) for entry, body in state.of(StepImpossible) if body.step not in over)


def followed_order(state: JobState, phase: str) -> tuple[str, ...]:
    """The order that is followed in a phase; empty where it is that of the file."""
    newest = [body.steps for body in state.bodies(OrderFollowed) if body.phase == phase]
    return newest[-1] if newest else ()


def review(transmission: Transmission, state: JobState, body: Said) -> Outcome:
    """Whether what is said about the order may join the log; raises Unknown for a step or part that is not there."""
    if isinstance(body, PartLate):
        return _review_part(transmission, state, body)
    if isinstance(body, StepImpossible):
        return _review_step(transmission, state, body)
    known = {step.id for step in transmission.phase(body.phase)}
    strange = [name for name in body.steps if name not in known]
    if strange:
        return object_to(f"{', '.join(strange)}: no step of the {body.phase}. Plan it again and follow that.")
    return ACCEPTED


def _review_part(transmission: Transmission, state: JobState, body: PartLate) -> Outcome:
    part = transmission.part(body.part)
    late = late_parts(state)
    if body.over and part.id not in late:
        return object_to(f"{part.id} {part.name} is not late; there is nothing to end.")
    if not body.over and part.id in late and late[part.id][1] == body:
        return object_to(f"{part.id} {part.name} is said to be {body.how} already.")
    return ACCEPTED


def _review_step(transmission: Transmission, state: JobState, body: StepImpossible) -> Outcome:
    step = transmission.step(body.step)
    if step.id in _behind(state):
        return object_to(f"{step.id} {step.title!r} is behind already. Undo that first, if it is wrong.")
    ways = [way.id for way in step.alternatives]
    if body.way and body.way not in (*ways, "as-written"):
        known = ", ".join(ways) or "it has one way only"
        return object_to(way=f"{body.way!r} is no way of doing {step.id}: {known}.")
    if any(one.step == body.step and one.way in ("", body.way) for _, one in impossible_steps(state)):
        return object_to(f"{step.id} {step.title!r} is said to be impossible already.")
    return ACCEPTED


def _behind(state: JobState) -> set[str]:
    """Steps that are done or skipped."""
    done = {body.step for body in state.bodies(StepDone)}
    return done | {body.step for body in state.bodies(StepSkipped)}
