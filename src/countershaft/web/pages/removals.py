"""What came off a unit that no file describes: three taps for each removal, and the list of all so far."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from countershaft.desk.desk import OpenJob, new_entry_id
from countershaft.job.entry import Entry, Photo, StepDone
from countershaft.job.removals import all_is_off, has_no_file
from countershaft.job.words import Stage
from countershaft.stages.progress import Progress
from countershaft.web.forms.form import Answers
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Link, enter, onward
from countershaft.web.pages.trays import trays

__all__ = ["FASTENER_ROWS", "WORDS_OFFERED", "RemovalsPage", "removals_page"]

#: How many words are offered to tap, how many sizes of fasteners can come out at once, how many places stand in reach.
WORDS_OFFERED: Final = 8
FASTENER_ROWS: Final = 3
_IN_REACH: Final = 4

_CALLED: Final = {
    "what": "What",
    "count": "How many",
    "place": "Where it went",
    "fasteners": "Fasteners",
    "remark": "Remark",
}


@dataclass(frozen=True, slots=True)
class PlaceButton:
    """A place as the button that sends."""

    place: str
    label: str
    kind: str


@dataclass(frozen=True, slots=True)
class FastenerRow:
    """One size of fasteners as typed."""

    number: int
    count: str
    size: str


@dataclass(frozen=True, slots=True)
class RemovalRow:
    """One removal of the log."""

    step: str
    href: str
    what: str
    with_it: str
    place: str
    photos: int
    photo_href: str
    undo_href: str


@dataclass(frozen=True, slots=True)
class RemovalsPage:
    """The form of the next removal and the list of those before it, newest first.

    `asks` is False where somebody said that all is off; `ends` where the log itself says when it is.
    """

    frame: Frame
    heading: str
    asks: bool
    ends: bool
    words: tuple[str, ...]
    what: str
    other: str
    count: str
    more: str
    fasteners: tuple[FastenerRow, ...]
    sizes: tuple[str, ...]
    parked: bool
    together: bool
    remark: str
    open_fold: bool
    places: tuple[PlaceButton, ...]
    further: tuple[PlaceButton, ...]
    last: RemovalRow | None
    rows: tuple[RemovalRow, ...]
    action: str
    all_off: str
    more_href: str
    onward: Link
    draft_href: str
    plan_href: str
    waiting_href: str
    entry_id: str
    end_id: str
    problems: tuple[str | tuple[str, str], ...]
    errors: dict[str, str]


def removals_page(
    job: OpenJob,
    progress: Progress,
    words: tuple[str, ...],
    *,
    more: bool = False,
    answers: Answers | None = None,
    errors: dict[str, str] | None = None,
    problems: tuple[str, ...] = (),
) -> RemovalsPage:
    """The page as its template reads it; what was typed is kept where the form comes back with faults."""
    typed, wrong = answers or Answers({}), errors or {}
    here = f"/jobs/{quote(job.tag)}"
    ends = has_no_file(job.transmission, job.state)
    back = f"{here}/teardown" if ends else f"{here}/removed"
    rows = tuple(
        _row(job, entry, body, back) for entry, body in reversed(job.state.of(StepDone)) if body.seen
    )
    over = ends and all_is_off(job.state) and not more and answers is None
    reach, further = _places(job)
    return RemovalsPage(
        frame=frame(job, progress, Stage.TEARDOWN),
        heading="All is off" if over else "What came off?" if ends else "What else came off?",
        asks=not over,
        ends=ends,
        words=words,
        what=typed.one("what"),
        other=typed.one("other"),
        count=typed.one("count"),
        more=typed.one("more"),
        fasteners=tuple(
            FastenerRow(number, typed.one(f"bolts {number}"), typed.one(f"size {number}"))
            for number in range(1, FASTENER_ROWS + 1)
        ),
        sizes=_sizes(job),
        parked=bool(typed.one("parked")),
        together=bool(typed.one("together")),
        remark=typed.one("remark"),
        open_fold=any(name in wrong for name in ("fasteners", "remark")) or bool(typed.one("bolts 1")),
        places=reach,
        further=further,
        last=rows[0] if rows else None,
        rows=rows,
        action=f"{here}/removed",
        all_off=f"{here}/all-off" if ends and rows else "",
        more_href=f"{here}/removed?more=1" if over else "",
        onward=onward(job, progress),
        draft_href=f"{here}/draft" if rows or not ends else "",
        plan_href=f"{here}/teardown/plan",
        waiting_href=enter(job, "waiting", back=back),
        entry_id=typed.one("entry_id") or new_entry_id(),
        end_id=new_entry_id(),
        problems=(
            *problems,
            *((name, f"{_CALLED[name]}: {text}") for name, text in wrong.items() if name in _CALLED),
        ),
        errors={name: wrong.get(name, "") for name in _CALLED},
    )


def _row(job: OpenJob, entry: Entry, body: StepDone, back: str) -> RemovalRow:
    off = body.seen
    assert off is not None, "only removals are listed"
    step = job.transmission.step(body.step)
    here = f"/jobs/{quote(job.tag)}"
    bolts = ", ".join(f"{one.count} × {one.size}" for one in off.fasteners)
    stowed = {one.spot.words() for one in body.stowed} - {body.placed[0].place}
    name = job.transmission.part(step.off[0].part).name
    return RemovalRow(
        step=body.step,
        href=f"{here}/teardown/{body.step}",
        what=f"{off.count} × {name}{', together with the one before' if off.together else ''}",
        with_it=f"{bolts}{''.join(f', {words}' for words in stowed)}" if bolts else "",
        place=_label(job, body.placed[0].place),
        photos=sum(photo.about == body.step for photo in job.state.bodies(Photo)),
        photo_href=enter(job, "photo", key=f"teardown:{body.step}", back=back),
        undo_href=enter(job, "undo", key=entry.id, back=back),
    )


def _places(job: OpenJob) -> tuple[tuple[PlaceButton, ...], tuple[PlaceButton, ...]]:
    """The places in reach, the one used last first in colour and a fresh tray at the end; and all the others."""
    known = trays(job)
    used, fresh = known[:-1], known[-1]
    logged = [placed.place for done in job.state.bodies(StepDone) for placed in done.placed]
    newest = tuple(dict.fromkeys((*reversed(logged), *reversed(used))))
    near = sorted(newest[: _IN_REACH - 1], key=used.index)
    first = logged[-1] if logged else "mat"
    buttons = [
        PlaceButton(place, _to(job, place), "primary" if place == first else "secondary") for place in near
    ]
    buttons.append(PlaceButton(fresh, f"To new {_label(job, fresh)}", "secondary"))
    rest = tuple(PlaceButton(place, _to(job, place), "secondary") for place in used if place not in near)
    return tuple(buttons), rest


def _label(job: OpenJob, place: str) -> str:
    """A place as the bench says it: its number alone where it is a tray of this job."""
    number = place.removeprefix(f"{job.tag}-T")
    return f"tray {number}" if number != place and number.isdecimal() else place


def _to(job: OpenJob, place: str) -> str:
    return "To the mat" if place == "mat" else f"To {_label(job, place)}"


def _sizes(job: OpenJob) -> tuple[str, ...]:
    """Sizes of fasteners that came out of this unit, the newest first, for the list of suggestions."""
    bodies = reversed(job.state.bodies(StepDone))
    return tuple(dict.fromkeys(one.size for body in bodies if body.seen for one in body.seen.fasteners))
