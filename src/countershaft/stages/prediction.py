"""What a fit should come to with the piece in it, beside what was found; and what a later change makes void."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from countershaft.job.entry import Chosen, Entry
from countershaft.job.state import JobState, fold
from countershaft.metrology.agreement import normalised_error
from countershaft.metrology.readings import Estimate, uncertainty_places
from countershaft.model.transmission import Transmission
from countershaft.planning.choosing import Left
from countershaft.planning.likelihood import within
from countershaft.planning.reach import shown
from countershaft.stages.choice_gaps import Rest, in_place, rests
from countershaft.stages.fit import FitState, chain, follow
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.stages.stock import stock

__all__ = ["Predicted", "as_left", "percent", "predicted", "review_coupled", "stated"]


@dataclass(frozen=True, slots=True)
class Predicted:
    """What a fit should come to with the piece that is in, beside what was found."""

    value: Fraction
    standard: float
    found: Estimate | None
    e_n: float | None
    agree: bool
    why: str
    working: tuple[str, ...]


def predicted(transmission: Transmission, state: JobState, fit_id: str) -> tuple[Predicted, ...]:
    """What a fit should come to with the piece in it, against the newest re-measurement; empty without a piece."""
    now = follow(transmission, state, transmission.fit(fit_id))
    placed = in_place(state, stock(transmission, state), "")
    if not all(seat.name in placed for seat in now.seats):
        return ()
    return tuple(_against(now, one) for one in rests(transmission, state, now, placed) if not one.terms)


def review_coupled(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a choice leaves the gaps inside that hang on several places; else a reason is asked for."""
    body = entry.body
    if not isinstance(body, Chosen) or body.because:
        return ACCEPTED
    touched = [
        fit for fit in transmission.fits if fit.also and body.fit in (fit.id, *(one.fit for one in fit.also))
    ]
    then = fold((*state.entries, entry)) if touched else state
    for fit in touched:
        now = follow(transmission, then, fit)
        placed = in_place(then, stock(transmission, then), "")
        others = [one.fit for one in fit.also if one.fit not in placed]
        if any(chain(then, other)[0] for other in others) or not all(
            seat.name in placed for seat in now.seats
        ):
            continue  # what is still to be chosen there is judged with that choice
        known = [*placed, *(seat.name for seat in now.seats)]
        for one in rests(transmission, then, now, placed, known=known):
            if not one.terms and not one.gap.lower <= one.rest <= one.gap.upper:
                return object_to(
                    because=f"{body.size_mm} mm would leave {fit.name} at {shown(one.rest)} mm, outside {fit.min} to "
                    f"{fit.max}. Choose another, or say why this one goes in."
                )
    return ACCEPTED


def as_left(one: Rest) -> Left:
    """What a fit comes to with what is in it."""
    gap = one.gap
    lower, upper = (float(limit - one.rest) for limit in (gap.lower, gap.upper))
    chance = within(0.0, one.standard, lower=lower, upper=upper)
    working = (
        f"{gap.name} = {shown(gap.rest)} {' '.join(one.counted)} = {shown(one.rest)}",
        f"u = {one.standard:.2g}: within {shown(gap.lower)} to {shown(gap.upper)} with {percent(chance)}",
    )
    return Left(gap.name, one.rest, one.standard, chance, gap.lower <= one.rest <= gap.upper, working)


def percent(chance: float) -> str:
    """A probability in per cent; never rounded to certainty, since nothing that is measured is certain."""
    text = f"{100 * chance:.1f} %"
    return {"100.0 %": "more than 99.9 %", "0.0 %": "less than 0.1 %"}.get(text, text)


def _against(now: FitState, one: Rest) -> Predicted:
    """What was reckoned beside what was found, by the uncertainties of both."""
    left = next(left for gap, left in zip(now.gaps, now.lefts, strict=True) if gap.name == one.gap.name)
    unit, digits = left.window.unit, left.window.digits
    expanded, found = 2 * one.standard, left.value
    told = f"{stated(float(one.rest), expanded, digits)} {unit}"
    what = f"{left.window.name}: " if len(now.lefts) > 1 else ""
    if found is None or expanded + found.expanded == 0:
        return Predicted(
            one.rest,
            one.standard,
            None,
            None,
            True,
            f"{what}predicted {told}".replace("-", "−"),
            as_left(one).working,
        )
    e_n = normalised_error(found.mean, found.expanded, float(one.rest), expanded)
    agree = abs(e_n) <= 1
    verdict = (
        "they agree"
        if agree
        else "they do not agree: something is not seated, or another piece is in. Look before it stays in"
    )
    why = f"{what}predicted {told}, found {found.stated(unit, digits=digits)}: {verdict} (E_n = {e_n:.1f})."
    agreement = (
        f"E_n = (found − predicted) / √(U_found² + U_predicted²) = ({found.mean:.4g} − {float(one.rest):.4g}) / "
        f"√({found.expanded:.2g}² + {expanded:.2g}²) = {e_n:.2g}; beyond ±1 they do not agree (ISO 13528, 9.7)"
    )
    working = (*as_left(one).working, agreement)
    return Predicted(one.rest, one.standard, found, e_n, agree, why.replace("-", "−"), working)


def stated(value: float, expanded: float, digits: int) -> str:
    """A value with its expanded uncertainty, as figures that were measured are printed."""
    if expanded <= 0:
        return f"{value:.{digits}f}"
    places = uncertainty_places(expanded, digits=digits)
    return f"{value:.{min(digits, places)}f} ± {expanded:.{places}f}"
