"""Steps of work, for teardown and build alike: which is done, which can be done now, what each still needs."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from countershaft.job.entry import (
    ConverterDepths,
    Entry,
    FitLeft,
    FormTaken,
    HousingSwept,
    Look,
    NotMeasured,
    Reading,
    Remeasured,
    StepDone,
    StepSkipped,
)
from countershaft.job.state import JobState
from countershaft.model.derived import BACK
from countershaft.model.steps import Step, Way
from countershaft.model.transmission import Transmission
from countershaft.planning.precedence import cycle, order
from countershaft.stages.order import followed_order

__all__ = ["Phase", "StepState", "Work", "behind", "only_seen", "recorded", "work"]

Phase = Literal["teardown", "build"]


@dataclass(frozen=True, slots=True)
class StepState:
    """One step of the plan and how it stands.

    `ahead` are open steps that until now always came first, though nobody says that they must: a step that is open
    can be done ahead of them.  `ways` are the other ways of doing it that are free now; a step whose own needs are
    open and that has such a way is open.
    """

    step: Step
    how: Literal["done", "skipped", "open", "blocked"]
    blockers: tuple[Step, ...]
    entry: Entry | None = None
    because: str = ""
    ahead: tuple[Step, ...] = ()
    ways: tuple[Way, ...] = ()


@dataclass(frozen=True, slots=True)
class Work:
    """All steps of one phase in an order that obeys what each needs."""

    phase: Phase
    steps: tuple[StepState, ...]

    @property
    def next(self) -> StepState | None:
        """The first step that can be done now."""
        return next((one for one in self.steps if one.how == "open"), None)

    @property
    def behind(self) -> int:
        """How many steps are done or skipped."""
        return sum(one.how in ("done", "skipped") for one in self.steps)

    @property
    def complete(self) -> bool:
        """Every step is done or skipped."""
        return self.behind == len(self.steps)

    def find(self, step_id: str) -> StepState | None:
        """The step of that id, if it belongs to this phase."""
        return next((one for one in self.steps if one.step.id == step_id), None)

    def neighbours(self, step_id: str) -> tuple[StepState | None, StepState | None]:
        """The steps before and after one, in the order of the plan."""
        ids = [one.step.id for one in self.steps]
        at = ids.index(step_id)
        return (self.steps[at - 1] if at else None, self.steps[at + 1] if at + 1 < len(ids) else None)


def work(transmission: Transmission, state: JobState, phase: Phase) -> Work:
    """The plan of one phase with the job's progress on it.

    The build follows the teardown turned round, as it really happened, wherever the file leaves it free; an order that
    somebody chose to follow comes before both.
    """
    steps = {step.id: step for step in transmission.phase(phase)}
    first = _turned_round(transmission, state, steps) if phase == "build" else list(steps)
    said = tuple(dict.fromkeys(one for one in followed_order(state, phase) if one in steps))
    planned = order(_needs(steps), first=(*said, *(key for key in first if key not in said)))
    done = {body.step: entry for entry, body in state.of(StepDone)}
    skipped = {body.step: (entry, body) for entry, body in state.of(StepSkipped)}
    behind = set(done) | set(skipped)
    found: list[StepState] = []
    for key in planned:
        step = steps[key]
        if key in done:
            found.append(StepState(step, "done", (), done[key]))
        elif key in skipped:
            entry, body = skipped[key]
            found.append(StepState(step, "skipped", (), entry, body.because))
        else:
            found.append(_standing(transmission, step, _waits(step, planned, behind), behind))
    return Work(phase, tuple(found))


def _standing(
    transmission: Transmission, step: Step, needed: Sequence[str], behind: Collection[str]
) -> StepState:
    """A step that is neither done nor skipped: what it waits for, and in which other ways it can be done."""
    waits = [transmission.step(need) for need in needed]
    ahead = tuple(one for one in waits if only_seen(transmission, one.id, step.id))
    blockers = tuple(one for one in waits if one not in ahead)
    over = set(behind)
    ways = tuple(
        way
        for way in step.alternatives
        if over.issuperset(step.needs if way.needs is None else way.needs)
        and not any(over.isdisjoint(group) for group in step.either)
    )
    how: Literal["open", "blocked"] = "blocked" if blockers and not ways else "open"
    return StepState(step, how, blockers, ahead=ahead, ways=ways)


def _turned_round(transmission: Transmission, state: JobState, steps: Mapping[str, Step]) -> list[str]:
    """The build in the order in which the parts really came off, the last first.

    A step that puts on several parts stands where the first of them came off; one that puts on none, or only parts
    that did not come off in the teardown, stays behind the step before it in the file.
    """
    came_off: dict[str, int] = {}
    for place, body in enumerate(state.bodies(StepDone)):
        step = transmission.step(body.step)
        for piece in step.off if step.phase == "teardown" else ():
            came_off.setdefault(piece.part, place)
    rank, ranks = -len(came_off) - len(state.live), dict[str, int]()
    for key, step in steps.items():
        places = [came_off[piece.part] for piece in step.on if piece.part in came_off]
        rank = -min(places) if places else rank
        ranks[key] = rank
    return sorted(steps, key=lambda key: ranks[key])


def _needs(steps: Mapping[str, Step]) -> dict[str, list[str]]:
    """What comes first, and of an `either` the way that comes first in the file and leads in no circle."""
    needs = {key: [need for need in step.needs if need in steps] for key, step in steps.items()}
    for key, step in steps.items():
        for group in step.either:
            if all(one in steps for one in group):
                ways = (one for one in steps if one in group)
                needs[key] = next(
                    (tried for way in ways if cycle({**needs, key: (tried := [*needs[key], way])}) is None),
                    needs[key],
                )
    return needs


def _waits(step: Step, planned: Sequence[str], behind: Collection[str]) -> list[str]:
    """What a step still waits for; of an `either` the way that comes first in the plan."""
    waits = [need for need in step.needs if need not in behind]
    waits += [
        min(group, key=lambda one: planned.index(one) if one in planned else -1)
        for group in step.either
        if not any(one in behind for one in group)
    ]
    return list(dict.fromkeys(waits))


def only_seen(transmission: Transmission, before: str, after: str) -> bool:
    """Whether a need comes from watched teardowns alone; a build that puts back has the same needs turned round."""
    observed = transmission.observed
    if observed is None:
        return False
    if before.endswith(BACK) and after.endswith(BACK):
        return observed.only_seen(after.removesuffix(BACK), before.removesuffix(BACK))
    return observed.only_seen(before, after)


def recorded(state: JobState, key: str, *, phase: Phase) -> bool:
    """Whether a limit or fit that a step asks for has an answer that belongs to that phase."""
    when = "as found" if phase == "teardown" else "as left"
    for entry in state.answers(key):
        body = entry.body
        if isinstance(body, NotMeasured) or (
            isinstance(body, Reading | FormTaken | Look | HousingSwept | ConverterDepths)
            and body.when == when
        ):
            return True
    closed = {body.fit for body in state.bodies(Remeasured)} | {body.fit for body in state.bodies(FitLeft)}
    return phase == "build" and key in closed


def behind(state: JobState) -> tuple[str, ...]:
    """Steps that are done or skipped, the first that was done or skipped first."""
    return tuple(
        dict.fromkeys(
            body.step
            for body in (entry.body for entry in state.live)
            if isinstance(body, StepDone | StepSkipped)
        )
    )
