"""Fit: every fit with how far it is, and one fit from its first reading to its re-measurement."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Reading
from countershaft.job.words import Stage
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.model.fits import Fit
from countershaft.stages import fit as stage
from countershaft.stages.choosing import choosing
from countershaft.stages.fit_asked import asked_first
from countershaft.stages.fit_needed import as_decimal
from countershaft.stages.prediction import Predicted, predicted
from countershaft.stages.progress import Progress
from countershaft.units import decimals
from countershaft.web.pages.choosing import choose_href, stock_href, told_of
from countershaft.web.pages.first import stage_href
from countershaft.web.pages.fit_stack import StackTable, named_rests, stack_tables, stated_u
from countershaft.web.pages.frame import Frame, Station, frame
from countershaft.web.pages.shown import (
    Answer,
    Head,
    Link,
    Window,
    Working,
    again,
    answer,
    at_stage,
    enter,
    measure,
    onward,
    said,
    source_words,
)

__all__ = [
    "FitPage",
    "FitRow",
    "FitsPage",
    "as_found_answer",
    "fit_page",
    "fits_page",
    "left_answer",
]

#: The path of a fit; a fit with suspects stands at its first station.
_PATH: Final = ("measure", "look on the shelf", "choose", "re-measure")

#: What the bench says for each phase.
_PHASE: Final[dict[str, str]] = {
    "measure": "to be measured",
    "look on the shelf": "size found; say what lies on the shelf",
    "choose": "size found; to be chosen",
    "re-measure": "chosen; to be re-measured",
    "closed": "closed",
    "suspects": "off the table; something else is wrong",
}


@dataclass(frozen=True, slots=True)
class FitRow:
    """One fit in the list of all."""

    name: str
    href: str
    window: str
    phase: str
    needed: str
    needed_working: Working | None
    chosen: str
    answer: Answer


@dataclass(frozen=True, slots=True)
class FitsPage:
    """Every fit of the unit."""

    frame: Frame
    head: Head
    fits: tuple[FitRow, ...]


@dataclass(frozen=True, slots=True)
class FitPage:
    """One fit; what is not known yet is empty."""

    frame: Frame
    head: Head
    path: tuple[Station, ...]
    facts: tuple[tuple[str, str], ...]
    as_found: Answer | None
    as_found_href: str
    needed: str
    needed_working: Working | None
    voided: str
    off_steps: str
    beside: tuple[Answer, ...]
    stacks: tuple[StackTable, ...]
    selective: str
    shelf: str
    choice: str
    suspects: tuple[str, ...]
    chosen: str
    predicted: str
    predicted_working: Working | None
    left: Answer
    closed: str


def fits_page(job: OpenJob, progress: Progress) -> FitsPage:
    """Every fit as the template reads it."""
    found = stage.survey(job.transmission, job.state)
    closed = len(found.fits) - len(found.open)
    first = found.open[0] if found.open else None
    return FitsPage(
        frame=frame(job, progress, Stage.FIT),
        head=Head(
            heading="Fits set by choosing a part",
            lead=f"{closed} of {len(found.fits)} fits are closed. "
            "A fit closes only by a good reading with the chosen part in place."
            if found.fits
            else "The file names no fit that is set by choosing a part.",
            cautions=(),
            next=Link(f"Go on: {first.fit.name}", _href(job, first.fit)) if first else onward(job, progress),
            beside=(Link("All parts together", choose_href(job)), Link("What can be had", stock_href(job)))
            if found.fits
            else (),
            further=at_stage(job, Stage.FIT),
        ),
        fits=tuple(_row(job, one) for one in found.fits),
    )


def fit_page(job: OpenJob, progress: Progress, fit_id: str) -> FitPage:
    """One fit as the template reads it; raises Unknown."""
    now = stage.follow(job.transmission, job.state, job.transmission.fit(fit_id))
    fit, here = now.fit, _href(job, now.fit)
    found = now.as_found_judgement
    found_again = predicted(job.transmission, job.state, fit.id) if now.chosen else ()
    return FitPage(
        frame=frame(job, progress, Stage.FIT),
        head=_head(job, progress, now, here),
        path=_path(now),
        facts=_facts(job, now),
        as_found=as_found_answer(job, now, here) if found else None,
        as_found_href=measure(job, "reading", key=fit.id, back=here),
        needed=needed_words(now),
        needed_working=_needed_working(now),
        voided=now.voided,
        off_steps=now.off_steps,
        beside=_beside(now),
        stacks=stack_tables(now),
        selective=fit.selective,
        shelf=_shelf(now),
        choice=_together(job, now) if now.chosen is None else "",
        predicted=" ".join(one.why[:1].upper() + one.why[1:] for one in found_again),
        predicted_working=_predicted_working(now, found_again),
        suspects=now.suspects,
        chosen=_chosen(now),
        left=left_answer(job, now, here),
        closed=said(now.closed_by),
    )


def _href(job: OpenJob, fit: Fit) -> str:
    return f"/jobs/{quote(job.tag)}/fit/{quote(fit.id)}"


def _row(job: OpenJob, now: stage.FitState) -> FitRow:
    return FitRow(
        name=now.fit.name,
        href=_href(job, now.fit),
        window=f"{now.fit.min} to {now.fit.max}",
        phase=_PHASE[now.phase],
        needed=needed_words(now),
        needed_working=_needed_working(now),
        chosen=_sizes(now) if now.chosen else "",
        answer=left_answer(job, now, _href(job, now.fit)),
    )


def left_answer(job: OpenJob, now: stage.FitState, back: str) -> Answer:
    """The gap with the chosen part in place."""
    judgement = now.judgement
    if now.left is None and now.chosen is None:
        judgement = Judgement(Verdict.NOT_MEASURED, "no part is chosen yet, so nothing could be re-measured.")
    return answer(
        _window(now),
        now.left,
        judgement,
        when="as left" if now.left else "",
        entry=stage.chain(job.state, now.fit.id)[2] if now.left else None,
        measure=again(
            job, measure(job, "remeasure", key=now.fit.id, back=back), now.fit.unit, now.fit.instrument
        ),
    )


def as_found_answer(job: OpenJob, now: stage.FitState, back: str) -> Answer:
    """The gap before anything was changed; asked for only where it was measured."""
    assert now.as_found_judgement is not None, "it was measured as found"
    entries = [
        entry
        for entry in job.state.answers(now.fit.id)
        if isinstance(entry.body, Reading) and entry.body.when == "as found"
    ]
    return answer(
        _window(now),
        now.as_found,
        now.as_found_judgement,
        when="as found",
        entry=entries[-1] if entries else stage.chain(job.state, now.fit.id)[0],
        measure=again(
            job, measure(job, "reading", key=now.fit.id, back=back), now.fit.unit, now.fit.instrument
        ),
    )


def _beside(now: stage.FitState) -> tuple[Answer, ...]:
    """The further gaps of a fit that has more than one."""
    return tuple(
        answer(
            _window(now, number),
            one.value,
            one.judgement,
            when="as left" if one.value else "",
            entry=now.closed_by,
        )
        for number, one in enumerate(now.lefts[1:], start=1)
    )


def _window(now: stage.FitState, number: int = 0) -> Window:
    own = now.found.windows[number]
    name = now.fit.name if len(now.found.windows) == 1 else f"{now.fit.name}: {own.name}"
    digits = max(own.digits, decimals(own.goal.normalize()))
    return Window(
        name, float(own.lower), float(own.upper), float(own.goal), own.unit, digits, source_words(now.source)
    )


def needed_words(now: stage.FitState) -> str:
    """The size that is needed with its expanded uncertainty, one for each side; empty before it is known."""
    unit = now.fit.size_unit
    told = (
        f"{one.side + ' ' if one.side else ''}{as_decimal(one.size.value)} ± {stated_u(2 * one.size.standard)} {unit}"
        for one in now.found.needs
    )
    return ", ".join(told)


def _sizes(now: stage.FitState) -> str:
    """What was chosen, one for each side, with the plates that make a height up."""
    told = []
    for one in now.chosen_all:
        plates = f" ({' + '.join(str(size) for size in one.plates_mm)})" if one.plates_mm else ""
        piece = f"{one.piece}, " if one.piece else ""
        told.append(f"{one.side + ' ' if one.side else ''}{piece}{one.size_mm} {now.fit.size_unit}{plates}")
    return ", ".join(told)


def _path(now: stage.FitState) -> tuple[Station, ...]:
    at = len(_PATH) if now.closed else _PATH.index(now.phase) if now.phase in _PATH else 0
    states = ["done" if number < at else "now" if number == at else "open" for number in range(len(_PATH))]
    return tuple(Station(name.capitalize(), state, "") for name, state in zip(_PATH, states, strict=True))


def _head(job: OpenJob, progress: Progress, now: stage.FitState, here: str) -> Head:
    found = _actions(job, progress, now, here)
    start = Link("Measure from the start", measure(job, "fit-first", key=now.fit.id, back=here))
    fits = Link("All fits", stage_href(job.tag, Stage.FIT))
    anew = (start,) if now.measured is not None and not now.suspects else ()
    return Head(
        heading=now.fit.name,
        lead=_lead(now),
        cautions=(),
        next=found[0],
        beside=found[1:],
        further=(*anew, fits, *at_stage(job, Stage.FIT)),
    )


def _actions(job: OpenJob, progress: Progress, now: stage.FitState, here: str) -> tuple[Link, ...]:
    """What can be done in the fit's phase, the one next action first; off the table nothing can be chosen."""
    key, part = now.fit.id, now.fit.selective
    shelf, choose = (enter(job, form, key=key, back=here) for form in ("shelf", "choose"))
    first, again = (measure(job, form, key=key, back=here) for form in ("fit-first", "remeasure"))
    if now.phase == "choose" and now.choice is not None and now.choice.size is None:
        return (
            Link("Look on the shelf again", shelf),
            Link("It waits for the part", enter(job, "waiting", back=here)),
            Link("Choose one outside the limits, because …", choose),
        )
    if now.phase == "closed":
        return (_next_fit(job, progress), Link("Re-measure once more", again))
    return {
        "measure": (Link(_measure_words(now.fit), first),),
        "suspects": (Link("Measure again", first),),
        "look on the shelf": (
            Link("Say what lies on the shelf", shelf),
            Link("Count or measure it", stock_href(job)),
        ),
        "choose": (
            Link(f"Choose the {part}", choose),
            Link("All parts together", choose_href(job)),
            Link("The shelf changed", stock_href(job)),
        ),
        "re-measure": (
            Link("Re-measure with the part in place", again),
            Link(f"Choose another {part}", choose),
        ),
    }[now.phase]


