"""Two people at one unit: who does what and when, nobody and no tool in two places at once.

There is one of each tool.  The unit lies one way at a time, and nothing that asks for a position goes on while it is
turned; a step without a position can be done meanwhile.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import combinations

from countershaft.planning.bound import last_first
from countershaft.planning.idle import longest_ways, time_between
from countershaft.planning.masks import Ordering, bits, ordering
from countershaft.planning.sequence import FIRST, Effort, best_plan
from countershaft.planning.work import Need, Start, Work

__all__ = ["Booking", "Schedule", "crew_schedule"]


@dataclass(frozen=True, slots=True)
class Booking:
    """One step in a schedule: from `begins` to `ends` [s] with the set-up before it, by the people of `by`.

    `by` are numbers from 0; `ready` [s] is when the set-up is over and the step itself begins.
    """

    step: str
    by: tuple[int, ...]
    begins: int
    ready: int
    ends: int


@dataclass(frozen=True, slots=True)
class Schedule:
    """Who does what and when; no schedule is over before `bound` [s]."""

    bookings: tuple[Booking, ...]
    makespan: int
    bound: int

    @property
    def proven(self) -> bool:
        """Whether no schedule can be over sooner."""
        return self.makespan <= self.bound

    @property
    def verdict(self) -> str:
        """What may be said of it: "optimal" only where proven."""
        return "optimal" if self.proven else "best found"


def crew_schedule(
    work: Work,
    *,
    goals: Sequence[Need] | None = None,
    start: Start | None = None,
    without: Collection[str] = (),
    effort: Effort = FIRST,
    tries: int = 2_000,
) -> Schedule:
    """A schedule for all people that can be there, over as soon as the search can make it.

    Parameters
    ----------
    work : Work
        Steps, holds and choices; `people` says how many are there.
    goals : Sequence[Need], optional
        What is to be reached; without it, everything.
    start : Start, optional
        How things stand before.
    without : Collection[str], optional
        Steps that cannot be done.
    effort : Effort, optional
        How hard to search for the plan that it begins from.
    tries : int, optional [-]
        Schedules to try after the first.

    Returns
    -------
    Schedule
        Obeys every need, hold and conflict; carries the bound that is known.

    Raises
    ------
    BadInput
        The work is not sound in its figures.
    Unknown
        A step is not there.
    NoFeasibleOrder
        The needs form a circle, a hold can never end, or a goal cannot be reached.

    References
    ----------
    Kolisch R., Serial and parallel resource-constrained project scheduling methods revisited, European Journal of
    Operational Research 90 (1996) 320-333 (the serial way of building a schedule).

    Examples
    --------
    >>> from countershaft.planning.work import Setup, WorkStep
    >>> work = Work((WorkStep("drums", 600), WorkStep("valve body", 500)), setup=Setup(0, 0))
    >>> found = crew_schedule(work)
    >>> found.makespan, found.verdict
    (600, 'optimal')
    """
    at = start or Start()
    plan = best_plan(work, goals=goals, start=at, without=without, effort=effort)
    asked = ordering(work, plan.order, at)
    bound = _least_time(asked)
    place = {name: step for step, name in enumerate(asked.names)}
    bench = _Bench(asked, _conflicts(work, place))
    orders = [tuple(place[name] for name in plan.order), _longest_first(asked)]
    tried = [(bench.booked(order), order) for order in orders if asked.obeys(order)]
    best, order = min(tried, key=lambda one: _late(one[0]))
    best = _polished(bench, best, order, bound, tries)
    shown = tuple(sorted(best, key=lambda one: (one.begins, one.by)))
    return Schedule(shown, _late(best)[0], bound)


def _conflicts(work: Work, place: dict[str, int]) -> tuple[int, ...]:
    """For each step those that may not go on at the same time, whichever of the two says so."""
    found = [0] * len(place)
    for name, step in place.items():
        for other in work.step_of[name].conflicts:
            if other in place:
                found[step] |= 1 << place[other]
                found[place[other]] |= 1 << step
    return tuple(found)


def _late(bookings: Sequence[Booking]) -> tuple[int, int]:
    """When all is over; then how late the steps end altogether, which leads out of flat places."""
    return max((one.ends for one in bookings), default=0), sum(one.ends for one in bookings)


def _polished(
    bench: _Bench, best: tuple[Booking, ...], order: tuple[int, ...], bound: int, tries: int
) -> tuple[Booking, ...]:
    """The schedule after moving single steps forward, as long as that helps and the tries last."""
    left = tries
    helped = True
    while helped:
        helped = False
        for last in range(1, len(order)):
            for first in range(last - 1, -1, -1):
                if left == 0 or _late(best)[0] <= bound:
                    return best
                moved = (*order[:first], order[last], *order[first:last], *order[last + 1 :])
                if bench.asked.needs[order[last]] >> order[first] & 1:
                    break
                left -= 1
                if bench.asked.obeys(moved) and _late(found := bench.booked(moved)) < _late(best):
                    best, order, helped = found, moved, True
                    break
    return best


def _longest_first(asked: Ordering) -> tuple[int, ...]:
    """An order that takes of the open steps the one with the longest way behind it."""
    tail = longest_ways(asked)
    moment, found = asked.start, []
    while now := moment.ready & ~asked.barred(moment.done):
        step = max(bits(now), key=lambda one: (tail[one], -one))
        found.append(step)
        moment = asked.after(moment, step)
    return tuple(found)


def _least_time(asked: Ordering) -> int:
    """No schedule is over sooner: the longest way of needs, all work shared evenly, and the same of parts of the work.

    Of steps that all have at least so much before them and so much behind them, the work must fit in between; for the
    people it is shared, for one tool it is not.
    """
    tail = longest_ways(asked)
    behind = [length - time for length, time in zip(tail, asked.durations, strict=True)]
    before = _before(asked)
    people = [time * count for time, count in zip(asked.durations, asked.people, strict=True)]
    least = max([*tail, -(-(sum(people) + _least_setup(asked)) // asked.crew), 0])
    loads = [(people, asked.crew)]
    for tool in range(len(asked.tool_names)):
        used = zip(asked.durations, asked.tools, strict=True)
        loads.append(([time if tools >> tool & 1 else 0 for time, tools in used], 1))
    for load, share in loads:
        for head in set(before):
            late = [step for step, length in enumerate(before) if length >= head and load[step]]
            total = 0
            for step in sorted(late, key=lambda one: -behind[one]):
                total += load[step]
                least = max(least, head - (-total // share) + behind[step])
    return least


def _least_setup(asked: Ordering) -> int:
    """Every tool is taken up once and every position turned to once, whoever does it."""
    fresh = {tool for mask in asked.tools for tool in bits(mask & ~asked.start.tools)}
    positions = set(asked.lies) - {-1, asked.start.lies}
    turns = len(positions) - (asked.start.lies < 0 and bool(positions))
    cheapest = min(
        (time for a, row in enumerate(asked.turn) for b, time in enumerate(row) if a != b), default=0
    )
    return len(fresh) * asked.tool_change + turns * cheapest


def _before(asked: Ordering) -> list[int]:
    """The longest way from the beginning of all to that of each step, along needs that have no "or" [s]."""
    before = [0] * len(asked.names)
    for step in reversed(last_first(asked)):
        for first in bits(asked.needs[step]):
            length = before[first] + asked.durations[first] + time_between(asked, first, step)
            before[step] = max(before[step], length)
    return before


@dataclass(frozen=True, slots=True)
class _Bench:
    """Builds a schedule from an order: every step as soon as it can be, never before an earlier choice of people."""

    asked: Ordering
    conflicts: tuple[int, ...]

    def booked(self, order: Sequence[int]) -> tuple[Booking, ...]:
        """One booking a step; the order obeys needs and holds."""
        clock = _Clock(self.asked, self.conflicts)
        return tuple(clock.book(step) for step in order)


class _Clock:
    """What is known while a schedule grows: who is free when, which tools are where, how the unit lies."""

    def __init__(self, asked: Ordering, conflicts: tuple[int, ...]) -> None:
        self.asked, self.conflicts = asked, conflicts
        self.free = [0] * asked.crew
        self.hands = [asked.start.tools] + [0] * (asked.crew - 1)
        self.tool_free = [0] * len(asked.tool_names)
        self.lies, self.lies_since, self.unit_free = asked.start.lies, 0, 0
        self.ends: dict[int, int] = {}
        self.holders: dict[int, tuple[int, ...]] = {}
        for place, hold in enumerate(asked.holds):
            if not hold.begin and hold.people:
                idle = [
                    one for one in range(asked.crew) if all(one not in by for by in self.holders.values())
                ]
                self.holders[place] = tuple(idle[: hold.people])

    def book(self, step: int) -> Booking:
        """The step booked at the earliest time, by those who can begin it first."""
        asked = self.asked
        standing = {person for people in self.holders.values() for person in people}
        released = [
            person
            for place, hold in enumerate(asked.holds)
            if hold.end == 1 << step
            for person in self.holders.pop(place, ())
        ]
        able = [person for person in range(asked.crew) if person not in standing or person in released]
        groups = [
            group
            for group in combinations(able, max(asked.people[step], len(released)))
            if set(released) <= set(group)
        ]
        earliest = self._earliest(step)
        booking = min(
            (self._by(step, group, earliest) for group in groups),
            key=lambda one: (one.ends, one.begins, one.by),
        )
        self._note(step, booking)
        return booking

    def _earliest(self, step: int) -> int:
        """When the needs, conflicts, holds and tools of a step let it begin."""
        asked = self.asked
        over = {one: end + asked.waits[one] for one, end in self.ends.items()}
        times = [over.get(one, 0) for one in bits(asked.needs[step])]
        times += [min(over[one] for one in bits(group) if one in over) for group in asked.either[step]]
        times += [self.ends[one] for one in bits(self.conflicts[step]) if one in self.ends]
        times += [self.tool_free[tool] for tool in bits(asked.tools[step])]
        for hold in asked.holds:
            if hold.begin == 1 << step:
                times += [self.ends[one] for one in bits(hold.barred) if one in self.ends]
            elif hold.barred >> step & 1 and hold.end and hold.end.bit_length() - 1 in self.ends:
                times.append(self.ends[hold.end.bit_length() - 1])
        return max(times, default=0)

    def _by(self, step: int, group: tuple[int, ...], earliest: int) -> Booking:
        asked = self.asked
        begins = max(earliest, *(self.free[person] for person in group))
        carried = 0
        for person in group:
            carried |= self.hands[person]
        setup = asked.tool_change * (asked.tools[step] & ~carried).bit_count()
        lies = asked.lies[step]
        if lies >= 0 and self.lies in (-1, lies):
            begins = max(begins, self.lies_since)
        elif lies >= 0:
            begins = max(begins, self.unit_free)
            setup += asked.turn[self.lies][lies]
        return Booking(
            asked.names[step], group, begins, begins + setup, begins + setup + asked.durations[step]
        )

    def _note(self, step: int, booking: Booking) -> None:
        asked, tools = self.asked, self.asked.tools[step]
        self.ends[step] = booking.ends
        for person in booking.by:
            self.free[person] = booking.ends
        if tools:
            for person, hand in enumerate(self.hands):
                self.hands[person] = hand & ~tools
            self.hands[booking.by[0]] = tools
            for person in booking.by[1:]:
                self.hands[person] = 0
        for tool in bits(tools):
            self.tool_free[tool] = booking.ends
        if asked.lies[step] >= 0:
            if self.lies not in (-1, asked.lies[step]):
                self.lies_since = booking.ready
            self.lies = asked.lies[step]
            self.unit_free = max(self.unit_free, booking.ends)
        for place, hold in enumerate(asked.holds):
            if hold.begin == 1 << step and hold.people:
                self.holders[place] = booking.by[: hold.people]
