"""Why each step of a plan comes after others: every "must come before" with its reason."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from countershaft.planning.work import Hold, Need, Work, WorkStep

__all__ = ["Reason", "reasons"]


@dataclass(frozen=True, slots=True)
class Reason:
    """Why one step must come before another.

    `kind` says where it comes from: a need of this very step, a need that one of several meets, the way that was
    chosen, or a hold.
    """

    before: str
    after: str
    kind: Literal["need", "either", "choice", "hold"]
    why: str

    def __str__(self) -> str:
        return f"{self.before} before {self.after}: {self.why}"


def reasons(work: Work, order: Sequence[str]) -> dict[str, tuple[Reason, ...]]:
    """For each step of an order, all that had to come before it, and why.

    Parameters
    ----------
    work : Work
        Steps, holds and choices.
    order : Sequence[str]
        Steps in an order that obeys them.

    Returns
    -------
    dict[str, tuple[Reason, ...]]
        Every step of the order; nothing where a step could have come first.

    Raises
    ------
    Unknown
        The order names a step that is not there.

    Examples
    --------
    >>> from countershaft.planning.work import need
    >>> work = Work((WorkStep("pan", 60), WorkStep("filter", 60, (need("pan", why="the pan covers the filter"),))))
    >>> print(*reasons(work, ["pan", "filter"])["filter"])
    pan before filter: the pan covers the filter
    """
    work.known(order)
    place = {name: index for index, name in enumerate(order)}
    found: dict[str, list[Reason]] = {name: [] for name in order}
    for name in order:
        found[name] += _from_needs(work, work.step_of[name], place)
    for hold in work.holds:
        for reason in _from_hold(work, hold, place):
            found[reason.after].append(reason)
    return {name: tuple(sorted(ones, key=lambda one: place[one.before])) for name, ones in found.items()}


def _from_needs(work: Work, step: WorkStep, place: dict[str, int]) -> Iterator[Reason]:
    for one in step.needs:
        ways = [way for name in one.of for way in work.ways(name)]
        earlier = [way for way in ways if place.get(way, place[step.id]) < place[step.id]]
        if earlier:
            first = min(earlier, key=lambda way: place[way])
            yield _reason(one, ways, first, step)


def _reason(one: Need, ways: Sequence[str], first: str, step: WorkStep) -> Reason:
    why = one.why or f"{step.id} needs it"
    if len(ways) == 1:
        return Reason(first, step.id, "need", why)
    others = ", ".join(way for way in ways if way != first)
    if len(one.of) == 1:
        return Reason(
            first, step.id, "choice", f"{why}; of the ways of {one.of[0]} this one was chosen (not {others})"
        )
    return Reason(first, step.id, "either", f"{why}; one is enough, and it came first (else {others})")


def _from_hold(work: Work, hold: Hold, place: dict[str, int]) -> Iterator[Reason]:
    because = f"hold {hold.id}" + (f", {hold.why}" if hold.why else "")
    begin = next((way for way in work.ways(hold.begins) if way in place), None)
    end = next((way for way in work.ways(hold.ends) if way in place), None)
    during = [name for name in sorted(work.all_ways(hold.during)) if name in place and name != end]
    if begin is not None:
        for name in during:
            yield Reason(begin, name, "hold", f"{because}: it must be held meanwhile")
        if end is not None and not during:
            yield Reason(begin, end, "hold", f"{because}: it is held until this is done")
    if end is not None:
        for name in during:
            yield Reason(name, end, "hold", f"{because}: it is held until this is done")
    for name in sorted(work.all_ways(hold.breaks)):
        if begin is not None and place.get(name, place[begin]) < place[begin]:
            yield Reason(name, begin, "hold", f"{because}: {name} would break it")
        elif end is not None and place.get(name, place[end]) > place[end]:
            yield Reason(end, name, "hold", f"{because}: {name} would break it")
