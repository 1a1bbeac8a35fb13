"""A check of a limit as the pages of inspect and prove show it."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from countershaft import units
from countershaft.desk.desk import OpenJob
from countershaft.job.entry import NotMeasured
from countershaft.metrology.conformity import Judgement
from countershaft.model.limits import Limit
from countershaft.stages.bench_sums import answering_limit, sum_key
from countershaft.stages.by_place import AtPlace
from countershaft.stages.inspection import Checked, checked, form_of
from countershaft.web.pages.shown import (
    WORDS,
    Answer,
    Link,
    PlaceAnswer,
    Told,
    Window,
    again,
    answer,
    enter,
    measure,
    said,
    source_words,
)

__all__ = ["CheckRow", "check_answer", "check_links", "check_row", "limit_words", "source_of"]


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check: what it asks, against what, and its answers as found and as left.

    `because_href` leads to the reason for not measuring; it is empty once the check has an answer.  `by_places` leads
    to the readings at places, or to the ways to measure by them; None where the check is no length.
    """

    name: str
    href: str
    limit: str
    source: str
    holds: str
    answers: tuple[Answer, ...]
    because_href: str
    by_places: Link | None
    sums: tuple[Link, ...] = ()


def check_row(job: OpenJob, limit: Limit, *, whens: tuple[str, ...], back: str) -> CheckRow:
    """A check with its newest answer of each time; a check without one is shown as not measured."""
    found = [checked(job.transmission, job.state, limit, when=when) for when in whens]
    answered = {one.entry.id: one for one in found if one.entry is not None}
    return CheckRow(
        name=limit.name,
        href=measure(job, "reading", key=limit.id, back=back),
        limit=_asked(limit),
        source=_source(found[0]) if limit.measured else "",
        holds=_holds(limit),
        answers=tuple(_answer(job, one, back) for one in (answered.values() or found[:1])),
        because_href="" if answered else enter(job, "not-measured", key=limit.id, back=back),
        sums=tuple(
            Link(f"Work it out: {one.title}", measure(job, "sum", key=sum_key(one.name, limit.id), back=back))
            for one in answering_limit(limit)
        ),
        by_places=_by_places(job, limit),
    )


def check_answer(job: OpenJob, limit: Limit, *, when: str, back: str) -> Answer:
    """The newest answer of one time to a limit."""
    return _answer(job, checked(job.transmission, job.state, limit, when=when), back)


def _by_places(job: OpenJob, limit: Limit) -> Link | None:
    if limit.unit is None or units.UNITS[limit.unit][0] != "length":
        return None
    here = f"/jobs/{quote(job.tag)}/forms/{quote(limit.id, safe='')}"
    if form_of(job.transmission, job.state, limit.id) is None:
        return Link("Measure by places", f"{here}/methods")
    return Link("Places, drawing and readings", here)


def check_links(job: OpenJob, limit: Limit, back: str) -> tuple[Link, Link]:
    """The two ways to answer a check: measure or look, or say why not."""
    return (
        Link(
            f"{'Measure' if limit.measured else 'Look at'}: {limit.name}",
            measure(job, "reading", key=limit.id, back=back),
        ),
        Link("Not measured, because …", enter(job, "not-measured", key=limit.id, back=back)),
    )


def limit_words(limit: Limit) -> str:
    """The window of a limit, as its source prints it."""
    if limit.min is not None and limit.max is not None:
        same = limit.min.unit == limit.max.unit and limit.min.also_unit is None
        return f"{limit.min.value if same else limit.min} to {limit.max}"
    if limit.min is not None:
        return f"at least {limit.min}"
    return f"at most {limit.max}" if limit.max is not None else "judged by eye, hand or ear"


def source_of(job: OpenJob, limit: Limit) -> str:
    """Where a limit comes from, in full."""
    return source_words(job.transmission.source(limit.source))


def _source(one: Checked) -> str:
    """The kind of source; its words stand with the working and on the page of the file."""
    return one.source.kind.value if one.source else source_words(None)


def _asked(limit: Limit) -> str:
    """Window, instrument and condition in one line."""
    instrument = limit.instrument.name if limit.instrument else ""
    return "; ".join(words for words in (limit_words(limit), limit.at or "", instrument) if words)


def _holds(limit: Limit) -> str:
    if limit.killer:
        return "A bad value here would destroy the next unit too: it holds the release until it is good."
    return "It holds the release until it is good." if limit.must else ""


def _answer(job: OpenJob, one: Checked, back: str) -> Answer:
    limit = one.limit
    if limit.unit is None:
        judgement = (
            one.judgement if one.answered else Judgement(one.judgement.verdict, "nobody has looked yet.")
        )
        return Answer(_when(one), "", WORDS[judgement.verdict], judgement.why, said(one.entry), None)
    window = Window(
        name=limit.name,
        lower=None if limit.min is None else limit.min.to(limit.unit),
        upper=None if limit.max is None else limit.max.to(limit.unit),
        goal=None,
        unit=limit.unit,
        digits=one.digits,
        source=source_words(one.source),
    )
    return answer(
        window,
        one.value,
        one.judgement,
        when=_when(one),
        entry=one.entry,
        measure=None
        if one.working
        else again(job, measure(job, "reading", key=limit.id, back=back), limit.unit, limit.instrument),
        told=Told(tuple(_place(one, found) for found in one.places), one.lines, one.working),
    )


def _place(one: Checked, found: AtPlace) -> PlaceAnswer:
    """What was read at one place."""
    return PlaceAnswer(
        found.place,
        found.value.stated(one.limit.unit or "", digits=one.digits),
        found.judgement.verdict.value if found.judgement else "",
    )


def _when(one: Checked) -> str:
    """The time of an answer that has one; a reason for not measuring has none."""
    return "" if one.entry is None or isinstance(one.entry.body, NotMeasured) else one.when
