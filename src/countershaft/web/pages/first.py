"""The first page: every open job with the exact point at which it goes on."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import JobCard
from countershaft.job.words import Stage
from countershaft.stages.progress import Resume

__all__ = ["FirstPage", "JobLine", "first_page", "job_line", "resume_href", "stage_href"]


@dataclass(frozen=True, slots=True)
class JobLine:
    """One job on the first page."""

    tag: str
    href: str
    resume: str
    vehicle: str
    unit: str
    stage: str
    step: str
    waits: str
    last: str


@dataclass(frozen=True, slots=True)
class FirstPage:
    """Who is at the bench, which jobs are open, which are released; `instruments` leads to the shop's list."""

    person: str
    instruments: str
    open: tuple[JobLine, ...]
    released: tuple[JobLine, ...]


def first_page(cards: tuple[JobCard, ...], *, person: str, instruments: str) -> FirstPage:
    """The first page as its template reads it."""
    return FirstPage(
        person=person,
        instruments=instruments,
        open=tuple(job_line(card) for card in cards if not card.progress.released),
        released=tuple(job_line(card) for card in cards if card.progress.released),
    )


def stage_href(tag: str, stage: Stage) -> str:
    """Where a stage of a job is worked."""
    return f"/jobs/{quote(tag)}/{stage.value.replace(' ', '')}"


def resume_href(tag: str, resume: Resume) -> str:
    """Where the exact point of a job opens."""
    job, key = f"/jobs/{quote(tag)}", quote(resume.key)
    here = stage_href(tag, resume.stage)
    return {
        "stage": here,
        "step": f"{here}/{key}",
        "joint": f"{job}/joint/{key}",
        "fit": f"{here}/{key}",
        "limit": f"{job}/measure/reading?key={key}&back={here}",
    }[resume.kind]


def job_line(card: JobCard) -> JobLine:
    """A job as a line that leads to the point at which it goes on."""
    now = card.progress
    return JobLine(
        tag=card.tag,
        href=f"/jobs/{quote(card.tag)}",
        resume=resume_href(card.tag, now.resume),
        vehicle=card.vehicle,
        unit=card.unit,
        stage=now.resume.stage.value,
        step=now.resume.words,
        waits=", ".join(now.waiting),
        last=f"{now.last_at:%d %b %Y %H:%M}, {now.last_by}",
    )
