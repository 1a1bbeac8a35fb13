"""Answers about the order of work, of a file or of a job as it stands; the page and the terminal share them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from countershaft.desk.order_standing import goals_of
from countershaft.errors import GoalOutOfReach
from countershaft.model.bench_work import AS_WRITTEN, bench_work, step_and_way
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission
from countershaft.planning.crew import Schedule, crew_schedule
from countershaft.planning.explain import Reason, reasons
from countershaft.planning.needed import goals_of_all
from countershaft.planning.sequence import FIRST, THOROUGH, Effort, Plan, best_plan
from countershaft.planning.waiting import Blocked, Outlook, Reality, outlook
from countershaft.planning.work import Need, Start, Work
from countershaft.stages.work import Phase

__all__ = [
    "Asked",
    "Before",
    "Doing",
    "OrderOfWork",
    "build_after",
    "clock",
    "order_of_work",
    "outlook_of",
    "setup_now",
    "stopped",
    "verdict_of",
]

MINUTE: Final = 60
#: Schedules that are tried for two people; a count, so that the same file has the same answer everywhere.
TRIES: Final = 200
TRIES_FOR_PROOF: Final = 20_000


@dataclass(frozen=True, slots=True)
class Asked:
    """A question: all of a phase, or only what leads to a part or step; for how many people, and how hard to search."""

    phase: Phase = "teardown"
    reach: str = ""
    people: int = 1
    prove: bool = False


@dataclass(frozen=True, slots=True)
class Before:
    """A step that has to come before another, and why; `by` is what asks for it."""

    step: str
    why: str
    by: str


@dataclass(frozen=True, slots=True)
class Doing:
    """One step in the order: when it begins and ends [s], who does it, and what changes before it.

    `way` is the title of another way than the usual one; `turn` the position that the unit is brought into, None where
    it stays; `take` the tools that are taken up; `setup` [s] both together and `idle` [s] the waiting before it.
    """

    step: Step
    way: str
    by: tuple[int, ...]
    begins: int
    ends: int
    turn: str | None
    take: tuple[str, ...]
    setup: int
    idle: int
    lies: str | None
    before: tuple[Before, ...]


@dataclass(frozen=True, slots=True)
class OrderOfWork:
    """An order with its cost and how good it is [s].

    Nobody can be through before `bound`; one person takes `alone`.
    `spare` are the steps that it does without, `blocked` those that cannot be done as things stand, `untimed`
    those that count as nothing because the file does not say how long they take.
    `lies` is how the unit lies before the first step, None where that is not known.
    """

    asked: Asked
    doings: tuple[Doing, ...]
    total: int
    bound: int
    alone: int
    working: int
    setup: int
    idle: int
    turns: int
    changes: int
    lies: str | None
    spare: tuple[Step, ...]
    blocked: tuple[str, ...]
    untimed: tuple[str, ...]

    @property
    def proven(self) -> bool:
        """Whether nothing can be quicker."""
        return self.total <= self.bound

    @property
    def steps(self) -> tuple[str, ...]:
        """The steps of the file in this order."""
        return tuple(one.step.id for one in self.doings)


def clock(seconds: int) -> str:
    """A time as the bench says it: minutes, and seconds where they are not whole."""
    minutes, rest = divmod(seconds, MINUTE)
    return f"{minutes} min {rest} s" if rest and minutes else f"{rest} s" if rest else f"{minutes} min"


def verdict_of(order: OrderOfWork) -> str:
    """What may be said of an order: "optimal" only where proven."""
    if not order.doings:
        return "nothing is left to do"
    if order.proven:
        return f"optimal: {clock(order.total)}; no order takes less"
    return f"best found: {clock(order.total)}; no order can take less than {clock(order.bound)}"


def order_of_work(transmission: Transmission, asked: Asked, reality: Reality | None = None) -> OrderOfWork:
    """The order that answers a question.

    Raises Unknown with the nearest name, GoalOutOfReach with what is in the way, NoFeasibleOrder.
    """
    work = bench_work(transmission, asked.phase, people=max(2, asked.people))
    wanted = goals_of(transmission, asked.phase, asked.reach) if asked.reach else None
    return _answered(transmission, work, asked, wanted, reality or Reality())


def build_after(
    transmission: Transmission, order: OrderOfWork, reality: Reality | None = None, *, prove: bool = False
) -> OrderOfWork:
    """The build of what an order of the teardown takes off: the steps that put it back, and what they need.

    A step that puts nothing on (measuring, filling, testing) comes with them where it needs one of them.
    With the reality of a job's build, late parts hold up what needs them.
    """
    steps, names = transmission.phase("build"), _put_back(transmission, order)
    work = bench_work(transmission, "build")
    known = reality or Reality()
    still_in = {work.ways(step.id)[0] for step in steps if step.on and step.id not in names}
    lies = next((one.lies for one in reversed(order.doings) if one.lies), known.start.lies)
    here = replace(known, start=Start(known.start.done | still_in, lies))
    stuck = {step_and_way(one.step)[0] for one in stopped(outlook(work, here))}
    goals = tuple(Need((step.id,)) for step in steps if step.id in names - stuck)
    found = _answered(transmission, work, Asked("build", prove=prove), goals, here)
    taken = {*found.steps, *stuck}
    return replace(found, spare=tuple(step for step in steps if step.id not in taken))


def _put_back(transmission: Transmission, order: OrderOfWork) -> set[str]:
    """Build steps that put on what an order takes off, and those without parts that need one of them."""
    off = {piece.part for one in order.doings for piece in one.step.off}
    steps = transmission.phase("build")
    names = {step.id for step in steps if off.intersection(piece.part for piece in step.on)}
    grown = True
    while grown:
        more = {step.id for step in steps if not step.on and names.intersection(_asked_by(step))} - names
        names |= more
        grown = bool(more)
    return names


def outlook_of(transmission: Transmission, phase: Phase, reality: Reality) -> Outlook:
    """What can be done now and what waits for what, with the names of the planner."""
    return outlook(bench_work(transmission, phase), reality)


def stopped(seen: Outlook) -> tuple[Blocked, ...]:
    """What cannot be done as things stand; a step with another way that is open is not among it."""
    free = {step_and_way(name)[0] for name in (*seen.now, *seen.later)}
    found = {step_and_way(one.step)[0]: one for one in reversed(seen.blocked)}
    return tuple(
        one for one in seen.blocked if found.get(key := step_and_way(one.step)[0]) is one and key not in free
    )


def setup_now(
    transmission: Transmission, phase: Phase, reality: Reality, names: Sequence[str]
) -> dict[str, int]:
    """What it costs to begin each of some planned steps as the unit lies and as the tools are [s]."""
    work = bench_work(transmission, phase)
    lies, tools = reality.start.lies, reality.start.tools
    turning = {name: lies not in (None, work.step_of[name].lies or lies) for name in names}
    return {
        name: turning[name] * work.setup.turn + len(work.step_of[name].tools - tools) * work.setup.tool_change
        for name in names
    }


def _asked_by(step: Step) -> set[str]:
    return {*step.needs, *(name for group in step.either for name in group)}


def _answered(
    transmission: Transmission, work: Work, asked: Asked, wanted: Sequence[Need] | None, reality: Reality
) -> OrderOfWork:
    seen = outlook(work, reality)
    roots = [one for one in seen.blocked if len(one.chain) == 1]
    closed = frozenset(one.step for one in roots)
    if wanted is None:
        open_now = {*seen.now, *seen.later, *reality.start.done}
        wanted = [one for one in goals_of_all(work) if open_now.intersection(one.of)]
    question = (work, tuple(wanted), reality.start, closed)
    effort = THOROUGH if asked.prove else FIRST
    try:
        plan = _plan(*question, effort)
    except GoalOutOfReach as cause:
        raise GoalOutOfReach(" ".join([str(cause), *(f"{one}." for one in roots)])) from cause
    doings, idle, setup = _alone(work, plan, reality.start), plan.idle, plan.setup
    total, bound = plan.total, plan.bound
    if asked.people > 1:
        schedule = _schedule(*question, effort, TRIES_FOR_PROOF if asked.prove else TRIES)
        doings, total, bound = _together(work, schedule, reality.start), schedule.makespan, schedule.bound
        setup, idle = sum(one.setup for one in doings), 0
    named = tuple(_named(transmission, work, doings))
    behind = {step_and_way(name)[0] for name in reality.start.done}
    taken = {one.step.id for one in named}
    return OrderOfWork(
        asked=asked,
        doings=named,
        total=total,
        bound=bound,
        alone=plan.total,
        working=sum(one.ends - one.begins for one in named),
        setup=setup,
        idle=idle,
        turns=sum(one.turn is not None for one in named),
        changes=sum(len(one.take) for one in named),
        lies=reality.start.lies,
        spare=tuple(
            step
            for step in (transmission.phase(asked.phase) if asked.reach else ())
            if step.id not in taken and step.id not in behind
        ),
        blocked=tuple(str(one).replace(f"/{AS_WRITTEN}", "") for one in stopped(seen)),
        untimed=tuple(one.step.id for one in named if one.step.minutes is None),
    )


@lru_cache(maxsize=256)
def _plan(work: Work, goals: tuple[Need, ...], start: Start, without: frozenset[str], effort: Effort) -> Plan:
    """Asked again for every page of a unit, and always the same."""
    return best_plan(work, goals=goals, start=start, without=without, effort=effort)


@lru_cache(maxsize=128)
def _schedule(
    work: Work, goals: tuple[Need, ...], start: Start, without: frozenset[str], effort: Effort, tries: int
) -> Schedule:
    return crew_schedule(work, goals=goals, start=start, without=without, effort=effort, tries=tries)


@dataclass(frozen=True, slots=True)
class _Planned:
    """A step of a plan or of a schedule, by the planner's name."""

    name: str
    by: tuple[int, ...]
    begins: int
    ends: int
    turn: str | None
    take: tuple[str, ...]
    setup: int
    idle: int


