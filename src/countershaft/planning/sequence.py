"""The plan with the least time, turning the unit over and changing tools included; optimal only where proven."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import islice

from countershaft.errors import GoalOutOfReach
from countershaft.planning.bound import bound_of
from countershaft.planning.idle import idle_before, less_idle, longest_ways
from countershaft.planning.improve import improved
from countershaft.planning.masks import Ordering, bits, ordering
from countershaft.planning.needed import StepSet, goals_of_all, step_sets
from countershaft.planning.search import exact_order, quick_order
from countershaft.planning.soundness import check_work, clauses, reachable, too_late
from countershaft.planning.timed import exact_timed
from countershaft.planning.work import Need, Start, Work

__all__ = ["FIRST", "THOROUGH", "Effort", "Plan", "Planned", "best_plan"]


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard to search; the same effort finds the same plan on every machine.

    `width` states of each cost go on in the quick search, `stretch_width` in the search of a stretch of each of
    `stretches` steps; the exact search gives up after `states`, and no more than `sets` sets of steps are tried.
    """

    width: int = 30
    stretches: tuple[int, ...] = ()
    stretch_width: int = 20
    states: int = 0
    sets: int = 50


#: A good plan at once.
FIRST = Effort(width=8, sets=6)
#: A proof, where there is one within about half a minute.
THOROUGH = Effort(width=30, stretches=(30, 60), states=100_000, sets=1_000)


@dataclass(frozen=True, slots=True)
class Planned:
    """One step of a plan: when it begins [s], and which change of set-up comes before it.

    `turn` is the position to bring the unit into, None where it stays; `take` the tools to take up; `setup` [s] what
    both cost, before the step begins, and `idle` [s] how long one has to wait for it.
    """

    step: str
    begins: int
    turn: str | None
    take: tuple[str, ...]
    setup: int
    idle: int


@dataclass(frozen=True, slots=True)
class Plan:
    """Steps in their order, what they cost, and how much less it could be at most.

    `working` [s] is the steps alone, `setup` [s] turning and tool changes, `idle` [s] waiting for what passes by
    itself; no plan takes less than `bound` [s].
    """

    steps: tuple[Planned, ...]
    working: int
    setup: int
    idle: int
    bound: int

    @property
    def total(self) -> int:
        """Seconds from the beginning to the end."""
        return self.working + self.setup + self.idle

    @property
    def order(self) -> tuple[str, ...]:
        """The names of the steps."""
        return tuple(one.step for one in self.steps)

    @property
    def proven(self) -> bool:
        """Whether no plan can take less."""
        return self.total <= self.bound

    @property
    def gap(self) -> float:
        """How much less another plan could take at most, as a share of this one."""
        return (self.total - self.bound) / self.total if self.total else 0.0

    @property
    def verdict(self) -> str:
        """What may be said of it: "optimal" only where proven."""
        return "optimal" if self.proven else "best found"


def best_plan(
    work: Work,
    *,
    goals: Sequence[Need] | None = None,
    start: Start | None = None,
    without: Collection[str] = (),
    effort: Effort = FIRST,
) -> Plan:
    """The plan that takes least time, as far as the effort goes.

    Parameters
    ----------
    work : Work
        Steps, holds, choices and what changes of set-up cost.
    goals : Sequence[Need], optional
        What is to be reached: at least one step of each.  Without it, everything: every step that is not optional and
        one way of each choice.
    start : Start, optional
        How things stand before.
    without : Collection[str], optional
        Steps that cannot be done.
    effort : Effort, optional
        How hard to search.

    Returns
    -------
    Plan
        Obeys every need, hold and choice; does nothing that nobody asks for; carries the bound that is known.

    Raises
    ------
    BadInput
        The work is not sound in its figures.
    Unknown
        A step is not there.
    HoldNeverEnds
        A step that would break a hold has to come while it is held.
    NoFeasibleOrder
        The needs form a circle.
    GoalOutOfReach
        A goal cannot be reached; the message says what is in the way.

    Examples
    --------
    >>> from countershaft.planning.work import Setup, WorkStep, need
    >>> work = Work(
    ...     (
    ...         WorkStep("pan", 300, tools=frozenset({"socket"}), lies="pan up"),
    ...         WorkStep("pump", 600, tools=frozenset({"puller"}), lies="nose up"),
    ...         WorkStep("filter", 60, (need("pan", why="the pan covers it"),), lies="pan up"),
    ...     ),
    ...     setup=Setup(turn=120, tool_change=20),
    ... )
    >>> plan = best_plan(work, effort=THOROUGH)
    >>> plan.order, plan.total, plan.verdict
    (('pan', 'filter', 'pump'), 1120, 'optimal')
    """
    check_work(work)
    at = start or Start()
    out = work.known(without) | too_late(work, work.known(at.done))
    wanted = goals_of_all(work) if goals is None else tuple(goals)
    for one in wanted:
        for name in one.of:
            work.ways(name)
    best: tuple[StepSet, Ordering, tuple[int, ...]] | None = None
    total = least = _more_than_any(work)
    sets = step_sets(work, wanted, at, without=out)
    tried = 0
    for found in islice(sets, effort.sets):
        tried += 1
        if found.working >= total:
            break
        asked = ordering(work, found.steps, at)
        order, bound = _ordered(asked, effort, total - found.working)
        if order is not None:
            order, bound = _unhurried(asked, effort, order, bound)
            lost = asked.price(order) + sum(idle_before(asked, order))
            if found.working + lost < total:
                best, total = (found, asked, order), found.working + lost
        least = min(least, max(found.working + bound, *longest_ways(asked), 0))
    if tried == effort.sets:
        least = min(least, next((more.working for more in sets), least))
    if best is None:
        raise GoalOutOfReach(_in_the_way(work, wanted, at, out, tried))
    chosen, asked, order = best
    steps = _planned(asked, order)
    return Plan(
        steps,
        chosen.working,
        sum(one.setup for one in steps),
        sum(one.idle for one in steps),
        min(least, total),
    )


