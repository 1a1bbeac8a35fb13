"""What a fit should come to with the piece in it, beside what was found; and what a later change makes void."""

from __future__ import annotations

from collections.abc import Mapping
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
from countershaft.planning.voids import Voided, voided_fits
from countershaft.stages.choice_gaps import Rest, in_place, rests
from countershaft.stages.fit import FitState, chain, follow
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.stages.stock import stock

__all__ = ["Predicted", "as_left", "percent", "predicted", "review_coupled", "stated", "voided"]


@dataclass(frozen=True, slots=True)
class Predicted:
    """What a fit should come to with the piece that is in, beside what was found."""

    value: Fraction
    standard: float
    found: Estimate | None
    e_n: float | None
    agree: bool
    why: str


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


def voided(transmission: Transmission, state: JobState, found: Mapping[str, FitState]) -> tuple[Voided, ...]:
    """Fits that were re-measured before another part came to a place that they hang on."""
    rests_on = {name: {one.fit for one in now.fit.also} for name, now in found.items() if now.fit.also}
    measured = {}
    for name in rests_on:
        remeasured = chain(state, name)[2]
        if remeasured is not None:
            measured[name] = state.position[remeasured.id]
    changed = {name: _changed(state, name) for name in {one for some in rests_on.values() for one in some}}
    return voided_fits(rests_on, measured=measured, changed=changed)


def _changed(state: JobState, fit_id: str) -> int:
    """Where in the log a place last got another size than it had."""
    last, at = None, -1
    for entry in state.live:
        if isinstance(entry.body, Chosen) and entry.body.fit == fit_id:
            if (entry.body.size_mm, entry.body.piece) != last:
                at = state.position[entry.id]
            last = (entry.body.size_mm, entry.body.piece)
    return at


def percent(chance: float) -> str:
    """A probability in per cent; never rounded to certainty, since nothing that is measured is certain."""
    text = f"{100 * chance:.1f} %"
    return {"100.0 %": "more than 99.9 %", "0.0 %": "less than 0.1 %"}.get(text, text)


def _against(now: FitState, one: Rest) -> Predicted:
    """What was reckoned beside what was found, by the uncertainties of both."""
    unit, digits = "mm", now.fit.digits
    expanded = 2 * one.standard
    told = f"{stated(float(one.rest), expanded, digits)} {unit}"
    if now.left is None or expanded + now.left.expanded == 0:
        return Predicted(one.rest, one.standard, None, None, True, f"predicted {told}")
    e_n = normalised_error(now.left.mean, now.left.expanded, float(one.rest), expanded)
    agree = abs(e_n) <= 1
    verdict = (
        "they agree"
        if agree
        else "they do not agree: something is not seated, or another piece is in. Look before it stays in"
    )
    why = f"predicted {told}, found {now.left.stated(unit, digits=digits)}: {verdict} (E_n = {e_n:.1f})."
    return Predicted(one.rest, one.standard, now.left, e_n, agree, why.replace("-", "−"))


def stated(value: float, expanded: float, digits: int) -> str:
    """A value with its expanded uncertainty, as figures that were measured are printed."""
    if expanded <= 0:
        return f"{value:.{digits}f}"
    places = uncertainty_places(expanded, digits=digits)
    return f"{value:.{min(digits, places)}f} ± {expanded:.{places}f}"
