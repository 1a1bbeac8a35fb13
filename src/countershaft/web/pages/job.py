"""One job: its stages, the point at which it goes on, what it waits for; and its whole log."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Body, Entry, Note, Photo
from countershaft.stages.progress import Progress
from countershaft.web.pages.first import resume_href
from countershaft.web.pages.frame import Frame, frame

__all__ = ["JobPage", "LogLine", "LogPage", "NewJobPage", "job_page", "log_page", "say"]


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
class Wait:
    """Something the job waits for, and where to say that it came."""

    what: str
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
    waits: tuple[Wait, ...]
    notes: tuple[str, ...]
    file_href: str
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

    files: tuple[tuple[str, str], ...]
    values: dict[str, str]
    errors: dict[str, str]
    problems: tuple[str, ...]
    entry_id: str


def job_page(job: OpenJob, progress: Progress) -> JobPage:
    """A job's page as its template reads it."""
    here = f"/jobs/{quote(job.tag)}"
    made = frame(job, progress, None)
    opened = job.state.opened
    return JobPage(
        frame=made,
        vehicle=opened.vehicle,
        mileage=f"{opened.mileage_km} km" if opened.mileage_km is not None else "not read",
        resume_words=progress.resume.words,
        resume_stage=progress.resume.stage.value,
        resume_href=resume_href(job.tag, progress.resume),
        stages=tuple(
            StageLine(one.stage.value, one.how, one.words, link.href)
            for one, link in zip(progress.stages, made.stages, strict=True)
        ),
        waits=tuple(Wait(what, f"{here}/enter/waiting?key={quote(what)}") for what in progress.waits),
        notes=tuple(
            f"{entry.at:%d %b %H:%M}, {entry.by}: {note.words}" for entry, note in job.state.of(Note)
        ),
        file_href=f"/files/{job.definition}",
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


def say(job: OpenJob, body: Body) -> str:
    """What an entry says, in one line: its fields by name, ids with their words."""
    steps = {
        step.id: step.title
        for step in (*job.transmission.phase("teardown"), *job.transmission.phase("build"))
    }
    parts = {part.id: part.name for part in job.transmission.parts}
    said: list[str] = []
    for name, value in body:
        if name in ("kind", "digest", "definition") or value in (None, "", (), False):
            continue
        if name == "target":
            target = next((entry for entry in job.state.entries if entry.id == value), None)
            said.append(
                f"{target.body.kind.replace('_', ' ')} of {target.at:%d %b %H:%M}" if target else str(value)
            )
        elif name == "step":
            said.append(f"{value} {steps.get(str(value), '')}".strip())
        elif name == "part":
            said.append(f"{value} {parts.get(str(value), '')}".strip())
        elif name == "placed":
            said += [f"{one.count} × {parts.get(one.part, one.part)} to {one.place}" for one in value]
        elif name == "values_mm" and isinstance(value, dict):
            said += [f"{key}: {', '.join(map(str, numbers))} mm" for key, numbers in value.items()]
        else:
            said.append(_plain(name, value))
    if isinstance(body, Photo) and not said:
        return "a photo"
    return "; ".join(said)


def _plain(name: str, value: object) -> str:
    words = ", ".join(str(getattr(one, "value", one)) for one in value) if isinstance(value, tuple) else None
    text = words if words is not None else str(getattr(value, "value", value))
    if value is True:
        return name.replace("_", " ")
    if name in ("words", "because", "what", "tag", "result", "how", "warranty"):
        return text
    label = name.removesuffix("_mm").removesuffix("_c").removesuffix("_km").replace("_", " ")
    unit = (
        " mm"
        if name.endswith("_mm")
        else " °C"
        if name.endswith("_c")
        else " km"
        if name.endswith("_km")
        else ""
    )
    return f"{label} {text}{unit}"
