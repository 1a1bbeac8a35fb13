"""Tags: the field to scan into, what a tray holds, and a part in its job."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import JobCard, OpenJob
from countershaft.desk.tags import Target
from countershaft.errors import Unknown
from countershaft.job.custody import Holding, custody, pieces
from countershaft.job.entry import Finding
from countershaft.job.tags import TagKind, tray_tag
from countershaft.model.parts import Part
from countershaft.papers.labels import part_tags
from countershaft.stages.progress import Progress
from countershaft.web.pages.first import JobLine, job_line, resume_href
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Link, enter

__all__ = [
    "PartPage",
    "ScanPage",
    "TrayPage",
    "part_href",
    "part_page",
    "scan_page",
    "target_href",
    "tray_href",
    "tray_page",
]


@dataclass(frozen=True, slots=True)
class ScanPage:
    """The field to scan into, with what was wrong with the last scan, and the jobs that may be meant."""

    title: str
    code: str
    problem: str
    choices: tuple[Link, ...]
    named: tuple[Link, ...]
    find: str
    searched: bool
    jobs: tuple[JobLine, ...]


@dataclass(frozen=True, slots=True)
class LyingRow:
    """Pieces of one part, or fasteners of one joint, in a place."""

    count: int
    name: str
    href: str


@dataclass(frozen=True, slots=True)
class TrayPage:
    """What lies in a place of a job."""

    frame: Frame
    place: str
    code: str
    rows: tuple[LyingRow, ...]
    resume: Link
    labels_href: str


@dataclass(frozen=True, slots=True)
class StepRow:
    """A step that moves a part."""

    name: str
    phase: str
    href: str


@dataclass(frozen=True, slots=True)
class PartPage:
    """A part in its job: what it is, where its pieces are, what was found on it, which steps touch it."""

    frame: Frame
    title: str
    code: str
    facts: tuple[tuple[str, str], ...]
    lying: tuple[Link, ...]
    elsewhere: str
    findings: tuple[str, ...]
    steps: tuple[StepRow, ...]
    resume: Link
    finding_href: str


def scan_page(
    *,
    code: str = "",
    problem: str = "",
    choices: tuple[Target, ...] = (),
    named: tuple[Target, ...] = (),
    find: str = "",
    jobs: tuple[JobCard, ...] = (),
) -> ScanPage:
    """The field to scan into; `choices` are what one and the same code names, `named` what goes by a typed name."""
    return ScanPage(
        title=_title(choices, named, problem),
        code=code,
        problem=problem,
        choices=tuple(Link(one.words, target_href(one)) for one in choices),
        named=tuple(Link(one.words, target_href(one)) for one in named),
        find=find,
        searched=bool(find or jobs),
        jobs=tuple(job_line(card) for card in jobs),
    )


def _title(choices: tuple[Target, ...], named: tuple[Target, ...], problem: str) -> str:
    if choices:
        return "Which of them?"
    if named:
        return "Is it this one?"
    return "Nothing was opened" if problem else "Scan or type a tag"


def target_href(target: Target, progress: Progress | None = None) -> str:
    """Where a target opens; a job opens at the point at which it goes on, where that is known."""
    if target.kind is TagKind.TRAY:
        return tray_href(target.job, target.name)
    if target.kind is TagKind.PART:
        return part_href(target.job, target.name)
    return resume_href(target.job, progress.resume) if progress else f"/jobs/{quote(target.job)}"


def tray_href(job: str, place: str) -> str:
    """Where the contents of a place are shown."""
    return f"/jobs/{quote(job)}/place/{quote(place, safe='')}"


def part_href(job: str, part: str) -> str:
    """Where a part of a job is shown."""
    return f"/jobs/{quote(job)}/part/{quote(part, safe='')}"


def tray_page(job: OpenJob, progress: Progress, place: str) -> TrayPage:
    """A place as its template reads it."""
    tag = tray_tag(job.tag, place)
    return TrayPage(
        frame=frame(job, progress, None),
        place=place,
        code=tag.code if tag else "",
        rows=tuple(
            LyingRow(count, *_held(job, one))
            for one, spot, count in custody(job.transmission, job.state).at("place")
            if spot.name == place
        ),
        resume=_resume(job, progress),
        labels_href=f"/jobs/{quote(job.tag)}/labels",
    )


def part_page(job: OpenJob, progress: Progress, part_id: str) -> PartPage:
    """A part as its template reads it; raises Unknown."""
    tag = part_tags(job.tag, job.transmission).get(part_id)
    if tag is None:
        raise Unknown(
            f"There is no part {part_id!r} in {job.transmission.name}. Scan its label anew, or open the job."
        )
    part = job.transmission.part(part_id)
    where = custody(job.transmission, job.state)
    here = part_href(job.tag, part_id)
    return PartPage(
        frame=frame(job, progress, None),
        title=f"{part.id} {part.name}",
        code=tag.code,
        facts=_facts(part),
        lying=tuple(
            Link(f"{one.count} on {one.place}", tray_href(job.tag, one.place))
            for one in where.lying
            if one.part == part_id
        ),
        elsewhere=_elsewhere(part, where.find("part", part_id)),
        findings=tuple(
            f"{body.word.value}, {body.pattern.value}, {body.degree.value}; {body.verdict.value}"
            f" ({entry.by}, {entry.at:%d %b %H:%M})"
            for entry, body in job.state.of(Finding)
            if body.part == part_id
        ),
        steps=_steps(job, part_id),
        resume=_resume(job, progress),
        finding_href=enter(job, "finding", key=part_id, back=here),
    )


def _facts(part: Part) -> tuple[tuple[str, str], ...]:
    found = (
        ("Pieces", str(part.quantity)),
        ("At an overhaul", part.policy.value),
        ("Orientation", part.orientation or ""),
        ("May stay on", part.sticks_to or ""),
        ("Look at", part.look or ""),
        ("Note", part.note or ""),
    )
    return tuple((label, words) for label, words in found if words)


def _held(job: OpenJob, one: Holding) -> tuple[str, str]:
    """What something is called, and where it is shown; fasteners stand on the page of all places."""
    if one.sort == "part":
        return f"{one.id} {one.name}", part_href(job.tag, one.id)
    return one.name, f"/jobs/{quote(job.tag)}/places"


def _elsewhere(part: Part, held: Holding | None) -> str:
    """What lies in no place, in words."""
    if part.stays:
        return "It stays with the unit."
    if held is None:
        return ""
    found = [f"{count} {spot.words()}" for spot, count in held.outside.items() if spot.how != "place"]
    if held.in_unit > 0:
        found.append(f"{held.in_unit} in the unit")
    return f"{', '.join(found)}." if found else ""


def _steps(job: OpenJob, part_id: str) -> tuple[StepRow, ...]:
    """The steps that take a part off or put it on."""
    here = f"/jobs/{quote(job.tag)}"
    return tuple(
        StepRow(f"{step.id} {step.title}", step.phase, f"{here}/{step.phase}/{quote(step.id)}")
        for step in job.transmission.steps
        if part_id in pieces(job.transmission, step)
    )


def _resume(job: OpenJob, progress: Progress) -> Link:
    return Link(f"Go on: {progress.resume.words}", resume_href(job.tag, progress.resume))
