"""A file in the making: which teardowns it is from, every must with how it is known, and what people may say of it."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote, urlencode

from countershaft.definitions.writer import write_transmission
from countershaft.desk.desk import OpenJob
from countershaft.stages.draft import Draft
from countershaft.stages.progress import Progress
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Link, listed

__all__ = ["DraftPage", "draft_page"]


@dataclass(frozen=True, slots=True)
class MustRow:
    """One thing that must come off before another, how that is known, and what may be said of it."""

    before: str
    after: str
    evidence: str
    fix_href: str
    loosen_href: str
    back_href: str


@dataclass(frozen=True, slots=True)
class SaidRow:
    """A pair that is free by what a person said, or that nobody can tell, with the way to say otherwise."""

    words: str
    href: str
    label: str


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part of the file: its fasteners, and where not all teardowns had it, the way to say what else it was called."""

    name: str
    pieces: str
    fasteners: str
    only_in: str
    same_href: str


@dataclass(frozen=True, slots=True)
class DraftPage:
    """The draft."""

    frame: Frame
    heading: str
    lead: str
    jobs: tuple[Link, ...]
    musts: tuple[MustRow, ...]
    first: tuple[str, ...]
    loosened: tuple[SaidRow, ...]
    doubtful: tuple[SaidRow, ...]
    parts: tuple[PartRow, ...]
    text: str
    fix_href: str
    same_href: str
    back: str
    action: str
    problems: tuple[str, ...]


def draft_page(
    job: OpenJob, progress: Progress, made: Draft, without: tuple[str, ...], problems: tuple[str, ...] = ()
) -> DraftPage:
    """The draft as its template reads it."""
    here = f"/jobs/{quote(job.tag)}/draft"
    observed = made.transmission.observed
    assert observed is not None, "a draft is from teardowns"
    watched = tuple(one.job for one in observed.teardowns)
    count = f"{len(watched)} teardown{'' if len(watched) == 1 else 's'}"
    return DraftPage(
        frame=frame(job, progress, None),
        heading=f"A file from {count}",
        lead=_lead(made, watched),
        jobs=(
            *(
                Link(f"Leave out {one}", _page(here, (*without, one)))
                for one in watched
                if len(watched) > 1 and one != job.tag
            ),
            *(
                Link(f"Take {one} in again", _page(here, tuple(x for x in without if x != one)))
                for one in without
            ),
        ),
        musts=tuple(_musts(made, here)),
        first=tuple(made.called(step) for step, needs in made.order.needs.items() if not needs),
        loosened=tuple(
            SaidRow(
                f"{made.called(one.before)} before {made.called(one.after)}: free, {one.because}",
                _say(here, made, one.before, one.after, "as seen"),
                "take back",
            )
            for one in observed.loosened
        ),
        doubtful=tuple(
            SaidRow(
                f"{made.called(before)} before {made.called(after)}",
                _say(here, made, before, after, "must"),
                "fix it",
            )
            for before, after in made.order.doubtful
        ),
        parts=tuple(_parts(made, here)),
        text=write_transmission(made.transmission),
        fix_href=f"{here}/say/order",
        same_href=f"{here}/say/name",
        back=f"/jobs/{quote(job.tag)}",
        action=_page(here, without),
        problems=problems,
    )


def _lead(made: Draft, jobs: tuple[str, ...]) -> str:
    """What the file will say, in one or two sentences."""
    parts, fasteners = (
        len(made.transmission.parts),
        sum(len(one.place_ids) for one in made.transmission.fasteners),
    )
    words = f"{parts} part{'' if parts == 1 else 's'} and {fasteners} fasteners"
    if len(jobs) == 1:
        return (
            f"{words}, from job {jobs[0]}. One teardown is one order; which of it is a must, the next one tells. "
            "Until then the file leads in this order, and a tick goes against it."
        )
    return f"{words}, from jobs {listed(jobs)}. What was not always so is free."


def _musts(made: Draft, here: str) -> list[MustRow]:
    found = []
    for must in made.order.musts:
        said = {how: _say(here, made, must.before, must.after, how) for how in ("must", "free", "as seen")}
        found.append(
            MustRow(
                before=made.called(must.before),
                after=made.called(must.after),
                evidence=made.transmission.step(must.after).why.get(must.before, must.evidence),
                fix_href="" if must.fixed else said["must"],
                loosen_href="" if must.fixed else said["free"],
                back_href=said["as seen"] if must.fixed else "",
            )
        )
    return found


def _parts(made: Draft, here: str) -> list[PartRow]:
    only_in = dict(made.only_in)
    found = []
    for step_id in made.order.keys:
        step = made.transmission.step(step_id)
        name = made.called(step_id)
        pieces = made.transmission.part(step.off[0].part).quantity if step.off else 0
        loose = [made.transmission.part(piece.part) for piece in step.off[1:]]
        bolts = [made.transmission.joint(key) for key in step.loosen]
        words = [
            f"{len(one.place_ids)} × {one.thread}{f' x {one.length_mm} mm' if one.length_mm else ''}"
            f"{', left-hand' if one.hand == 'left' else ''}"
            for one in bolts
        ]
        words += [
            f"{one.quantity} × {one.name.rpartition(', diameter ')[2]}, no thread measured" for one in loose
        ]
        jobs = only_in.get(step_id)
        found.append(
            PartRow(
                name=name,
                pieces=str(pieces or ""),
                fasteners=", ".join(words),
                only_in=f"only in {listed(jobs)}" if jobs else "",
                same_href=f"{here}/say/name?{urlencode({'name': name})}" if jobs else "",
            )
        )
    return found


def _say(here: str, made: Draft, before: str, after: str, how: str) -> str:
    asked = {"before": made.called(before), "after": made.called(after), "how": how}
    return f"{here}/say/order?{urlencode(asked)}"


def _page(here: str, without: tuple[str, ...]) -> str:
    return f"{here}?{urlencode([('without', one) for one in without])}" if without else here
