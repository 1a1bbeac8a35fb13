"""Build steps derived from a teardown, for a unit whose file has none: what came off last goes on first."""

from __future__ import annotations

from countershaft.model.steps import Step
from countershaft.planning.precedence import reverse

__all__ = ["BACK", "put_back"]

#: What is added to a teardown step's id to name the step that puts its parts back.
BACK = "-back"


def put_back(teardown: tuple[Step, ...]) -> tuple[Step, ...]:
    """The build that undoes a teardown, in reverse order; steps that take nothing off are passed over."""
    moves = {step.id for step in teardown if step.off or step.loosen}
    through = _without_looks({step.id: step.needs for step in teardown}, moves)
    needs = reverse(through)
    return tuple(
        Step(
            id=step.id + BACK,
            phase="build",
            title=f"Put back: {step.title}",
            needs=tuple(need + BACK for need in needs[step.id]),
            on=step.off,
            tighten=step.loosen,
            tool=step.tool,
            tools=step.tools,
            hold=step.hold,
            lies=step.lies,
            where=step.where,
            lifts=step.lifts,
            cautions=step.cautions,
            people=step.people,
            minutes=step.minutes,
        )
        for step in reversed(teardown)
        if step.id in moves
    )


def _without_looks(needs: dict[str, tuple[str, ...]], keep: set[str]) -> dict[str, tuple[str, ...]]:
    """Needs among the kept steps only, followed through the ones that are passed over."""

    def through(key: str, seen: frozenset[str]) -> tuple[str, ...]:
        found: list[str] = []
        for need in needs.get(key, ()):
            if need in keep:
                found.append(need)
            elif need not in seen:
                found.extend(through(need, seen | {need}))
        return tuple(dict.fromkeys(found))

    return {key: through(key, frozenset({key})) for key in needs if key in keep}
