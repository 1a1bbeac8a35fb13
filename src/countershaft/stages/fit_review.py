"""Whether a fit entry may join the log: what is asked for is there, can be believed, and tells a size."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from countershaft import units
from countershaft.job.entry import (
    Chosen,
    Dimensions,
    Entry,
    FitFigure,
    FitLeft,
    FitMeasured,
    PieceGone,
    PieceMeasured,
    PriceList,
    Remeasured,
    Shelf,
    SizesCounted,
    Trial,
)
from countershaft.job.state import JobState
from countershaft.job.taken import Taken
from countershaft.model.fit_methods import ByDial, ByFeeler, ByTurningTorque, TwoSidedShims
from countershaft.model.fits import Fit, exact_mm
from countershaft.model.transmission import Transmission
from countershaft.planning.gap_fits import Measured
from countershaft.stages.fit import FitState, follow
from countershaft.stages.fit_asked import Asked, asked_first, asked_left, gap_expected
from countershaft.stages.fit_choice import predicted
from countershaft.stages.fit_needed import as_decimal
from countershaft.stages.fit_ways import find
from countershaft.stages.measuring import doubts
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.stages.stock import review_choice, review_stock

__all__ = ["review"]


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a fit entry may join the log."""
    body = entry.body
    if isinstance(body, SizesCounted | PieceMeasured | PieceGone | PriceList):
        return review_stock(transmission, state, entry)
    if not isinstance(body, Trial | Dimensions | FitMeasured | Shelf | Chosen | Remeasured | FitLeft):
        return ACCEPTED
    fit, on = transmission.fit(body.fit), entry.at.date()
    if isinstance(body, Trial | Dimensions | FitMeasured):
        return _review_first(fit, body, on)
    if isinstance(body, Shelf):
        return _review_shelf(fit, body)
    now = follow(transmission, state, fit)
    if isinstance(body, Chosen):
        return _review_choice(transmission, state, now, body)
    if now.chosen is None:
        return object_to(
            f"No {fit.selective} is chosen for {fit.name} yet; a gap is re-measured with the chosen part in."
        )
    return _review_left(fit, body, on)


def _review_first(fit: Fit, body: Trial | Dimensions | FitMeasured, on: date) -> Outcome:
    if isinstance(body, Trial):
        return _review_trial(fit, body, on)
    return _review_dimensions(fit, body) if isinstance(body, Dimensions) else _review_measured(fit, body, on)


def _review_trial(fit: Fit, body: Trial, on: date) -> Outcome:
    if asked_first(fit):
        return object_to(f"{fit.name} is read by {_way(fit)}; type {_listed(asked_first(fit))}.")
    if fit.trial is None:
        return object_to(f"{fit.name} is found from measured dimensions, not from a trial; type those.")
    if fit.pieces == 1 and body.size_mm not in fit.sizes_mm and body.size_mm != exact_mm(fit.trial):
        sizes = ", ".join(str(size) for size in fit.sizes_mm)
        return object_to(
            size_mm=f"{body.size_mm} mm is not in the table ({sizes}). Measure the trial part again."
        )
    enough = _enough(fit, body.values_mm)
    if not enough.accepted:
        return enough
    asked = _doubted(
        body.values_mm, "mm", body.resolution_mm, body.taken, on, gap_expected(fit, float(body.size_mm)), fit
    )
    if asked:
        return object_to(sure=" ".join(asked))
    fault = find(fit, body).fault
    return object_to(values_mm=fault) if fault else ACCEPTED


def _review_dimensions(fit: Fit, body: Dimensions) -> Outcome:
    if asked_first(fit):
        return object_to(f"{fit.name} is read by {_way(fit)}; type {_listed(asked_first(fit))}.")
    if not fit.gap:
        return object_to(f"{fit.name} is measured with a trial {fit.selective} in place; type that reading.")
    names = [dimension.name for dimension in fit.gap]
    if set(body.values_mm) != set(names):
        return object_to(f"{fit.name} needs {', '.join(names)}; got {', '.join(body.values_mm)}.")
    return next(
        (one for one in (_enough(fit, body.values_mm[name]) for name in names) if not one.accepted), ACCEPTED
    )


def _review_measured(fit: Fit, body: FitMeasured, on: date) -> Outcome:
    asked = asked_first(fit)
    if not asked:
        how = f"with a trial {fit.selective} in place" if fit.trial is not None else "from its dimensions"
        return object_to(f"{fit.name} is measured {how}; type that reading.")
    if isinstance(fit.by, ByTurningTorque) and fit.by.reused_min is not None and not body.bearings:
        return object_to(bearings="New bearings turn harder than those that ran before; say which these are.")
    return _review_figures(fit, asked, body, on)


