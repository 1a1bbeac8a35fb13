"""Fit: trial, needed size, nearest on the shelf, and the re-measurement that alone closes a fit."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from countershaft.job.entry import (
    Chosen,
    Dimensions,
    Entry,
    PieceGone,
    PieceMeasured,
    PriceList,
    Reading,
    Remeasured,
    Shelf,
    SizesCounted,
    Trial,
)
from countershaft.job.state import JobState
from countershaft.job.taken import Taken
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.metrology.readings import Estimate
from countershaft.model.fits import Fit, exact_mm
from countershaft.model.transmission import Transmission
from countershaft.planning.gap_fits import Measured
from countershaft.planning.selective import Choice, choose
from countershaft.planning.shelf import Gap
from countershaft.source import Source
from countershaft.stages.fit_needed import Found, Seat, as_decimal, find, seats_of
from countershaft.stages.measuring import doubts, estimated, judged
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.stages.stock import review_choice, review_stock, sizes_at_hand

__all__ = ["FitState", "Fits", "chain", "follow", "review", "survey"]

Phase = Literal["measure", "look on the shelf", "choose", "re-measure", "closed", "suspects"]

#: What makes a needed size fall off the table more often than the table being wrong (common practice, no source).
GENERAL_SUSPECTS: tuple[str, ...] = (
    "a thrust bearing or washer is missing, or one is doubled",
    "something is not seated: a spline, a snap ring, a drum on its hub",
    "other slack was in the reading, or the dial was not at zero",
    "a part of another unit got in",
)


@dataclass(frozen=True, slots=True)
class FitState:
    """One fit and how far it is.

    `found` is what the first readings come to; `needed_mm` the size that would leave exactly the goal, as it is shown.
    `seats` are the places where its selective parts go; every gap of `gaps` has a term for each of those that set it.
    `as_found` is the gap before anything was changed.
    """

    fit: Fit
    source: Source | None
    phase: Phase
    as_found: Estimate | None
    as_found_judgement: Judgement | None
    measured: Trial | Dimensions | None
    found: Found
    needed_mm: Decimal | None
    seats: tuple[Seat, ...]
    shelf: tuple[Decimal, ...] | None
    choice: Choice | None
    chosen: Chosen | None
    left: Estimate | None
    judgement: Judgement
    suspects: tuple[str, ...]
    closed_by: Entry | None

    @property
    def closed(self) -> bool:
        """The gap was re-measured with the chosen part in place and is good."""
        return self.phase == "closed"

    @property
    def needed(self) -> Measured | None:
        """The size that would leave exactly the goal, with its standard uncertainty."""
        return self.found.needed

    @property
    def working(self) -> tuple[str, ...]:
        """How the needed size was found."""
        return self.found.working

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """The fit as it is chosen for, together with all others; empty while it is not measured."""
        return self.found.gaps


@dataclass(frozen=True, slots=True)
class Fits:
    """Every fit of the unit."""

    fits: tuple[FitState, ...]

    @property
    def complete(self) -> bool:
        """Every fit is closed."""
        return all(one.closed for one in self.fits)

    @property
    def open(self) -> tuple[FitState, ...]:
        """Fits that are not closed."""
        return tuple(one for one in self.fits if not one.closed)


def survey(transmission: Transmission, state: JobState) -> Fits:
    """All fits as their page shows them."""
    return Fits(tuple(follow(transmission, state, fit) for fit in transmission.all_fits))


def follow(transmission: Transmission, state: JobState, fit: Fit) -> FitState:
    """Follow one fit through the log; whatever is measured anew voids what was chosen before it."""
    first, choice_entry, last = chain(state, fit.id)
    measured = first.body if first and isinstance(first.body, Trial | Dimensions) else None
    chosen = choice_entry.body if choice_entry and isinstance(choice_entry.body, Chosen) else None
    remeasured = last.body if last and isinstance(last.body, Remeasured) else None
    shelf = sizes_at_hand(transmission, state, fit)
    found_size = find(fit, measured)
    needed = None if found_size.needed is None else as_decimal(found_size.needed.value)
    choice = None if needed is None else _choose(fit, needed, shelf if shelf is not None else fit.sizes_mm)
    left = _estimate(remeasured) if remeasured else None
    judgement = (
        _judge(fit, left, remeasured.taken if remeasured else None)
        if left
        else Judgement(Verdict.NOT_MEASURED, "not re-measured with the chosen part.")
    )
    found, found_taken = _as_found(state, fit)
    phase = _phase(choice, shelf, chosen, judgement)
    return FitState(
        fit=fit,
        source=transmission.source(fit.source),
        phase=phase,
        as_found=found,
        as_found_judgement=_judge(fit, found, found_taken) if found else None,
        measured=measured,
        found=found_size,
        needed_mm=needed,
        seats=seats_of(fit),
        shelf=shelf,
        choice=choice,
        chosen=chosen,
        left=left,
        judgement=judgement,
        suspects=(*fit.suspects, *GENERAL_SUSPECTS) if choice is not None and choice.off_table else (),
        closed_by=last if phase == "closed" else None,
    )


def chain(state: JobState, fit_id: str) -> tuple[Entry | None, Entry | None, Entry | None]:
    """The measurement, the choice that stands on it, and the re-measurement that stands on the choice."""
    measured: Entry | None = None
    chosen: Entry | None = None
    remeasured: Entry | None = None
    for entry in _entries_of(state, fit_id):
        if isinstance(entry.body, Trial | Dimensions):
            measured, chosen, remeasured = entry, None, None
        elif isinstance(entry.body, Chosen):
            chosen, remeasured = (entry if measured else None), None
        elif chosen is not None:
            remeasured = entry
    return measured, chosen, remeasured


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a fit entry may join the log."""
    body = entry.body
    if isinstance(body, SizesCounted | PieceMeasured | PieceGone | PriceList):
        return review_stock(transmission, state, entry)
    if not isinstance(body, Trial | Dimensions | Shelf | Chosen | Remeasured):
        return ACCEPTED
    fit = transmission.fit(body.fit)
    now = follow(transmission, state, fit)
    if isinstance(body, Trial):
        return _review_trial(fit, body)
    if isinstance(body, Dimensions):
        return _review_dimensions(fit, body)
    if isinstance(body, Shelf):
        strangers = [size for size in body.sizes_mm if size not in fit.sizes_mm]
        return (
            object_to(sizes_mm=f"{strangers[0]} mm is not in the table of {fit.name}.")
            if strangers
            else ACCEPTED
        )
    if isinstance(body, Chosen):
        there = review_choice(transmission, state, fit, body)
        return _review_choice(fit, now, body, there)
    if now.chosen is None:
        return object_to(
            f"No {fit.selective} is chosen for {fit.name} yet; a gap is re-measured with the chosen part in."
        )
    enough = _enough(fit, body.values_mm)
    return enough if not enough.accepted else _believed(fit, body, entry.at.date())


