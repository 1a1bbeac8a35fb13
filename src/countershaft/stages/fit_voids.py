"""Fits that no longer hold, because something that they rest on was changed after they were measured."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.job.custody import pieces
from countershaft.job.entry import Chosen, Entry, Moved, PartDecided, StepDone, Tightened, Undone
from countershaft.job.state import JobState
from countershaft.model.fit_methods import TwoSidedShims
from countershaft.model.fits import Fit
from countershaft.model.transmission import Transmission
from countershaft.planning.voids import voided_fits

__all__ = ["rests_on", "why_void"]


def rests_on(transmission: Transmission, fit: Fit) -> tuple[str, ...]:
    """What a fit rests on by the file: what it names, what its dimensions are measured on, the plates of its pack."""
    named = [*fit.rests_on, *(one.part for one in fit.gap if one.part is not None)]
    named += [coupling.fit for coupling in fit.also]
    for pack in transmission.packs:
        if pack.clearance == fit.id:
            named += [row.part for row in (pack.friction, pack.steel) if row.part is not None]
            named += [plate.part for plate in pack.others if plate.part is not None]
    selective = {fit.part, fit.by.right_part if isinstance(fit.by, TwoSidedShims) else None}
    return tuple(dict.fromkeys(name for name in named if name not in selective))


def why_void(
    transmission: Transmission, state: JobState, fit: Fit, measured: Entry | None, last: Entry | None
) -> str:
    """Why a measurement no longer holds; empty where it does.

    The selective part itself may be changed until the fit is measured again with it in place.
    """
    if measured is None:
        return ""
    names = {name: _words(transmission, name) for name in rests_on(transmission, fit)}
    at = {entry.id: number for number, entry in enumerate(state.entries)}
    found = _void(transmission, state, fit, names, at[measured.id], at)
    if not found and last is not None:
        own = {fit.part: _words(transmission, fit.part)}
        found = _void(transmission, state, fit, own, at[last.id], at)
    return found


def _void(
    transmission: Transmission,
    state: JobState,
    fit: Fit,
    names: dict[str, str],
    when: int,
    at: dict[str, int],
) -> str:
    changed = {
        names[name]: number
        for number, name in _changes(transmission, state, fit, when, at)
        if name in names and number > when
    }
    void = voided_fits({fit.name: names.values()}, measured={fit.name: when}, changed=changed)
    return void[0].why if void else ""


def _changes(
    transmission: Transmission, state: JobState, fit: Fit, when: int, at: dict[str, int]
) -> Iterator[tuple[int, str]]:
    """What was changed in the log, and at which place of it."""
    by_id = {entry.id: entry for entry in state.entries}
    for entry in state.live:
        number, body = at[entry.id], entry.body
        if number <= when:
            continue
        if isinstance(body, PartDecided) and body.decision == "replace":
            yield number, body.part
        elif isinstance(body, Moved) and body.to.how in ("sent out", "scrapped"):
            yield number, body.what
        elif isinstance(body, Chosen) and body.fit != fit.id:
            yield number, body.fit
        elif isinstance(body, StepDone):
            yield from ((number, name) for name in _by_step(transmission, fit, body))
        elif isinstance(body, Undone) and at[body.target] < when:
            yield from ((number, name) for name in _undone(transmission, by_id[body.target]))


def _by_step(transmission: Transmission, fit: Fit, body: StepDone) -> Iterator[str]:
    """Parts and joints that a step takes off, and parts that went in new; the step that measures the fit is its own."""
    step = next((one for one in transmission.steps if one.id == body.step), None)
    if step is None or fit.id in step.record:
        return
    if step.phase == "teardown":
        yield from pieces(transmission, step)
        yield from step.loosen
    yield from body.new


def _undone(transmission: Transmission, target: Entry) -> Iterator[str]:
    """What is open again because an entry no longer counts."""
    body = target.body
    if isinstance(body, Tightened):
        yield body.joint
    elif isinstance(body, StepDone):
        step = next((one for one in transmission.steps if one.id == body.step), None)
        if step is not None:
            yield from pieces(transmission, step)
            yield from step.tighten


def _words(transmission: Transmission, name: str) -> str:
    """What a person calls a part, a joint or a fit."""
    for found in (*transmission.parts, *transmission.fasteners, *transmission.all_fits):
        if found.id == name:
            return found.name
    return name
