"""Inspect: findings in closed words, and readings against the unit's own limits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from countershaft import units
from countershaft.errors import FormError, OutOfRange, Unknown
from countershaft.job.entry import (
    ComparisonSet,
    ConverterDepths,
    Entry,
    Finding,
    FitLeft,
    FormSet,
    FormTaken,
    HousingSwept,
    Look,
    MeasuredBlind,
    NotMeasured,
    Reading,
    Worked,
)
from countershaft.job.state import JobState
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.metrology.readings import Estimate, estimate
from countershaft.model.fits import Fit
from countershaft.model.forms import AnyForm
from countershaft.model.limits import Limit
from countershaft.model.transmission import Transmission
from countershaft.source import Source
from countershaft.stages import comparing
from countershaft.stages.bench_sums import estimate_of, figure_for, worked_out
from countershaft.stages.by_place import AtPlace, judged_limit, judged_places, places_of, too_few
from countershaft.stages.form import FormResult, form_doubts, result_of
from countershaft.stages.housing_answers import answered_by
from countershaft.stages.measuring import doubts, estimated, judged
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.sums.answer import digits_of

__all__ = ["Checked", "Inspection", "checked", "form_of", "review", "review_form", "review_reading", "survey"]

#: A value is told with no more decimals than a bench reads; a conversion may leave many more.
_MOST_DIGITS = 5


@dataclass(frozen=True, slots=True)
class Checked:
    """A limit with its newest answer as found and as left.

    `value` and `judgement` are of the newest reading; an unanswered limit is *not measured* with its reason.
    Figures are in the unit of the limit.  `working` is that of a figure that follows from readings round a circle or
    at several pads; it is empty where the value's own working tells all.
    With `places` the value is that of the worst of them, or their mean or range; `lines` say which.
    """

    limit: Limit
    source: Source | None
    when: str
    value: Estimate | None
    judgement: Judgement
    entry: Entry | None
    digits: int
    working: tuple[str, ...] = ()
    form: FormResult | None = None
    places: tuple[AtPlace, ...] = ()
    lines: tuple[str, ...] = ()

    @property
    def answered(self) -> bool:
        """Whether somebody measured, looked, or said why not."""
        return self.entry is not None


@dataclass(frozen=True, slots=True)
class Inspection:
    """All checks of the parts, and what was seen on them."""

    checks: tuple[Checked, ...]
    findings: tuple[tuple[Entry, Finding], ...]

    @property
    def open(self) -> tuple[Checked, ...]:
        """Checks without an answer."""
        return tuple(one for one in self.checks if not one.answered)

    @property
    def complete(self) -> bool:
        """Every check is answered."""
        return not self.open


def survey(transmission: Transmission, state: JobState) -> Inspection:
    """Inspection as its page shows it."""
    limits = [limit for limit in transmission.limits if limit.stage == "inspect"]
    return Inspection(tuple(checked(transmission, state, limit) for limit in limits), state.of(Finding))


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether an inspect entry may join the log."""
    body = entry.body
    if isinstance(body, Finding):
        transmission.part(body.part)
        return ACCEPTED
    if isinstance(body, ComparisonSet | MeasuredBlind):
        return comparing.review(transmission, state, entry)
    if isinstance(body, Reading):
        return review_reading(transmission, body, entry.at.date())
    if isinstance(body, FormSet):
        return _by_places(transmission.limit(body.limit))
    if isinstance(body, FormTaken):
        return review_form(transmission, body, entry.at.date())
    if isinstance(body, Look):
        limit = transmission.limit(body.limit)
        return (
            object_to(f"{limit.name} is measured, not looked at; type its readings.")
            if limit.measured
            else ACCEPTED
        )
    if isinstance(body, NotMeasured):
        _target(transmission, body.limit)
    return ACCEPTED


def review_reading(transmission: Transmission, body: Reading, on: date) -> Outcome:
    """Whether readings can be compared with what they belong to, and whether they are to be believed."""
    target = _target(transmission, body.limit)
    unit = target.unit
    if unit is None:
        return object_to(f"{target.name} is judged by eye; say good or bad with a word.")
    if body.unit not in units.UNITS or units.UNITS[body.unit][0] != units.UNITS[unit][0]:
        kind = units.UNITS[unit][0]
        return object_to(
            unit=f"{body.unit!r} does not measure {kind}; use one of {', '.join(units.KINDS[kind])}."
        )
    short = too_few(target, body) if isinstance(target, Limit) else _too_few(target, body)
    if short:
        return object_to(values=short)
    lower, upper = (None if one is None else one.to(body.unit) for one in (target.min, target.max))
    asked = doubts(
        body.values,
        body.unit,
        resolution=body.resolution,
        taken=body.taken,
        on=on,
        lower=lower,
        upper=upper,
        one_place=not (body.taken and body.taken.places)
        and not (isinstance(target, Limit) and target.places),
    )
    return object_to(sure=" ".join(asked)) if asked else ACCEPTED


