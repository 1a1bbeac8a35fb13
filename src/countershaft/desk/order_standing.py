"""How a job stands for the planner: which steps are behind, how the unit lies, what is late, what cannot be done."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

from countershaft.errors import GoalOutOfReach, Unknown
from countershaft.job.entry import StepDone, StepSkipped
from countershaft.job.state import JobState
from countershaft.model.bench_work import AS_WRITTEN, bench_work
from countershaft.model.parts import Part
from countershaft.model.steps import Piece, Step
from countershaft.model.transmission import Transmission
from countershaft.planning.waiting import Reality
from countershaft.planning.work import Need, Start, Work
from countershaft.stages.order import impossible_steps, late_parts
from countershaft.stages.work import Phase, behind

__all__ = ["goals_of", "part_called", "reality_given", "reality_of", "waits_for_teardown"]


def reality_of(transmission: Transmission, state: JobState, phase: Phase) -> Reality:
    """What a job's log says: a step that was skipped is behind, and how the last step left the unit is how it lies."""
    work = bench_work(transmission, phase)
    said = [one.body for one in state.live if isinstance(one.body, StepDone | StepSkipped)]
    done = frozenset(
        name
        for body in said
        for name in _planned(work, body.step, body.way if isinstance(body, StepDone) else "")
    )
    late = late_parts(state)
    lies, tools = _left_as(transmission, [body for body in said if isinstance(body, StepDone)])
    return Reality(
        start=Start(done, lies, tools),
        late=frozenset(part for part, (_, body) in late.items() if body.how == "late"),
        broken=frozenset(part for part, (_, body) in late.items() if body.how == "broken"),
        impossible=frozenset(
            name
            for _, body in impossible_steps(state)
            for name in (_planned(work, body.step, body.way) if body.way else _every_way(work, body.step))
        ),
    )


def reality_given(
    transmission: Transmission,
    phase: Phase,
    *,
    done: Sequence[str] = (),
    late: Sequence[str] = (),
    impossible: Sequence[str] = (),
) -> Reality:
    """The same from names that were typed; raises Unknown with the nearest name."""
    work = bench_work(transmission, phase)
    for name in (*done, *impossible):
        if not _every_way(work, name):
            work.ways(name)
    return Reality(
        start=Start(frozenset(name for one in done for name in _planned(work, *_step_and_way(one)))),
        late=frozenset(part_called(transmission, name).id for name in late),
        impossible=frozenset(name for one in impossible for name in _every_way(work, one)),
    )


def goals_of(transmission: Transmission, phase: Phase, name: str) -> tuple[Need, ...]:
    """What reaches a part or step: every step of the phase that takes pieces of the part off, or puts them on.

    Raises Unknown with the nearest name, GoalOutOfReach where no step of the phase touches the part.
    """
    if any(step.id == name for step in transmission.phase(phase)):
        return (Need((name,)),)
    part = part_called(transmission, name)
    steps = [step for step in transmission.phase(phase) if any(one.part == part.id for one in _moved(step))]
    if not steps:
        does = "takes off" if phase == "teardown" else "puts on"
        raise GoalOutOfReach(
            f"no step of the {phase} {does} {part.id} {part.name}; name another part, or add the step to the file."
        )
    return tuple(Need((step.id,)) for step in steps)


def waits_for_teardown(transmission: Transmission, state: JobState) -> frozenset[str]:
    """Build steps that put on what an open step of the teardown has still to take off."""
    over = set(behind(state))
    still_in = {
        one.part for step in transmission.phase("teardown") if step.id not in over for one in step.off
    }
    return frozenset(
        step.id for step in transmission.phase("build") if still_in.intersection(one.part for one in step.on)
    )


def part_called(transmission: Transmission, name: str) -> Part:
    """The part of that id, or the one part of that name; raises Unknown with the nearest."""
    asked = name.strip().casefold()
    by_id = next((part for part in transmission.parts if part.id.casefold() == asked), None)
    called = [part for part in transmission.parts if part.name.casefold() == asked]
    if by_id is not None or len(called) == 1:
        return by_id or called[0]
    if called:
        ids = ", ".join(part.id for part in called)
        raise Unknown(
            f"{name!r} is the name of several parts of {transmission.name}: {ids}. Name one by its id."
        )
    words = " or ".join(f"{part.id} {part.name}" for part in _near(transmission, asked))
    cure = f"Did you mean {words}?" if words else "No part or step has a name like it."
    raise Unknown(f"{transmission.name} has no part or step {name!r}. {cure}")


def _near(transmission: Transmission, asked: str) -> tuple[Part, ...]:
    """Up to three parts whose id or name, or a word of it, is nearest to what was asked."""
    known: dict[str, list[Part]] = {}
    for part in transmission.parts:
        for name in dict.fromkeys((part.id.casefold(), part.name.casefold(), *part.name.casefold().split())):
            known.setdefault(name, []).append(part)
    near = get_close_matches(asked, known, n=3, cutoff=0.6)
    return tuple({part.id: part for name in near for part in known[name]}.values())[:3]


def _moved(step: Step) -> tuple[Piece, ...]:
    return (*step.off, *step.on)


def _step_and_way(name: str) -> tuple[str, str]:
    step, _, way = name.partition("/")
    return step, way


def _every_way(work: Work, name: str) -> tuple[str, ...]:
    """The planned steps that a name stands for; none where the phase has no such step."""
    known = name in work.step_of or name in work.choice_of
    return work.ways(name) if known else ()


def _planned(work: Work, step: str, way: str) -> tuple[str, ...]:
    """The one planned step for a step done in a way; none where it is of another phase."""
    named = f"{step}/{way or AS_WRITTEN}"
    return (named,) if named in work.step_of else _every_way(work, step)[:1]


def _left_as(transmission: Transmission, done: Sequence[StepDone]) -> tuple[str | None, frozenset[str]]:
    """How the unit lies and which tools are out after what was done."""
    lies: str | None = None
    tools: frozenset[str] = frozenset()
    works = [bench_work(transmission, phase) for phase in ("teardown", "build")]
    for body in done:
        for work in works:
            for name in _planned(work, body.step, body.way):
                lies = work.step_of[name].lies or lies
                tools = work.step_of[name].tools or tools
    return lies, tools