def _measure_words(fit: Fit) -> str:
    if asked_first(fit) and fit.by is not None:
        return f"Measure by {fit.by.kind}"
    return (
        f"Measure with a trial {fit.selective}"
        if fit.trial is not None
        else "Measure the dimensions of the gap"
    )


def _next_fit(job: OpenJob, progress: Progress) -> Link:
    still = stage.survey(job.transmission, job.state).open
    return (
        Link(f"Next fit: {still[0].fit.name}", _href(job, still[0].fit)) if still else onward(job, progress)
    )


def _lead(now: stage.FitState) -> str:
    if now.phase == "suspects":
        return now.why_suspects
    if now.phase == "closed":
        return f"Closed: {now.judgement.why}"
    if now.phase == "re-measure" and now.left is not None:
        return f"Not closed: {now.judgement.why}"
    if now.phase == "choose" and now.choice is not None:
        return now.choice.why
    if now.phase == "measure" and (now.voided or now.found.fault):
        return now.voided or now.found.fault
    return {
        "measure": f"First find the {now.fit.selective} that is needed.",
        "look on the shelf": f"{needed_words(now)} is needed. Say which sizes really lie on the shelf.",
        "re-measure": "The part is chosen. Only a new reading with it in place closes the fit.",
    }[now.phase]


