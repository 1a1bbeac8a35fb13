"""The measurement sheet: on paper with blanks, and typed in afterwards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.figures.scan_code import scan_code
from countershaft.model.limits import Limit
from countershaft.stages.progress import Progress
from countershaft.web.forms.form import Form
from countershaft.web.forms.sheet import SheetLine, named, sheet_lines
from countershaft.web.pages.checks import limit_words
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Link

__all__ = ["PaperPage", "Sent", "TypePage", "paper_page", "type_page"]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A row of blanks to write into: what they are, in which unit, and what stands at each."""

    label: str
    unit: str
    blanks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One measurement on paper."""

    number: int
    name: str
    asked: str
    tool: str
    quantities: tuple[Quantity, ...]


@dataclass(frozen=True, slots=True)
class PaperPage:
    """The sheet to print; `code` leads to the page on which it is typed in."""

    frame: Frame
    count: int
    lines: tuple[PaperLine, ...]
    code: str
    every: bool
    every_href: str
    type_href: str
    back: Link


@dataclass(frozen=True, slots=True)
class TypeLine:
    """One measurement to type in; it stands open where it was not taken."""

    number: int
    name: str
    asked: str
    form: Form
    open: bool


@dataclass(frozen=True, slots=True)
class TypePage:
    """The sheet to type in, with what was written, and what was not and why."""

    frame: Frame
    lines: tuple[TypeLine, ...]
    measured_by: str
    measured_on: str
    day_error: str
    written: int
    problems: tuple[str, ...]
    entry_id: str
    action: str
    back: Link


@dataclass(frozen=True, slots=True)
class Sent:
    """What came of a sheet that was sent.

    `refused` are the forms of lines that were not taken, by number, with what was typed in them.
    """

    entry_id: str
    measured_by: str = ""
    measured_on: str = ""
    day_error: str = ""
    written: int = 0
    refused: Mapping[int, Form] = field(default_factory=dict)


def paper_page(job: OpenJob, progress: Progress, *, every: bool, address: str) -> PaperPage:
    """The sheet as it is printed; `address` is the one under which the page was asked for."""
    mine = f"/jobs/{quote(job.tag)}/sheet"
    lines = sheet_lines(job, every=every)
    typing = f"{mine}/type{'?every=1' if every else ''}"
    return PaperPage(
        frame=frame(job, progress, None),
        count=len(lines),
        lines=tuple(_paper_line(line) for line in lines),
        code=scan_code(address.rstrip("/") + typing, words="Code of the page to type this sheet in"),
        every=every,
        every_href=mine if every else f"{mine}?every=1",
        type_href=typing,
        back=Link("Back to the job", f"/jobs/{quote(job.tag)}"),
    )


def type_page(
    job: OpenJob, progress: Progress, lines: tuple[SheetLine, ...], sent: Sent, *, every: bool
) -> TypePage:
    """The sheet to type in, after what was sent last."""
    mine = f"/jobs/{quote(job.tag)}/sheet"
    wrong = sent.refused
    return TypePage(
        frame=frame(job, progress, None),
        lines=tuple(_type_line(line, wrong.get(line.number)) for line in lines),
        measured_by=sent.measured_by,
        measured_on=sent.measured_on,
        day_error=sent.day_error,
        written=sent.written,
        problems=tuple(
            f"{line.number} {line.about.name}: {words}"
            for line in lines
            if line.number in wrong
            for words in (*wrong[line.number].problems, *(text for _, text in wrong[line.number].mended))
        ),
        entry_id=sent.entry_id,
        action=f"{mine}/type{'?every=1' if every else ''}",
        back=Link("The sheet on paper", mine),
    )


def _paper_line(line: SheetLine) -> PaperLine:
    instrument = line.about.instrument
    return PaperLine(
        number=line.number,
        name=line.form.title,
        asked=_asked(line),
        tool=instrument.name if instrument else "",
        quantities=tuple(Quantity(*one) for one in line.blanks),
    )


def _type_line(line: SheetLine, refused: Form | None) -> TypeLine:
    shown = SheetLine(line.number, line.about, refused) if refused else line
    return TypeLine(line.number, line.form.title, _asked(line), named(shown), open=refused is not None)


def _asked(line: SheetLine) -> str:
    about = line.about
    return limit_words(about) if isinstance(about, Limit) else f"{about.min} to {about.max}"