def _alone(work: Work, plan: Plan, start: Start) -> list[_Planned]:
    """The steps one after the other; the first position is no turn, where nobody knows how the unit lay."""
    found = []
    lies = start.lies
    for one in plan.steps:
        step = work.step_of[one.step]
        turn = one.turn if lies is not None else None
        found.append(
            _Planned(
                one.step, (0,), one.begins, one.begins + step.duration, turn, one.take, one.setup, one.idle
            )
        )  # fmt: skip
        lies = step.lies or lies
    return found


def _together(work: Work, schedule: Schedule, start: Start) -> list[_Planned]:
    """The bookings in the order in which their steps begin, with the turn and the tools that the set-up is for."""
    found = []
    lies = start.lies
    hands: dict[int, frozenset[str]] = {0: start.tools}
    for one in sorted(schedule.bookings, key=lambda one: (one.ready, one.ends, one.by)):
        step = work.step_of[one.step]
        turned = step.lies is not None and lies is not None and step.lies != lies
        carried = frozenset().union(*(hands.get(person, frozenset()) for person in one.by))
        take = tuple(sorted(step.tools - carried)) if step.tools else ()
        found.append(
            _Planned(
                one.step, one.by, one.ready, one.ends, step.lies if turned else None, take,
                one.ready - one.begins, 0,
            )
        )  # fmt: skip
        lies = step.lies or lies
        if step.tools:
            hands = {person: hand - step.tools for person, hand in hands.items()}
            hands |= {person: frozenset() for person in one.by}
            hands[one.by[0]] = step.tools
    return found