def _too_few(fit: Fit, body: Reading) -> str:
    got = len(body.values)
    return f"{fit.readings} readings are asked for; got {got}. Take the rest." if got < fit.readings else ""


def review_form(transmission: Transmission, body: FormTaken, on: date) -> Outcome:
    """Whether readings at places tell the form of a limit, and whether they are to be believed."""
    limit = transmission.limit(body.limit)
    fits = _by_places(limit)
    if not fits.accepted:
        return fits
    if body.unit not in units.KINDS["length"]:
        return object_to(unit=f"{body.unit!r} is no length; use one of {', '.join(units.KINDS['length'])}.")
    unit = str(limit.unit)
    lower, upper = _window(limit)
    try:
        result = result_of(body, to=unit, lower=lower, upper=upper)
    except OutOfRange as cause:
        return object_to(readings=f"These readings cannot tell the form: {cause}")
    asked = form_doubts(body, result, on=on, lower=lower, upper=upper)
    return object_to(sure=" ".join(asked)) if asked else ACCEPTED


def form_of(transmission: Transmission, state: JobState, limit: str) -> AnyForm | None:
    """How a limit is measured by places: as its file says, else as it was last set in this job; None if not at all."""
    own = transmission.limit(limit).form
    if own is not None:
        return own
    return next((body.form for body in reversed(state.bodies(FormSet)) if body.limit == limit), None)


def checked(transmission: Transmission, state: JobState, limit: Limit, *, when: str | None = None) -> Checked:
    """A limit with its newest answer; `when` keeps to readings as found or as left."""
    found = _later(state, _newest(state, limit.id, when), _preload_left(transmission, state, limit, when))
    source = transmission.source(limit.source)
    if found is None:
        judgement = Judgement(Verdict.NOT_MEASURED, "nobody has measured it yet.")
        return Checked(limit, source, when or "", None, judgement, None, _limit_digits(limit))
    entry, body = found
    if isinstance(body, NotMeasured):
        judgement = Judgement(Verdict.NOT_MEASURED, f"not measured, because {body.because}")
        return Checked(limit, source, when or "", None, judgement, entry, _limit_digits(limit))
    if isinstance(body, Look):
        return Checked(limit, source, body.when, None, Judgement(Verdict(body.verdict), body.words), entry, 0)
    if isinstance(body, HousingSwept | ConverterDepths):
        return _followed(transmission, limit, entry, body)
    if isinstance(body, FormTaken):
        return _form_judged(limit, source, entry, body)
    if isinstance(body, Worked):
        return _sum_judged(limit, source, entry, body)
    return _judged(limit, source, entry, body)


def _sum_judged(limit: Limit, source: Source | None, entry: Entry, body: Worked) -> Checked:
    """A limit that a bench sum answers; one that can no longer be worked out is not measured."""
    unit, (lower, upper) = str(limit.unit), _window(limit)
    try:
        worked = worked_out(body)
    except (FormError, Unknown) as fault:
        judgement = Judgement(Verdict.NOT_MEASURED, f"the sum that answers it cannot be worked out: {fault}")
        return Checked(limit, source, body.when, None, judgement, entry, _limit_digits(limit))
    figure = figure_for(limit, worked)
    assert figure is not None, "the sum was reviewed against this limit"
    value = estimate_of(figure, unit)
    digits = max(_limit_digits(limit), digits_of(value.mean, figure.within(unit)[1]))
    judgement = judged(value, lower=lower, upper=upper, unit=unit, digits=digits, taken=body.taken)
    return Checked(limit, source, body.when, value, judgement, entry, digits, worked.working(figure))


def _form_judged(limit: Limit, source: Source | None, entry: Entry, body: FormTaken) -> Checked:
    unit = str(limit.unit)
    lower, upper = _window(limit)
    result = result_of(body, to=unit, lower=lower, upper=upper)
    digits = max(_limit_digits(limit), result.digits)
    digits += abs(result.value.mean - round(result.value.mean, digits)) > 0.05 * 10.0**-digits
    judgement = judged(result.value, lower=lower, upper=upper, unit=unit, digits=digits, taken=body.taken)
    return Checked(limit, source, body.when, result.value, judgement, entry, digits, form=result)


