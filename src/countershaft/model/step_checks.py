"""What steps name: steps, parts, joints, fits, limits and orientations that must be there, and keys of their phase."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.model.finding import Finding, Loc
from countershaft.model.names import Names, unknown
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission

__all__ = ["observed_names", "step_names", "step_needs", "step_phases"]


def step_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    """Names in a step that lead nowhere, but for its needs."""
    for index, step in enumerate(transmission.steps):
        here: Loc = ("steps", index)
        for key in ("off", "on"):
            for place, piece in enumerate(getattr(step, key)):
                yield from unknown((*here, key, place, "part"), "part", piece.part, names.parts)
        for key in ("parts_needed", "drops", "sticks"):
            for place, part in enumerate(getattr(step, key)):
                yield from unknown((*here, key, place), "part", part, names.parts)
        for key in ("loosen", "tighten"):
            for place, joint in enumerate(getattr(step, key)):
                yield from unknown((*here, key, place), "joint", joint, names.joints)
        for place, record in enumerate(step.record):
            yield from unknown((*here, "record", place), "fit or limit", record, (*names.fits, *names.limits))
        for place, hidden in enumerate(step.hides):
            known = (*names.fits, *names.limits, *names.steps)
            yield from unknown((*here, "hides", place), "fit, limit or step", hidden, known)
        yield from _orientations(transmission, here, step)


def _orientations(transmission: Transmission, here: Loc, step: Step) -> Iterator[Finding]:
    """How the unit lies, where the file lists how it can."""
    listed = transmission.about.orientations
    if not listed:
        return
    places: list[tuple[Loc, str | None]] = [((*here, "lies"), step.lies)]
    places += [
        ((*here, "alternatives", index, "lies"), way.lies) for index, way in enumerate(step.alternatives)
    ]
    for loc, lies in places:
        if lies is not None:
            yield from unknown(loc, "orientation", lies, listed)


def step_needs(step: Step) -> Iterator[tuple[Loc, str]]:
    """Every step that a step names as coming before it, with the place below the step."""
    for place, need in enumerate(step.needs):
        yield ("needs", place), need
    for group, members in enumerate(step.either):
        yield from ((("either", group, place), need) for place, need in enumerate(members))
    for index, way in enumerate(step.alternatives):
        for place, need in enumerate(way.needs or ()):
            yield ("alternatives", index, "needs", place), need


def step_phases(transmission: Transmission, names: Names) -> Iterator[Finding]:
    """Needs that lead nowhere or ahead of their phase, and keys that belong to the other phase."""
    phases = {step.id: step.phase for step in transmission.steps}
    for index, step in enumerate(transmission.steps):
        here: Loc = ("steps", index)
        for below, need in step_needs(step):
            yield from unknown((*here, *below), "step", need, names.steps)
            if step.phase == "teardown" and phases.get(need) == "build":
                yield Finding(
                    (*here, *below),
                    f"teardown step {step.id} needs build step {need}",
                    cure="Take the need out, or correct the phase of one of the two.",
                )
        for below, later in _ends(step):
            yield from unknown((*here, *below), "step", later, names.steps)
        for key in ("on", "tighten") if step.phase == "teardown" else ("off", "loosen"):
            if getattr(step, key):
                yield Finding(
                    (*here, key),
                    f"a {step.phase} step has no {key!r}",
                    expected="off and loosen in a teardown step, on and tighten in a build step",
                    cure="Correct the key, or the phase of the step.",
                )


def _ends(step: Step) -> Iterator[tuple[Loc, str]]:
    for place, hold in enumerate(step.holds):
        yield ("holds", place, "until"), hold.until
    if step.open_time is not None:
        yield ("open_time", "until"), step.open_time.until


def observed_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    """Steps and parts in the record of watched teardowns that are not there."""
    observed = transmission.observed
    if observed is None:
        return
    for index, watched in enumerate(observed.teardowns):
        for place, step in enumerate(watched.order):
            yield from unknown(("observed", "teardowns", index, "order", place), "step", step, names.steps)
    for key in ("fixed", "loosened"):
        for index, pair in enumerate(getattr(observed, key)):
            yield from unknown(("observed", key, index, "before"), "step", pair.before, names.steps)
            yield from unknown(("observed", key, index, "after"), "step", pair.after, names.steps)
    for part in observed.also_called:
        yield from unknown(("observed", "also_called", part), "part", part, names.parts)
