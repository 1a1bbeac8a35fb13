"""Fits that no longer hold, because something that they rest on was changed after they were measured."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from countershaft.job.custody import pieces
from countershaft.job.entry import Chosen, Entry, Moved, PartDecided, StepDone, Tightened, Undone
from countershaft.job.state import JobState
from countershaft.model.fit_methods import TwoSidedShims
from countershaft.model.fits import Fit
from countershaft.model.transmission import Transmission
from countershaft.planning.voids import voided_fits

__all__ = ["Void", "rests_on", "void_of"]


@dataclass(frozen=True, slots=True)
class Void:
    """Why the first measurement of a fit no longer holds, or only the one that closed it; empty where it does."""

    first: str = ""
    last: str = ""


def rests_on(transmission: Transmission, fit: Fit) -> tuple[str, ...]:
    """What a fit rests on by the file: what it names, what its dimensions are measured on, the plates of its pack."""
    named = [*fit.rests_on, *(one.part for one in fit.gap if one.part is not None)]
    for pack in transmission.packs:
        if pack.clearance == fit.id:
            named += [row.part for row in (pack.friction, pack.steel) if row.part is not None]
            named += [plate.part for plate in pack.others if plate.part is not None]
    selective = {fit.part, fit.by.right_part if isinstance(fit.by, TwoSidedShims) else None}
    return tuple(dict.fromkeys(name for name in named if name not in selective))


def void_of(
    transmission: Transmission, state: JobState, fit: Fit, measured: Entry | None, last: Entry | None
) -> Void:
    """What of a fit no longer holds.

    What closed it rests on more than the first measurement: on its own selective part, and on those of fits that its
    gap hangs on as well.
    """
    names = {name: _words(transmission, name) for name in rests_on(transmission, fit)}
    if measured is None or (not names and last is None):
        return Void()
    at = {entry.id: number for number, entry in enumerate(state.entries)}
    first = _void(transmission, state, fit, names, at[measured.id], at) if names else ""
    if first or last is None:
        return Void(first)
    more = {name: _words(transmission, name) for name in (fit.part, *(one.fit for one in fit.also))}
    return Void("", _void(transmission, state, fit, more, at[last.id], at))


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
        elif isinstance(body, Chosen) and body.fit != fit.id and not _same(state, body, number, at):
            yield number, body.fit
        elif isinstance(body, StepDone):
            yield from ((number, name) for name in _by_step(transmission, fit, body))
        elif isinstance(body, Undone) and at[body.target] < when:
            yield from ((number, name) for name in _undone(transmission, by_id[body.target]))


def _same(state: JobState, body: Chosen, number: int, at: dict[str, int]) -> bool:
    """Whether the same piece was chosen there before."""
    before = [
        one
        for entry, one in state.of(Chosen)
        if (one.fit, one.side) == (body.fit, body.side) and at[entry.id] < number
    ]
    return bool(before) and (before[-1].size_mm, before[-1].piece) == (body.size_mm, body.piece)


def _by_step(transmission: Transmission, fit: Fit, body: StepDone) -> Iterator[str]:
    """Parts and joints that a step takes off, and parts that went in new; the step that measures the fit is its own."""
    step = next((one for one in transmission.steps if one.id == body.step), None)
    if step is None or fit.id in step.record:
        return
    if step.phase == "teardown":
        yield from pieces(transmission, step)
        yield from step.loosen
    # A new part that was at hand when the fit was measured is the one that it was measured with.
    own = [one for one in transmission.steps if fit.id in one.record]
    known = {part for one in own for part in (*one.parts_needed, *pieces(transmission, one))}
    yield from (name for name in body.new if name not in known)


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
    named = {one.id: one.name for one in transmission.all_fits}
    named |= {one.id: one.name for one in transmission.fasteners}
    named |= {one.id: one.name for one in transmission.parts}
    return named.get(name, name)