def _believed(fit: Fit, body: Remeasured, on: date) -> Outcome:
    asked = doubts(
        body.values_mm,
        "mm",
        resolution=body.resolution_mm,
        taken=body.taken,
        on=on,
        lower=fit.lower,
        upper=fit.upper,
        one_place=not (body.taken and body.taken.places),
    )
    return object_to(sure=" ".join(asked)) if asked else ACCEPTED


def _review_trial(fit: Fit, body: Trial) -> Outcome:
    if fit.trial is None:
        return object_to(f"{fit.name} is found from measured dimensions, not from a trial; type those.")
    if body.size_mm not in fit.sizes_mm and body.size_mm != fit.trial.value:
        sizes = ", ".join(str(size) for size in fit.sizes_mm)
        return object_to(
            size_mm=f"{body.size_mm} mm is not in the table ({sizes}). Measure the trial part again."
        )
    enough = _enough(fit, body.values_mm)
    fault = find(fit, body).fault
    return object_to(values_mm=fault) if enough.accepted and fault else enough


def _review_dimensions(fit: Fit, body: Dimensions) -> Outcome:
    if not fit.gap:
        return object_to(f"{fit.name} is measured with a trial {fit.selective} in place; type that reading.")
    names = [dimension.name for dimension in fit.gap]
    if set(body.values_mm) != set(names):
        return object_to(f"{fit.name} needs {', '.join(names)}; got {', '.join(body.values_mm)}.")
    return next(
        (one for one in (_enough(fit, body.values_mm[name]) for name in names) if not one.accepted), ACCEPTED
    )


