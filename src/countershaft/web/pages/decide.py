"""Decide: the kit and why, what it costs, what would destroy the next unit, and what was agreed."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from countershaft.desk.desk import OpenJob
from countershaft.job.words import Stage
from countershaft.stages import decide as stage
from countershaft.stages.progress import Progress
from countershaft.web.pages.diagnose import KillerRow, killer_rows
from countershaft.web.pages.first import stage_href
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Head, Link, Working, at_stage, enter, onward, said

__all__ = ["DecidePage", "EstimateShown", "KitRow", "PartChoice", "decide_page"]


@dataclass(frozen=True, slots=True)
class KitRow:
    """One line of the kit; price and sum say "open" until a price is typed."""

    what: str
    because: str
    count: str
    price: str
    sum: str


@dataclass(frozen=True, slots=True)
class PartChoice:
    """A part about which a person decides, and why or what holds now."""

    name: str
    words: str
    href: str


@dataclass(frozen=True, slots=True)
class EstimateShown:
    """The estimate as it was given; later prices do not change it."""

    total: str
    said: str
    rows: tuple[tuple[str, str, str], ...]
    labour: str


@dataclass(frozen=True, slots=True)
class DecidePage:
    """The decision as its page shows it."""

    frame: Frame
    head: Head
    undecided: tuple[PartChoice, ...]
    killers: tuple[KillerRow, ...]
    kit: tuple[KitRow, ...]
    money: str
    unpriced: str
    prices_href: str
    labour: str
    labour_href: str
    total: str
    total_working: Working | None
    estimate: EstimateShown | None
    consent: str
    consent_href: str
    parts: tuple[PartChoice, ...]


def decide_page(job: OpenJob, progress: Progress) -> DecidePage:
    """The decision as its template reads it."""
    found = stage.survey(job.transmission, job.state)
    here = stage_href(job.tag, Stage.DECIDE)
    money = found.labour.currency if found.labour else "the shop's currency"
    labour = found.labour
    return DecidePage(
        frame=frame(job, progress, Stage.DECIDE),
        head=_head(job, progress, found, here),
        undecided=tuple(
            PartChoice(
                f"{one.part.id} {one.part.name}", one.why, enter(job, "part", key=one.part.id, back=here)
            )
            for one in found.undecided
        ),
        killers=killer_rows(job, found.killers, here),
        kit=tuple(
            KitRow(line.what, line.because, str(line.count), _money(line.price), _money(line.sum))
            for line in found.lines
        ),
        money=money,
        unpriced=f"{len(found.unpriced)} of {len(found.lines)} lines have no price."
        if found.unpriced
        else "",
        prices_href=enter(job, "prices", back=here),
        labour=f"{labour.hours} h at {_money(labour.rate)} {labour.currency} an hour" if labour else "",
        labour_href=enter(job, "labour", back=here),
        total=f"{_money(found.total)} {money}" if found.total is not None else "",
        total_working=_total_working(found, money),
        estimate=_estimate(found),
        consent=_consent(found),
        consent_href=enter(job, "consent", key="overhaul", back=here),
        parts=_parts(job, found, here),
    )


def _head(job: OpenJob, progress: Progress, found: stage.Decision, here: str) -> Head:
    changed = found.estimate is None or (found.total is not None and found.estimate.total != found.total)
    short = found.consent is None or (
        found.estimate is not None and found.consent.limit < found.estimate.total
    )
    asked = [
        *(
            Link(f"Decide: {one.part.name}", enter(job, "part", key=one.part.id, back=here))
            for one in found.undecided[:1]
        ),
        *([Link("Type the prices", enter(job, "prices", back=here))] if found.unpriced else []),
        *([Link("Type hours and rate", enter(job, "labour", back=here))] if found.labour is None else []),
        *([Link("Give the estimate", enter(job, "estimate", back=here))] if changed else []),
        *([Link("Ask for consent", enter(job, "consent", key="overhaul", back=here))] if short else []),
    ]
    first = asked[0] if found.open and asked else onward(job, progress)
    return Head(
        heading="Kit, estimate and consent",
        lead=f"Still open: {'; '.join(found.open)}."
        if found.open
        else "The estimate stands and the customer agreed.",
        cautions=(),
        next=first,
        beside=tuple(asked[1:2]) if found.open else (),
        further=at_stage(job, Stage.DECIDE),
    )


def _money(value: Decimal | None) -> str:
    return "open" if value is None else f"{value:.2f}"


def _total_working(found: stage.Decision, money: str) -> Working | None:
    labour = found.labour
    if found.total is None or labour is None:
        return None
    return Working(
        (
            f"parts = {_money(found.parts_total)} {money}, the sum of {len(found.lines)} lines",
            f"work = {labour.hours} h × {_money(labour.rate)} {money} an hour",
            (
                f"total = {_money(found.parts_total)} + {labour.hours} × {_money(labour.rate)}"
                f" = {_money(found.total)} {money}"
            ),
        ),
        "prices, hours and rate as typed in this job",
    )


def _estimate(found: stage.Decision) -> EstimateShown | None:
    one = found.estimate
    if one is None:
        return None
    return EstimateShown(
        total=f"{_money(one.total)} {one.currency}",
        said=said(found.estimate_entry),
        rows=tuple((line.what, str(line.count), _money(line.price)) for line in one.lines),
        labour=f"{one.hours} h at {_money(one.rate)} {one.currency} an hour",
    )


def _consent(found: stage.Decision) -> str:
    one = found.consent
    if one is None:
        return ""
    money = found.estimate.currency if found.estimate else found.labour.currency if found.labour else ""
    return f"up to {_money(one.limit)} {money}".rstrip() + f"; {one.given_by}, {one.how}"


def _parts(job: OpenJob, found: stage.Decision, here: str) -> tuple[PartChoice, ...]:
    """Every part with what happens to it now."""
    lines = {line.line: line for line in found.lines}
    return tuple(
        PartChoice(
            name=f"{part.id} {part.name}",
            words=f"{lines[part.id].count} of {part.quantity} new, {lines[part.id].because}"
            if part.id in lines
            else f"used again ({part.policy.value})",
            href=enter(job, "part", key=part.id, back=here),
        )
        for part in job.transmission.parts
    )
