"""What was just measured: its figures, its verdict, and the way back or on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import (
    Body,
    ConverterDepths,
    Dimensions,
    Entry,
    FitLeft,
    FitMeasured,
    FormTaken,
    HousingSwept,
    HubTrial,
    MeasuredBlind,
    Reading,
    Remeasured,
    Trial,
    Worked,
)
from countershaft.job.words import Stage
from countershaft.stages.bench_sums import worked_out
from countershaft.stages.inspection import survey
from countershaft.stages.progress import Progress
from countershaft.sums.answer import printed
from countershaft.web.housing_words import HOUSING_KINDS, housing_words
from countershaft.web.pages.alignment import alignment_href, newest_answer
from countershaft.web.pages.checks import check_links, check_row
from countershaft.web.pages.first import stage_href
from countershaft.web.pages.fit import fit_page
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Answer, Link, Working, enter, said

__all__ = ["MeasuredPage", "measured_page"]


@dataclass(frozen=True, slots=True)
class MeasuredPage:
    """An entry that joined the log, and its verdict where the figures themselves have one.

    `needed` is the size of the `selective` part that follows from it, empty where none does.
    """

    frame: Frame
    title: str
    figures: tuple[tuple[str, str], ...]
    said: str
    answer: Answer | None
    needed: str
    selective: str
    needed_working: Working | None
    next: Link
    beside: tuple[Link, ...]
    undo_href: str


def measured_page(
    job: OpenJob, progress: Progress, stage: Stage | None, title: str, entry: Entry, *, again: str, back: str
) -> MeasuredPage:
    """What an entry came to; `again` leads to the keypad once more and `back` to where it was opened."""
    body = entry.body
    found, needed, working = _verdict(job, progress, body)
    onward = _next_check(job, body, back)
    leave = Link("Go on", back)
    if isinstance(body, HOUSING_KINDS):
        onward = Link("What it says, and what to do", alignment_href(job))
    return MeasuredPage(
        frame=frame(job, progress, stage),
        title=title,
        figures=_figures(body),
        said=said(entry),
        answer=found,
        needed=needed,
        selective=_selective(job, body) if needed else "",
        needed_working=working,
        next=onward or leave,
        beside=(*((Link("Back to the list", back),) if onward else ()), Link("Measure again", again)),
        undo_href=enter(job, "undo", key=entry.id, back=again),
    )


def _selective(job: OpenJob, body: Body) -> str:
    """What the part that is needed is called at the bench."""
    if isinstance(body, Trial | Dimensions | FitMeasured):
        return job.transmission.fit(body.fit).selective
    return ""


def _verdict(job: OpenJob, progress: Progress, body: Body) -> tuple[Answer | None, str, Working | None]:
    """The verdict on a limit or fit, or the size that a trial asks for."""
    if isinstance(body, Trial | Dimensions | FitMeasured | Remeasured | FitLeft):
        found = fit_page(job, progress, body.fit)
        if isinstance(body, Remeasured | FitLeft):
            return found.left, "", None
        return (
            None,
            found.needed,
            found.needed_working,
        )
    if isinstance(body, Worked):
        if body.limit is None:
            return None, "", None
        limit = job.transmission.limit(body.limit)
        return check_row(job, limit, whens=(body.when,), back="").answers[0], "", None
    if isinstance(body, Reading | FormTaken):
        if any(fit.id == body.limit for fit in job.transmission.all_fits):
            return fit_page(job, progress, body.limit).as_found, "", None
        limit = job.transmission.limit(body.limit)
        return check_row(job, limit, whens=(body.when,), back="").answers[0], "", None
    if isinstance(body, HousingSwept | ConverterDepths | HubTrial):
        return newest_answer(job, progress, body), "", None
    return None, "", None


def _figures(body: Body) -> tuple[tuple[str, str], ...]:
    """The figures as they stand in the log, and as they were typed where that differs."""
    if isinstance(body, Worked):
        return _worked(body)
    if isinstance(body, MeasuredBlind):  # nobody sees those before all have measured
        return ()
    found: list[tuple[str, str]] = []
    if isinstance(body, Reading):
        found = [(body.when, f"{_row(body.values)} {body.unit}")]
    elif isinstance(body, FormTaken):
        found = [(one.place, f"{_row(one.values)} {body.unit}") for one in body.readings]
    elif isinstance(body, Trial):
        found = [("trial part", f"{body.size_mm} mm"), ("readings", f"{_row(body.values_mm)} mm")]
    elif isinstance(body, Remeasured):
        found = [("readings", f"{_row(body.values_mm)} mm")]
    elif isinstance(body, Dimensions):
        found = [(name, f"{_row(values)} mm") for name, values in body.values_mm.items()]
    elif isinstance(body, FitMeasured | FitLeft):
        found = [(one.name, f"{_row(one.values)} {one.unit}") for one in body.figures]
    elif isinstance(body, HOUSING_KINDS):
        found = [("readings", housing_words(body))]
    else:
        found = _all_readings(body)
    taken = getattr(body, "taken", None)
    typed = getattr(body, "typed", "") or (taken.typed if taken is not None else "")
    return (*found, *((("as typed", typed),) if typed else ()))


def _all_readings(body: Body) -> list[tuple[str, str]]:
    """Every row of figures of an entry, by the name that the log has for it."""
    unit = getattr(body, "unit", "")
    rows = ((name.replace("_", " "), value) for name, value in body if isinstance(value, tuple))
    return [
        (name, f"{_row(row)} {unit}".strip())
        for name, row in rows
        if row and name != "hours" and all(isinstance(one, Decimal) for one in row)
    ]


def _worked(body: Worked) -> tuple[tuple[str, str], ...]:
    """What went into a bench sum, and what it comes to."""
    done = worked_out(body)
    labels = {field.name: field.label for field in done.sum.fields}
    typed = [(labels[name], text) for name, text in body.typed.items()]
    told = [(one.label, printed(one, one.metric)) for one in done.outcome.figures]
    return (*typed, *told)


def _row(values: Sequence[Decimal]) -> str:
    return ", ".join(str(value) for value in values)


def _next_check(job: OpenJob, body: Body, back: str) -> Link | None:
    """The next open check, for who goes through all of them."""
    if not isinstance(body, Reading | FormTaken) or back != stage_href(job.tag, Stage.INSPECT):
        return None
    still = survey(job.transmission, job.state).open
    return check_links(job, still[0].limit, back)[0] if still else None