def _review_choice(fit: Fit, now: FitState, body: Chosen, there: Outcome) -> Outcome:
    if now.needed_mm is None or now.choice is None:
        return object_to(f"Measure {fit.name} first; nothing says which size is needed.")
    if now.choice.off_table:
        return object_to(f"{now.choice.why} Look at: {'; '.join(now.suspects)}.")
    if now.shelf is None:
        return object_to("Say first which sizes lie on the shelf.")
    if not there.accepted:
        return there
    gap = fit.goal_exact + now.needed_mm - body.size_mm
    if not fit.lower <= float(gap) <= fit.upper and not body.because:
        return object_to(
            because=f"{body.size_mm} mm would leave {gap} mm, outside {fit.min} to {fit.max}. "
            "Choose another, or say why this one goes in."
        )
    return ACCEPTED


def _enough(fit: Fit, values: tuple[Decimal, ...]) -> Outcome:
    if len(values) < fit.readings:
        return object_to(
            values_mm=f"{fit.readings} readings are asked for; got {len(values)}. Take the rest."
        )
    return ACCEPTED


def _entries_of(state: JobState, fit_id: str) -> list[Entry]:
    found = [entry for entry, body in state.of(Trial) if body.fit == fit_id]
    found += [entry for entry, body in state.of(Dimensions) if body.fit == fit_id]
    found += [entry for entry, body in state.of(Chosen) if body.fit == fit_id]
    found += [entry for entry, body in state.of(Remeasured) if body.fit == fit_id]
    return sorted(found, key=lambda entry: state.position[entry.id])


def _choose(fit: Fit, needed: Decimal, at_hand: tuple[Decimal, ...]) -> Choice:
    return choose(
        needed=needed,
        goal=fit.goal_exact,
        lower=exact_mm(fit.min),
        upper=exact_mm(fit.max),
        table=fit.sizes_mm,
        at_hand=at_hand,
    )


def _estimate(body: Trial | Remeasured) -> Estimate:
    return estimated(body.values_mm, "mm", resolution=body.resolution_mm, to="mm", taken=body.taken)


def _judge(fit: Fit, value: Estimate, taken: Taken | None) -> Judgement:
    return judged(value, lower=fit.lower, upper=fit.upper, unit="mm", digits=fit.digits, taken=taken)


def _as_found(state: JobState, fit: Fit) -> tuple[Estimate | None, Taken | None]:
    """The newest as-found reading of the gap, in millimetres, and how it was taken."""
    bodies = [entry.body for entry in state.answers(fit.id)]
    found = [body for body in bodies if isinstance(body, Reading) and body.when == "as found"]
    if not found:
        return None, None
    newest = found[-1]
    value = estimated(newest.values, newest.unit, resolution=newest.resolution, to="mm", taken=newest.taken)
    return value, newest.taken


def _phase(
    choice: Choice | None, shelf: tuple[Decimal, ...] | None, chosen: Chosen | None, judgement: Judgement
) -> Phase:
    if choice is None:
        return "measure"
    if choice.off_table:
        return "suspects"
    if chosen is None:
        return "look on the shelf" if shelf is None else "choose"
    return "closed" if judgement.verdict is Verdict.GOOD else "re-measure"