def _named(transmission: Transmission, work: Work, planned: Sequence[_Planned]) -> Iterator[Doing]:
    """The steps of a plan with the steps of the file that they are, and why each comes after others."""
    steps = {step.id: step for phase in ("teardown", "build") for step in transmission.phase(phase)}
    before = reasons(work, [one.name for one in planned])
    for one in planned:
        key, way = step_and_way(one.name)
        title = next((each.title for each in steps[key].alternatives if each.id == way), "")
        yield Doing(
            step=steps[key],
            way=title,
            by=one.by,
            begins=one.begins,
            ends=one.ends,
            turn=one.turn,
            take=one.take,
            setup=one.setup,
            idle=one.idle,
            lies=work.step_of[one.name].lies,
            before=tuple(_why(work, reason) for reason in before[one.name]),
        )


def _why(work: Work, reason: Reason) -> Before:
    """A reason in the words of the bench: holds by what is held, ways by their step."""
    words = reason.why.partition("; of the ways of ")[0]
    for hold in work.holds:
        words = words.replace(f"hold {hold.id}, {hold.why}: it is held", f"{hold.why}: held")
        words = words.replace(f"hold {hold.id}, {hold.why}: it must be held", f"{hold.why}: held")
        words = words.replace(f"hold {hold.id}, {hold.why}", hold.why)
    words = words.replace(f"{reason.after} needs it", "the file says so, and gives no reason")
    words = words.replace(f"/{AS_WRITTEN}", "")
    return Before(step_and_way(reason.before)[0], words, reason.kind)
