"""The exact search where time passes by itself: set-up and idle waiting together, proven least.

A state also knows how long each wait still lasts.  A step that costs nothing may be taken at once only where every
step that still has to start a wait comes behind it anyway; else taking it could start that wait later.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, replace

from countershaft.planning.bound import Bound, last_first
from countershaft.planning.masks import Moment, Ordering, bits
from countershaft.planning.search import Found

__all__ = ["exact_timed"]

Running = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class _State:
    """`lost` [s] is set-up and idle time so far; `running` are waits with the time that each still lasts [s]."""

    lost: int
    moment: Moment
    running: Running
    order: tuple[int, ...]

    @property
    def key(self) -> tuple[int, int, int, Running]:
        return (self.moment.done, self.moment.lies, self.moment.tools, self.running)


def exact_timed(asked: Ordering, bound: Bound, *, below: int, most_states: int) -> Found:
    """The order that loses least by set-up and waiting, by A*.

    Parameters
    ----------
    asked : Ordering
        The steps with their needs and the time that passes by itself after each.
    bound : Bound
        Its bound on the set-up that is still to come.
    below : int [s]
        Only orders that lose less are of interest.
    most_states : int [-]
        States to open before it gives up.

    Returns
    -------
    Found [s]
        As of the exact search without waiting; `setup` holds set-up and waiting together.
    """
    search = _Search(asked)
    first = search.settled(_State(0, asked.start, (), ()))
    waiting = [(bound.rest(asked.all & ~first.moment.done, first.moment), 0, 0, first)]
    lost_to = {first.key: 0}
    least = states = made = 0
    while waiting:
        sight, _, _, state = heapq.heappop(waiting)
        least = max(least, min(sight, below))
        if state.moment.done == asked.all:
            return Found(state.order, state.lost, state.lost, states)
        if states >= most_states:
            return Found(None, 0, least, states)
        states += 1
        for child in search.children(state):
            rest = bound.rest(asked.all & ~child.moment.done, child.moment)
            if child.lost + rest < below and lost_to.get(child.key, below) > child.lost:
                lost_to[child.key] = child.lost
                made += 1
                done = child.moment.done.bit_count()
                heapq.heappush(waiting, (child.lost + rest, -done, made, child))
    return Found(None, 0, below, states)


class _Search:
    """One question, and for each set of waits that are not started the steps that may be taken at once."""

    def __init__(self, asked: Ordering) -> None:
        self.asked = asked
        self.starts = sum(1 << step for step, time in enumerate(asked.waits) if time)
        self.hurried: dict[int, Ordering] = {}
        self.before = [0] * len(asked.names)
        for step in reversed(last_first(asked)):
            for first in bits(asked.needs[step]):
                self.before[step] |= self.before[first] | 1 << first

    def children(self, state: _State) -> Iterator[_State]:
        """One state for each step that can come next, with all that may be taken at once behind it."""
        asked = self.asked
        for step in bits(state.moment.ready & ~asked.barred(state.moment.done)):
            yield self.settled(self.after(state, step))

    def settled(self, state: _State) -> _State:
        """The state after all steps that cost nothing and may be taken at once."""
        while True:
            ordering = self._hurrying(state.moment.done)
            _, free = ordering.free(state.moment)
            step = self._at_once(state, free)
            if step is None:
                return state
            state = self.after(state, step)

    def _at_once(self, state: _State, free: tuple[int, ...]) -> int | None:
        """The first of the free steps that need not be waited for, and None where another must come before it.

        What is free behind another step may not be ready before it, or barred by a hold that the other ends.
        """
        now = state.moment.ready & ~self.asked.barred(state.moment.done)
        for step in free:
            if not now >> step & 1:
                return None
            if self.idle(state, step, 0) == 0:
                return step
        return None

    def after(self, state: _State, step: int) -> _State:
        """The state after one step: its set-up, the wait for what it needs, and the step."""
        asked = self.asked
        setup = asked.cost(state.moment, step)
        idle = self.idle(state, step, setup)
        passed = setup + idle + asked.durations[step]
        running = [(one, left - passed) for one, left in state.running if left > passed]
        if asked.waits[step]:
            running.append((step, asked.waits[step]))
        moment = asked.after(state.moment, step)
        return _State(state.lost + setup + idle, moment, tuple(sorted(running)), (*state.order, step))

    def idle(self, state: _State, step: int, setup: int) -> int:
        """How long a step has to be waited for after its set-up."""
        asked, left = self.asked, dict(state.running)
        times = [left.get(one, 0) for one in bits(asked.needs[step])]
        done = state.moment.done
        times += [min(left.get(one, 0) for one in bits(group & done)) for group in asked.either[step]]
        return max(0, max(times, default=0) - setup)

    def _hurrying(self, done: int) -> Ordering:
        """The question with only those steps eager that start no wait later."""
        waiting = self.starts & ~done
        if waiting not in self.hurried:
            eager = self.asked.eager
            for step in bits(waiting):
                eager &= self.before[step] | 1 << step
            self.hurried[waiting] = replace(self.asked, eager=eager)
        return self.hurried[waiting]
