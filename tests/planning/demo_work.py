"""The work of the shipped demos in the terms of planning: one way of reading the file."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.model.steps import Step, Way
from countershaft.model.transmission import Transmission
from countershaft.planning.work import Choice, Hold, Need, Setup, Work, WorkStep

__all__ = ["DEMOS", "demo", "work_of"]

DEMOS = ("demo-a", "demo-b", "demo-c")
MINUTE = 60


def demo(name: str, *phases: str) -> Work:
    """The work of a demo, of one phase or both."""
    return work_of(read_transmission(library_text(name), f"{name}.yaml"), *phases)


def work_of(transmission: Transmission, *phases: str) -> Work:
    """The steps of some phases; needs that lie in another phase are taken as met."""
    steps = [step for step in transmission.steps if step.phase in phases]
    there = {step.id for step in steps}
    return Work(
        tuple(one for step in steps for one in _steps(step, there)),
        tuple(hold for step in steps for hold in _holds(step)),
        tuple(Choice(step.id, tuple(_names(step))) for step in steps if step.alternatives),
        Setup(turn=(transmission.about.turning_min or 3) * MINUTE, tool_change=20),
    )


def _names(step: Step) -> Iterator[str]:
    yield f"{step.id}, as usual"
    yield from (f"{step.id}, {way.id}" for way in step.alternatives)


def _steps(step: Step, there: set[str]) -> Iterator[WorkStep]:
    if not step.alternatives:
        yield _step(step.id, step, None, there)
        return
    for name, way in zip(_names(step), (None, *step.alternatives), strict=True):
        yield _step(name, step, way, there)


def _step(name: str, step: Step, way: Way | None, there: set[str]) -> WorkStep:
    needs = step.needs if way is None or way.needs is None else way.needs
    groups = [(one,) for one in needs] + list(step.either)
    lies = way.lies if way is not None and way.lies is not None else step.lies
    tools = way.tools if way is not None and way.tools is not None else step.tools or _split(step.tool)
    minutes = (way.minutes if way is not None else None) or step.minutes or 0
    return WorkStep(
        name,
        minutes * MINUTE,
        tuple(Need(group, step.why.get(group[0], "")) for group in groups if there.issuperset(group)),
        frozenset(tools),
        None if lies is None or lies.endswith("on the bench") else lies,
        people=(way.people if way is not None else None) or step.people,
        parts=frozenset(step.parts_needed),
        consumables=step.consumables,
        waits=(step.wait_min or 0) * MINUTE,
    )


def _split(tools: str | None) -> tuple[str, ...]:
    return tuple(tools.split(", ")) if tools else ()


def _holds(step: Step) -> Iterator[Hold]:
    for number, one in enumerate(step.holds, 1):
        tools = frozenset({one.tool} if one.tool else ())
        yield Hold(f"{step.id}.{number}", step.id, one.until, people=one.people, tools=tools, why=one.what)
