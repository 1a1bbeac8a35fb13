"""Forms: what readings at places came to, drawn, with every line behind it; and the ways to measure by places."""

from __future__ import annotations

import math
from dataclasses import dataclass
from urllib.parse import quote

from countershaft import units
from countershaft.desk.desk import OpenJob
from countershaft.figures.clock_figure import ClockFigure, ClockReading, clock_figure
from countershaft.figures.height_map import HeightMap, PlaceHeight, height_map
from countershaft.job.words import Stage
from countershaft.metrology.clock_face import clock_words
from countershaft.metrology.harmonics import Runout
from countershaft.model.face_forms import GridForm, StraightedgeForm
from countershaft.model.limits import Limit
from countershaft.model.turned_forms import RoundnessForm, RunoutForm
from countershaft.stages.form import FormResult
from countershaft.stages.inspection import Checked, checked, form_of
from countershaft.stages.progress import Progress
from countershaft.web.forms.place_sets import METHODS
from countershaft.web.pages.checks import check_answer, limit_words, source_of
from countershaft.web.pages.first import stage_href
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Answer, Link, enter, measure

__all__ = ["FormPage", "MethodRow", "MethodsPage", "ShownForm", "drawn_form", "form_page", "methods_page"]

_WHENS = ("as found", "trial", "as left")


@dataclass(frozen=True, slots=True)
class ShownForm:
    """One time that a form was read: verdict, drawing, what stands beside it, and the readings row by row."""

    answer: Answer
    what: str
    figure: str
    svg: str
    beside: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]


@dataclass(frozen=True, slots=True)
class FormPage:
    """A limit that is measured by places."""

    frame: Frame
    name: str
    measured: str
    limit: str
    source: str
    forms: tuple[ShownForm, ...]
    again: Link
    others: tuple[Link, ...]
    back: Link


@dataclass(frozen=True, slots=True)
class MethodRow:
    """One way to measure by places."""

    name: str
    href: str
    tells: str


@dataclass(frozen=True, slots=True)
class MethodsPage:
    """The ways to measure a limit by places."""

    frame: Frame
    name: str
    limit: str
    methods: tuple[MethodRow, ...]
    back: Link


def form_page(job: OpenJob, progress: Progress, limit_id: str) -> FormPage:
    """A form as its template reads it."""
    limit = job.transmission.limit(limit_id)
    stage = _stage(limit)
    here = f"/jobs/{quote(job.tag)}/forms/{quote(limit.id, safe='')}"
    found = [checked(job.transmission, job.state, limit, when=when) for when in _WHENS]
    form = form_of(job.transmission, job.state, limit.id)
    others = [Link("One figure, read elsewhere", measure(job, "figure", key=limit.id, back=here))]
    if limit.form is None:
        others.append(Link("Measure by other places", f"{here}/methods"))
    return FormPage(
        frame=frame(job, progress, stage),
        name=limit.name,
        measured=form.words if form else "not measured by places yet",
        limit=limit_words(limit),
        source=source_of(job, limit),
        forms=tuple(_shown(job, limit, one, here) for one in found if one.form is not None),
        again=Link("Read the places", measure(job, "reading", key=limit.id, back=here)),
        others=tuple(others),
        back=Link("Back to the checks", stage_href(job.tag, stage)),
    )


def methods_page(job: OpenJob, progress: Progress, limit_id: str) -> MethodsPage:
    """The ways to measure by places as their template reads them."""
    limit = job.transmission.limit(limit_id)
    stage = _stage(limit)
    here = f"/jobs/{quote(job.tag)}/forms/{quote(limit.id, safe='')}"
    then = measure(job, "reading", key=limit.id, back=here)
    return MethodsPage(
        frame=frame(job, progress, stage),
        name=limit.name,
        limit=limit_words(limit),
        methods=tuple(
            MethodRow(one.name, enter(job, "places", key=f"{one.kind}@{limit.id}", back=then), one.tells)
            for one in METHODS
        ),
        back=Link("Back to the checks", stage_href(job.tag, stage)),
    )


def _stage(limit: Limit) -> Stage:
    return Stage.PROVE if limit.stage == "prove" else Stage.INSPECT


def _shown(job: OpenJob, limit: Limit, one: Checked, here: str) -> ShownForm:
    assert one.form is not None, "asked for only where it is there"
    return ShownForm(
        answer=check_answer(job, limit, when=one.when, back=here),
        what=one.form.what,
        figure=one.form.value.stated(one.form.unit, digits=one.digits),
        svg=drawn_form(one.form, f"{limit.name}, {one.when}"),
        beside=one.form.beside,
        rows=one.form.read,
    )


def drawn_form(form: FormResult, title: str) -> str:
    """The drawing of a form; empty for one that has none."""
    if form.heights:
        return _heights(form, title)
    if form.wave is not None and isinstance(form.form, RunoutForm | RoundnessForm):
        return _clock(form, form.wave, title)
    return ""


def _heights(form: FormResult, title: str) -> str:
    down = -1 if isinstance(form.form, GridForm) else 1
    places = tuple(
        PlaceHeight(one.name, one.x, down * one.y, _signed(one.height, form.digits + 1))
        for one in form.heights
    )
    edges = form.form.lines if isinstance(form.form, StraightedgeForm) else ()
    told = f"{form.unit} above or below the middle of the minimum zone, whose width is the {form.what.split(',')[0]}."
    return height_map(HeightMap(title, places, edges, form.highest, form.lowest, told))


def _clock(form: FormResult, wave: Runout, title: str) -> str:
    per = units.convert(1.0, "m", form.unit)
    spots = form.form.spots
    readings = tuple(
        ClockReading(angle, spot.label, value * per, _signed(value * per, form.digits))
        for angle, spot, value in zip(wave.angles, spots, wave.readings, strict=True)
    )
    waves = (wave.eccentricity, *wave.lobes)
    centre = wave.eccentricity
    sure = centre.amplitude > 2 * centre.standard
    size = f"{centre.amplitude * per:.{form.digits + 1}f} {form.unit}"
    way = f"{round(math.degrees(centre.angle)) % 360}°, {clock_words(centre.angle)}"
    notes = [
        f"Eccentricity {size} toward {way}."
        if sure
        else f"Eccentricity {size}: too small to have a direction."
    ]
    notes += [
        f"{one.order} lobes {one.amplitude * per:.{form.digits + 1}f} {form.unit}." for one in wave.lobes
    ]
    return clock_figure(
        ClockFigure(
            title=title,
            readings=readings,
            mean=wave.mean * per,
            waves=tuple((one.order, one.cosine * per, one.sine * per) for one in waves),
            arrow=(centre.angle, f"eccentricity {size}") if sure else None,
            notes=tuple(notes),
        )
    )


def _signed(value: float, digits: int) -> str:
    """A height with its sign, a true minus, and no sign before a nought."""
    rounded = round(value, digits) + 0.0
    return f"{rounded:.{digits}f}" if rounded == 0 else f"{rounded:+.{digits}f}".replace("-", "−")
