"""Inspect: every check in its slot, every finding in its word."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError, Unknown
from countershaft.job.entry import Entry, Finding, HousingSwept, Worked
from countershaft.job.words import FINDING_MEANS, Stage
from countershaft.stages import inspection as stage
from countershaft.stages.bench_sums import worked_out
from countershaft.stages.progress import Progress
from countershaft.sums.register import SUMS
from countershaft.web.pages.checks import CheckRow, check_links, check_row
from countershaft.web.pages.first import stage_href
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Caution, Head, Link, Picture, at_stage, enter, onward, pictures, said
from countershaft.web.pages.sums import AnsweredFigure, answered_figure

__all__ = ["FindingRow", "InspectionPage", "PartRow", "WorkedRow", "inspection_page"]

_AIR: Final = Caution(
    "WARNING",
    "Compressed air drives chips and fluid into eyes and under the skin. Wear eye protection, keep to "
    "the maker's pressure, point it at nobody, and never spin a bearing with it.",
)


@dataclass(frozen=True, slots=True)
class FindingRow:
    """What was seen on a part."""

    part: str
    word: str
    means: str
    where: str
    verdict: str
    words: str
    said: str


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part, what to look at on it, and how often something was found."""

    name: str
    href: str
    look: str
    found: str


@dataclass(frozen=True, slots=True)
class WorkedRow:
    """A bench sum of this job: what it is about, its answer, and why there is none where it cannot be worked out."""

    title: str
    about: str
    said: str
    figures: tuple[AnsweredFigure, ...]
    verdict: str
    why: str
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class InspectionPage:
    """Inspection as its page shows it."""

    frame: Frame
    head: Head
    checks: tuple[CheckRow, ...]
    findings: tuple[FindingRow, ...]
    finding_href: str
    parts: tuple[PartRow, ...]
    worked: tuple[WorkedRow, ...]
    sums: tuple[Link, ...]
    photos: tuple[Picture, ...]


def inspection_page(job: OpenJob, progress: Progress) -> InspectionPage:
    """Inspection as its template reads it."""
    found = stage.survey(job.transmission, job.state)
    here = stage_href(job.tag, Stage.INSPECT)
    seen = Counter(body.part for _, body in found.findings)
    return InspectionPage(
        frame=frame(job, progress, Stage.INSPECT),
        head=_head(job, progress, found, here),
        checks=tuple(
            check_row(job, one.limit, whens=("as found", "as left"), back=here) for one in found.checks
        ),
        findings=tuple(_finding(job, entry, body) for entry, body in found.findings),
        finding_href=enter(job, "finding", back=here),
        parts=tuple(
            PartRow(
                name=f"{part.id} {part.name}",
                href=enter(job, "finding", key=part.id, back=here),
                look=part.look or "",
                found=f"{seen[part.id]} noted" if seen[part.id] else "",
            )
            for part in job.transmission.parts
        ),
        worked=tuple(_worked(job, entry, body) for entry, body in job.state.of(Worked)),
        sums=tuple(Link(one.title, enter(job, "sum", key=one.name, back=here)) for one in SUMS.values()),
        photos=pictures(job, Stage.INSPECT),
    )


def _worked(job: OpenJob, entry: Entry, body: Worked) -> WorkedRow:
    named = {one.id: one.name for one in job.transmission.parts}
    named |= {one.id: one.name for one in job.transmission.limits}
    about = ", ".join(named.get(one, one) for one in (body.limit, body.part) if one)
    words = f"{about}, {body.when}" if about else body.when.capitalize()
    try:
        found = worked_out(body)
    except (FormError, Unknown) as fault:
        why = f"this program cannot work it out: {fault}"
        return WorkedRow(body.calculation, words, said(entry), (), "not measured", why, ())
    told = found.outcome
    figures = tuple(answered_figure(found, figure, inch=False) for figure in told.figures)
    return WorkedRow(found.sum.title, words, said(entry), figures, told.verdict, told.why, told.remarks)


def _head(job: OpenJob, progress: Progress, found: stage.Inspection, here: str) -> Head:
    finding = Link("Add a finding", enter(job, "finding", back=here))
    beside: tuple[Link, ...] = (finding,)
    answered, of = len(found.checks) - len(found.open), len(found.checks)
    asked = f"{answered} of {of} checks are answered" if of else "The file asks for no check"
    if found.open:
        first, because = check_links(job, found.open[0].limit, here)
        beside = (finding, because)
    else:
        first = onward(job, progress)
    return Head(
        heading="Checks and findings",
        lead=f"{asked}; {_noted(len(found.findings))}.",
        cautions=(_AIR,),
        next=first,
        beside=beside,
        further=(
            _housing(job),
            Link("Compare people", f"/jobs/{quote(job.tag)}/compare"),
            *at_stage(job, Stage.INSPECT),
        ),
    )


def _housing(job: OpenJob) -> Link:
    """The way to the page of the alignment, which a file without a housing has too."""
    swept = bool(job.state.bodies(HousingSwept)) or job.transmission.housing is not None
    return Link("Housing to the crank" if swept else "Sweep the housing", f"/jobs/{quote(job.tag)}/alignment")


def _noted(number: int) -> str:
    return "1 finding is noted" if number == 1 else f"{number} findings are noted"


def _finding(job: OpenJob, entry: Entry, body: Finding) -> FindingRow:
    where = (body.place, body.pattern.value, body.degree.value)
    return FindingRow(
        part=f"{body.part} {job.transmission.part(body.part).name}",
        word=body.word.value,
        means=FINDING_MEANS[body.word],
        where="; ".join(words for words in where if words),
        verdict=body.verdict.value,
        words=body.words,
        said=said(entry),
    )
