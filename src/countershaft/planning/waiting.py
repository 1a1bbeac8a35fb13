"""What goes on while parts are late, what each late part blocks, and a new plan when reality differs."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field

from countershaft.planning.masks import bits, ordering
from countershaft.planning.needed import goals_of_all
from countershaft.planning.sequence import FIRST, Effort, Plan, best_plan
from countershaft.planning.soundness import check_work, clauses, reachable, too_late
from countershaft.planning.work import Need, Start, Work

__all__ = ["Blocked", "Outlook", "Reality", "outlook", "replan"]


@dataclass(frozen=True, slots=True)
class Reality:
    """How things really stand.

    `late` parts are not at hand, `broken` ones are not fit for use and have to be got; `impossible` steps cannot be
    done, for whatever reason.
    """

    start: Start = field(default_factory=Start)
    late: frozenset[str] = frozenset()
    broken: frozenset[str] = frozenset()
    impossible: frozenset[str] = frozenset()

    @property
    def missing(self) -> frozenset[str]:
        """Parts that no step can use."""
        return self.late | self.broken


@dataclass(frozen=True, slots=True)
class Blocked:
    """A step that cannot be done as things stand; `chain` leads from it to the root, `why` says what is wrong there."""

    step: str
    chain: tuple[str, ...]
    why: str

    def __str__(self) -> str:
        return f"{' waits for '.join(self.chain)}: {self.why}"


@dataclass(frozen=True, slots=True)
class Outlook:
    """What can be done at this moment, what later on, and what not.

    `late` maps each missing part to the steps that it alone blocks, directly or by what waits for them.
    `early` are steps that are done though a need of theirs was not; `again` are done steps that used a broken part.
    """

    now: tuple[str, ...]
    later: tuple[str, ...]
    blocked: tuple[Blocked, ...]
    late: dict[str, tuple[str, ...]]
    early: tuple[tuple[str, Need], ...]
    again: tuple[str, ...]


def outlook(work: Work, reality: Reality) -> Outlook:
    """What can go on, and what waits for what.

    Parameters
    ----------
    work : Work
        All the work.
    reality : Reality
        What is done, late, broken or impossible.

    Returns
    -------
    Outlook
        Every step that is neither done nor ruled out by a choice is in one of `now`, `later` and `blocked`.

    Raises
    ------
    BadInput
        The work is not sound in its figures.
    Unknown
        A step that is done or impossible is not there.
    NoFeasibleOrder
        The needs form a circle, or a hold can never end.

    Examples
    --------
    >>> from countershaft.planning.work import WorkStep, need
    >>> work = Work((WorkStep("drum", 60), WorkStep("seal", 60, parts=frozenset({"P7"})),
    ...              WorkStep("pump", 60, (need("seal"),))))
    >>> seen = outlook(work, Reality(late=frozenset({"P7"})))
    >>> seen.now, seen.late, str(seen.blocked[1])
    (('drum',), {'P7': ('seal', 'pump')}, 'pump waits for seal: part P7 is late')
    """
    check_work(work)
    done = work.known(reality.start.done)
    out = work.known(reality.impossible)
    possible = reachable(work, done=done, without=out | _using(work, reality.missing, done))
    ruled_out = _by_choice(work, done)
    now = _now(work, reality.start, possible)
    return Outlook(
        now=now,
        later=tuple(step.id for step in work.steps if step.id in possible - done and step.id not in now),
        blocked=tuple(
            _blocked(work, step.id, possible, reality)
            for step in work.steps
            if step.id not in possible and step.id not in ruled_out
        ),
        late={part: _waiting_for(work, part, done) for part in sorted(reality.missing)},
        early=tuple(_early(work, done)),
        again=tuple(step.id for step in work.steps if step.id in done and step.parts & reality.broken),
    )


def replan(work: Work, reality: Reality, *, effort: Effort = FIRST) -> Plan:
    """The best plan for all that can still be done as things stand.

    Parameters
    ----------
    work : Work
        All the work.
    reality : Reality
        What is done, late, broken or impossible, and how the unit lies now.
    effort : Effort, optional
        How hard to search.

    Returns
    -------
    Plan
        Nothing that is done, blocked or ruled out; alternatives are used where a step is impossible.

    Raises
    ------
    BadInput
        The work is not sound in its figures.
    Unknown
        A step that is done or impossible is not there.
    NoFeasibleOrder
        The needs form a circle, or holds leave no order.
    """
    check_work(work)
    done = work.known(reality.start.done)
    out = work.known(reality.impossible) | _using(work, reality.missing, done)
    possible = reachable(work, done=done, without=out)
    goals = [one for one in goals_of_all(work) if possible.intersection(one.of)]
    return best_plan(work, goals=goals, start=reality.start, without=out - done, effort=effort)


def _using(work: Work, parts: Collection[str], done: frozenset[str]) -> frozenset[str]:
    """Steps still to be done that need one of these parts."""
    wanted = set(parts)
    return frozenset(step.id for step in work.steps if step.parts & wanted and step.id not in done)


def _by_choice(work: Work, done: frozenset[str]) -> frozenset[str]:
    """Ways that nobody needs any more: another of the same choice is done."""
    taken = (choice.ways for choice in work.choices if done.intersection(choice.ways))
    return frozenset(way for ways in taken for way in ways) - done


def _now(work: Work, start: Start, possible: frozenset[str]) -> tuple[str, ...]:
    """The steps that can be done at this moment, in the order of the work."""
    asked = ordering(work, possible, start)
    moment = asked.start
    return tuple(asked.names[step] for step in bits(moment.ready & ~asked.barred(moment.done)))


def _waiting_for(work: Work, part: str, done: frozenset[str]) -> tuple[str, ...]:
    """What one part alone blocks."""
    with_it = reachable(work, done=done)
    without_it = reachable(work, done=done, without=_using(work, (part,), done))
    return tuple(step.id for step in work.steps if step.id in with_it - without_it)


def _early(work: Work, done: frozenset[str]) -> Iterator[tuple[str, Need]]:
    for step in work.steps:
        if step.id in done:
            for one in clauses(work, step, waits=False):
                if not done.intersection(one.of):
                    yield step.id, one


def _blocked(work: Work, name: str, possible: frozenset[str], reality: Reality) -> Blocked:
    """The way from a blocked step to its root."""
    chain = [name]
    while not (why := _root(work, chain[-1], reality)):
        closed = [
            one.of[0]
            for one in clauses(work, work.step_of[chain[-1]], waits=False)
            if not possible.intersection(one.of)
        ]
        if not closed:
            hold = next(
                one
                for one in work.holds
                if chain[-1] in work.ways(one.begins) and not possible.intersection(work.ways(one.ends))
            )
            closed = [work.ways(hold.ends)[0]]
        if closed[0] in chain:
            return Blocked(name, tuple(chain), f"it hangs on {closed[0]}, and that on it")
        chain.append(closed[0])
    return Blocked(name, tuple(chain), why)


def _root(work: Work, name: str, reality: Reality) -> str:
    """What is wrong with a step itself; empty where it only waits."""
    missing = sorted(work.step_of[name].parts & reality.missing)
    if missing:
        state = "is broken and must be got" if missing[0] in reality.broken else "is late"
        return f"part {missing[0]} {state}"
    if name in reality.impossible:
        return "it cannot be done"
    if name in too_late(work, reality.start.done):
        return "its hold has ended, or another way was taken"
    return ""
