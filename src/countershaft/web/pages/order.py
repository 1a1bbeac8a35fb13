"""The order of work on a page: of a file as it stands, or of a job with what is done and what is late."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from urllib.parse import quote, urlencode

from countershaft.desk.desk import OpenJob
from countershaft.desk.order_of_work import (
    Asked,
    Doing,
    OrderOfWork,
    build_after,
    clock,
    order_of_work,
    verdict_of,
)
from countershaft.desk.order_standing import reality_of
from countershaft.errors import GoalOutOfReach, NoFeasibleOrder, Unknown
from countershaft.model.transmission import Transmission
from countershaft.planning.waiting import Reality
from countershaft.stages.progress import Progress
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.order_drawing import drawn_order
from countershaft.web.pages.shown import Link, enter, listed

__all__ = ["Answer", "OrderPage", "Row", "file_order_page", "job_order_page", "question_of"]

_PEOPLE = ("One person", "Two people")


@dataclass(frozen=True, slots=True)
class Tab:
    """One of a few things to ask for; `now` is the one that is shown."""

    label: str
    href: str
    now: bool


@dataclass(frozen=True, slots=True)
class Row:
    """One step in the order; `changes` are what comes before it, each in a line of its own.

    `at` is when it begins, `lasts` how long it takes, `by` who does it where there are two.
    """

    number: int
    changes: tuple[str, ...]
    step: str
    title: str
    href: str
    way: str
    at: str
    lasts: str
    by: str
    remarks: tuple[str, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """An order of work as it is read; the drawing is `folded` away where the list says as much."""

    verdict: str
    facts: tuple[tuple[str, str], ...]
    drawing: str
    folded: bool
    rows: tuple[Row, ...]
    spare: tuple[str, ...]
    blocked: tuple[str, ...]
    untimed: str


@dataclass(frozen=True, slots=True)
class OrderPage:
    """The order of work; `frame` is None on the page of a file, and so is what only a job can do.

    `refused` says why there is no order; `prove_href` is empty where nothing is left to prove.
    """

    frame: Frame | None
    unit: str
    heading: str
    tabs: tuple[tuple[Tab, ...], ...]
    action: str
    hidden: tuple[tuple[str, str], ...]
    parts: tuple[tuple[str, str], ...]
    reach: str
    refused: str
    answer: Answer | None
    after: Answer | None
    prove_href: str
    follow_href: str
    back: Link


def question_of(query: Mapping[str, str]) -> Asked:
    """What an address asks for; anything that it does not say is as usual."""
    return Asked(
        "build" if query.get("phase") == "build" else "teardown",
        query.get("reach", "").strip(),
        2 if query.get("people") == "2" else 1,
        bool(query.get("prove")),
    )


def file_order_page(transmission: Transmission, digest: str, asked: Asked) -> OrderPage:
    """The order of work of a file."""
    here = f"/files/{quote(digest)}/plan"
    back = Link("The whole file", f"/files/{quote(digest)}")
    return _page(
        transmission, asked, (Reality(), Reality()), here=here, steps="", frame=None, follow="", back=back
    )


def job_order_page(job: OpenJob, progress: Progress, asked: Asked) -> OrderPage:
    """The order of what is left to do on a job."""
    base = f"/jobs/{quote(job.tag)}"
    follow = enter(
        job,
        "follow-order",
        key=f"{asked.phase}:proved" if asked.prove else asked.phase,
        back=f"{base}/{asked.phase}",
    )
    return _page(
        job.transmission,
        asked,
        (
            reality_of(job.transmission, job.state, asked.phase),
            reality_of(job.transmission, job.state, "build"),
        ),
        here=f"{base}/order/plan",
        steps=base,
        frame=frame(job, progress, None),
        follow="" if asked.reach or asked.people > 1 else follow,
        back=Link("What can be done now", f"{base}/order?phase={asked.phase}"),
    )  # fmt: skip


def _page(
    transmission: Transmission,
    asked: Asked,
    stands: tuple[Reality, Reality],
    *,
    here: str,
    steps: str,
    frame: Frame | None,
    follow: str,
    back: Link,
) -> OrderPage:
    """`stands` is how things stand in the phase that is asked for, and in the build after it."""
    reality, building = stands
    found, after, refused = _worked_out(transmission, asked, reality, building)
    left = found is not None and found.doings
    proven = found is not None and found.proven and (after is None or after.proven)
    return OrderPage(
        frame=frame,
        unit=transmission.name,
        heading=_heading(transmission, asked, bool(reality.start.done)),
        tabs=(
            tuple(
                Tab(phase.capitalize(), _href(here, asked, phase=phase, reach="", prove=""), phase == asked.phase)
                for phase in ("teardown", "build")
            ),
            tuple(
                Tab(words, _href(here, asked, people=str(count), prove=""), count == asked.people)
                for count, words in enumerate(_PEOPLE, start=1)
            ),
        ),
        action=here,
        hidden=(("phase", asked.phase), ("people", str(asked.people))),
        parts=tuple(_touched(transmission, asked.phase)),
        reach=asked.reach,
        refused=refused,
        answer=_shown(found, steps) if found is not None else None,
        after=_shown(after, steps) if after is not None else None,
        prove_href="" if not left or proven or asked.prove else _href(here, asked, prove="1"),
        follow_href=follow if left else "",
        back=back,
    )  # fmt: skip


def _worked_out(
    transmission: Transmission, asked: Asked, reality: Reality, building: Reality
) -> tuple[OrderOfWork | None, OrderOfWork | None, str]:
    """The order, the build after it where a part is reached, or why there is none."""
    try:
        found = order_of_work(transmission, asked, reality)
        after = None
        if asked.reach and asked.phase == "teardown" and transmission.phase("build"):
            after = build_after(transmission, found, building, prove=asked.prove)
    except (GoalOutOfReach, NoFeasibleOrder, Unknown) as cause:
        return None, None, str(cause)
    return found, after, ""


def _heading(transmission: Transmission, asked: Asked, begun: bool) -> str:
    if asked.reach:
        part = next(
            (f"{one.id} {one.name}" for one in transmission.parts if one.id == asked.reach), asked.reach
        )
        return f"The way to {part}" if asked.phase == "teardown" else f"Until {part} is in"
    return (
        f"{asked.phase.capitalize()}: what is left, in order"
        if begun
        else f"{asked.phase.capitalize()}, in order"
    )


def _href(here: str, asked: Asked, **other: str) -> str:
    query = {
        "phase": asked.phase,
        "people": str(asked.people),
        "reach": asked.reach,
        "prove": "1" if asked.prove else "",
    } | other
    return f"{here}?{urlencode({name: value for name, value in query.items() if value})}"


def _touched(transmission: Transmission, phase: str) -> Iterator[tuple[str, str]]:
    """Parts that some step of the phase takes off or puts on."""
    moved = {one.part for step in transmission.phase(phase) for one in (*step.off, *step.on)}
    for part in transmission.parts:
        if part.id in moved:
            yield part.id, f"{part.id} {part.name}"


def _shown(order: OrderOfWork, steps: str) -> Answer:
    people = order.asked.people
    return Answer(
        verdict=verdict_of(order),
        facts=_facts(order),
        drawing=drawn_order(order) if order.doings else "",
        folded=people < 2,
        rows=tuple(_row(order, number, one, steps, people) for number, one in enumerate(order.doings, start=1)),
        spare=tuple(f"{step.id} {step.title}" for step in order.spare),
        blocked=order.blocked,
        untimed=f"The file gives no minutes for {listed(order.untimed)}: counted as nothing." if order.untimed else "",
    )  # fmt: skip


def _facts(order: OrderOfWork) -> tuple[tuple[str, str], ...]:
    """What the time is made of."""
    if not order.doings:
        return ()
    hours, minutes = divmod(-(-order.total // 60), 60)
    told = [("From start to end", f"{hours} h {minutes} min" if hours else f"{minutes} min")]
    if order.asked.people > 1:
        told.append(("One person alone", clock(order.alone)))
    told.append(("At the steps", clock(order.working)))
    turns = f"{order.turns} × turning the unit" if order.turns else "the unit is not turned"
    told.append(("Between them", f"{clock(order.setup)}: {turns}, {order.changes} tools taken up"))
    if order.idle:
        told.append(("Waiting", f"{clock(order.idle)}, for what passes by itself"))
    return tuple(told)


def _row(order: OrderOfWork, number: int, one: Doing, steps: str, people: int) -> Row:
    return Row(
        number=number,
        changes=tuple(_changes(order, number, one)),
        step=one.step.id,
        title=one.step.title,
        href=f"{steps}/{order.asked.phase}/{quote(one.step.id)}" if steps else "",
        way=one.way,
        at=f"{one.begins // 3600}:{one.begins // 60 % 60:02d}",
        lasts=clock(one.ends - one.begins),
        by=listed([f"person {person + 1}" for person in one.by]) if people > 1 else "",
        remarks=tuple(_remarks(one)),
        reasons=tuple(_reasons(order, one)),
    )


def _changes(order: OrderOfWork, number: int, one: Doing) -> Iterator[str]:
    """What is changed before a step: the unit is turned, tools are taken up, something is waited for."""
    if order.lies is None and one.lies and not any(other.lies for other in order.doings[: number - 1]):
        yield f"The unit: {one.lies}"
    if one.turn:
        yield f"Turn the unit: {one.turn}"
    if one.take:
        yield f"Take up: {listed(one.take)}"
    if one.idle:
        yield f"Wait {clock(one.idle)}"


def _remarks(one: Doing) -> Iterator[str]:
    """What the order hangs on besides: people, what is held on, what must be at hand, what passes by itself."""
    step = one.step
    if step.people > 1:
        yield f"{step.people} people"
    for hold in step.holds:
        yield f"From here to the end of {hold.until}: {hold.what}"
    if step.consumables:
        yield f"Uses {listed(step.consumables)}"
    if step.wait_min:
        yield f"Then {step.wait_min} min pass by themselves"


def _reasons(order: OrderOfWork, one: Doing) -> Iterator[str]:
    titles = {each.step.id: each.step.title for each in order.doings}
    for before in one.before:
        yield f"{before.step} {titles.get(before.step, '')} must come before, because {before.why}."
