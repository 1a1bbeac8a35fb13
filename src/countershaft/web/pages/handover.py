"""Hand over: the gate with what is still open, and the report."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.job.words import Stage
from countershaft.papers.blocks import Document
from countershaft.papers.report import report
from countershaft.stages import handover as stage
from countershaft.stages.progress import Progress
from countershaft.web.pages.frame import Frame, frame

__all__ = ["HandoverPage", "ReportPage", "handover_page", "report_page"]

#: Where a point of the gate is worked, by the first word of its key; {key} is the rest of it.
_WHERE: Final[dict[str, str]] = {
    "complaint": "enter/complaint?back={back}",
    "cause": "enter/cause?back={back}",
    "killer": "enter/killer?key={key}&back={back}",
    "decide": "decide",
    "consent": "decide",
    "teardown": "teardown",
    "inspect": "inspect",
    "check": "measure/reading?key={key}&back={back}",
    "fit": "fit/{key}",
    "housing": "alignment",
    "build": "build",
    "left over": "build/plan",
    "missing": "build/plan",
    "log": "log",
    "limit": "measure/reading?key={key}&back={back}",
    "turns": "prove",
    "fixed when": "enter/fixed-when?back={back}",
}


@dataclass(frozen=True, slots=True)
class PointRow:
    """A point of the gate."""

    what: str
    state: str
    words: str
    href: str
    waive_href: str


@dataclass(frozen=True, slots=True)
class HandoverPage:
    """The gate."""

    frame: Frame
    open: tuple[PointRow, ...]
    through: tuple[PointRow, ...]
    released: str
    undo_href: str
    release_href: str
    report_href: str


@dataclass(frozen=True, slots=True)
class ReportPage:
    """The report, block by block."""

    frame: Frame
    document: Document


def handover_page(job: OpenJob, progress: Progress) -> HandoverPage:
    """The gate as its template reads it."""
    found = stage.survey(job.transmission, job.state)
    here = f"/jobs/{quote(job.tag)}"
    rows = {point.key: _row(point, here) for point in found.gate}
    released = found.released
    entry = found.release_entry
    return HandoverPage(
        frame=frame(job, progress, Stage.HANDOVER),
        open=tuple(rows[point.key] for point in found.open),
        through=tuple(rows[point.key] for point in found.gate if not point.holds),
        released=f"Released by {entry.by}, {entry.at:%d %b %Y %H:%M}. {released.warranty}"
        if released and entry
        else "",
        undo_href=f"{here}/enter/undo?key={entry.id}&back={here}/handover" if entry else "",
        release_href=f"{here}/enter/release",
        report_href=f"{here}/report",
    )


def report_page(job: OpenJob, progress: Progress) -> ReportPage:
    """The report as its template reads it."""
    return ReportPage(frame(job, progress, Stage.HANDOVER), report(job.transmission, job.state))


def _row(point: stage.GatePoint, here: str) -> PointRow:
    state = "open" if point.holds else "let pass" if point.waived else "done"
    words = f"{point.open} — let pass, because {point.waived}" if point.waived else point.open or ""
    waive = f"{here}/enter/waive?key={quote(point.key)}" if point.holds and not point.firm else ""
    kind, _, key = point.key.partition(":")
    where = _WHERE[kind].format(key=quote(key, safe=""), back=f"{here}/handover")
    return PointRow(point.what, state, words, f"{here}/{where}", waive)
