"""Whether work can be done at all: unknown names, circles of needs, holds that can never end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator

from countershaft.errors import BadInput, HoldNeverEnds, NoFeasibleOrder, Unknown
from countershaft.planning.work import Need, Work, WorkStep, unknown_step

__all__ = ["check_work", "clauses", "reachable", "too_late"]


def check_work(work: Work) -> None:
    """Refuse work that no order can do, and say where the fault is.

    Parameters
    ----------
    work : Work
        The steps with their needs, the holds and the choices.

    Raises
    ------
    BadInput
        A name stands twice, a time is negative, a step needs more people than there are, or a choice is none.
    Unknown
        A need, hold or choice names a step that is not there.
    HoldNeverEnds
        A step that would break a hold has to come while it is held.
    NoFeasibleOrder
        The needs form a circle; the message names all of it.

    Examples
    --------
    >>> from countershaft.planning.work import need
    >>> check_work(Work((WorkStep("pan", 60, where="unit.yaml:4"), WorkStep("pump", 60, (need("pam"),)))))
    Traceback (most recent call last):
        ...
    countershaft.errors.Unknown: 'pump' names the step 'pam', which is not there. Did you mean 'pan' or 'pump'?
    """
    for fault in _values(work):
        raise BadInput(fault)
    for by, name in _named(work):
        if name not in work.step_of and name not in work.choice_of:
            raise Unknown(unknown_step(work, name, by))
    for hold in work.holds:
        for name in (hold.begins, hold.ends, *hold.during, *hold.breaks):
            if name not in work.step_of and name not in work.choice_of:
                raise Unknown(unknown_step(work, name, f"hold {hold.id!r}"))
    _holds_can_end(work)
    possible = _closure(work, frozenset(), set(), waits=True)
    stuck = [step.id for step in work.steps if step.id not in possible]
    if stuck:
        raise NoFeasibleOrder(_circle(work, stuck, possible))


def clauses(work: Work, step: WorkStep, *, waits: bool = True) -> tuple[Need, ...]:
    """All needs of a step, those that come from holds and choices included, in names of steps only.

    Parameters
    ----------
    work : Work
        The work the step belongs to.
    step : WorkStep
        One of its steps.
    waits : bool, optional
        Whether the end of a hold waits for all that is done meanwhile; without it, only what must be done in any case
        is told.

    Returns
    -------
    tuple[Need, ...]
        At least one step of each must be done before.

    Examples
    --------
    >>> from countershaft.planning.work import Hold
    >>> work = Work(tuple(WorkStep(name, 1) for name in ("spread", "lift", "let go")),
    ...             holds=(Hold("ring", "spread", "let go", during=("lift",), why="the ring springs back"),))
    >>> [need.of for need in clauses(work, work.step_of["let go"])]
    [('spread',), ('lift',)]
    """
    found = [Need(tuple(way for name in one.of for way in work.ways(name)), one.why) for one in step.needs]
    for hold in work.holds:
        because = f"hold {hold.id!r}" + (f": {hold.why}" if hold.why else "")
        begins = work.ways(hold.begins)
        if step.id in work.ways(hold.ends):
            found.append(Need(begins, f"{because}; it begins before it ends"))
            found += [
                Need((name,), f"{because}; it is held until this is done")
                for name in hold.during
                if waits and not _perhaps(work, name)
            ]
        elif step.id in work.all_ways(hold.during):
            found.append(Need(begins, f"{because}; it must be held meanwhile"))
    return tuple(dict.fromkeys(found))


def reachable(work: Work, *, done: Collection[str] = (), without: Collection[str] = ()) -> frozenset[str]:
    """Steps that can be done sooner or later: those whose needs lead back to steps without needs.

    A hold is not begun where it could not be ended.

    Parameters
    ----------
    work : Work
        The steps with their needs.
    done : Collection[str], optional
        Steps that are done.
    without : Collection[str], optional
        Steps that cannot be done.

    Returns
    -------
    frozenset[str]
        The done ones included.
    """
    out = (set(without) | too_late(work, done)) - set(done)
    while True:
        found = _closure(work, frozenset(done), out, waits=False)
        open_ended = {
            name
            for hold in work.holds
            if not found.intersection(work.ways(hold.ends))
            for name in found.intersection(work.ways(hold.begins)) - set(done)
        }
        if not open_ended:
            return found
        out |= open_ended


def too_late(work: Work, done: Collection[str]) -> frozenset[str]:
    """Steps that can no longer be done: their hold has ended, or another way of their choice was taken.

    Parameters
    ----------
    work : Work
        The steps with their holds and choices.
    done : Collection[str]
        Steps that are done.

    Returns
    -------
    frozenset[str]
        None of the done ones.
    """
    behind = set(done)
    over = [hold for hold in work.holds if behind.intersection(work.ways(hold.ends))]
    held = {name for hold in over for name in work.all_ways(hold.during)}
    taken = {way for choice in work.choices if behind.intersection(choice.ways) for way in choice.ways}
    return frozenset((held | taken) - behind)


def _closure(work: Work, done: frozenset[str], out: set[str], *, waits: bool) -> frozenset[str]:
    wanted = {step.id: clauses(work, step, waits=waits) for step in work.steps if step.id not in done | out}
    found = set(done)
    while True:
        fresh = [name for name, all_of in wanted.items() if all(found.intersection(one.of) for one in all_of)]
        if not fresh:
            return frozenset(found)
        found.update(fresh)
        for name in fresh:
            del wanted[name]


def _perhaps(work: Work, name: str) -> bool:
    """Whether a step may stay undone for good: it is one way of several, or optional."""
    return name in work.choice_of or work.step_of[name].optional


def _values(work: Work) -> Iterator[str]:
    yield from _doubled(work)
    for step in work.steps:
        if min(step.duration, step.waits) < 0:
            time = min(step.duration, step.waits)
            yield f"{work.place(step.id)}: the time {time} s is negative; expected 0 s or more."
        if not 1 <= step.people <= work.people:
            yield (
                f"{work.place(step.id)}: it needs {step.people} people, and {work.people} can be there; "
                f"expected 1 to {work.people}."
            )
        if any(not one.of for one in step.needs):
            yield f"{work.place(step.id)}: one of its needs names no step; name one, or take the need out."
    for choice in work.choices:
        if len(set(choice.ways)) < 2:
            yield f"choice {choice.id!r} has fewer than two ways; name at least two steps."
    setup = work.setup
    if min(setup.turn, setup.tool_change, *(cost for _, _, cost in setup.turns), 0) < 0:
        yield "a change of set-up has a negative time; expected 0 s or more."


def _doubled(work: Work) -> Iterator[str]:
    """Names that stand twice, and steps that are a way of two choices."""
    named = [step.id for step in work.steps] + [choice.id for choice in work.choices]
    for name, times in Counter(named).items():
        if times > 1:
            places = ", ".join(step.where for step in work.steps if step.id == name and step.where)
            yield f"the name {name!r} stands for {times} steps{f' ({places})' if places else ''}; give each its own."
    ways = Counter(way for choice in work.choices for way in choice.ways)
    for way, times in ways.items():
        if times > 1:
            yield f"step {way!r} is a way of {times} choices; a step belongs to one choice only."


def _named(work: Work) -> Iterator[tuple[str, str]]:
    for step in work.steps:
        by = repr(step.id) + (f" ({step.where})" if step.where else "")
        for one in step.needs:
            for name in one.of:
                yield by, name
        for name in sorted(step.conflicts):
            yield by, name
    for choice in work.choices:
        for way in choice.ways:
            yield f"choice {choice.id!r}", way


def _before(work: Work) -> dict[str, frozenset[str]]:
    """Each step to all that must come before it in any order, as far as single needs tell."""
    direct = {step.id: [one.of[0] for one in clauses(work, step) if len(one.of) == 1] for step in work.steps}
    found: dict[str, frozenset[str]] = {}
    for name, first in direct.items():
        seen: set[str] = set()
        waiting = list(first)
        while waiting:
            other = waiting.pop()
            if other not in seen:
                seen.add(other)
                waiting += direct[other]
        found[name] = frozenset(seen)
    return found


def _holds_can_end(work: Work) -> None:
    before = _before(work) if work.holds else {}
    for hold in work.holds:
        where = f" ({hold.where})" if hold.where else ""
        if not {hold.begins, hold.ends} <= before.keys():
            continue
        for name in before.keys() & hold.breaks:
            if hold.begins in before[name] and name in before[hold.ends]:
                raise HoldNeverEnds(
                    f"hold {hold.id!r}{where} can never end: {work.place(hold.ends)} needs {work.place(name)}, "
                    f"which breaks the hold and itself needs {work.place(hold.begins)}. "
                    "Let the hold end earlier, or take the step out of what breaks it."
                )
        if hold.ends in before[hold.begins] or hold.ends == hold.begins:
            raise HoldNeverEnds(
                f"hold {hold.id!r}{where} can never end: it begins with {work.place(hold.begins)}, which needs "
                f"{work.place(hold.ends)} that ends it. Exchange the two, or correct the need."
            )


def _circle(work: Work, stuck: list[str], possible: frozenset[str]) -> str:
    """The message for steps that wait for each other: one whole circle, each with its place."""
    path = [stuck[0]]
    while path[-1] not in path[:-1]:
        one = next(one for one in clauses(work, work.step_of[path[-1]]) if not possible.intersection(one.of))
        path.append(one.of[0])
    circle = path[path.index(path[-1]) :]
    chain = " needs ".join(work.place(name) for name in circle)
    return f"No order obeys these needs: {chain}. Take one of them out of the circle."