def _facts(job: OpenJob, now: stage.FitState) -> tuple[tuple[str, str], ...]:
    fit = now.fit
    sizes = fit.sizes_mm
    found = (
        *_allowed(now),
        ("Set by", f"{fit.selective}: {job.transmission.part(fit.part).name}"),
        ("Sizes made", f"{sizes[0]} to {sizes[-1]} {fit.size_unit}, {len(sizes)} sizes{_pieces(fit)}"),
        ("Read by", fit.by.kind if fit.by is not None else ""),
        ("Rests on", ", ".join(named_rests(job.transmission, fit))),
        ("How", fit.method or ""),
        ("Instrument", fit.instrument.name),
        ("Readings", f"{fit.readings} each time"),
        ("Note", fit.note or ""),
        ("Source", source_words(now.source)),
    )
    return tuple((label, words) for label, words in found if words)


def _allowed(now: stage.FitState) -> tuple[tuple[str, str], ...]:
    """Each window in words; the goal that is none of the file's is half way."""
    given = now.fit.goal is not None
    found = []
    for number, one in enumerate(now.found.windows):
        label = "Allowed" if len(now.found.windows) == 1 else f"Allowed, {one.name}"
        digits = _window(now, number).digits
        goal = f"{one.goal:.{digits}f} {one.unit}{'' if given else ', half way'}"
        span = f"{now.fit.min} to {now.fit.max}" if number == 0 and one.lower == now.fit.window[0] else ""
        found.append((label, f"{span or f'{one.lower} to {one.upper} {one.unit}'}; the goal is {goal}"))
    return tuple(found)


def _pieces(fit: Fit) -> str:
    return f"; {fit.pieces} go in together" if fit.pieces > 1 else ""


def _needed_working(now: stage.FitState) -> Working | None:
    if not now.working:
        return None
    lines = [
        f"{one.name}: {line}"
        for one in now.found.read
        for line in one.value.working(one.unit, digits=max(2, now.fit.digits))
    ]
    return Working((*now.working, *lines), source_words(now.source))


def _together(job: OpenJob, now: stage.FitState) -> str:
    """What the joint choice of all fits takes here; empty where it has nothing to say."""
    if now.fit.size_unit == "turns":
        return now.choice.why if now.choice is not None else ""
    found = choosing(job.transmission, job.state, free=now.fit.id)
    one = found.of(now.fit.id)
    if one.how in ("short", "waits"):
        return one.why
    return told_of(one) if one.goes and one.how in ("shelf", "order") else ""


def _predicted_working(now: stage.FitState, told: Sequence[Predicted]) -> Working | None:
    """How each gap was reckoned with the part that is in, and whether what was found agrees."""
    lines = tuple(line for one in told for line in one.working)
    return Working(lines, source_words(now.source)) if lines else None


def _shelf(now: stage.FitState) -> str:
    if now.shelf is None:
        return ""
    if now.fit.size_unit == "turns":
        return "a screw; it can be set to any of its marks"
    return f"{', '.join(str(size) for size in now.shelf)} mm" if now.shelf else "nothing"


def _chosen(now: stage.FitState) -> str:
    if not now.chosen_all:
        return ""
    because = now.chosen_all[-1].because
    return f"{_sizes(now)}{f', because {because}' if because else ''}"
