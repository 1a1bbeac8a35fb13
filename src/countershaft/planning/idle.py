"""Time that passes by itself: what an order loses by waiting for it, and an order that loses less."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from countershaft.planning.bound import last_first
from countershaft.planning.masks import Ordering, bits

__all__ = ["idle_before", "less_idle", "longest_ways", "time_between"]


def idle_before(asked: Ordering, order: Sequence[int]) -> tuple[int, ...]:
    """How long one has to wait idle before each step of an order, after all else before it is done.

    Parameters
    ----------
    asked : Ordering
        The steps with their needs and the time that passes by itself after each.
    order : Sequence[int] [-]
        An order that obeys them.

    Returns
    -------
    tuple[int, ...] [s]
        One for each place of the order.
    """
    moment, clock = asked.start, 0
    over: dict[int, int] = {}
    found = []
    for step in order:
        clock += asked.cost(moment, step)
        wanted = [over[one] for one in bits(asked.needs[step])]
        wanted += [min(over[one] for one in bits(group) if one in over) for group in asked.either[step]]
        found.append(max(0, *(time - clock for time in wanted)) if wanted else 0)
        clock += found[-1] + asked.durations[step]
        over[step] = clock + asked.waits[step]
        moment = asked.after(moment, step)
    return tuple(found)


def less_idle(asked: Ordering, order: tuple[int, ...], *, tries: int = 3_000) -> tuple[int, ...]:
    """An order that loses no more time by set-up and waiting, from moving single steps.

    Parameters
    ----------
    asked : Ordering
        The steps with their needs and the time that passes by itself after each.
    order : tuple[int, ...] [-]
        An order that obeys them.
    tries : int, optional [-]
        Moves to try.

    Returns
    -------
    tuple[int, ...] [-]
        An order that obeys every need and hold; the one given where nothing waits.
    """
    idle = sum(idle_before(asked, order)) if any(asked.waits) else 0
    best, lost = order, idle + asked.price(order)
    while idle:
        for moved in _moves(best):
            tries -= 1
            if tries < 0:
                return best
            if not asked.obeys(moved):
                continue
            waiting = sum(idle_before(asked, moved))
            if waiting + asked.price(moved) < lost:
                best, idle, lost = moved, waiting, waiting + asked.price(moved)
                break
        else:
            return best
    return best


def _moves(order: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Every order in which one step stands elsewhere, small moves first."""
    for far in range(1, len(order)):
        for first in range(len(order) - far):
            last = first + far
            yield (*order[:first], order[last], *order[first:last], *order[last + 1 :])
            if far > 1:
                yield (*order[:first], *order[first + 1 : last + 1], order[first], *order[last + 1 :])


def longest_ways(asked: Ordering) -> list[int]:
    """The longest way from the beginning of each step to the end of all, along needs that have no "or".

    Parameters
    ----------
    asked : Ordering
        The steps with their needs and the time that passes by itself after each.

    Returns
    -------
    list[int] [s]
        One for each step; no schedule, however many people there are, ends sooner after the step begins.

    References
    ----------
    Kelley J.E., Critical-path planning and scheduling: mathematical basis, Operations Research 9 (1961) 296-320.
    """
    tail = list(asked.durations)
    for step in last_first(asked):
        for first in bits(asked.needs[step]):
            length = asked.durations[first] + time_between(asked, first, step) + tail[step]
            tail[first] = max(tail[first], length)
    return tail


def time_between(asked: Ordering, first: int, then: int) -> int:
    """The least time from the end of a step to the beginning of one that needs it, whoever does them.

    Parameters
    ----------
    asked : Ordering
        The steps with their positions and the time that passes by itself after each.
    first, then : int [-]
        Two steps.

    Returns
    -------
    int [s]
        What passes by itself, or turning the unit where the two ask for different positions.
    """
    one, other = asked.lies[first], asked.lies[then]
    return max(asked.waits[first], asked.turn[one][other] if one >= 0 and other >= 0 else 0)
