"""What can be done now on a job, what waits for which part, and what cannot be done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.desk.order_of_work import Asked, clock, order_of_work, outlook_of, setup_now, stopped
from countershaft.desk.order_standing import reality_of, waits_for_teardown
from countershaft.errors import NoFeasibleOrder
from countershaft.model.bench_work import step_and_way
from countershaft.planning.waiting import Blocked, Outlook, Reality
from countershaft.stages.order import impossible_steps, late_parts
from countershaft.stages.progress import Progress
from countershaft.stages.work import Phase
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Link, enter

__all__ = ["NowPage", "now_page"]


@dataclass(frozen=True, slots=True)
class Open:
    """A step that can be done now; `first` where the planned order begins with it, `setup` what it costs to begin."""

    step: str
    title: str
    href: str
    lasts: str
    setup: str
    first: bool


@dataclass(frozen=True, slots=True)
class Late:
    """A part that is not at hand, and what waits for it alone."""

    part: str
    words: str
    blocks: tuple[str, ...]
    here_href: str


@dataclass(frozen=True, slots=True)
class Impossible:
    """A step that cannot be done, why, and the way to take that back."""

    what: str
    why: str
    undo_href: str


@dataclass(frozen=True, slots=True)
class NowPage:
    """What can be done now in one phase of a job; `apart` says that the build still waits for the teardown."""

    frame: Frame
    phase: str
    tabs: tuple[tuple[str, str, bool], ...]
    now: tuple[Open, ...]
    later: int
    apart: bool
    late: tuple[Late, ...]
    impossible: tuple[Impossible, ...]
    blocked: tuple[str, ...]
    early: tuple[str, ...]
    again: tuple[str, ...]
    refused: str
    late_href: str
    impossible_href: str
    plan_href: str
    reach_href: str
    back: Link


def now_page(job: OpenJob, progress: Progress, phase: Phase) -> NowPage:
    """The page as its template reads it."""
    base = f"/jobs/{quote(job.tag)}"
    mine = f"{base}/order?phase={phase}"
    reality = reality_of(job.transmission, job.state, phase)
    seen, refused = _seen(job, phase, reality)
    apart = waits_for_teardown(job.transmission, job.state) if phase == "build" else frozenset()
    ready = tuple(name for name in seen.now if step_and_way(name)[0] not in apart)
    return NowPage(
        frame=frame(job, progress, None),
        phase=phase,
        tabs=tuple(
            (one.capitalize(), f"{base}/order?phase={one}", one == phase) for one in ("teardown", "build")
        ),
        now=tuple(_open(job, phase, reality, ready)),
        later=len(_steps(seen.later) - _steps(ready)),
        apart=bool(apart),
        late=tuple(_late(job, seen, mine)),
        impossible=tuple(_impossible(job, mine)),
        blocked=tuple(_chain(job, one) for one in stopped(seen)),
        early=tuple(
            f"{_named(job, name)} is done, though {' or '.join(_named(job, one) for one in need.of)} was not."
            for name, need in seen.early
        ),
        again=tuple(f"{_named(job, name)} used a part that is broken: it must be done again." for name in seen.again),
        refused=refused,
        late_href=enter(job, "part-late", back=mine),
        impossible_href=enter(job, "impossible", back=mine),
        plan_href=f"{base}/order/plan?phase={phase}",
        reach_href=f"{base}/order/plan?phase={phase}#reach",
        back=Link("Back to the job", base),
    )  # fmt: skip


def _steps(names: Iterable[str]) -> set[str]:
    return {step_and_way(name)[0] for name in names}


def _seen(job: OpenJob, phase: Phase, reality: Reality) -> tuple[Outlook, str]:
    try:
        return outlook_of(job.transmission, phase, reality), ""
    except NoFeasibleOrder as cause:
        return Outlook((), (), (), {}, (), ()), str(cause)


def _open(job: OpenJob, phase: Phase, reality: Reality, ready: tuple[str, ...]) -> Iterator[Open]:
    """Each step once, the one that the planned order begins with first, then what costs least to begin."""
    costs: dict[str, int] = {}
    for name, cost in setup_now(job.transmission, phase, reality, ready).items():
        key = step_and_way(name)[0]
        costs[key] = min(cost, costs.get(key, cost))
    order = order_of_work(job.transmission, Asked(phase), reality).steps if costs else ()
    first = order[0] if order else ""
    for key in sorted(
        costs, key=lambda one: (one != first, costs[one], order.index(one) if one in order else 0)
    ):
        step = job.transmission.step(key)
        yield Open(
            step=key,
            title=step.title,
            href=f"/jobs/{quote(job.tag)}/{phase}/{quote(key)}",
            lasts=f"{step.minutes} min" if step.minutes is not None else "",
            setup=f"{clock(costs[key])} to turn the unit and take up tools"
            if costs[key]
            else "nothing to change",
            first=key == first,
        )


def _late(job: OpenJob, seen: Outlook, mine: str) -> Iterator[Late]:
    for part_id, (_, body) in late_parts(job.state).items():
        part = job.transmission.part(part_id)
        state = "is broken and must be got" if body.how == "broken" else "is late"
        blocks = dict.fromkeys(step_and_way(name)[0] for name in seen.late.get(part_id, ()))
        yield Late(
            part=f"{part.id} {part.name}",
            words=f"{state}, expected {body.until}" if body.until else f"{state}, nobody said until when",
            blocks=tuple(_named(job, one) for one in blocks),
            here_href=enter(job, "part-late", key=part_id, back=mine),
        )


def _impossible(job: OpenJob, mine: str) -> Iterator[Impossible]:
    for entry, body in impossible_steps(job.state):
        step = job.transmission.step(body.step)
        way = next(
            (one.title for one in step.alternatives if one.id == body.way),
            "the usual way" if body.way else "",
        )
        yield Impossible(
            what=f"{step.id} {step.title}" + (f": {way}" if way else ""),
            why=f"{body.because} ({entry.by}, {entry.at:%d %b %H:%M})",
            undo_href=enter(job, "undo", key=entry.id, back=mine),
        )


def _chain(job: OpenJob, one: Blocked) -> str:
    """A blocked step, what it waits for down to the root, and what is wrong there."""
    names = list(dict.fromkeys(step_and_way(name)[0] for name in one.chain))
    waits = " waits for ".join([_named(job, names[0]), *names[1:]])
    return f"{waits}: {one.why}"


def _named(job: OpenJob, name: str) -> str:
    step = job.transmission.step(step_and_way(name)[0])
    return f"{step.id} {step.title}"
