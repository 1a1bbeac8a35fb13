"""Undo: what stands on an entry must be undone before it, so that no later fact hangs in the air."""

from __future__ import annotations

from countershaft.job.custody import custody, pieces
from countershaft.job.entry import (
    Chosen,
    Dimensions,
    Entry,
    FitLeft,
    FitMeasured,
    HeightsSeen,
    HoleMarked,
    Moved,
    PieceMeasured,
    Remeasured,
    StepDone,
    StepSkipped,
    Tightened,
    Trial,
)
from countershaft.job.state import JobState, fold
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission
from countershaft.stages.fit import chain
from countershaft.stages.stock import held
from countershaft.stages.work import behind, only_seen

__all__ = ["stands_on"]


def stands_on(transmission: Transmission, state: JobState, target: Entry) -> tuple[str, ...]:
    """What stands on a live entry, in words; empty where it can be undone.

    A fact that another live entry says too carries nothing alone.
    """
    body = target.body
    if isinstance(body, Moved):
        return _on_place(transmission, state, target)
    if isinstance(body, StepDone | StepSkipped):
        later = _on_step(transmission, state, transmission.step(body.step))
        return later or _on_place(transmission, state, target)
    if isinstance(body, Trial | Dimensions | FitMeasured | Chosen | Remeasured | FitLeft):
        return _on_fit(transmission, state, target, body.fit)
    if isinstance(body, PieceMeasured):
        return _on_piece(transmission, state, target, body)
    if isinstance(body, HeightsSeen | HoleMarked):
        return _on_look(transmission, state, body.joint)
    if isinstance(body, Tightened):
        return _on_round(transmission, state, target, body)
    return ()


def _on_step(transmission: Transmission, state: JobState, step: Step) -> tuple[str, ...]:
    """Steps that need it, and for what came off the build steps that put it back."""
    said: list[StepDone | StepSkipped] = [*state.bodies(StepDone), *state.bodies(StepSkipped)]
    if sum(body.step == step.id for body in said) > 1:
        return ()
    off = set(pieces(transmission, step)) if step.phase == "teardown" else set()
    later = [transmission.step(other) for other in behind(state) if other != step.id]
    return tuple(
        _named(one)
        for one in later
        if (step.id in one.needs and not only_seen(transmission, step.id, one.id))
        or (one.phase == "build" and off.intersection(pieces(transmission, one)))
    )


def _on_place(transmission: Transmission, state: JobState, target: Entry) -> tuple[str, ...]:
    """Moves that would start from where nothing lies any more."""
    without = fold(entry for entry in state.entries if entry.id != target.id)
    if len(custody(transmission, without).void) <= len(custody(transmission, state).void):
        return ()
    body = target.body
    moved = {(one.sort, one.what): entry for entry, one in state.of(Moved) if entry.id != target.id}
    about = {("part", placed.part) for placed in body.placed} if isinstance(body, StepDone) else set()
    about |= (
        {("joint", joint) for joint in transmission.step(body.step).loosen}
        if isinstance(body, StepDone)
        else set()
    )
    about |= {(body.sort, body.what)} if isinstance(body, Moved) else set()
    return tuple(f"the move by {_who(entry)}" for key, entry in moved.items() if key in about)


def _on_fit(transmission: Transmission, state: JobState, target: Entry, fit_id: str) -> tuple[str, ...]:
    """The choice that stands on a measurement, the re-measurement on a choice, the step on a closed fit."""
    measured, chosen, remeasured = chain(state, fit_id)
    name = transmission.fit(fit_id).name
    if target is measured and chosen is not None:
        return (f"{name}, chosen by {_who(chosen)}",)
    if target is chosen and remeasured is not None:
        return (f"{name}, re-measured by {_who(remeasured)}",)
    if target is remeasured:
        built = [transmission.step(key) for key in state.done_steps]
        return tuple(_named(one) for one in built if one.phase == "build" and fit_id in one.record)
    return ()


def _on_piece(
    transmission: Transmission, state: JobState, target: Entry, body: PieceMeasured
) -> tuple[str, ...]:
    """The fit that a measured piece is chosen for."""
    if any(one.label == body.label and entry is not target for entry, one in state.of(PieceMeasured)):
        return ()
    return tuple(
        f"{transmission.fit(one.fit).name}, chosen by {_who(one.entry)}"
        for one in held(state)
        if one.piece == body.label
    )


def _on_round(transmission: Transmission, state: JobState, target: Entry, body: Tightened) -> tuple[str, ...]:
    """A later round of the joint, or the step that was done because the joint was through."""
    others = [
        (entry, one) for entry, one in state.of(Tightened) if one.joint == body.joint and entry is not target
    ]
    again = {place for _, one in others if one.round == body.round for place in one.places}
    if again.issuperset(body.places):
        return ()
    joint = transmission.joint(body.joint)
    rounds = sorted({one.round for _, one in others if one.round > body.round})
    built = [transmission.step(key) for key in state.done_steps]
    return (
        *(_named(one) for one in built if one.phase == "build" and body.joint in one.tighten),
        *(f"round {number} of {joint.name}" for number in rounds),
    )


def _on_look(transmission: Transmission, state: JobState, joint_id: str) -> tuple[str, ...]:
    """The rounds that were given because the heads stood right, in the order that the marks gave."""
    rounds = sorted({body.round for body in state.bodies(Tightened) if body.joint == joint_id})
    return tuple(f"round {number} of {transmission.joint(joint_id).name}" for number in rounds)


def _named(step: Step) -> str:
    return f"{step.id} {step.title}"


def _who(entry: Entry) -> str:
    return f"{entry.by} at {entry.at:%d %b %H:%M}"
