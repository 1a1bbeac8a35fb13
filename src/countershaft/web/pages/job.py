"""One job: its stages, the point at which it goes on, what it waits for; and its whole log."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Entry, Note
from countershaft.stages.progress import Progress
from countershaft.web.log_words import say
from countershaft.web.pages.first import resume_href
from countershaft.web.pages.frame import Frame, frame

__all__ = ["JobPage", "LogLine", "LogPage", "NewJobPage", "job_page", "log_page"]


#: How many notes the job's own page shows; the log has them all.
_NEWEST_NOTES = 10


@dataclass(frozen=True, slots=True)
class StageLine:
    """One stage with how far it is."""

    name: str
    how: str
    words: str
    href: str


@dataclass(frozen=True, slots=True)
class JobPage:
    """A job at a glance."""

    frame: Frame
    vehicle: str
    mileage: str
    resume_words: str
    resume_stage: str
    resume_href: str
    stages: tuple[StageLine, ...]
    notes: tuple[str, ...]
    file_href: str
    draft_href: str
    entries: int


@dataclass(frozen=True, slots=True)
class LogLine:
    """One entry of the log."""

    number: int
    at: str
    by: str
    what: str
    words: str
    undone: bool
    undo_href: str


@dataclass(frozen=True, slots=True)
class LogPage:
    """A page of the log, newest first."""

    frame: Frame
    lines: tuple[LogLine, ...]
    contradictions: tuple[str, ...]
    newer: str
    older: str
    span: str


@dataclass(frozen=True, slots=True)
class NewJobPage:
    """What a new job asks for."""

    files: tuple[tuple[str, ...], ...]
    values: dict[str, str]
    errors: dict[str, str]
    problems: tuple[str, ...]
    entry_id: str


def job_page(job: OpenJob, progress: Progress) -> JobPage:
    """A job's page as its template reads it."""
    made = frame(job, progress, None)
    opened = job.state.opened
    return JobPage(
        frame=made,
        vehicle=opened.vehicle,
        mileage=f"{opened.mileage_km:,} km".replace(",", " ")
        if opened.mileage_km is not None
        else "not read",
        resume_words=progress.resume.words,
        resume_stage=progress.resume.stage.value,
        resume_href=resume_href(job.tag, progress.resume),
        stages=tuple(
            StageLine(one.stage.value, one.how, one.words, link.href)
            for one, link in zip(progress.stages, made.stages, strict=True)
        ),
        notes=tuple(
            f"{entry.at:%d %b %H:%M}, {entry.by}: {note.words}" for entry, note in job.state.of(Note)
        ),
        file_href=f"/files/{job.definition}",
        draft_href=f"/jobs/{quote(job.tag)}/draft"
        if job.transmission.observed is not None and job.transmission.steps
        else "",
        entries=len(job.state.entries),
    )


def log_page(job: OpenJob, progress: Progress, *, start: int, length: int) -> LogPage:
    """A page of the log, newest first, from the `start`-th newest entry on."""
    here = f"/jobs/{quote(job.tag)}"
    total = len(job.state.entries)
    newest_first = job.state.entries[::-1][start : start + length]
    return LogPage(
        frame=frame(job, progress, None),
        lines=tuple(_log_line(job, here, entry, total - start - at) for at, entry in enumerate(newest_first)),
        contradictions=job.state.contradictions,
        newer=f"{here}/log?from={max(0, start - length)}" if start else "",
        older=f"{here}/log?from={start + length}" if start + length < total else "",
        span=f"{total - start - len(newest_first) + 1} to {total - start} of {total} entries",
    )


def _log_line(job: OpenJob, here: str, entry: Entry, number: int) -> LogLine:
    undone = entry.id in job.state.undone
    fixed = undone or entry.body.kind == "job_opened"
    return LogLine(
        number=number,
        at=f"{entry.at:%d %b %Y %H:%M}",
        by=entry.by,
        what=entry.body.kind.replace("_", " "),
        words=say(job, entry.body),
        undone=undone,
        undo_href="" if fixed else f"{here}/enter/undo?key={entry.id}&back={quote(here)}/log",
    )
