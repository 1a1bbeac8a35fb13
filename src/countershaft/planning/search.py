"""The order of a fixed set of steps with the least turning and tool changing: a quick search and an exact one.

A state is what is done, how the unit lies and which tools are in hand; two ways to the same state are one.
After every step all that needs no change of set-up is taken at once, so the searches branch at changes only.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass

from countershaft.planning.bound import Bound
from countershaft.planning.masks import Moment, Ordering

__all__ = ["Found", "exact_order", "quick_order"]

Key = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class _Trail:
    """The steps to a state, newest last; shared between states."""

    steps: tuple[int, ...]
    before: _Trail | None


@dataclass(frozen=True, slots=True)
class _State:
    spent: int
    moment: Moment
    trail: _Trail

    @property
    def key(self) -> Key:
        return (self.moment.done, self.moment.lies, self.moment.tools)


@dataclass(frozen=True, slots=True)
class Found:
    """The best order a search came to, and what it knows about all others.

    `order` is None where no order is cheaper than what was asked for; `bound` [s] is the least set-up that any order
    can cost, as far as the search knows; `states` counts the states it opened.
    """

    order: tuple[int, ...] | None
    setup: int
    bound: int
    states: int


def quick_order(asked: Ordering, bound: Bound, *, width: int) -> Found:
    """A good order by beam search: of all states that cost the same, those with the least still to come go on.

    Parameters
    ----------
    asked : Ordering
        The steps with their needs.
    bound : Bound
        Its bound, which judges the states.
    width : int [-]
        How many states of each cost go on; more is slower and mostly better.

    Returns
    -------
    Found [s]
        The best order that was met; None only where every state came to a dead end, which holds alone can cause.

    References
    ----------
    Lowerre B.T., The Harpy Speech Recognition System, Carnegie Mellon University, 1976 (beam search).
    """
    first = _first(asked)
    least = bound.rest(asked.all, asked.start)
    layers: dict[int, dict[Key, tuple[int, _State]]] = {0: {first.key: (least, first)}}
    best: _State | None = None
    states = 0
    while layers:
        spent = min(layers)
        if best is not None and spent >= best.spent:
            break
        layer = sorted(layers.pop(spent).values(), key=_rank)[:width]
        for _, state in layer:
            if state.moment.done == asked.all:
                best = state
                break
            states += 1
            for child in _children(asked, state):
                alike = layers.setdefault(child.spent, {})
                if child.key not in alike:
                    rest = bound.rest(asked.all & ~child.moment.done, child.moment)
                    alike[child.key] = (rest, child)
    if best is None:
        return Found(None, 0, least, states)
    return Found(_steps(best.trail), best.spent, least, states)


def exact_order(asked: Ordering, bound: Bound, *, below: int, most_states: int) -> Found:
    """The order with the least set-up, by A*: the state with the least cost in sight is opened first.

    Parameters
    ----------
    asked : Ordering
        The steps with their needs.
    bound : Bound
        Its bound; it is never more than what is to come, so the first full order met is a best one.
    below : int [s]
        Only orders that cost less are of interest.
    most_states : int [-]
        States to open before it gives up.

    Returns
    -------
    Found [s]
        With an order: it is proven best.  Without: none costs less than `bound`, which is `below` where the search
        came to its end.

    References
    ----------
    Hart P.E., Nilsson N.J., Raphael B., A formal basis for the heuristic determination of minimum cost paths, IEEE
    Transactions on Systems Science and Cybernetics 4 (1968) 100-107.
    """
    first = _first(asked)
    least = bound.rest(asked.all & ~first.moment.done, first.moment)
    waiting: list[tuple[int, int, int, _State]] = [(least, 0, 0, first)]
    spent_to = {first.key: 0}
    states = made = 0
    while waiting:
        sight, _, _, state = heapq.heappop(waiting)
        least = max(least, min(sight, below))
        if sight >= below:
            return Found(None, 0, below, states)
        if state.moment.done == asked.all:
            return Found(_steps(state.trail), state.spent, state.spent, states)
        if spent_to[state.key] < state.spent:
            continue
        if states >= most_states:
            return Found(None, 0, least, states)
        states += 1
        for child in _children(asked, state):
            key = child.key
            if spent_to.get(key, below) > child.spent:
                spent_to[key] = child.spent
                rest = bound.rest(asked.all & ~child.moment.done, child.moment)
                if child.spent + rest < below:
                    made += 1
                    heapq.heappush(waiting, (child.spent + rest, -child.moment.done.bit_count(), made, child))
    return Found(None, 0, below, states)


def _first(asked: Ordering) -> _State:
    moment, steps = asked.free(asked.start)
    return _State(0, moment, _Trail(steps, None))


def _children(asked: Ordering, state: _State) -> Iterator[_State]:
    """One state for each set-up that some open step asks for, and one for each step that must not be hurried."""
    moment = state.moment
    now = moment.ready & ~(asked.barred(moment.done) if asked.holds else 0)
    met: set[tuple[int, int]] = set()
    while now:
        low = now & -now
        now ^= low
        step = low.bit_length() - 1
        if asked.eager & low:
            lies = asked.lies[step]
            config = (moment.lies if lies < 0 else lies, asked.tools[step] or moment.tools)
            if config in met:
                continue
            met.add(config)
        after, free = asked.free(asked.after(moment, step))
        yield _State(state.spent + asked.cost(moment, step), after, _Trail((step, *free), state.trail))


def _rank(entry: tuple[int, _State]) -> tuple[int, int, Key]:
    """Least still to come first, then most done; the rest only makes it the same every time."""
    rest, state = entry
    return rest, -state.moment.done.bit_count(), state.key


def _steps(trail: _Trail | None) -> tuple[int, ...]:
    parts = []
    while trail is not None:
        parts.append(trail.steps)
        trail = trail.before
    return tuple(step for part in reversed(parts) for step in part)
