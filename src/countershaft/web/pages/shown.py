"""Small records that several pages show: links, cautions, pictures, workings, gauges with their verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Final
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.figures.slot_gauge import Verdict as Word
from countershaft.figures.slot_gauge import slot_gauge
from countershaft.job.entry import Entry, Photo
from countershaft.job.taken import InstrumentUsed
from countershaft.job.words import Stage
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.metrology.decision import Decision
from countershaft.metrology.readings import Estimate
from countershaft.model.instrument import Instrument
from countershaft.papers.measured import BudgetTable, Slot, budget_table, slot_of, taken_words
from countershaft.source import Source
from countershaft.stages.measuring import remedies
from countershaft.stages.progress import Progress
from countershaft.web.forms.tools import tools_for
from countershaft.web.pages.first import resume_href, stage_href

__all__ = [
    "WORDS",
    "Again",
    "Answer",
    "Caution",
    "Head",
    "Link",
    "Picture",
    "PlaceAnswer",
    "Told",
    "Window",
    "Working",
    "again",
    "answer",
    "at_stage",
    "decimal",
    "enter",
    "exact",
    "listed",
    "measure",
    "onward",
    "pictures",
    "said",
    "source_words",
]

#: The most instruments of the shop that are named as a way to decide.
_MOST_NAMED: Final = 4

#: Each verdict as the gauge and the templates write it.
WORDS: Final[dict[Verdict, Word]] = {
    Verdict.GOOD: "good",
    Verdict.BAD: "bad",
    Verdict.AGAIN: "measure again",
    Verdict.NOT_MEASURED: "not measured",
}


@dataclass(frozen=True, slots=True)
class Link:
    """Words that lead somewhere."""

    label: str
    href: str


@dataclass(frozen=True, slots=True)
class Caution:
    """A hazard with its signal word."""

    signal: str
    words: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo of the job."""

    href: str
    caption: str


@dataclass(frozen=True, slots=True)
class Working:
    """What stands behind a figure, line by line, and where its limit comes from; `table` is its budget."""

    lines: tuple[str, ...]
    source: str
    table: BudgetTable | None = None


@dataclass(frozen=True, slots=True)
class Head:
    """The top of a stage's page: one heading, what it comes to, and one thing to do next.

    `beside` are actions of the same moment, `further` what may be noted at any time.
    """

    heading: str
    lead: str
    cautions: tuple[Caution, ...]
    next: Link
    beside: tuple[Link, ...]
    further: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class PlaceAnswer:
    """The value at one of several places, and its own verdict where it has one."""

    place: str
    value: str
    word: str


