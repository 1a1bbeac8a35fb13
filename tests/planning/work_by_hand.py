"""A second reading of what work means, written for clearness: the rules one by one, and every order tried."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, permutations

from countershaft.planning.work import Hold, Work

__all__ = ["cheapest", "cost", "faults"]


def faults(work: Work, order: Sequence[str], done: frozenset[str] = frozenset()) -> list[str]:
    """Every rule that an order breaks, in words."""
    found = [f"{name} twice" for name in set(order) if order.count(name) > 1]
    behind = set(done)
    for name in order:
        step = work.step_of[name]
        found += [
            f"{name} before its need {one.of}"
            for one in step.needs
            if not behind.intersection(way for wanted in one.of for way in work.ways(wanted))
        ]
        found += [
            f"{name} is a second way of {choice.id}"
            for choice in work.choices
            if name in choice.ways and behind.intersection(choice.ways)
        ]
        for hold in work.holds:
            found += _hold_faults(hold, name, behind, work)
        standing = sum(
            hold.people
            for hold in work.holds
            if lasts(work, hold, behind) and name not in work.ways(hold.ends)
        )
        begins = max([hold.people for hold in work.holds if name in work.ways(hold.begins)], default=0)
        if max(step.people, begins) + standing > work.people:
            found.append(f"too few people for {name}")
        behind.add(name)
    return found


def lasts(work: Work, hold: Hold, behind: set[str]) -> bool:
    begun, ended = behind.intersection(work.ways(hold.begins)), behind.intersection(work.ways(hold.ends))
    return bool(begun) and not ended


def _hold_faults(hold: Hold, name: str, behind: set[str], work: Work) -> Iterator[str]:
    if name in work.all_ways(hold.during) and not lasts(work, hold, behind):
        yield f"{name} without {hold.id}"
    if name in work.ways(hold.ends) and not behind.intersection(work.ways(hold.begins)):
        yield f"{hold.id} ends before it begins"
    if lasts(work, hold, behind) and name not in work.ways(hold.ends):
        if name in work.all_ways(hold.breaks):
            yield f"{name} breaks {hold.id}"
        if name not in work.all_ways(hold.during) and hold.tools & work.step_of[name].tools:
            yield f"{name} uses a tool of {hold.id}"
        if any(
            name in work.ways(other.begins) and other.tools & hold.tools and other.ends != hold.ends
            for other in work.holds
        ):
            yield f"two holds keep one tool: {name}"


def cost(work: Work, order: Sequence[str]) -> int:
    """Seconds of an order: the steps, each change of position and of tools, and waiting."""
    lies, hand, total = None, frozenset[str](), 0
    over: dict[str, int] = {}
    for name in order:
        step = work.step_of[name]
        total += work.setup.tool_change * len(step.tools - hand)
        if lies is not None and step.lies is not None:
            total += turning(work, lies, step.lies)
        for one in _waited(work, name, over):
            total = max(total, min(over[way] for way in one if way in over))
        total += step.duration
        over[name] = total + step.waits
        hand, lies = step.tools or hand, step.lies or lies
    return total


def _waited(work: Work, name: str, over: dict[str, int]) -> Iterator[list[str]]:
    """The groups of steps of which one must be over before a step begins."""
    for one in work.step_of[name].needs:
        yield [way for wanted in one.of for way in work.ways(wanted)]
    for hold in work.holds:
        if name in work.ways(hold.ends) or name in work.all_ways(hold.during):
            yield list(work.ways(hold.begins))
        if name in work.ways(hold.ends):
            yield from ([other] for other in work.all_ways(hold.during) if other in over)


def turning(work: Work, one: str, other: str) -> int:
    """The least time from one position to another, by trying all ways over other positions."""
    named = {step.lies for step in work.steps if step.lies} | {
        end for *ends, _ in work.setup.turns for end in ends
    }
    via = sorted(named - {one, other})
    ways = (way for length in range(len(via) + 1) for way in permutations(via, length))
    return min(
        sum(_pair(work, a, b) for a, b in zip((one, *way), (*way, other), strict=True)) for way in ways
    )


def _pair(work: Work, one: str, other: str) -> int:
    told = {(a, b): cost for a, b, cost in work.setup.turns}
    return 0 if one == other else told.get((one, other), told.get((other, one), work.setup.turn))


def cheapest(work: Work, *, superfluous: bool) -> int | None:
    """The least cost of all orders of all sets of steps that do everything; None where there is none.

    Without the superfluous, only sets are tried of which no smaller one would do.
    """
    names = [step.id for step in work.steps]
    found: list[tuple[frozenset[str], int]] = []
    for count in range(len(names) + 1):
        for chosen in combinations(names, count):
            if not superfluous and any(smaller <= set(chosen) for smaller, _ in found):
                continue
            if not _everything(work, set(chosen)):
                continue
            costs = [cost(work, order) for order in permutations(chosen) if not faults(work, order)]
            if costs:
                found.append((frozenset(chosen), min(costs)))
    return min((one for _, one in found), default=None)


def _everything(work: Work, chosen: set[str]) -> bool:
    single = [step.id for step in work.steps if not step.optional and step.id not in work.choice_of]
    ended = all(
        chosen.intersection(work.ways(hold.ends))
        for hold in work.holds
        if chosen.intersection(work.ways(hold.begins))
    )
    return (
        ended and chosen.issuperset(single) and all(len(chosen & set(one.ways)) == 1 for one in work.choices)
    )
