"""What stands around the work on every page of a job: whose job it is, and where on the line of stages."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.job.words import Stage
from countershaft.stages.progress import Progress
from countershaft.web.pages.first import stage_href

__all__ = ["Frame", "Station", "Wait", "frame"]


@dataclass(frozen=True, slots=True)
class Station:
    """One stage on the line; `state` is open, now or done."""

    name: str
    state: str
    href: str


@dataclass(frozen=True, slots=True)
class Wait:
    """Something the job waits for, and where to say that it came."""

    what: str
    href: str


@dataclass(frozen=True, slots=True)
class Frame:
    """The head of a job's page; `stage` is empty on pages that belong to no stage."""

    tag: str
    href: str
    unit: str
    stage: str
    stage_href: str
    stages: tuple[Station, ...]
    waits: tuple[Wait, ...]


def frame(job: OpenJob, progress: Progress, stage: Stage | None) -> Frame:
    """The head of a page of that job; `stage` is the one that the page belongs to."""
    enter = f"/jobs/{quote(job.tag)}/enter"
    return Frame(
        tag=job.tag,
        href=f"/jobs/{quote(job.tag)}",
        unit=job.state.opened.unit,
        stage=_name(stage) if stage else "",
        stage_href=stage_href(job.tag, stage) if stage else "",
        stages=tuple(
            Station(_name(one.stage), one.how, stage_href(job.tag, one.stage)) for one in progress.stages
        ),
        waits=(
            *(Wait(what, f"{enter}/waiting?key={quote(what, safe='')}") for what in progress.waits),
            *(Wait(words, f"{enter}/part-late?key={quote(part, safe='')}") for part, words in progress.late),
        ),
    )


def _name(stage: Stage) -> str:
    return stage.value.capitalize()
