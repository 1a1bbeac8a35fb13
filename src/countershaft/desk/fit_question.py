"""A question about one fit without a job: its readings, and the size that they need."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from countershaft import units
from countershaft.errors import BadInput
from countershaft.job.at_fit import Bearings
from countershaft.job.entry import Dimensions, FitFigure, FitMeasured, Trial
from countershaft.model.fits import Fit
from countershaft.model.transmission import Transmission
from countershaft.stages.fit_asked import asked_first
from countershaft.stages.fit_choice import Side, choices, off_steps
from countershaft.stages.fit_needed import Found, seats_of
from countershaft.stages.fit_ways import find

__all__ = ["FitAnswer", "ask_fit", "figures_asked"]


@dataclass(frozen=True, slots=True)
class FitAnswer:
    """What the readings of a fit come to, what comes nearest, and whether the table can hold it."""

    fit: Fit
    found: Found
    sides: tuple[Side, ...]
    off_steps: str


def figures_asked(fit: Fit) -> tuple[tuple[str, str, int], ...]:
    """What must be read: name, unit and how many readings of each."""
    asked = asked_first(fit)
    if asked:
        return tuple((one.name, one.unit, one.fewest) for one in asked)
    if fit.gap:
        return tuple((one.name, "mm", fit.readings) for one in fit.gap)
    return ("trial", "mm", 1), ("reading", "mm", fit.readings)


def ask_fit(unit: Transmission, fit_id: str, given: Mapping[str, str], bearings: Bearings = "") -> FitAnswer:
    """The size that a fit needs, from figures such as "0.66 0.66 0.67 mm" by name; raises BadInput."""
    fit = unit.fit(fit_id)
    asked = figures_asked(fit)
    names = [name for name, _, _ in asked]
    if set(given) != set(names):
        raise BadInput(
            f"{fit.id} ({fit.name}) is found from {', '.join(names)}; got {', '.join(given) or 'nothing'}. "
            f'Give each as "{names[-1]}=0.36 0.36 mm".'
        )
    figures = {name: _figure(fit, name, given[name], own) for name, own, _ in asked}
    for name, _, fewest in asked:
        if len(figures[name].values) < fewest:
            raise BadInput(
                f"{name}: {fewest} readings are asked for; got {len(figures[name].values)}. Take the rest."
            )
    found = find(fit, _body(fit, figures, bearings))
    if found.fault:
        raise BadInput(f"{fit.id}: {found.fault}")
    seats = seats_of(fit)
    return FitAnswer(fit, found, choices(fit, found, seats, None, {}), off_steps(found, seats))


def _body(fit: Fit, figures: Mapping[str, FitFigure], bearings: Bearings) -> Trial | Dimensions | FitMeasured:
    if asked_first(fit):
        return FitMeasured(fit=fit.id, figures=tuple(figures.values()), bearings=bearings)
    values = {name: _in_mm(one.values, one.unit) for name, one in figures.items()}
    first = list(figures.values())[-1]
    step = _in_mm((first.resolution,), first.unit)[0]
    if fit.gap:
        return Dimensions(fit=fit.id, values_mm=values, resolution_mm=step)
    return Trial(fit=fit.id, size_mm=values["trial"][0], values_mm=values["reading"], resolution_mm=step)


def _in_mm(values: Sequence[Decimal], unit: str) -> tuple[Decimal, ...]:
    factor = {"in": Decimal("25.4"), "thou": Decimal("0.0254")}.get(unit, Decimal(1))
    return tuple(value * factor for value in values)


def _figure(fit: Fit, name: str, text: str, own: str) -> FitFigure:
    """Numbers, then perhaps their unit; the step is that of the instrument, else of the last digit typed."""
    words = text.split()
    numbers: list[Decimal] = []
    while words:
        try:
            numbers.append(Decimal(words[0].replace(",", ".").replace("−", "-")))
        except InvalidOperation:
            break
        words.pop(0)
    typed = " ".join(words) or own
    if not numbers:
        raise BadInput(f'{name}: {text!r} holds no number; give it as "{name}=0.36 0.36 {own}".')
    symbol = units.read(f"1 {typed}", kind=units.UNITS[own][0]).unit
    scale = fit.instrument.resolution
    last = Decimal(1).scaleb(-max(units.decimals(one) for one in numbers))
    step = scale.value if scale is not None and scale.unit == symbol else last
    return FitFigure(name=name, values=tuple(numbers), unit=symbol, resolution=step)
