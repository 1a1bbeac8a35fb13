"""Housing to the crank: what the newest sweep says, what to do, the dowels, and every sweep before it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.figures.alignment_clock import AlignmentClock, ClockDowel, ClockPlace, alignment_clock
from countershaft.job.entry import ConverterDepths, HousingSwept, HubTrial
from countershaft.job.words import Stage
from countershaft.metrology.clock_face import LengthUnit, clock_hours, clock_words, degree_words, length_words
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.metrology.readings import Estimate
from countershaft.stages import alignment as stage
from countershaft.stages import converter
from countershaft.stages.housing_sweep import SweepRun, told_in
from countershaft.stages.progress import Progress
from countershaft.web.forms.housing import NO_CRANKING
from countershaft.web.housing_words import clock_label
from countershaft.web.pages.converter import ConverterShown, converter_shown
from countershaft.web.pages.first import stage_href
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import (
    Answer,
    Caution,
    Head,
    Link,
    Told,
    Window,
    Working,
    answer,
    at_stage,
    listed,
    measure,
    onward,
    said,
    source_words,
)

__all__ = [
    "AlignmentPage",
    "DowelRow",
    "FigureRow",
    "RunRow",
    "alignment_href",
    "alignment_page",
    "newest_answer",
]

#: Digits behind the point of a runout in each unit of the sentences.
DIGITS: Final[dict[LengthUnit, int]] = {"mm": 2, "in": 4}


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A figure with its name and its working."""

    name: str
    figure: str
    working: Working | None


@dataclass(frozen=True, slots=True)
class DowelRow:
    """A dowel, how far it must stand out, and how it stands."""

    name: str
    window: str
    answer: Answer
    before: str
    href: str


@dataclass(frozen=True, slots=True)
class RunRow:
    """A sweep before the newest one."""

    when: str
    bore: str
    face: str
    move: str
    said: str


@dataclass(frozen=True, slots=True)
class AlignmentPage:
    """The alignment as its page shows it; what was not swept is empty."""

    frame: Frame
    head: Head
    clock: str
    sentences: tuple[str, ...]
    bore: Answer | None
    face: Answer | None
    figures: tuple[FigureRow, ...]
    choice: Working | None
    dowels: tuple[DowelRow, ...]
    runs: tuple[RunRow, ...]
    converter: ConverterShown


def alignment_href(job: OpenJob) -> str:
    """The address of the page."""
    return f"/jobs/{quote(job.tag)}/alignment"


def alignment_page(job: OpenJob, progress: Progress) -> AlignmentPage:
    """The alignment as its template reads it."""
    found = stage.survey(job.transmission, job.state)
    fit = converter.survey(job.transmission, job.state)
    here, run = alignment_href(job), found.newest
    return AlignmentPage(
        frame=frame(job, progress, Stage.INSPECT),
        head=_head(job, progress, found, fit, here),
        clock=_clock(found, run) if run else "",
        sentences=run.advice.sentences if run else (),
        bore=_runout("Bore", run, run.bore_estimate, run.bore_judgement, run.bore_working) if run else None,
        face=_runout("Face", run, run.face_estimate, run.face_judgement, run.face_working)
        if run and run.face_estimate
        else None,
        figures=tuple(_figures(run)) if run else (),
        choice=Working(run.advice.dowels.working(run.unit), "offset dowels of the transmission file")
        if run and run.advice.dowels
        else None,
        dowels=tuple(_dowel(job, one, here) for one in found.dowels),
        runs=tuple(_run(one) for one in reversed(found.runs[:-1])),
        converter=converter_shown(job, fit, here),
    )


def newest_answer(
    job: OpenJob, progress: Progress, body: HousingSwept | ConverterDepths | HubTrial
) -> Answer | None:
    """What the figure that was just written comes to: runout of the bore, depth, or runout of the hub."""
    shown = alignment_page(job, progress)
    if isinstance(body, HousingSwept):
        return shown.bore
    if isinstance(body, HubTrial):
        return shown.converter.hub
    return shown.converter.answers[0] if shown.converter.answers else None


