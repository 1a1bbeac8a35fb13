"""The work on one unit: steps, what each needs and why, holds, alternatives, and what a change of set-up costs.

Times are whole seconds, so that costs add up exactly and a proof is a proof.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cached_property

from countershaft.errors import Unknown

__all__ = ["Choice", "Hold", "Need", "Setup", "Start", "Work", "WorkStep", "need", "unknown_step"]


@dataclass(frozen=True, slots=True)
class Need:
    """At least one of these steps must be done before; `why` says it to a person.

    A name may also be that of a choice: then whichever of its ways is taken.
    """

    of: tuple[str, ...]
    why: str = ""


def need(*names: str, why: str = "") -> Need:
    """A need: with one name that step must come before, with more at least one of them.

    Parameters
    ----------
    *names : str
        Steps or choices.
    why : str, optional
        The reason, as a person would say it.

    Returns
    -------
    Need
        What must come before.

    Examples
    --------
    >>> need("pan off", why="the pan covers the valve body")
    Need(of=('pan off',), why='the pan covers the valve body')
    """
    return Need(names, why)


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step of work.

    `duration` is in seconds, without turning the unit and changing tools.
    `lies` is how the unit must lie; None where it does not matter.
    `parts` must be at hand before it can be done, `consumables` are used up by it.
    `conflicts` are steps that two people may not do at the same time.
    `waits` [s] pass by themselves after it, before what needs it may begin (soaking, curing).
    An `optional` step is done only where something that is done needs it.
    `where` is the place in the source, for messages.
    """

    id: str
    duration: int
    needs: tuple[Need, ...] = ()
    tools: frozenset[str] = frozenset()
    lies: str | None = None
    people: int = 1
    parts: frozenset[str] = frozenset()
    consumables: tuple[str, ...] = ()
    conflicts: frozenset[str] = frozenset()
    waits: int = 0
    optional: bool = False
    where: str = ""


@dataclass(frozen=True, slots=True)
class Hold:
    """Something is held from the end of one step to the end of another; a choice stands for the way that is taken.

    `during` are the steps that need it held; `breaks` the steps that would undo it and must fall outside.
    While it lasts, `people` stand there and `tools` are not free for other steps.
    """

    id: str
    begins: str
    ends: str
    during: tuple[str, ...] = ()
    breaks: tuple[str, ...] = ()
    people: int = 0
    tools: frozenset[str] = frozenset()
    why: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True)
class Choice:
    """Ways to do the same thing; exactly one of them is done."""

    id: str
    ways: tuple[str, ...]
    where: str = ""


@dataclass(frozen=True, slots=True)
class Setup:
    """What it costs to change the set-up, in seconds.

    `turn` is for turning the unit from any position to any other, `turns` for pairs that take another time.
    `tool_change` is for each tool taken up that the step before (of those that use tools) did not use.
    """

    turn: int = 180
    tool_change: int = 20
    turns: tuple[tuple[str, str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Start:
    """How things stand before the first step of a plan: what is done, how the unit lies, which tools are out.

    `lies` None means that the first position costs nothing.
    """

    done: frozenset[str] = frozenset()
    lies: str | None = None
    tools: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Work:
    """All steps, holds and choices of one job on one unit; `people` is the most that can be there."""

    steps: tuple[WorkStep, ...]
    holds: tuple[Hold, ...] = ()
    choices: tuple[Choice, ...] = ()
    setup: Setup = field(default_factory=Setup)
    people: int = 2

    @cached_property
    def step_of(self) -> dict[str, WorkStep]:
        """Steps by their names."""
        return {step.id: step for step in self.steps}

    @cached_property
    def choice_of(self) -> dict[str, Choice]:
        """Each way, and each choice's own name, to its choice."""
        found = {way: choice for choice in self.choices for way in choice.ways}
        return found | {choice.id: choice for choice in self.choices}

    def ways(self, name: str) -> tuple[str, ...]:
        """The steps that a name stands for: itself, or the ways of the choice of that name.

        Raises
        ------
        Unknown
            There is no such step or choice; the nearest are named.
        """
        if name in self.step_of:
            return (name,)
        if name in self.choice_of:
            return self.choice_of[name].ways
        raise Unknown(unknown_step(self, name))

    def all_ways(self, names: Collection[str]) -> frozenset[str]:
        """The steps that several names stand for."""
        return frozenset(way for name in names for way in self.ways(name))

    def place(self, name: str) -> str:
        """A step's name with its place in the source."""
        step = self.step_of.get(name)
        return f"{name} ({step.where})" if step is not None and step.where else name

    def known(self, names: Collection[str]) -> frozenset[str]:
        """The names as a set, after making sure that every one is a step.

        Raises
        ------
        Unknown
            A name is no step; the nearest are named.
        """
        for name in sorted(names):
            if name not in self.step_of:
                raise Unknown(unknown_step(self, name))
        return frozenset(names)


def unknown_step(work: Work, name: str, by: str = "") -> str:
    """What to say of a name that is no step, with the nearest that are.

    Parameters
    ----------
    work : Work
        Where it was looked for.
    name : str
        The name.
    by : str, optional
        Who names it.

    Returns
    -------
    str
        Two sentences.
    """
    near = get_close_matches(name, [*work.step_of, *(choice.id for choice in work.choices)], n=3, cutoff=0.5)
    asked = f"{by} names the step {name!r}" if by else f"the step {name!r} is asked for"
    cure = f"Did you mean {' or '.join(map(repr, near))}?" if near else "No step has a name like it."
    return f"{asked}, which is not there. {cure}"
