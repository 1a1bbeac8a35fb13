"""Teardown: one step at a time, every piece to a tagged place, everything measured before it is disturbed."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import Final

from countershaft.job.custody import Custody, custody, pieces
from countershaft.job.entry import Entry, StepDone, StepSkipped
from countershaft.job.state import JobState
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.stages.places import review_stowed
from countershaft.stages.work import Work, recorded, work

__all__ = ["Teardown", "open_records", "review", "review_count", "review_step", "survey"]

#: "no. 8" names one piece; it is not a count.
_NAMED: Final = re.compile(r"\bno\.\s*\d+")


@dataclass(frozen=True, slots=True)
class Teardown:
    """The plan of the teardown, how far it is, and where everything lies."""

    work: Work
    custody: Custody

    @property
    def complete(self) -> bool:
        """Every step is done or skipped."""
        return self.work.complete


def survey(transmission: Transmission, state: JobState) -> Teardown:
    """Teardown as its page shows it."""
    return Teardown(work(transmission, state, "teardown"), custody(transmission, state))


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a teardown entry may join the log."""
    body = entry.body
    if not isinstance(body, StepDone | StepSkipped):
        return ACCEPTED
    outcome = review_step(transmission, state, body)
    if not outcome.accepted or not isinstance(body, StepDone):
        return outcome
    step = transmission.step(body.step)
    outcome = _review_pieces(transmission, step, body)
    if outcome.accepted:
        outcome = review_stowed(transmission, state, step, body.stowed, body.written)
    return outcome if not outcome.accepted else review_count(step, body)


def review_step(transmission: Transmission, state: JobState, body: StepDone | StepSkipped) -> Outcome:
    """What teardown and build ask of every step: its needs, its counts, its measurements."""
    step = transmission.step(body.step)
    one = work(transmission, state, step.phase).find(step.id)
    assert one is not None, "the step was found in its own phase"
    if one.how in ("done", "skipped"):
        return object_to(f"{step.id} {step.title!r} is {one.how} already. Undo that first, if it is wrong.")
    if one.how == "blocked":
        first = "; ".join(f"{need.id} {need.title}" for need in one.blockers)
        return object_to(f"{step.id} cannot be done yet. Before it: {first}.")
    if isinstance(body, StepSkipped):
        return ACCEPTED
    missing = open_records(state, step)
    if missing:
        names = ", ".join(_name(transmission, key) for key in missing)
        return object_to(
            f"{names} must be measured at this step and has no reading "
            f"{'as found' if step.phase == 'teardown' else 'as left'}. Measure it, or say why it is not measured."
        )
    if step.count and not body.counted:
        return object_to(counted=f"Count aloud and type it: {step.count}.")
    if step.write_down and not body.written:
        return object_to(written=f"Write down: {', '.join(step.write_down)}.")
    return ACCEPTED


def review_count(step: Step, body: StepDone) -> Outcome:
    """A count that differs from what the step asks for needs words."""
    differs = _differs(step.count, body.counted) if step.count and not body.written else ""
    if differs:
        return object_to(counted=differs, written="Write down what is different, and where you looked.")
    return ACCEPTED


def open_records(state: JobState, step: Step) -> tuple[str, ...]:
    """Fits and limits that a step asks for and that have no answer yet."""
    return tuple(key for key in step.record if not recorded(state, key, phase=step.phase))


def _name(transmission: Transmission, key: str) -> str:
    """What a person calls a fit or limit."""
    fit = next((fit for fit in transmission.fits if fit.id == key), None)
    return (fit or transmission.limit(key)).name


def _differs(asked: str, counted: str) -> str:
    """What is wrong with a count; totals are compared, so that "15 and 9" may be typed as 24."""
    wanted, came = (
        [int(number) for number in re.findall(r"\d+", _NAMED.sub("", text))] for text in (asked, counted)
    )
    if not wanted or sum(wanted) == sum(came):
        return ""
    if not came:
        return f"{counted!r} holds no number; type how many you counted."
    return f"You counted {sum(came)}, the step asks for {sum(wanted)}: {asked}. Count again."


def _review_pieces(transmission: Transmission, step: Step, body: StepDone) -> Outcome:
    """Every piece that the step takes off has a place; a shortfall needs words."""
    asked = pieces(transmission, step)
    placed: Counter[str] = Counter()
    for one in body.placed:
        placed[one.part] += one.count
    strangers = [part for part in placed if part not in asked]
    if strangers:
        return object_to(
            f"{strangers[0]!r} does not come off at {step.id}; it takes off {', '.join(asked) or 'nothing'}."
        )
    for part, count in asked.items():
        name = transmission.part(part).name
        if placed[part] > count:
            return object_to(
                f"{placed[part]} × {name} were placed, but this step takes off {count}. Count again."
            )
        if placed[part] < count and not body.written:
            sticks = transmission.part(part).sticks_to
            where = f" It may have stayed on: {sticks}." if sticks else ""
            return object_to(
                written=f"{placed[part]} of {count} × {name} have a place.{where} "
                "Look for the rest, or write down what was found instead."
            )
    return ACCEPTED