def _runout(
    name: str, run: SweepRun, value: Estimate | None, judgement: Judgement, lines: tuple[str, ...]
) -> Answer:
    """The total indicator reading of bore or face in its gauge."""
    limit = run.asked.bore if name == "Bore" else run.asked.face
    source = run.asked.bore_source if name == "Bore" else run.asked.face_source
    upper = limit.to(run.unit) if limit is not None else None
    digits = DIGITS[run.unit]
    title = f"{name}, total indicator reading"
    window = Window(title, None, upper, None, run.unit, digits, source_words(source))
    return answer(window, value, judgement, when=run.body.when, entry=run.entry, told=Told(instead=lines))


def _figures(run: SweepRun) -> Iterator[FigureRow]:
    """Offset, direction, closure, lean and shift, each with its working."""
    unit, bore = run.unit, run.bore
    lines = Working(run.bore_working, "the readings of the sweep")
    off = f"{length_words(bore.offset, unit, extra=1)} ± {length_words(2 * bore.offset_standard, unit, extra=1)}"
    yield FigureRow("Offset of the bore", off, lines)
    way = (
        f"{clock_words(bore.direction)}: {degree_words(bore.direction)} ± "
        f"{degree_words(2 * bore.direction_standard)} clockwise from 12"
        if bore.has_direction
        else "too little offset to tell"
    )
    good = run.advice.bore is Verdict.GOOD
    yield FigureRow(f"The housing {'would' if good else 'must'} move toward", way, lines)
    yield FigureRow("Closure of the sweep", _closure(run), lines)
    if run.face is None:
        return
    yield FigureRow(
        "Lean of the face",
        f"{run.face.tilt * 1e3:.3f} ± {2e3 * run.face.standard / run.face.diameter:.3f} mm per m",
        Working(run.face_working, "the readings of the sweep"),
    )
    if run.shift is not None:
        yield FigureRow(
            "What the lean shifts at the hub bushing",
            f"{length_words(run.shift, unit, extra=1)} ± {length_words(run.shift_expanded, unit, extra=1)}",
            Working(run.shift_working, "the readings of the sweep, lengths of the transmission file"),
        )


def _closure(run: SweepRun) -> str:
    sweep = run.bore.sweep
    off, most = length_words(abs(sweep.closure), run.unit), length_words(sweep.closure_limit, run.unit)
    return f"{off}, allowed {most}: it {'closes' if run.closes else 'does not close'}"


def _clock(found: stage.Alignment, run: SweepRun) -> str:
    body = run.body
    home = {one.name: one.is_home for one in run.standing}
    dowels = tuple(
        ClockDowel(float(one.dowel.clock), one.dowel.name, home.get(one.dowel.title))
        for one in found.dowels
        if one.dowel.clock is not None
    )
    shows = run.closes and run.bore.has_direction and run.advice.bore is not Verdict.GOOD
    return alignment_clock(
        AlignmentClock(
            title=f"Sweep of the bore {body.when}, seen from the gearbox; + is the plunger pushed in",
            places=tuple(
                ClockPlace(float(hour), clock_label(hour), f"{value} {body.unit}".replace("-", "−"))
                for hour, value in zip(body.hours, body.bore, strict=True)
            ),
            toward=clock_hours(run.bore.direction) if shows else None,
            move=_move(run),
            dowels=dowels,
        )
    )


def _move(run: SweepRun) -> str:
    """What the sweep says of the bore, as a heading under the clock."""
    if not run.closes:
        return "The sweep contradicts itself: sweep again"
    if run.advice.bore is Verdict.GOOD:
        return f"The bore is off by {length_words(run.bore.offset, run.unit)}: leave it"
    words = run.bore.words(run.unit)
    return words[0].upper() + words[1:]