def _review_left(fit: Fit, body: Remeasured | FitLeft, on: date) -> Outcome:
    asked = asked_left(fit)
    if isinstance(body, FitLeft):
        if not asked:
            return object_to(f"{fit.name} is closed by readings of its gap; type those.")
        return _review_figures(fit, asked, body, on)
    if asked and not isinstance(fit.by, ByFeeler | ByDial):
        return object_to(f"{fit.name} is closed by {_listed(asked)}; type that.")
    enough = _enough(fit, body.values_mm)
    if not enough.accepted:
        return enough
    found = _doubted(body.values_mm, "mm", body.resolution_mm, body.taken, on, (fit.lower, fit.upper), fit)
    return object_to(sure=" ".join(found)) if found else ACCEPTED


def _review_figures(fit: Fit, asked: Sequence[Asked], body: FitMeasured | FitLeft, on: date) -> Outcome:
    """Every figure that was asked for is there, in a unit of its kind, often enough, and can be believed."""
    known = {one.name: one for one in asked}
    names = [one.name for one in body.figures]
    if set(names) != set(known):
        return object_to(f"{fit.name} needs {_listed(asked)}; got {', '.join(names)}.")
    for figure in body.figures:
        fault = _figure_fault(known[figure.name], figure)
        if fault:
            return object_to(**{figure.name: fault})
    uneven = _uneven(fit, body)
    if uneven:
        return uneven
    questions: list[str] = []
    for figure in body.figures:
        one = known[figure.name]
        taken = None if one.size and not (body.taken and body.taken.sure) else body.taken
        alone = not (one.cells or one.name in ("goes in", "does not go in", "at rest", "lifted"))
        expected = _in(one.expected, figure.unit, one.unit)
        questions += _doubted(
            figure.values, figure.unit, figure.resolution, taken, on, expected, fit,
            one_place=alone and one.fewest > 1,
        )  # fmt: skip
    if questions:
        return object_to(sure=" ".join(dict.fromkeys(questions)))
    if isinstance(body, FitMeasured):
        fault = find(fit, body).fault
        return object_to(fault) if fault else ACCEPTED
    return ACCEPTED


def _figure_fault(asked: Asked, figure: FitFigure) -> str:
    kind = units.UNITS[asked.unit][0]
    if figure.unit not in units.UNITS or units.UNITS[figure.unit][0] != kind:
        return f"{figure.unit!r} does not measure {kind}; use one of {', '.join(units.KINDS[kind])}."
    count = len(figure.values)
    if asked.fewest < asked.count and count not in (asked.fewest, asked.count):
        return f"type {asked.fewest} for all of them or {asked.count}, one each; got {count}."
    if asked.fewest == asked.count and not asked.cells and count < asked.fewest:
        return f"{asked.fewest} readings are asked for; got {count}. Take the rest."
    if asked.cells and count != asked.count:
        return f"one for each of {', '.join(asked.cells)} is asked for; got {count}."
    if asked.size and min(figure.values) <= 0:
        return "a part is thicker than nothing; measure it again."
    return ""


def _uneven(fit: Fit, body: FitMeasured | FitLeft) -> Outcome | None:
    """Two figures of the same places have as many readings each, and two leaves stand the right way round."""
    if not isinstance(fit.by, ByFeeler | ByDial):
        return None
    names = ("goes in", "does not go in") if isinstance(fit.by, ByFeeler) else ("at rest", "lifted")
    first, second = (next(one for one in body.figures if one.name == name) for name in names)
    if len(first.values) != len(second.values) or first.unit != second.unit:
        text = (
            f"{len(first.values)} places have {first.name}; type this for the same places, in {first.unit}."
        )
        return object_to(**{second.name: text})
    for place, (low, high) in enumerate(zip(first.values, second.values, strict=True), start=1):
        if high <= low:
            where = fit.by.places[place - 1] if fit.by.places else f"place {place}"
            text = f"{where}: {names[0]} {low}, {names[1]} {high}; this must be the greater. Try both again."
            return object_to(**{second.name: text})
    return None


def _in(expected: tuple[float, float] | None, unit: str, own: str) -> tuple[float, float] | None:
    """A range in the unit that was typed."""
    if expected is None:
        return None
    low, high = (units.convert(Decimal(str(one)), own, unit) for one in expected)
    return low, high


