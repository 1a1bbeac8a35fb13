"""Teardown: one step at a time, every piece to a tagged place, everything measured before it is disturbed."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import Final

from countershaft.job.custody import Custody, custody, pieces
from countershaft.job.entry import AllOff, Entry, StepDone, StepSkipped
from countershaft.job.removals import all_is_off, has_no_file
from countershaft.job.state import JobState
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission
from countershaft.stages.hidden import review_hidden
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.stages.places import review_stowed
from countershaft.stages.work import StepState, Work, recorded, work

__all__ = ["Teardown", "open_records", "review", "review_count", "review_step", "survey"]

#: "no. 8" names one piece; it is not a count.
_NAMED: Final = re.compile(r"\bno\.\s*\d+")


@dataclass(frozen=True, slots=True)
class Teardown:
    """The plan of the teardown, how far it is, and where everything lies.

    `unended` says that no file tells when all is off, and nobody has said so yet.
    """

    work: Work
    custody: Custody
    unended: bool = False

    @property
    def complete(self) -> bool:
        """Every step is done or skipped, and where no file says what they are, somebody said that all is off."""
        return self.work.complete and not self.unended


def survey(transmission: Transmission, state: JobState) -> Teardown:
    """Teardown as its page shows it."""
    unended = has_no_file(transmission, state) and not all_is_off(state)
    return Teardown(work(transmission, state, "teardown"), custody(transmission, state), unended)


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a teardown entry may join the log."""
    body = entry.body
    if isinstance(body, AllOff):
        return _review_all_off(transmission, state)
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


def _review_all_off(transmission: Transmission, state: JobState) -> Outcome:
    if not has_no_file(transmission, state):
        return object_to(
            f"{transmission.name} has a file with its steps; the teardown ends with the last of them."
        )
    if not any(body.seen is not None for body in state.bodies(StepDone)):
        return object_to("Nothing was logged yet. Log what came off; then say that all is off.")
    return ACCEPTED


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
    unsaid = [need for need in one.ahead if need.id not in body.ahead]
    if unsaid:
        return _before_the_usual(transmission, step, unsaid)
    way = _review_way(one, body)
    if not way.accepted:
        return way
    return _review_measured(transmission, state, step, body)


def _review_measured(transmission: Transmission, state: JobState, step: Step, body: StepDone) -> Outcome:
    """What a step asks to be measured, seen before it is hidden, counted and written down."""
    missing = open_records(state, step)
    if missing:
        names = ", ".join(_name(transmission, key) for key in missing)
        return object_to(
            f"{names} must be measured at this step and has no reading "
            f"{'as found' if step.phase == 'teardown' else 'as left'}. Measure it, or say why it is not measured."
        )
    hidden = review_hidden(transmission, state, step, body)
    if not hidden.accepted:
        return hidden
    if step.count and not body.counted:
        return object_to(counted=f"Count aloud and type it: {step.count}.")
    if step.write_down and not body.written:
        return object_to(written=f"Write down: {', '.join(step.write_down)}.")
    return ACCEPTED


def _review_way(one: StepState, body: StepDone) -> Outcome:
    """Done in a way that the file knows and that is free now."""
    free = [way.id for way in one.ways]
    if body.way and body.way not in free:
        known = " or ".join(free) or "the usual way"
        return object_to(way=f"{body.way!r} is no way of doing {one.step.id} now; choose {known}.")
    if one.blockers and not body.way:
        first = "; ".join(f"{need.id} {need.title}" for need in one.blockers)
        return object_to(way=f"The usual way needs first: {first}. Do that, or choose another way.")
    return ACCEPTED


def _before_the_usual(transmission: Transmission, step: Step, waits: list[Step]) -> Outcome:
    """A step that until now always came later than others needs a tick for doing it first."""
    names = "; ".join(f"{one.id} {one.title}" for one in waits)
    count = len(transmission.observed.teardowns) if transmission.observed else 0
    watched = "the teardown that was watched" if count == 1 else f"the {count} teardowns that were watched"
    now = "came off first" if step.phase == "teardown" else "goes on first"
    verb = "came before" if step.phase == "teardown" else "goes on before"
    return object_to(
        ahead=f"By {watched}, this {verb} {step.id}: {names}. Do that first, or tick that {step.id} really {now}."
    )


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
    fit = next((fit for fit in transmission.all_fits if fit.id == key), None)
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