def _dowel(job: OpenJob, one: stage.DowelState, here: str) -> DowelRow:
    unit: LengthUnit = told_in(one.body.unit) if one.body else "mm"
    title = f"Dowel {one.dowel.title}"
    low, high = one.dowel.min.to(unit), one.dowel.max.to(unit)
    window = Window(title, low, high, None, unit, 2 if unit == "mm" else 3, source_words(one.source))
    when = one.body.when if one.body else ""
    return DowelRow(
        name=title,
        window=f"{one.dowel.min} to {one.dowel.max}",
        answer=answer(window, one.value, one.judgement, when=when, entry=one.entry),
        before="; ".join(
            f"{body.when} {', '.join(map(str, body.values))} {body.unit}" for body in one.before
        ),
        href=measure(job, "dowels", key=one.dowel.name, back=here),
    )


def _run(run: SweepRun) -> RunRow:
    unit = run.unit
    bore = f"{length_words(run.bore.total, unit)}: {run.advice.bore.value}"
    face = f"{length_words(run.face.total, unit)}: {run.advice.face.value}" if run.face else "not swept"
    when = f"{run.body.when}{f', {run.body.after}' if run.body.after else ''}"
    return RunRow(when, bore, face, _move(run), said(run.entry))


def _head(
    job: OpenJob, progress: Progress, found: stage.Alignment, fit: converter.ConverterState, here: str
) -> Head:
    actions = (*_actions(job, found, here), *_converter_actions(job, found, fit, here), onward(job, progress))
    eight = Link("Sweep at eight places", measure(job, "sweep", key="8", back=here))
    again = Link("Sweep again", measure(job, "sweep", back=here))
    face = Link("Sweep bore and face at every place", measure(job, "sweep", key="face", back=here))
    anew = (again, eight, face) if found.newest is not None else (eight, face)
    return Head(
        heading="Housing to the crank",
        lead=_lead(found),
        cautions=(Caution(*NO_CRANKING),),
        next=actions[0],
        beside=actions[1:3],
        further=(
            *anew,
            Link("All checks", stage_href(job.tag, Stage.INSPECT)),
            *at_stage(job, Stage.INSPECT),
        ),
    )


def _actions(job: OpenJob, found: stage.Alignment, here: str) -> Iterator[Link]:
    """What is to be done at the housing, the next thing first."""
    unread = [one for one in found.dowels if one.entry is None]
    if unread and found.newest is None:
        yield Link("Read how far the dowels stand out", measure(job, "dowels", back=here))
    if found.newest is None:
        yield Link("Sweep the housing", measure(job, "sweep", back=here))
        return
    run = found.newest
    out = [one for one in run.standing if not one.is_home]
    if run.changed or not run.closes:
        yield Link("Sweep again", measure(job, "sweep", back=here))
    elif out:
        name = next(one.dowel.name for one in found.dowels if one.dowel.title == out[0].name)
        yield Link(f"Dowel {out[0].name} is seated: read it", measure(job, "dowels", key=name, back=here))
    elif not found.good:
        yield Link("Sweep again when it is mended", measure(job, "sweep", back=here))


def _converter_actions(
    job: OpenJob, found: stage.Alignment, fit: converter.ConverterState, here: str
) -> Iterator[Link]:
    """What is to be done at the converter, once the housing is good."""
    if not found.good and found.runs:
        return
    if fit.depths is None:
        yield Link("Measure the converter's depth and gap", measure(job, "converter", back=here))
    if fit.advice or (fit.newest is None and fit.hub_limit is not None):
        yield Link("Read the runout of the hub", measure(job, "hub", back=here))


def _lead(found: stage.Alignment) -> str:
    run = found.newest
    if run is None:
        return "Nobody has swept the housing yet."
    if run.changed:
        return run.advice.sentences[0]
    if found.good:
        swept = ["Bore", *(("face",) if run.face else ()), *(("dowels",) if run.standing else ())]
        return f"{listed(swept)} {'is as it' if len(swept) == 1 else 'are as they'} should be."
    out = [one for one in run.standing if not one.is_home]
    if out:
        return out[0].words(run.unit)
    return _move(run) + "."
