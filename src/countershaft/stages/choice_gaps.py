"""The gaps of a job's fits as they stand: what is in place is counted in, parts of other fits stay as terms."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from countershaft.job.entry import Chosen, Trial
from countershaft.job.state import JobState
from countershaft.model.fits import Coupling, Fit, exact_mm
from countershaft.model.transmission import Transmission
from countershaft.planning.reach import shown
from countershaft.planning.shelf import Gap, Term
from countershaft.stages.fit import FitState, chain
from countershaft.stages.stock import FamilyStock, SizeFamily, held, off_mark_standard

__all__ = ["Goes", "Rest", "in_place", "lies_there", "rests"]


@dataclass(frozen=True, slots=True)
class Goes:
    """What goes to one seat: a measured piece by its label, a marked one (`piece` empty), or one to order."""

    seat: str
    family: SizeFamily
    size_mm: Decimal
    standard: float
    piece: str
    ordered: bool = False
    price_cents: int = 0
    days: int = 0

    @property
    def words(self) -> str:
        """The piece as it is asked for at the bench."""
        if self.piece:
            return f"{self.piece} ({self.family.words}, {self.size_mm} mm measured)"
        return f"{self.family.words} {self.size_mm} mm"


@dataclass(frozen=True, slots=True)
class Rest:
    """A gap with what is in place counted into its rest; `terms` are those of open seats."""

    gap: Gap
    rest: Fraction
    standard: float
    terms: tuple[Term, ...]
    counted: tuple[str, ...]

    def as_gap(self) -> Gap:
        """The gap as the open seats set it."""
        return replace(self.gap, rest=self.rest, standard=self.standard, terms=self.terms)


def in_place(state: JobState, there: Mapping[str, FamilyStock], free: str) -> dict[str, Goes]:
    """What stands at each seat."""
    pieces = {one.label: one for found in there.values() for one in found.pieces}
    by_seat = {seat: found for found in there.values() for seat in found.family.seats}
    placed = {}
    for one in held(state):
        known = by_seat.get(one.seat)
        if known is None or one.fit == free:
            continue
        piece = pieces.get(one.piece)
        standard = piece.size.standard if piece is not None else off_mark_standard(known.off_mark_mm)
        size = piece.size_mm if piece is not None else one.size_mm
        placed[one.seat] = Goes(one.seat, known.family, size, standard, one.piece)
    return placed


def rests(
    transmission: Transmission,
    state: JobState,
    now: FitState,
    placed: Mapping[str, Goes],
    *,
    known: Collection[str] | None = None,
) -> tuple[Rest, ...]:
    """The gaps of a fit with what is in place; a fit that was re-measured is taken as it was found, not as reckoned.

    `known` are seats that count; None asks for what was reckoned, from what is in place alone.
    """
    measured, _, remeasured = chain(state, now.fit.id)
    own = {seat.name for seat in now.seats}
    if known is not None and remeasured is not None and now.left is not None and own.issubset(placed):
        gaps = _as_left(now, placed)
        placed = {name: replace(one, standard=0.0) if name in own else one for name, one in placed.items()}
        position = state.position[remeasured.id]
    else:
        gaps = now.gaps
        position = state.position[measured.id] if measured is not None else -1
    seats = known if known is not None else {*placed, *own}
    return tuple(
        _filled(_coupled(transmission, state, now.fit, gap, position, seats), placed) for gap in gaps
    )


def lies_there(transmission: Transmission, state: JobState, coupling: Coupling, name: str) -> bool:
    """Whether the other place was empty while this gap was measured, so that its part is still to be reckoned with."""
    measured = chain(state, name)[0]
    return (
        measured is not None and _size_then(transmission, state, coupling, state.position[measured.id]) == 0
    )


def _coupled(
    transmission: Transmission, state: JobState, fit: Fit, gap: Gap, position: int, known: Collection[str]
) -> Gap:
    """A gap with the parts of other fits that it hangs on; what lay there while it was measured is taken off."""
    for one in fit.also:
        if one.fit not in known:
            continue
        then = _size_then(transmission, state, one, position)
        factor = Fraction(one.factor)
        gap = replace(gap, rest=gap.rest - factor * then, terms=(*gap.terms, Term(one.fit, factor)))
    return gap


def _size_then(transmission: Transmission, state: JobState, coupling: Coupling, position: int) -> Fraction:
    """What lay in the other place at a point of the log."""
    said: list[Trial | Chosen] = [
        body
        for entry in state.live[: position + 1]
        if isinstance(body := entry.body, Trial | Chosen) and body.fit == coupling.fit
    ]
    if said:
        return Fraction(said[-1].size_mm)
    if coupling.measured_with is not None:
        return Fraction(exact_mm(coupling.measured_with))
    trial = transmission.fit(coupling.fit).trial
    return Fraction(exact_mm(trial)) if trial is not None else Fraction(0)


def _as_left(now: FitState, placed: Mapping[str, Goes]) -> tuple[Gap, ...]:
    """A set fit by what was found in it, which is better known than what was reckoned."""
    found = []
    for gap, left in zip(now.gaps, now.lefts, strict=True):
        assert left.value is not None, "a fit is read whole or not at all"
        own = sum((term.factor * Fraction(placed[term.place].size_mm) for term in gap.terms), Fraction(0))
        rest = Fraction(f"{left.value.mean:.6f}") - own
        found.append(replace(gap, rest=rest, standard=left.value.standard))
    return tuple(found)


def _filled(gap: Gap, placed: Mapping[str, Goes]) -> Rest:
    """Count what is in place into the rest of a gap."""
    rest, variance = gap.rest, gap.standard**2
    still, counted = [], []
    for term in gap.terms:
        one = placed.get(term.place)
        if one is None:
            still.append(term)
            continue
        size = Fraction(one.size_mm)
        rest += term.factor * size
        variance += float(term.factor**2) * one.standard**2
        variance += float((size - term.pivot) ** 2) * term.standard**2
        factor = "" if abs(term.factor) == 1 else f"{shown(abs(term.factor))} · "
        counted.append(f"{'−' if term.factor < 0 else '+'} {factor}{shown(size)} ({term.place})")
    return Rest(gap, rest, math.sqrt(variance), tuple(still), tuple(counted))
