"""Fit: first readings, needed size, nearest on the shelf, and the re-measurement that alone closes a fit."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from countershaft.job.entry import Chosen, Dimensions, Entry, FitLeft, FitMeasured, Reading, Remeasured, Trial
from countershaft.job.state import JobState
from countershaft.job.taken import Taken
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.metrology.readings import Estimate
from countershaft.model.fit_methods import TwoSidedShims
from countershaft.model.fits import Fit
from countershaft.model.transmission import Transmission
from countershaft.planning.gap_fits import Measured
from countershaft.planning.selective import Choice
from countershaft.planning.shelf import Gap
from countershaft.source import Source
from countershaft.stages.fit_choice import Side, choices, off_steps
from countershaft.stages.fit_needed import Found, Seat, Window, as_decimal, seats_of
from countershaft.stages.fit_voids import void_of
from countershaft.stages.fit_ways import closing, find
from countershaft.stages.measuring import estimated, judged
from countershaft.stages.stock import off_mark_standard, sizes_at_hand, stock

__all__ = ["FitState", "Fits", "Left", "chain", "follow", "placed_sizes", "survey"]

Phase = Literal["measure", "look on the shelf", "choose", "re-measure", "closed", "suspects"]

#: What makes a needed size fall off the table more often than the table being wrong (common practice, no source).
GENERAL_SUSPECTS: tuple[str, ...] = (
    "a thrust bearing or washer is missing, or one is doubled",
    "something is not seated: a spline, a snap ring, a drum on its hub",
    "other slack was in the reading, or the dial was not at zero",
    "a part of another unit got in",
)

#: The worst of several verdicts stands for all.
_WORST: Final = (Verdict.BAD, Verdict.AGAIN, Verdict.NOT_MEASURED, Verdict.GOOD)


@dataclass(frozen=True, slots=True)
class Left:
    """One gap of a fit with the chosen parts in place, against its window; `value` is None before it is measured."""

    window: Window
    value: Estimate | None
    judgement: Judgement


@dataclass(frozen=True, slots=True)
class FitState:
    """One fit and how far it is.

    `found` is what the first readings come to; `needed_mm` the size that would leave exactly the goal, as it is shown.
    `seats` are the places where its selective parts go; every gap of `gaps` has a term for each of those that set it.
    `sides` is what comes nearest on each side; `chosen_all` what goes in, one for each side.
    `lefts` are the gaps as left, `as_found` is the gap before anything was changed.
    `off_steps` says that no step of the table can hold the fit, `voided` what made an earlier measurement void.
    `part_standards` is, by seat, the standard uncertainty of the part that goes there.
    """

    fit: Fit
    source: Source | None
    phase: Phase
    as_found: Estimate | None
    as_found_judgement: Judgement | None
    measured: Trial | Dimensions | FitMeasured | None
    found: Found
    needed_mm: Decimal | None
    seats: tuple[Seat, ...]
    shelf: tuple[Decimal, ...] | None
    sides: tuple[Side, ...]
    chosen_all: tuple[Chosen, ...]
    lefts: tuple[Left, ...]
    judgement: Judgement
    suspects: tuple[str, ...]
    off_steps: str
    voided: str
    closed_by: Entry | None
    part_standards: dict[str, float]

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

    @property
    def choice(self) -> Choice | None:
        """What comes nearest on the side that is to be chosen next, else on the last."""
        if not self.sides:
            return None
        return self.sides[min(len(self.chosen_all), len(self.sides) - 1)].choice

    @property
    def chosen(self) -> Chosen | None:
        """What goes in; None until something is chosen for every side."""
        return self.chosen_all[-1] if self.sides and len(self.chosen_all) >= len(self.sides) else None

    @property
    def left(self) -> Estimate | None:
        """The gap with the chosen part in place, the first of them where there are two."""
        return self.lefts[0].value

    @property
    def why_suspects(self) -> str:
        """Why nothing is chosen; empty where something can be."""
        off = next((one.choice for one in self.sides if one.choice.off_table), None)
        return self.found.beyond or (off.why if off is not None else "")


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
    """Follow one fit through the log; whatever is measured anew, or changed under it, voids what stands on that."""
    first, choice_entry, last = chain(state, fit.id)
    void = void_of(transmission, state, fit, first, last)
    if void.first:
        first = choice_entry = last = None
    elif void.last:
        last = None
    measured = first.body if first and isinstance(first.body, Trial | Dimensions | FitMeasured) else None
    found, seats = find(fit, measured), seats_of(fit)
    chosen = _chosen(state, fit, first) if choice_entry is not None else ()
    shelf = fit.sizes_mm if fit.size_unit == "turns" else sizes_at_hand(transmission, state, fit)
    sides = choices(fit, found, seats, shelf, {one.side: one.size_mm for one in chosen})
    lefts = _lefts(fit, found, last)
    judgement = _worst(lefts)
    as_found, found_taken = _as_found(state, fit, found)
    off = found.beyond or any(side.choice.off_table for side in sides)
    return FitState(
        fit=fit,
        source=transmission.source(fit.source),
        phase=_phase(sides, bool(off), shelf, chosen, judgement),
        as_found=as_found,
        as_found_judgement=_judge(found.windows[0], as_found, found_taken) if as_found else None,
        measured=measured,
        found=found,
        needed_mm=None if found.needed is None else as_decimal(found.needed.value),
        seats=seats,
        shelf=shelf,
        sides=sides,
        chosen_all=chosen,
        lefts=lefts,
        judgement=judgement,
        suspects=(*fit.suspects, *GENERAL_SUSPECTS) if off else (),
        off_steps="" if off else off_steps(found, seats),
        voided=void.first or void.last,
        closed_by=last if len(chosen) >= len(sides) and judgement.verdict is Verdict.GOOD else None,
        part_standards=_part_standards(transmission, state, fit, seats, chosen),
    )


def _part_standards(
    transmission: Transmission, state: JobState, fit: Fit, seats: tuple[Seat, ...], chosen: tuple[Chosen, ...]
) -> dict[str, float]:
    """What is not known of the part in each seat, as the choice of all parts together takes it.

    A measured piece has its own uncertainty, one that is only marked may be off its marking; a screw has no size.
    """
    if fit.size_unit == "turns":
        return {seat.name: 0.0 for seat in seats}
    there = stock(transmission, state, free=fit.id, of={seat.name for seat in seats}).values()
    marked = {seat: off_mark_standard(one.off_mark_mm) for one in there for seat in one.family.seats}
    pieces = {piece.label: piece.size.standard for one in there for piece in one.pieces}
    labels: dict[str, str] = {one.side: one.piece for one in chosen}
    return {seat.name: pieces.get(labels.get(seat.side, ""), marked[seat.name]) for seat in seats}


def placed_sizes(now: FitState) -> dict[str, Measured]:
    """What stands, or would go, in each seat of a fit, for its stack-up: chosen, else nearest, else as needed."""
    placed: dict[str, Measured] = {}
    for number, side in enumerate(now.sides):
        own = [seat for seat in now.seats if seat.side == side.seat.side]
        chosen = now.chosen_all[number] if number < len(now.chosen_all) else None
        size = chosen.size_mm if chosen is not None else side.choice.size
        value = Fraction(size) if size is not None else side.need.size.value
        plates = list(chosen.plates_mm) if chosen is not None else [
            one for one, count in side.plates for _ in range(count)
        ]  # fmt: skip
        for at, seat in enumerate(own):
            each = Fraction(plates[at]) if len(plates) == len(own) else value / len(own)
            placed[seat.name] = Measured(each, now.part_standards[seat.name])
    return placed


def chain(state: JobState, fit_id: str) -> tuple[Entry | None, Entry | None, Entry | None]:
    """The measurement, the choice that stands on it, and the re-measurement that stands on the choice."""
    measured: Entry | None = None
    chosen: Entry | None = None
    remeasured: Entry | None = None
    for entry in _entries_of(state, fit_id):
        if isinstance(entry.body, Trial | Dimensions | FitMeasured):
            measured, chosen, remeasured = entry, None, None
        elif isinstance(entry.body, Chosen):
            chosen, remeasured = (entry if measured else None), None
        elif chosen is not None:
            remeasured = entry
    return measured, chosen, remeasured


def _entries_of(state: JobState, fit_id: str) -> list[Entry]:
    found = [
        entry
        for kind in (Trial, Dimensions, FitMeasured, Chosen, Remeasured, FitLeft)
        for entry, body in state.of(kind)
        if getattr(body, "fit", None) == fit_id
    ]
    return sorted(found, key=lambda entry: state.position[entry.id])


def _chosen(state: JobState, fit: Fit, first: Entry | None) -> tuple[Chosen, ...]:
    """The newest choice for each side since the first measurement, the left side before the right."""
    since = -1 if first is None else state.position[first.id]
    newest = {
        body.side: body
        for entry, body in state.of(Chosen)
        if body.fit == fit.id and state.position[entry.id] > since
    }
    sides = ("left", "right") if isinstance(fit.by, TwoSidedShims) else ("",)
    found: list[Chosen] = []
    for side in sides:
        if side not in newest:
            break
        found.append(newest[side])
    return tuple(found)


def _lefts(fit: Fit, found: Found, last: Entry | None) -> tuple[Left, ...]:
    body = last.body if last is not None else None
    values: tuple[Estimate, ...] = ()
    if isinstance(body, Remeasured):
        one = estimated(body.values_mm, "mm", resolution=body.resolution_mm, to="mm", taken=body.taken)
        values = (one,)
    elif isinstance(body, FitLeft):
        values = closing(fit, body)
    taken = body.taken if isinstance(body, Remeasured | FitLeft) else None
    return tuple(
        Left(window, value, _judge(window, value, taken))
        for window, value in zip(found.windows, values or (None,) * len(found.windows), strict=True)
    )


def _judge(window: Window, value: Estimate | None, taken: Taken | None) -> Judgement:
    if value is None:
        return Judgement(Verdict.NOT_MEASURED, "not re-measured with the chosen part.")
    low, high = float(window.lower), float(window.upper)
    return judged(value, lower=low, upper=high, unit=window.unit, digits=window.digits, taken=taken)


def _worst(lefts: tuple[Left, ...]) -> Judgement:
    """One verdict for all gaps of a fit: the worst of them, named where there are several."""
    worst = min(lefts, key=lambda one: _WORST.index(one.judgement.verdict))
    if len(lefts) == 1 or worst.judgement.verdict is Verdict.NOT_MEASURED:
        return worst.judgement
    why = " ".join(f"{one.window.name}: {one.judgement.why}" for one in lefts)
    return Judgement(worst.judgement.verdict, why)


def _as_found(state: JobState, fit: Fit, found: Found) -> tuple[Estimate | None, Taken | None]:
    """The newest as-found reading of the gap, and how it was taken; else what follows from the part that was found."""
    bodies = [entry.body for entry in state.answers(fit.id)]
    read = [body for body in bodies if isinstance(body, Reading) and body.when == "as found"]
    if not read:
        return found.as_found, None
    newest = read[-1]
    value = estimated(
        newest.values, newest.unit, resolution=newest.resolution, to=fit.unit, taken=newest.taken
    )
    return value, newest.taken


def _phase(
    sides: tuple[Side, ...],
    off: bool,
    shelf: tuple[Decimal, ...] | None,
    chosen: tuple[Chosen, ...],
    judgement: Judgement,
) -> Phase:
    if off:
        return "suspects"
    if not sides:
        return "measure"
    if len(chosen) < len(sides):
        return "look on the shelf" if shelf is None else "choose"
    return "closed" if judgement.verdict is Verdict.GOOD else "re-measure"