@dataclass(frozen=True, slots=True)
class Answer:
    """A measured or looked-at value: its gauge, its verdict, who said it and how the figure was found.

    `when` is "as found" or "as left"; `svg` is empty where nothing is measured on a scale.
    `rule` is the rule it was judged by; `ways` would turn "measure again" into an answer, and `again_href` leads to
    the readings.
    """

    when: str
    svg: str
    word: str
    why: str
    said: str
    working: Working | None
    rule: str = ""
    ways: tuple[str, ...] = ()
    again_href: str = ""
    places: tuple[PlaceAnswer, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """What else is told of a value: its places, and lines of its working that come first.

    `instead` is the working of a value that was not read but follows from other readings.
    """

    places: tuple[PlaceAnswer, ...] = ()
    before: tuple[str, ...] = ()
    instead: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Again:
    """Where a value is measured again, on which day, and with what the shop has."""

    href: str
    on: date
    shop: tuple[InstrumentUsed, ...]


@dataclass(frozen=True, slots=True)
class Window:
    """What a value is held against, in its unit."""

    name: str
    lower: float | None
    upper: float | None
    goal: float | None
    unit: str
    digits: int
    source: str


def answer(
    window: Window,
    value: Estimate | None,
    judgement: Judgement,
    *,
    when: str,
    entry: Entry | None,
    measure: Again | None = None,
    told: Told | None = None,
) -> Answer:
    """A value against its window, drawn and in words."""
    word = WORDS[judgement.verdict]
    slot = Slot(window.name, window.lower, window.upper, window.goal, window.unit, window.digits)
    return Answer(
        when=when,
        svg=slot_gauge(slot_of(slot, value, judgement, when=when)),
        word=word,
        why=judgement.why,
        said=said(entry),
        working=_working(window, value, judgement, entry, told or Told()) if value else None,
        rule=judgement.rule.name if isinstance(judgement, Decision) else "",
        ways=_ways(window, value, judgement, measure),
        again_href=measure.href if measure else "",
        places=told.places if told else (),
    )


def _unlisted(entry: Entry | None) -> tuple[str, ...]:
    """What the budget lacks where the instrument is not on the shop's list."""
    taken = getattr(entry.body, "taken", None) if entry else None
    if entry is None or (taken is not None and taken.used is not None):
        return ()
    return ("the instrument is not on the shop's list, so its permitted error is not in this budget",)


def again(job: OpenJob, href: str, unit: str, asked: Instrument | None = None) -> Again:
    """Where a value of this job is measured again; of the shop's instruments what fits best stands first."""
    on = job.state.entries[-1].at.date()
    tools = tools_for(job, asked.name if asked else "", unit)
    return Again(href, on, tuple(one.used(on) for one in tools))


def _working(
    window: Window,
    value: Estimate,
    judgement: Judgement,
    entry: Entry | None,
    told: Told,
) -> Working:
    """How the value was found, the rule that judged it, and its budget."""
    rule = (judgement.rule.words,) if isinstance(judgement, Decision) else ()
    if told.instead:
        return Working((*told.instead, *rule), window.source)
    lines = (
        *told.before,
        *value.value_lines(window.unit, digits=window.digits),
        *value.total_lines(window.unit, digits=window.digits),
        *_unlisted(entry),
        *rule,
    )
    return Working(lines, window.source, budget_table(value.budget, window.unit))


def _ways(
    window: Window, value: Estimate | None, judgement: Judgement, measure: Again | None
) -> tuple[str, ...]:
    """What would decide a value that nobody can judge yet."""
    if value is None or measure is None or judgement.verdict is not Verdict.AGAIN:
        return ()
    if not isinstance(judgement, Decision):
        return ()
    found = remedies(
        value,
        lower=window.lower,
        upper=window.upper,
        unit=window.unit,
        on=measure.on,
        rule=judgement.rule,
        shop=measure.shop,
    )
    return replace(found, instruments=found.instruments[:_MOST_NAMED]).sentences(window.unit)


def source_words(source: Source | None) -> str:
    """Where a limit comes from; one without a source is never left to look as if it had one."""
    return str(source) if source else "none is named: unverified"


def said(entry: Entry | None) -> str:
    """Who wrote an entry, and when, and how its figures were taken."""
    if entry is None:
        return ""
    how = taken_words(getattr(entry.body, "taken", None))
    return "; ".join(words for words in (f"{entry.by}, {entry.at:%d %b %Y %H:%M}", how) if words)


def listed(words: Sequence[str], joint: str = "and") -> str:
    """Words as a sentence lists them: "2, 4 and 6"."""
    return f" {joint} ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else list(words))


def exact(value: Fraction) -> str:
    """A ratio as it follows from the teeth."""
    sign = "−" if value < 0 else ""
    size = abs(value)
    return (
        f"{sign}{size.numerator}" if size.denominator == 1 else f"{sign}{size.numerator}/{size.denominator}"
    )


def decimal(value: Fraction | float, digits: int = 4) -> str:
    """A ratio as a decimal, with a true minus sign."""
    text = f"{float(value):.{digits}f}"
    return text.replace("-", "−")


def enter(job: OpenJob, form: str, *, key: str = "", back: str) -> str:
    """The address of a form of this job that leads back to a page when it is done."""
    return f"/jobs/{quote(job.tag)}/enter/{form}?key={quote(key, safe='')}&back={quote(back)}"


def measure(job: OpenJob, form: str, *, key: str = "", back: str) -> str:
    """The address of a form's keypad, which leads to the form itself where there is no figure to type."""
    return f"/jobs/{quote(job.tag)}/measure/{form}?key={quote(key, safe='')}&back={quote(back)}"


def at_stage(job: OpenJob, stage: Stage) -> tuple[Link, ...]:
    """What may be added at any time: a photo, a note, what the job waits for."""
    here, key = stage_href(job.tag, stage), stage.value.replace(" ", "")
    return (
        Link("Photo", enter(job, "photo", key=key, back=here)),
        Link("Note", enter(job, "note", key=key, back=here)),
        Link("It waits for something", enter(job, "waiting", back=here)),
    )


def onward(job: OpenJob, progress: Progress) -> Link:
    """The point at which the job goes on, for a page whose own stage is complete."""
    if progress.released:
        return Link("To the report", f"/jobs/{quote(job.tag)}/report")
    resume = progress.resume
    words = resume.words.removeprefix("next: ")
    return Link(f"Go on to {resume.stage.value}: {words}", resume_href(job.tag, resume))


def pictures(job: OpenJob, stage: Stage) -> tuple[Picture, ...]:
    """The photos that were taken at a stage."""
    return tuple(
        Picture(f"/pictures/{photo.digest}", photo.caption or f"photo at {stage.value}")
        for photo in job.state.bodies(Photo)
        if photo.stage is stage
    )
