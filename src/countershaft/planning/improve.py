"""A better order from a good one: stretches of it are solved anew, the rest staying as it is.

Everything before a stretch and after it stays, so each stretch is a small question of its own: the same steps, from
the same set-up, to the set-up that comes next.  A stretch that is solved exactly cannot be bettered.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from countershaft.planning.bound import bound_of
from countershaft.planning.masks import HoldMask, Moment, Ordering, bits
from countershaft.planning.search import quick_order

__all__ = ["improved", "stretch"]


def improved(
    asked: Ordering, order: Sequence[int], *, lengths: Sequence[int], width: int, rounds: int = 20
) -> tuple[int, ...]:
    """An order with no more set-up than the one given, from solving its stretches anew.

    Parameters
    ----------
    asked : Ordering
        The steps with their needs.
    order : Sequence[int] [-]
        An order that obeys them.
    lengths : Sequence[int] [-]
        How many steps a stretch has; each length goes over the whole order, half a stretch at a time.
    width : int [-]
        States of each cost that go on in the search of a stretch.
    rounds : int, optional [-]
        Times to go over the order with one length, as long as that helps.

    Returns
    -------
    tuple[int, ...] [-]
        An order that obeys every need and hold.
    """
    best = tuple(order)
    for length in lengths:
        for _ in range(rounds):
            before = best
            for first in range(0, len(best), max(1, length // 2)):
                best = _solved_anew(asked, best, first, min(first + length, len(best)), width)
            if best == before:
                break
    return best


def _solved_anew(
    asked: Ordering, order: tuple[int, ...], first: int, end: int, width: int
) -> tuple[int, ...]:
    """The order with one stretch exchanged for a cheaper one, where one is found."""
    if end - first < 3:
        return order
    part, steps = stretch(asked, order, first, end)
    price = part.price(range(len(steps)))
    bound = bound_of(part)
    if bound.rest(part.all, part.start) >= price:
        return order
    found = quick_order(part, bound, width=width)
    if found.order is None or found.setup >= price:
        return order
    chosen = [steps[place] for place in found.order if place < end - first]
    return (*order[:first], *chosen, *order[end:])


def stretch(asked: Ordering, order: Sequence[int], first: int, end: int) -> tuple[Ordering, tuple[int, ...]]:
    """The question of ordering one stretch of an order anew.

    Parameters
    ----------
    asked : Ordering
        The steps with their needs.
    order : Sequence[int] [-]
        An order that obeys them.
    first, end : int [-]
        The stretch is `order[first:end]`.

    Returns
    -------
    tuple[Ordering, tuple[int, ...]] [-]
        The stretch, its steps numbered in the present order, and the steps of `asked` that they stand for; a last
        step that takes no time stands for the set-up that comes after it, where something comes.
    """
    moment = asked.start
    for step in order[:first]:
        moment = asked.after(moment, step)
    steps = tuple(order[first:end])
    lies, tools = _next_setup(asked, order[end:])
    place = {step: index for index, step in enumerate(steps)}
    last = int(lies >= 0 or tools > 0)
    whole = (1 << len(steps)) - 1
    needs = [_seen(asked.needs[step], place) for step in steps] + [whole] * last
    either = [
        tuple(_seen(mask, place) for mask in asked.either[step] if not mask & moment.done) for step in steps
    ] + [()] * last
    all_lies = (*(asked.lies[step] for step in steps), *[lies] * last)
    all_tools = (*(asked.tools[step] for step in steps), *[tools] * last)
    holds = tuple(_holds(asked, moment.done, place))
    begins = sum({hold.begin for hold in holds})
    followers: list[list[int]] = [[] for _ in needs]
    for index, mask in enumerate(needs):
        for group in {mask, *either[index]}:
            for earlier in bits(group):
                followers[earlier].append(index)
    with_tools: dict[int, int] = {}
    for index, mask in enumerate(all_tools):
        with_tools[mask] = with_tools.get(mask, 0) | 1 << index
    ready = sum(1 << index for index, mask in enumerate(needs) if not mask and not either[index])
    part = replace(
        asked,
        names=(*(asked.names[step] for step in steps), *["and then"] * last),
        durations=(*(asked.durations[step] for step in steps), *[0] * last),
        waits=(*(asked.waits[step] for step in steps), *[0] * last),
        needs=tuple(needs),
        either=tuple(either),
        followers=tuple(tuple(dict.fromkeys(one)) for one in followers),
        lies=all_lies,
        tools=all_tools,
        people=(*(asked.people[step] for step in steps), *[0] * last),
        holds=holds,
        eager=(whole | last << len(steps)) & ~begins,
        start=Moment(0, ready, moment.lies, moment.tools),
        at_position=tuple(
            sum(1 << index for index, one in enumerate(all_lies) if one == at)
            for at in (*range(len(asked.positions)), -1)
        ),
        with_tools=with_tools,
    )
    return part, steps


def _seen(mask: int, place: dict[int, int]) -> int:
    """A mask of all steps as a mask of those of the stretch."""
    return sum(1 << place[step] for step in bits(mask) if step in place)


def _next_setup(asked: Ordering, later: Sequence[int]) -> tuple[int, int]:
    """How the unit lies, and with which tools, at the first later step that says so."""
    lies = next((asked.lies[step] for step in later if asked.lies[step] >= 0), -1)
    tools = next((asked.tools[step] for step in later if asked.tools[step]), 0)
    return lies, tools


def _holds(asked: Ordering, done: int, place: dict[int, int]) -> Iterator[HoldMask]:
    """The holds that last at the beginning of a stretch or begin in it."""
    for hold in asked.holds:
        over = done & hold.end
        begun = not hold.begin & ~done
        begin = _seen(hold.begin, place)
        if not over and (begun or begin):
            yield HoldMask(begin, _seen(hold.end, place), _seen(hold.barred, place), hold.people)
