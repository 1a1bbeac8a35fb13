"""What a step puts out of reach: checks that cannot be made after it, and sealants that do not wait."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from countershaft.job.entry import Entry, StepDone
from countershaft.job.state import JobState
from countershaft.model.steps import Hold, Step
from countershaft.model.transmission import Transmission
from countershaft.stages.fit import follow
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.stages.work import behind, recorded

__all__ = ["Laid", "Unchecked", "held_now", "laid", "review_hidden", "review_laid", "unchecked"]


@dataclass(frozen=True, slots=True)
class Unchecked:
    """What a step hides and nobody has checked: a step, a fit or a limit by its id, and what is missing, in words."""

    sort: Literal["step", "fit", "limit"]
    key: str
    words: str


@dataclass(frozen=True, slots=True)
class Laid:
    """A sealant that was laid: the step that must be done before it is too late, and when that is."""

    step: Step
    what: str
    until: Step
    at: datetime
    minutes: int

    @property
    def deadline(self) -> datetime:
        """The last moment at which the step may be done."""
        return self.at + timedelta(minutes=self.minutes)

    @property
    def words(self) -> str:
        """What was laid and how long it stays workable."""
        return (
            f"{self.what[0].upper()}{self.what[1:]} was laid at {self.at:%H:%M} and stays open for {self.minutes} min: "
            f"{self.until.id} {self.until.title} by {self.deadline:%H:%M}."
        )


def unchecked(transmission: Transmission, state: JobState, step: Step) -> tuple[Unchecked, ...]:
    """What a step hides and nobody has checked, done, or given a reason for."""
    over = set(behind(state))
    steps = {one.id: one for one in transmission.steps}
    fits = {fit.id: fit for fit in transmission.all_fits}
    found: list[Unchecked] = []
    for key in step.hides:
        if key in steps:
            if key not in over:
                found.append(Unchecked("step", key, f"{key} {steps[key].title} (not done)"))
        elif key in fits:
            closed = step.phase == "teardown" or follow(transmission, state, fits[key]).closed
            if not (recorded(state, key, phase=step.phase) and closed):
                lacks = "not measured" if step.phase == "teardown" else "not closed"
                found.append(Unchecked("fit", key, f"{fits[key].name} ({lacks})"))
        elif not recorded(state, key, phase=step.phase) and not state.answers(key):
            found.append(Unchecked("limit", key, f"{transmission.limit(key).name} (not checked)"))
    return tuple(found)


def review_hidden(transmission: Transmission, state: JobState, step: Step, body: StepDone) -> Outcome:
    """A step that hides an unchecked place is stopped, unless a reason is given."""
    found = unchecked(transmission, state, step)
    if found and not body.unchecked:
        named = "; ".join(one.words for one in found)
        return object_to(
            unchecked=f"{step.id} hides what is not checked: {named}. Check it first, or say why it stays unchecked."
        )
    return ACCEPTED


def laid(transmission: Transmission, state: JobState) -> tuple[Laid, ...]:
    """Sealants that were laid and whose step is not done yet, the one that is due first standing first."""
    over = set(behind(state))
    found = []
    for key, entry in state.done_steps.items():
        step = transmission.step(key)
        time = step.open_time
        if time is not None and time.until not in over:
            found.append(Laid(step, time.what, transmission.step(time.until), entry.at, time.minutes))
    return tuple(sorted(found, key=lambda one: one.deadline))


def review_laid(transmission: Transmission, state: JobState, step: Step, entry: Entry) -> Outcome:
    """A step that comes after the open time of a sealant needs a word."""
    body = entry.body
    assert isinstance(body, StepDone)
    for one in laid(transmission, state):
        late = entry.at - one.deadline
        if one.until.id == step.id and late > timedelta() and not body.written:
            minutes = -(-late.total_seconds() // 60)
            return object_to(
                written=f"{one.what[0].upper()}{one.what[1:]} was laid at {one.at:%H:%M} and was open until "
                f"{one.deadline:%H:%M}, {minutes:.0f} min ago. Clean it off and lay it anew (undo {one.step.id}), or "
                "write down why it still seals."
            )
    return ACCEPTED


def held_now(transmission: Transmission, state: JobState) -> tuple[tuple[Step, Hold], ...]:
    """What is held at this moment: its step is done, and the step until which it is held is not."""
    over = set(behind(state))
    return tuple(
        (transmission.step(key), hold)
        for key in state.done_steps
        for hold in transmission.step(key).holds
        if hold.until not in over
    )
