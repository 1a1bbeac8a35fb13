"""Which steps are needed for a goal: the sets of steps that hold together, the least work first.

Needs are an "and" of "or"s.  Single needs are followed to their ends; only where there is really an "or", or a choice
of ways, does the search branch.  In such a set nothing is done that no step of it, and no goal, asks for.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from countershaft.planning.soundness import clauses
from countershaft.planning.work import Need, Start, Work

__all__ = ["StepSet", "goals_of_all", "step_sets"]


@dataclass(frozen=True, slots=True)
class StepSet:
    """Steps that together reach the goal, and the time they take without changes of set-up [s]."""

    working: int
    steps: frozenset[str]


def goals_of_all(work: Work) -> tuple[Need, ...]:
    """The goal of doing everything: every step that is not optional, and one way of each choice.

    Parameters
    ----------
    work : Work
        The work, already found sound.

    Returns
    -------
    tuple[Need, ...]
        One for each thing to be done.
    """
    single = [Need((step.id,)) for step in work.steps if not step.optional and step.id not in work.choice_of]
    return (*single, *(Need(choice.ways) for choice in work.choices))


def step_sets(
    work: Work, goals: Sequence[Need], start: Start, *, without: Collection[str] = ()
) -> Iterator[StepSet]:
    """All sets of steps that reach the goals, the one that takes least time first.

    Parameters
    ----------
    work : Work
        The work, already found sound.
    goals : Sequence[Need]
        At least one step of each must be done in the end.
    start : Start
        What is done already.
    without : Collection[str], optional
        Steps that cannot be done.

    Returns
    -------
    Iterator[StepSet]
        Each set once, with rising time; none where a goal cannot be reached.
    """
    asking = _Asking(work, start.done, frozenset(without))
    met: set[frozenset[str]] = set()
    made = 0
    waiting: list[tuple[int, list[str], int, frozenset[str]]] = []
    for steps in asking.settled(frozenset(), [asking.names(one) for one in goals]):
        heapq.heappush(waiting, (asking.time(steps), sorted(steps), made, steps))
        made += 1
    while waiting:
        working, _, _, steps = heapq.heappop(waiting)
        if steps in met:
            continue
        met.add(steps)
        open_ones = asking.unfounded(steps, goals)
        if not open_ones:
            yield StepSet(working, steps)
            continue
        for name in asking.candidates(open_ones, steps):
            for more in asking.settled(steps, [(name,)]):
                heapq.heappush(waiting, (asking.time(more), sorted(more), made, more))
                made += 1


@dataclass(frozen=True, slots=True)
class _Asking:
    """What is done and what cannot be, while sets are put together."""

    work: Work
    done: frozenset[str]
    without: frozenset[str]

    def names(self, one: Need) -> tuple[str, ...]:
        """The steps that could meet a need."""
        found = (way for name in one.of for way in self.work.ways(name))
        return tuple(name for name in dict.fromkeys(found) if name not in self.without)

    def time(self, steps: frozenset[str]) -> int:
        """Seconds that the steps take."""
        return sum(self.work.step_of[name].duration for name in steps)

    def settled(self, steps: frozenset[str], wanted: Sequence[tuple[str, ...]]) -> Iterator[frozenset[str]]:
        """The steps with all that is wanted without an "or", and all that these need so; nothing if it cannot be."""
        found = set(steps)
        waiting = [names for names in wanted if len(names) < 2]
        while waiting:
            names = waiting.pop()
            if not names:
                return
            name = names[0]
            if name in found or name in self.done:
                continue
            if name in self.without or self._ruled_out(name, found):
                return
            found.add(name)
            for one in self._asked_by(name):
                if not self.done.intersection(one.of):
                    names = self.names(one)
                    if len(names) < 2:
                        waiting.append(names)
        yield frozenset(found)

    def unfounded(self, steps: frozenset[str], goals: Sequence[Need]) -> list[Need]:
        """Needs that the steps leave open: of a goal, or of a step that hangs on itself only."""
        founded = set(self.done)
        open_now = set(steps)
        fresh = True
        while fresh:
            fresh = False
            for name in sorted(open_now):
                if all(
                    founded.intersection(one.of)
                    for one in clauses(self.work, self.work.step_of[name], waits=False)
                ):
                    founded.add(name)
                    open_now.discard(name)
                    fresh = True
        asked = [one for one in goals if not founded.intersection(self.names(one)) and not self._met(one)]
        for name in sorted(open_now):
            step = self.work.step_of[name]
            asked += [
                one for one in clauses(self.work, step, waits=False) if not founded.intersection(one.of)
            ]
        return asked

    def candidates(self, open_ones: Sequence[Need], steps: frozenset[str]) -> tuple[str, ...]:
        """Steps of which every larger set that holds together has at least one.

        They are the ways to meet one need that nothing in the set could ever meet; where there is none such, steps
        hang on themselves in a ring, and any way into the ring will do.
        """
        ways = [self.names(one) for one in open_ones]
        bare = next((names for names in ways if not steps.intersection(names)), None)
        if bare is not None:
            return bare
        return tuple(dict.fromkeys(name for names in ways for name in names if name not in steps))

    def _met(self, one: Need) -> bool:
        """Whether what is done meets a goal, also by a way that could not be taken now."""
        return any(way in self.done for name in one.of for way in self.work.ways(name))

    def _needs(self, name: str) -> tuple[Need, ...]:
        return clauses(self.work, self.work.step_of[name], waits=False)

    def _asked_by(self, name: str) -> Iterator[Need]:
        yield from self._needs(name)
        for hold in self.work.holds:
            if name in self.work.ways(hold.begins):
                yield Need((hold.ends,), "what is held must be let go")

    def _ruled_out(self, name: str, found: set[str]) -> bool:
        """Whether another way of the same choice is taken already."""
        choice = self.work.choice_of.get(name)
        return choice is not None and any(
            way != name and (way in found or way in self.done) for way in choice.ways
        )
