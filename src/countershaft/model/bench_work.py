"""The steps of a transmission file as work to plan: needs, holds, ways of doing, and what a change of set-up costs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from countershaft.model.steps import Step, Way
from countershaft.model.transmission import Transmission
from countershaft.planning.work import Choice, Hold, Need, Setup, Work, WorkStep

__all__ = ["AS_WRITTEN", "bench_work", "step_and_way"]

#: The way that the step itself describes, where it has alternatives too.
AS_WRITTEN: Final = "as-written"
MINUTE: Final = 60


def bench_work(transmission: Transmission, phase: str, *, people: int = 2) -> Work:
    """The work of one phase; what an earlier phase has done is not waited for any more.

    A step with alternatives becomes a choice of its own name, and each way a step named T08/puller, or T08/as-written.
    A step whose minutes are not in the file takes no time.
    """
    steps = transmission.phase(phase)
    names = frozenset(step.id for step in steps)
    turning = transmission.about.turning_min
    return Work(
        steps=tuple(one for step in steps for one in _ways(step, names)),
        holds=tuple(hold for step in steps for hold in _holds(step)),
        choices=tuple(
            Choice(step.id, tuple(one.id for one in _ways(step, names)), step.title)
            for step in steps
            if step.alternatives
        ),
        setup=Setup() if turning is None else Setup(turn=turning * MINUTE),
        people=people,
    )


def step_and_way(name: str) -> tuple[str, str | None]:
    """The step of the file that a planned step is, and the way that is taken; None where the step has only one."""
    step, _, way = name.partition("/")
    return step, way or None


def _ways(step: Step, names: frozenset[str]) -> Iterator[WorkStep]:
    if not step.alternatives:
        yield _one_way(step.id, step, names)
        return
    yield _one_way(f"{step.id}/{AS_WRITTEN}", step, names)
    for way in step.alternatives:
        yield _one_way(f"{step.id}/{way.id}", _changed(step, way), names)


def _changed(step: Step, way: Way) -> Step:
    """The step as it is done in another way."""
    given = {
        key: getattr(way, key)
        for key in ("needs", "tools", "lies", "where", "people", "minutes")
        if getattr(way, key) is not None
    }
    if "tools" in given:
        given["tool"] = None
    if "where" in given:
        given["lies"] = None
    return step.model_copy(update=given)


def _one_way(name: str, step: Step, names: frozenset[str]) -> WorkStep:
    tools = step.tools or ((step.tool,) if step.tool else ())
    parts = {piece.part for piece in step.on} | set(step.parts_needed) if step.phase == "build" else set()
    return WorkStep(
        id=name,
        duration=(step.minutes or 0) * MINUTE,
        needs=tuple(_needs(step, names)),
        tools=frozenset(tools),
        lies=step.lies,
        people=step.people,
        parts=frozenset(parts),
        consumables=step.consumables,
        waits=(step.wait_min or 0) * MINUTE,
        where=step.title,
    )


def _needs(step: Step, names: frozenset[str]) -> Iterator[Need]:
    for need in step.needs:
        if need in names:
            yield Need((need,), step.why.get(need, ""))
    for group in step.either:
        if names.issuperset(group):
            yield Need(group, "; ".join(step.why[one] for one in group if one in step.why))


def _holds(step: Step) -> Iterator[Hold]:
    for index, hold in enumerate(step.holds, start=1):
        yield Hold(
            id=f"{step.id} hold {index}",
            begins=step.id,
            ends=hold.until,
            people=hold.people,
            tools=frozenset([hold.tool] if hold.tool else []),
            why=hold.what,
            where=step.title,
        )
