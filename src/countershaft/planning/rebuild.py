"""The work of putting together, from the work of taking apart as it was really done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from countershaft.planning.explain import reasons
from countershaft.planning.work import Hold, Need, Work, WorkStep

__all__ = ["BuildStep", "build_work"]


@dataclass(frozen=True, slots=True)
class BuildStep:
    """A step that only building has, and the steps that must wait for it."""

    step: WorkStep
    before: tuple[Need, ...] = ()


def build_work(work: Work, order: Sequence[str], *, extra: Sequence[BuildStep] = ()) -> Work:
    """What came off last goes on first: the work turned round, with what only building needs.

    Where one of several steps gave access, the one that did it first is put back after the part that it gave access to.

    Parameters
    ----------
    work : Work
        The work of taking apart.
    order : Sequence[str]
        The steps that were done, in the order that they were.
    extra : Sequence[BuildStep], optional
        Steps that only building has: lubricate, measure, check before it is hidden.  In `before`, each need names the
        steps that must wait (all of them), and why.

    Returns
    -------
    Work
        The same steps with their needs turned round, then the extra ones; holds begin where they ended.

    Raises
    ------
    Unknown
        The order or an extra step names a step that is not there.

    Examples
    --------
    >>> from countershaft.planning.work import need
    >>> work = Work((WorkStep("pan", 60), WorkStep("filter", 60, (need("pan", why="the pan covers it"),))))
    >>> [(step.id, step.needs) for step in build_work(work, ["pan", "filter"]).steps]
    [('filter', ()), ('pan', (Need(of=('filter',), why='the other way round when it came off: the pan covers it'),))]
    """
    done = work.known(order)
    needs: dict[str, list[Need]] = {name: [] for name in order}
    for step, before in reasons(work, order).items():
        for reason in before:
            if reason.kind != "hold":
                needs[reason.before].append(
                    Need((step,), f"the other way round when it came off: {reason.why}")
                )
    turned = [
        replace(
            work.step_of[name],
            needs=tuple(dict.fromkeys(needs[name])),
            conflicts=work.step_of[name].conflicts & done,
            optional=False,
        )
        for name in reversed(order)
    ]
    cut = tuple(_holds(work, done))
    built = replace(work, steps=(*turned, *(one.step for one in extra)), holds=cut, choices=())
    for one in extra:
        built.known([name for wait in one.before for name in wait.of])
    return replace(built, steps=tuple(_waiting(built, extra)))


def _holds(work: Work, done: frozenset[str]) -> Iterator[Hold]:
    """The holds that both began and ended, turned round, in the steps that were really done."""
    for hold in work.holds:
        begins, ends = done.intersection(work.ways(hold.begins)), done.intersection(work.ways(hold.ends))
        if begins and ends:
            yield replace(
                hold,
                begins=min(ends),
                ends=min(begins),
                during=tuple(sorted(done & work.all_ways(hold.during))),
                breaks=tuple(sorted(done & work.all_ways(hold.breaks))),
            )


def _waiting(built: Work, extra: Sequence[BuildStep]) -> Iterator[WorkStep]:
    """The steps, each with the extra steps that it must wait for among its needs."""
    for step in built.steps:
        more = [Need((one.step.id,), wait.why) for one in extra for wait in one.before if step.id in wait.of]
        yield replace(step, needs=(*step.needs, *more)) if more else step