def _window(limit: Limit) -> tuple[float | None, float | None]:
    """Both ends of a limit in its unit."""
    lower, upper = (None if end is None else end.to(str(limit.unit)) for end in (limit.min, limit.max))
    return lower, upper


def _by_places(limit: Limit) -> Outcome:
    if limit.unit is None or units.UNITS[limit.unit][0] != "length":
        return object_to(f"{limit.name} is no length; only a length is measured by places.")
    return ACCEPTED


def _typed_digits(limit: Limit, body: Reading) -> int:
    """The decimals of the first reading; one that was typed in another unit has as many as its conversion left."""
    if body.unit != limit.unit:
        return 0
    finest = max(_limit_digits(limit), units.decimals(body.resolution)) + 1
    return min(units.decimals(body.values[0]), finest, _MOST_DIGITS)


def _judged(limit: Limit, source: Source | None, entry: Entry, body: Reading) -> Checked:
    unit = limit.unit
    assert unit is not None, "the reading was reviewed against a measured limit"
    digits = max(_limit_digits(limit), _typed_digits(limit, body))
    if places_of(limit, body):
        found = judged_places(limit, body, digits)
        return Checked(
            limit,
            source,
            body.when,
            found.value,
            found.judgement,
            entry,
            digits,
            places=found.places,
            lines=found.lines,
        )
    value = estimated(body.values, body.unit, resolution=body.resolution, to=unit, taken=body.taken)
    judgement = judged_limit(limit, value, digits, body.taken)
    return Checked(limit, source, body.when, value, judgement, entry, digits)


def _followed(
    transmission: Transmission, limit: Limit, entry: Entry, body: HousingSwept | ConverterDepths
) -> Checked:
    """A limit that the sweep of the housing or the depths of the converter answer."""
    found = answered_by(transmission, limit.id, body)
    unit = limit.unit
    assert found is not None and unit is not None, "the entry names only limits that it answers"
    figure, off = (units.convert(one, found.unit, unit) for one in (found.value.mean, found.value.standard))
    value = estimate([figure], resolution=off * math.sqrt(12))
    source = transmission.source(limit.source)
    digits = _limit_digits(limit)
    return Checked(limit, source, body.when, value, found.judgement, entry, digits, found.working)


_Answer = Reading | FormTaken | Look | NotMeasured | HousingSwept | ConverterDepths | Worked


def _newest(state: JobState, key: str, when: str | None) -> tuple[Entry, _Answer] | None:
    """The newest answer to a limit; a reason for not measuring yields to any real answer after it."""
    for entry in reversed(state.answers(key)):
        body = entry.body
        if isinstance(body, NotMeasured):
            return entry, body
        if isinstance(
            body, Reading | FormTaken | Look | HousingSwept | ConverterDepths | Worked
        ) and when in (
            None,
            body.when,
        ):
            return entry, body
    return None


def _preload_left(
    transmission: Transmission, state: JobState, limit: Limit, when: str | None
) -> tuple[Entry, _Answer] | None:
    """The turning torque that closed a preload answers the limit of its bearings, new or run before."""
    if when == "as found":
        return None
    bearings = {preload.id: "new" for preload in transmission.preloads if preload.limit == limit.id}
    bearings |= {one.id: "ran before" for one in transmission.preloads if one.limit_reused == limit.id}
    for entry, body in reversed(state.of(FitLeft)):
        if body.fit in bearings and (body.bearings or "new") == bearings[body.fit]:
            name = limit.instrument.name if limit.instrument is not None else "torque gauge"
            one = body.figures[0]
            reading = Reading(
                limit=limit.id, when="as left", values=one.values, unit=one.unit, instrument=name,
                resolution=one.resolution, taken=body.taken,
            )  # fmt: skip
            return entry, reading
    return None


def _later(
    state: JobState, one: tuple[Entry, _Answer] | None, other: tuple[Entry, _Answer] | None
) -> tuple[Entry, _Answer] | None:
    if one is None or other is None:
        return one or other
    return max(one, other, key=lambda found: state.position[found[0].id])


def _target(transmission: Transmission, key: str) -> Limit | Fit:
    fit = next((fit for fit in transmission.all_fits if fit.id == key), None)
    return fit if fit is not None else transmission.limit(key)


def _limit_digits(limit: Limit) -> int:
    return max((units.decimals(one.value) for one in (limit.min, limit.max) if one is not None), default=0)