def _doubted(
    values: Sequence[Decimal],
    unit: str,
    resolution: Decimal,
    taken: Taken | None,
    on: date,
    expected: tuple[float, float] | None,
    fit: Fit,
    *,
    one_place: bool | None = None,
) -> tuple[str, ...]:
    alone = not (taken and taken.places) if one_place is None else one_place
    # A clutch is read all round, so its places may differ by more than the instrument explains.
    alone = alone and fit.kind != "clutch clearance"
    low, high = expected if expected is not None else (None, None)
    return doubts(
        values, unit, resolution=resolution, taken=taken, on=on, lower=low, upper=high, one_place=alone
    )


def _review_shelf(fit: Fit, body: Shelf) -> Outcome:
    strangers = [size for size in body.sizes_mm if size not in fit.sizes_mm]
    return (
        object_to(sizes_mm=f"{strangers[0]} mm is not in the table of {fit.name}.") if strangers else ACCEPTED
    )


def _review_choice(transmission: Transmission, state: JobState, now: FitState, body: Chosen) -> Outcome:
    fit = now.fit
    if now.phase == "suspects":
        return object_to(f"{now.why_suspects} Look at: {'; '.join(now.suspects)}.")
    if now.needed_mm is None or not now.sides:
        return object_to(f"Measure {fit.name} first; nothing says which size is needed.")
    if now.shelf is None:
        return object_to("Say first which sizes lie on the shelf.")
    wrong = _review_side(now, body)
    if wrong:
        return wrong
    if fit.size_unit == "turns":
        if body.size_mm not in fit.sizes_mm:
            text = f"{body.size_mm} turns cannot be set; there are {fit.sizes_mm[0]} to {fit.sizes_mm[-1]}."
            return object_to(size_mm=text)
    elif fit.pieces == 1:
        there = review_choice(transmission, state, fit, body)
        if not there.accepted:
            return there
    return _review_gap(now, body)


def _review_side(now: FitState, body: Chosen) -> Outcome | None:
    """The side that is meant, and the plates that make up a height."""
    two = isinstance(now.fit.by, TwoSidedShims)
    if two and body.side not in ("left", "right"):
        return object_to(side=f"{now.fit.name} has two shims; say left or right.")
    if two and body.side == "right" and not any(one.side == "left" for one in now.chosen_all):
        return object_to(
            side="Choose the left shim first: it sets the backlash, and the right one follows it."
        )
    if not two and body.side:
        return object_to(side=f"{now.fit.name} has one {now.fit.selective}; it has no {body.side} side.")
    if now.fit.pieces > 1:
        if len(body.plates_mm) != now.fit.pieces or sum(body.plates_mm) != body.size_mm:
            return object_to(
                plates_mm=f"{now.fit.pieces} plates that add up to {body.size_mm} mm are asked for; got "
                f"{len(body.plates_mm)} of {sum(body.plates_mm)} mm together."
            )
        stranger = next((one for one in body.plates_mm if one not in (now.shelf or ())), None)
        if stranger is not None:
            return object_to(plates_mm=f"{stranger} mm is not on the shelf.")
    return None


def _review_gap(now: FitState, body: Chosen) -> Outcome:
    """A part that would leave a gap outside its limits goes in only because somebody says why."""
    fit = now.fit
    if fit.also:  # what it comes to hangs on the parts of other fits too; the joint choice says that
        return ACCEPTED
    placed: dict[str, Decimal] = {one.side: one.size_mm for one in now.chosen_all}
    placed[body.side] = body.size_mm
    parts: dict[str, Measured] = {}
    for seat in now.seats:
        size = placed.get(seat.side)
        if size is not None:
            each = Fraction(size) / (fit.pieces if not seat.side else 1)
            parts[seat.name] = Measured(each)
    for gap, window in zip(now.gaps, now.found.windows, strict=True):
        left = predicted(gap, parts)
        if left is not None and not gap.lower <= left.value <= gap.upper and not body.because:
            what = f"would {'leave' if window.unit == fit.size_unit else 'give'} {as_decimal(left.value)} {window.unit}"
            return object_to(
                because=f"{body.size_mm} {fit.size_unit} {what}, outside {window.lower} {window.unit} to "
                f"{window.upper} {window.unit}. Choose another, or say why this one goes in."
            )
    return ACCEPTED


def _enough(fit: Fit, values: tuple[Decimal, ...]) -> Outcome:
    if len(values) < fit.readings:
        return object_to(
            values_mm=f"{fit.readings} readings are asked for; got {len(values)}. Take the rest."
        )
    return ACCEPTED


def _way(fit: Fit) -> str:
    return fit.by.kind if fit.by is not None else "a trial"


def _listed(asked: Sequence[Asked]) -> str:
    return ", ".join(one.name for one in asked)
