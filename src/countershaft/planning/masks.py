"""Work as whole numbers: one bit a step, so that what is done, open or barred is one number each.

A set of steps that shall all be done is fixed here; only their order is still free.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from countershaft.planning.soundness import clauses
from countershaft.planning.work import Setup, Start, Work, WorkStep

__all__ = ["HoldMask", "Moment", "Ordering", "bits", "ordering"]


def bits(mask: int) -> Iterator[int]:
    """The places of the bits that are set, from the lowest.

    Parameters
    ----------
    mask : int [-]
        A number that is not negative.

    Returns
    -------
    Iterator[int] [-]
        Places, counted from 0.

    Examples
    --------
    >>> list(bits(0b1010))
    [1, 3]
    """
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


@dataclass(frozen=True, slots=True)
class HoldMask:
    """A hold in bits: it lasts once `begin` is done until `end` is done; steps of `barred` must not fall between.

    `begin` 0 says that it had begun before, `end` 0 that it does not end among these steps.
    """

    begin: int
    end: int
    barred: int
    people: int

    def lasts(self, done: int) -> bool:
        """Whether it is held once these are done."""
        return not done & self.end and not self.begin & ~done


@dataclass(frozen=True, slots=True)
class Moment:
    """A point in a plan: what is done, what is open (needs met, not done), how the unit lies, tools in hand."""

    done: int
    ready: int
    lies: int
    tools: int


@dataclass(frozen=True, slots=True)
class Ordering:
    """Steps that shall all be done, in whole numbers.

    `needs[i]` must all be done before step i, and at least one of each mask of `either[i]`.
    `lies[i]` is the place of its position in `positions`, or -1 where it does not matter; `tools[i]` is a mask of
    tools.  `turn[a][b]` [s] is the least time from one position to another, by way of others where that is less.
    `eager` are the steps that may be taken as soon as they cost nothing: doing them early bars nothing.
    """

    names: tuple[str, ...]
    durations: tuple[int, ...]
    waits: tuple[int, ...]
    needs: tuple[int, ...]
    either: tuple[tuple[int, ...], ...]
    followers: tuple[tuple[int, ...], ...]
    lies: tuple[int, ...]
    tools: tuple[int, ...]
    people: tuple[int, ...]
    crew: int
    holds: tuple[HoldMask, ...]
    eager: int
    positions: tuple[str, ...]
    tool_names: tuple[str, ...]
    turn: tuple[tuple[int, ...], ...]
    tool_change: int
    start: Moment
    at_position: tuple[int, ...]
    with_tools: dict[int, int]

    @property
    def all(self) -> int:
        """Every step."""
        return (1 << len(self.names)) - 1

    def can(self, done: int, step: int) -> bool:
        """Whether the needs of a step are met."""
        return not self.needs[step] & ~done and all(mask & done for mask in self.either[step])

    def barred(self, done: int) -> int:
        """Steps that must wait for the end of a hold that lasts."""
        found = standing = 0
        for hold in self.holds:
            if hold.lasts(done):
                found |= hold.barred
                standing += hold.people
        return found | self._too_many(done, standing) if standing else found

    def _too_many(self, done: int, standing: int) -> int:
        """Steps for which too few people are left; who holds is free to let go."""
        found = 0
        for step in bits(self.all & ~done):
            released = sum(hold.people for hold in self.holds if hold.end == 1 << step and hold.lasts(done))
            if self.people[step] + standing - released > self.crew:
                found |= 1 << step
        return found

    def cost(self, moment: Moment, step: int) -> int:
        """Seconds of turning and of tool changes before a step."""
        lies, tools = self.lies[step], self.tools[step]
        turning = self.turn[moment.lies][lies] if lies >= 0 and moment.lies >= 0 else 0
        return turning + self.tool_change * (tools & ~moment.tools).bit_count()

    def after(self, moment: Moment, step: int) -> Moment:
        """The moment after a step."""
        done = moment.done | 1 << step
        ready = moment.ready & ~(1 << step)
        for follower in self.followers[step]:
            if not done >> follower & 1 and self.can(done, follower):
                ready |= 1 << follower
        lies = self.lies[step]
        return Moment(done, ready, moment.lies if lies < 0 else lies, self.tools[step] or moment.tools)

    def free(self, moment: Moment) -> tuple[Moment, tuple[int, ...]]:
        """All steps taken that need no change of set-up, leave none behind, and bar nothing.

        Doing them now never costs more than doing them later: what came between in a dearer plan can follow.
        """
        taken: list[int] = []
        lies, tools = moment.lies, moment.tools
        same = self.eager & (self.at_position[-1] | (self.at_position[lies] if lies >= 0 else 0))
        same &= self.with_tools.get(0, 0) | self.with_tools.get(tools, 0)
        done, ready = moment.done, moment.ready
        while now := ready & same & ~(self.barred(done) if self.holds else 0):
            while now:
                low = now & -now
                step = low.bit_length() - 1
                now ^= low
                taken.append(step)
                done |= low
                ready ^= low
                for follower in self.followers[step]:
                    if not done >> follower & 1 and self.can(done, follower):
                        ready |= 1 << follower
        return (Moment(done, ready, lies, tools), tuple(taken)) if taken else (moment, ())

    def price(self, order: Sequence[int]) -> int:
        """Seconds of turning and of tool changes of a whole order."""
        moment, total = self.start, 0
        for step in order:
            total += self.cost(moment, step)
            moment = self.after(moment, step)
        return total

    def obeys(self, order: Sequence[int]) -> bool:
        """Whether every need and every hold is obeyed and every step is done once."""
        moment = self.start
        for step in order:
            if not moment.ready >> step & 1 or self.barred(moment.done) >> step & 1:
                return False
            moment = self.after(moment, step)
        return moment.done == self.all


def ordering(work: Work, steps: Collection[str], start: Start) -> Ordering:
    """The question in which order to do some steps, in whole numbers.

    Parameters
    ----------
    work : Work
        The work, already found sound.
    steps : Collection[str]
        Steps to do, with all that they need and is not done yet.
    start : Start
        How things stand before.

    Returns
    -------
    Ordering
        The steps in the order of the work, needs and holds as masks.
    """
    wanted = set(steps) - start.done
    names = tuple(step.id for step in work.steps if step.id in wanted)
    chosen = [work.step_of[name] for name in names]
    place = {name: index for index, name in enumerate(names)}
    needs, either = _needs(work, names, place, start.done)
    positions = _positions(work, start)
    tool_names = tuple(sorted({tool for step in chosen for tool in step.tools} | start.tools))
    lies = tuple(positions.index(step.lies) if step.lies else -1 for step in chosen)
    tools = tuple(_mask(tool_names.index(tool) for tool in step.tools) for step in chosen)
    holds = _holds(work, place, start.done)
    with_tools: dict[int, int] = {}
    for index, mask in enumerate(tools):
        with_tools[mask] = with_tools.get(mask, 0) | 1 << index
    begins = sum({hold.begin for hold in holds})
    open_now = _mask(index for index in range(len(names)) if not needs[index] and not either[index])
    return Ordering(
        names=names,
        durations=tuple(step.duration for step in chosen),
        waits=tuple(step.waits for step in chosen),
        needs=needs,
        either=either,
        followers=_followers(needs, either),
        lies=lies,
        tools=tools,
        people=tuple(_people(work, step) for step in chosen),
        crew=work.people,
        holds=holds,
        eager=((1 << len(names)) - 1) & ~begins,
        positions=positions,
        tool_names=tool_names,
        turn=_turns(work.setup, positions),
        tool_change=work.setup.tool_change,
        start=Moment(
            0, open_now, positions.index(start.lies) if start.lies else -1,
            _mask(tool_names.index(tool) for tool in start.tools),
        ),
        at_position=(
            *(_mask(i for i, lie in enumerate(lies) if lie == one) for one in range(len(positions))),
            _mask(i for i, lie in enumerate(lies) if lie < 0),
        ),
        with_tools=with_tools,
    )  # fmt: skip


def _positions(work: Work, start: Start) -> tuple[str, ...]:
    """All positions there are: the unit may be turned by way of one that no step asks for."""
    named = {step.lies for step in work.steps} | {start.lies}
    named.update(one for *pair, _ in work.setup.turns for one in pair)
    return tuple(sorted(one for one in named if one))


def _people(work: Work, step: WorkStep) -> int:
    """How many a step takes: who holds is there when it begins."""
    return max([step.people, *(hold.people for hold in work.holds if step.id in work.ways(hold.begins))])


def _mask(places: Iterator[int]) -> int:
    found = 0
    for place in places:
        found |= 1 << place
    return found


def _needs(
    work: Work, names: Sequence[str], place: dict[str, int], done: frozenset[str]
) -> tuple[tuple[int, ...], tuple[tuple[int, ...], ...]]:
    needs: list[int] = []
    either: list[tuple[int, ...]] = []
    for name in names:
        open_ones = [
            frozenset(place[other] for other in one.of if other in place)
            for one in clauses(work, work.step_of[name], waits=False)
            if not done.intersection(one.of)
        ]
        needs.append(_mask(next(iter(one)) for one in open_ones if len(one) == 1))
        for hold in work.holds:
            if name in work.ways(hold.ends):
                needs[-1] |= _mask(place[other] for other in work.all_ways(hold.during) if other in place)
        groups = {_mask(iter(one)) for one in open_ones if len(one) > 1}
        either.append(tuple(sorted(mask for mask in groups if not mask & needs[-1])))
    return tuple(needs), tuple(either)


def _followers(needs: Sequence[int], either: Sequence[tuple[int, ...]]) -> tuple[tuple[int, ...], ...]:
    found: list[list[int]] = [[] for _ in needs]
    for step, mask in enumerate(needs):
        for group in (mask, *either[step]):
            for first in bits(group):
                found[first].append(step)
    return tuple(tuple(dict.fromkeys(one)) for one in found)


def _holds(work: Work, place: dict[str, int], done: frozenset[str]) -> tuple[HoldMask, ...]:
    """The holds that begin or still last among these steps.

    What a hold bars: what breaks it, what conflicts with its beginning, and what needs a tool that it keeps, be it for
    a step or for another hold.  Holds that end together may share a tool: it is one and the same holding.
    """
    found = []
    for hold in work.holds:
        begins, ends = work.ways(hold.begins), work.ways(hold.ends)
        if done.intersection(ends) or not (done | place.keys()).intersection(begins):
            continue
        inside = {*begins, *ends, *work.all_ways(hold.during)}
        barred = set(work.all_ways(hold.breaks))
        barred |= {step.id for step in work.steps if step.tools & hold.tools and step.id not in inside}
        for other in work.holds:
            if other.tools & hold.tools and other.ends != hold.ends:
                barred |= set(work.ways(other.begins))
        barred -= {*begins, *ends}
        found.append(
            HoldMask(
                _mask(place[name] for name in begins if name in place),
                _mask(place[name] for name in ends if name in place),
                _mask(place[name] for name in barred if name in place),
                hold.people,
            )
        )
    return tuple(found)


def _turns(setup: Setup, positions: Sequence[str]) -> tuple[tuple[int, ...], ...]:
    """Least times between all pairs of positions (Floyd 1962)."""
    told = {(one, other): cost for one, other, cost in setup.turns}
    size = range(len(positions))
    least = [
        [
            0
            if a == b
            else told.get((positions[a], positions[b]), told.get((positions[b], positions[a]), setup.turn))
            for b in size
        ]
        for a in size
    ]
    for via in size:
        for a in size:
            for b in size:
                least[a][b] = min(least[a][b], least[a][via] + least[via][b])
    return tuple(map(tuple, least))