def _ordered(asked: Ordering, effort: Effort, below: int) -> tuple[tuple[int, ...] | None, int]:
    """The order with the least set-up found, if less than `below`, and the bound for these steps (at most `below`)."""
    bound = bound_of(asked)
    least = bound.rest(asked.all, asked.start)
    if least >= below:
        return None, below
    quick = quick_order(asked, bound, width=effort.width)
    order = quick.order
    if order is not None:
        order = improved(asked, order, lengths=effort.stretches, width=effort.stretch_width)
        price = asked.price(order)
        order, below = (order, price) if price < below else (None, below)
    if least >= below:
        return order, below
    # Only holds can lead the quick search into dead ends everywhere; then the exact one looks for any order.
    states = max(effort.states, 20_000) if quick.order is None else effort.states
    exact = exact_order(asked, bound, below=below, most_states=states) if states else None
    if exact is None:
        return order, least
    if exact.order is not None:
        return exact.order, exact.setup
    return order, exact.bound


def _unhurried(
    asked: Ordering, effort: Effort, order: tuple[int, ...], bound: int
) -> tuple[tuple[int, ...], int]:
    """The order that loses least by set-up and waiting together, and the bound for both."""
    if not any(asked.waits):
        return order, bound
    order = less_idle(asked, order)
    lost = asked.price(order) + sum(idle_before(asked, order))
    if lost <= bound or not effort.states:
        return order, bound
    exact = exact_timed(asked, bound_of(asked), below=lost, most_states=effort.states)
    return exact.order or order, max(bound, exact.bound)


def _planned(asked: Ordering, order: Sequence[int]) -> tuple[Planned, ...]:
    moment, clock = asked.start, 0
    found = []
    for step, idle in zip(order, idle_before(asked, order), strict=True):
        setup = asked.cost(moment, step)
        after = asked.after(moment, step)
        turned = after.lies != moment.lies and after.lies >= 0
        take = bits(asked.tools[step] & ~moment.tools)
        found.append(
            Planned(
                asked.names[step],
                clock + setup + idle,
                asked.positions[after.lies] if turned else None,
                tuple(asked.tool_names[tool] for tool in take),
                setup,
                idle,
            )
        )
        clock += setup + idle + asked.durations[step]
        moment = after
    return tuple(found)


def _more_than_any(work: Work) -> int:
    """More seconds than any plan without repetition can take."""
    dearest = max([work.setup.turn, *(cost for _, _, cost in work.setup.turns)])
    return 1 + sum(
        step.duration + step.waits + dearest + work.setup.tool_change * len(step.tools) for step in work.steps
    )


def _in_the_way(work: Work, goals: Sequence[Need], start: Start, out: frozenset[str], tried: int) -> str:
    """Why a goal cannot be reached, down to the steps that cannot be done."""
    possible = reachable(work, done=start.done, without=out)
    for one in goals:
        ways = [way for name in one.of for way in work.ways(name)]
        if possible.intersection(ways):
            continue
        name = ways[0]
        path = [name]
        while name not in out:
            asked = clauses(work, work.step_of[name], waits=False)
            closed = [need.of[0] for need in asked if not possible.intersection(need.of)]
            if not closed or closed[0] in path:
                break
            name = closed[0]
            path.append(name)
        chain = ", which needs ".join(map(work.place, path))
        return f"{chain}: that cannot be done as things stand. Find another way to it, or leave the goal out."
    if tried and work.holds:
        names = ", ".join(repr(hold.id) for hold in work.holds)
        return f"no order was found that obeys every hold ({names}). Let one of them end earlier or bar less."
    ways_of = "; ".join(f"{choice.id}: one of {', '.join(choice.ways)}" for choice in work.choices)
    return (
        f"the steps ask for more than one way of a choice ({ways_of}). Let them need the choice, not one way."
    )
