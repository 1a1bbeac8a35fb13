"""Prove: checks on bench and road, ratios by counted turns, and whether the fixed-when sentence is true."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from countershaft.desk.desk import OpenJob
from countershaft.job.words import Stage
from countershaft.papers.measured import budget_table
from countershaft.stages import prove as stage
from countershaft.stages.progress import Progress
from countershaft.web.pages.checks import CheckRow, check_links, check_row
from countershaft.web.pages.first import stage_href
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import (
    WORDS,
    Caution,
    Head,
    Link,
    Picture,
    Working,
    at_stage,
    decimal,
    enter,
    exact,
    onward,
    pictures,
)

__all__ = ["ProvePage", "TurnsRow", "prove_page"]

_ROAD: Final = Caution(
    "WARNING",
    "The first drive after a build can fail without notice, and a stall test loads the whole driveline. "
    "Use a closed or safe road; for stall tests chock the wheels, keep clear, hold to the maker's time.",
)


@dataclass(frozen=True, slots=True)
class TurnsRow:
    """The ratio of a gear from its teeth, beside what counted turns say."""

    gear: str
    exact: str
    decimal: str
    counted: str
    word: str
    why: str
    working: Working | None
    href: str


@dataclass(frozen=True, slots=True)
class ProvePage:
    """The proof as its page shows it."""

    frame: Frame
    head: Head
    fixed_when: str
    fixed_word: str
    fixed_words: str
    fixed_href: str
    checks: tuple[CheckRow, ...]
    turns: tuple[TurnsRow, ...]
    photos: tuple[Picture, ...]


def prove_page(job: OpenJob, progress: Progress) -> ProvePage:
    """The proof as its template reads it."""
    found = stage.survey(job.transmission, job.state)
    here = stage_href(job.tag, Stage.PROVE)
    fixed = found.fixed
    return ProvePage(
        frame=frame(job, progress, Stage.PROVE),
        head=_head(job, progress, found, here),
        fixed_when=found.fixed_when or "",
        fixed_word="" if fixed is None else "good" if fixed.true else "bad",
        fixed_words=""
        if fixed is None
        else f"{'It is true' if fixed.true else 'It is not true'}: {fixed.words}",
        fixed_href=enter(job, "fixed-when", back=here)
        if found.fixed_when
        else enter(job, "complaint", back=here),
        checks=tuple(check_row(job, one.limit, whens=("as left",), back=here) for one in found.checks),
        turns=tuple(_turns(job, one, here) for one in found.turns),
        photos=pictures(job, Stage.PROVE),
    )


def _head(job: OpenJob, progress: Progress, found: stage.Proof, here: str) -> Head:
    judge = Link("Judge the fixed-when sentence", enter(job, "fixed-when", back=here))
    write = Link("Write the fixed-when sentence", enter(job, "complaint", back=here))
    beside: tuple[Link, ...] = ()
    if found.open:
        first, because = check_links(job, found.open[0].limit, here)
        beside = (because,)
    elif not found.turns_counted:
        first = Link("Count a ratio by hand", enter(job, "turns", back=here))
    elif found.fixed is None or not found.fixed.true:
        first = judge if found.fixed_when else write
    else:
        first = onward(job, progress)
    return Head(
        heading="Proof that it is fixed",
        lead=f"{found.answered} of {found.asked} answers are given.",
        cautions=(_ROAD,),
        next=first,
        beside=beside,
        further=at_stage(job, Stage.PROVE),
    )


def _turns(job: OpenJob, one: stage.TurnsState, here: str) -> TurnsRow:
    counted = one.counted
    return TurnsRow(
        gear=one.gear,
        exact=exact(one.expected) if one.expected is not None else "none",
        decimal=decimal(one.expected) if one.expected is not None else "",
        counted=f"{counted.input_turns} turns in, {counted.output_turns} out".replace("-", "−")
        if counted
        else "not counted",
        word=WORDS[one.verdict],
        why=one.why if counted else "",
        working=_working(one),
        href=enter(job, "turns", key=one.gear, back=here),
    )


def _working(one: stage.TurnsState) -> Working | None:
    """The counts against the teeth, and how sure the counted ratio is."""
    if one.counted is None or not one.working:
        return None
    ratio = stage.counted_ratio(one.counted)
    said = f"as a measurement: {ratio.stated('', digits=3)} (covers about 95 %)".replace("-", "−")
    lines = (*one.working, said, *ratio.value_lines("", digits=2)[-1:])
    source = "tooth counts of the transmission file, turns as counted"
    return Working(lines, source, budget_table(ratio.budget, ""))
