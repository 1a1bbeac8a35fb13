"""The timeline of an order of work: a row for each person, and one for how the unit lies."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.desk.order_of_work import Doing, OrderOfWork
from countershaft.figures.work_timeline import Bar, Lane, Timeline, work_timeline

__all__ = ["drawn_order"]


def drawn_order(order: OrderOfWork) -> str:
    """The order as a drawing."""
    people = order.asked.people
    lanes = [
        Lane(f"Person {one + 1}" if people > 1 else "Steps", tuple(_of(order, one))) for one in range(people)
    ]
    lying = tuple(_lying(order))
    title = f"{order.asked.phase.capitalize()}: who does what, and how the unit lies" if people > 1 else (
        f"{order.asked.phase.capitalize()}: the steps, and how the unit lies"
    )  # fmt: skip
    return work_timeline(Timeline(title, (*lanes, Lane("Unit", lying)) if lying else tuple(lanes)))


def _of(order: OrderOfWork, person: int) -> Iterator[Bar]:
    for one in order.doings:
        if person in one.by:
            if one.setup:
                begins = one.begins - one.setup - one.idle
                yield Bar("set-up", begins / 60, (begins + one.setup) / 60, "set-up")
            yield Bar(one.step.id, one.begins / 60, one.ends / 60)


def _lying(order: OrderOfWork) -> Iterator[Bar]:
    """From one turn to the next; where two people work, the turn is over when the step that asks for it begins."""
    placed = [one for one in order.doings if one.lies]
    runs: list[list[Doing]] = []
    for one in placed:
        if runs and runs[-1][0].lies == one.lies:
            runs[-1].append(one)
        else:
            runs.append([one])
    for index, run in enumerate(runs):
        after = runs[index + 1] if index + 1 < len(runs) else None
        ends = max(one.ends for one in run)
        if after is not None:
            ends = max(ends, after[0].begins - after[0].setup - after[0].idle)
        yield Bar(run[0].lies or "", run[0].begins / 60, ends / 60, "lies")
