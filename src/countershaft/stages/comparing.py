"""Comparisons: people measure the same pieces blind, and their figures are judged by their uncertainties."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from itertools import combinations

from countershaft import units
from countershaft.errors import Unknown
from countershaft.job.at_compare import ComparisonSet, MeasuredBlind
from countershaft.job.entry import Entry
from countershaft.job.state import JobState
from countershaft.metrology.agreement import Agreement, compare
from countershaft.metrology.readings import Estimate
from countershaft.metrology.study import Study, crossed_study
from countershaft.model.transmission import Transmission
from countershaft.stages.measuring import doubts, estimated
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["Comparison", "Pair", "Turn", "comparison", "comparisons", "next_name", "review"]


@dataclass(frozen=True, slots=True)
class Turn:
    """Who measures which piece next."""

    person: str
    piece: int


@dataclass(frozen=True, slots=True)
class Pair:
    """What two people found on one piece, beside each other."""

    piece: int
    people: tuple[str, str]
    found: tuple[Estimate, Estimate]
    agreement: Agreement


@dataclass(frozen=True, slots=True)
class Comparison:
    """A comparison and how far it is; nothing of what was found is told before everybody has measured everything.

    `pairs` are of every two people, piece by piece; `study` needs two people, two pieces and
    two trials.  `window` is the width of the limit's window, where it has two ends, in the comparison's unit.
    """

    begun: ComparisonSet
    entry: Entry
    found: Mapping[tuple[str, int], MeasuredBlind]
    turns: tuple[Turn, ...]
    digits: int
    window: float | None
    pairs: tuple[Pair, ...]
    study: Study | None

    @property
    def complete(self) -> bool:
        """Everybody has measured everything."""
        return not self.turns

    @property
    def agree(self) -> bool:
        """Every two people agree on every piece."""
        return self.complete and all(pair.agreement.agree for pair in self.pairs)

    @property
    def all_turns(self) -> int:
        """How many turns there are in all."""
        return len(self.begun.people) * self.begun.pieces


def comparisons(transmission: Transmission, state: JobState) -> tuple[Comparison, ...]:
    """Every comparison of a job, oldest first."""
    return tuple(_followed(transmission, state, entry, body) for entry, body in state.of(ComparisonSet))


def comparison(transmission: Transmission, state: JobState, name: str) -> Comparison:
    """One comparison; raises Unknown."""
    for entry, body in state.of(ComparisonSet):
        if body.comparison == name:
            return _followed(transmission, state, entry, body)
    raise Unknown(f"This job has no comparison {name!r}.")


def next_name(state: JobState) -> str:
    """The name of the next comparison: K1, K2, …; an undone one keeps its name."""
    taken = {entry.body.comparison for entry in state.entries if isinstance(entry.body, ComparisonSet)}
    return next(name for number in range(1, len(taken) + 2) if (name := f"K{number}") not in taken)


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a comparison may begin, or a blind measurement join it."""
    body = entry.body
    if isinstance(body, ComparisonSet):
        return _review_begun(transmission, state, body)
    if isinstance(body, MeasuredBlind):
        return _review_measured(transmission, state, body, entry.at.date())
    return ACCEPTED


def _review_begun(transmission: Transmission, state: JobState, body: ComparisonSet) -> Outcome:
    if any(one.comparison == body.comparison for one in state.bodies(ComparisonSet)):
        return object_to(comparison=f"There is a comparison {body.comparison} already.")
    if body.unit not in units.UNITS:
        return object_to(unit=f"{body.unit!r} is no known unit; use one such as mm, in or N·m.")
    if body.limit is not None:
        unit = transmission.limit(body.limit).unit
        if unit is None:
            return object_to(limit="This limit is judged by eye; choose one that is measured, or none.")
        if units.UNITS[unit][0] != units.UNITS[body.unit][0]:
            return object_to(unit=f"The limit is in {unit}; {body.unit!r} does not measure the same.")
    return ACCEPTED


def _review_measured(transmission: Transmission, state: JobState, body: MeasuredBlind, on: date) -> Outcome:
    now = comparison(transmission, state, body.comparison)
    begun = now.begun
    if body.person not in begun.people:
        return object_to(
            person=f"{body.person} is not in this comparison; there are {', '.join(begun.people)}."
        )
    if body.piece > begun.pieces:
        return object_to(piece=f"There is no piece {body.piece}; the pieces are 1 to {begun.pieces}.")
    if (body.person, body.piece) in now.found:
        return object_to(
            f"{body.person} has measured piece {body.piece} already. Undo that first, if it was wrong."
        )
    if len(body.values) != begun.trials:
        return object_to(values=f"{begun.trials} readings are asked for; got {len(body.values)}.")
    # Their scatter is what a comparison is about, so it is not asked about.
    asked = doubts(
        body.values, begun.unit, resolution=body.resolution, taken=body.taken, on=on,
        **_expected(transmission, begun), one_place=False,
    )  # fmt: skip
    return object_to(sure=" ".join(asked)) if asked else ACCEPTED


def _expected(transmission: Transmission, begun: ComparisonSet) -> dict[str, float | None]:
    """The limit's ends in the comparison's unit."""
    if begun.limit is None:
        return {"lower": None, "upper": None}
    limit = transmission.limit(begun.limit)
    ends = (None if one is None else one.to(begun.unit) for one in (limit.min, limit.max))
    return dict(zip(("lower", "upper"), ends, strict=True))


def _followed(transmission: Transmission, state: JobState, entry: Entry, begun: ComparisonSet) -> Comparison:
    found: dict[tuple[str, int], MeasuredBlind] = {}
    for body in state.bodies(MeasuredBlind):
        if body.comparison == begun.comparison:
            found.setdefault((body.person, body.piece), body)
    turns = tuple(turn for turn in _order(begun) if (turn.person, turn.piece) not in found)
    ends = _expected(transmission, begun)
    low, high = ends["lower"], ends["upper"]
    window = high - low if low is not None and high is not None else None
    # A reading typed in another unit has many decimals; none finer than a bench reads is told.
    digits = min(
        5, max((units.decimals(value) for body in found.values() for value in body.values), default=2)
    )
    whole = begun.pieces >= 2 and begun.trials >= 2 and not turns
    return Comparison(
        begun=begun,
        entry=entry,
        found=found,
        turns=turns,
        digits=digits,
        window=window,
        pairs=() if turns else _pairs(begun, found, digits),
        study=crossed_study(_table(begun, found), window=window) if whole else None,
    )


def _order(begun: ComparisonSet) -> tuple[Turn, ...]:
    """Person after person, each with the pieces in an order of their own, so that nobody learns from the order."""
    turns = []
    for person in begun.people:
        pieces = list(range(1, begun.pieces + 1))
        random.Random(f"{begun.comparison} {begun.what} {person}").shuffle(pieces)  # noqa: S311  # no secret
        turns += [Turn(person, piece) for piece in pieces]
    return tuple(turns)


def _pairs(
    begun: ComparisonSet, found: Mapping[tuple[str, int], MeasuredBlind], digits: int
) -> tuple[Pair, ...]:
    rows = []
    for first, second in combinations(begun.people, 2):
        for piece in range(1, begun.pieces + 1):
            bodies = found[first, piece], found[second, piece]
            one, other = (_estimate(begun, body) for body in bodies)
            same = _same_instrument(*bodies)
            rows.append(
                Pair(
                    piece,
                    (first, second),
                    (one, other),
                    compare(one, other, unit=begun.unit, digits=digits, same_instrument=same),
                )
            )
    return tuple(rows)


def _estimate(begun: ComparisonSet, body: MeasuredBlind) -> Estimate:
    return estimated(body.values, begun.unit, resolution=body.resolution, to=begun.unit, taken=body.taken)


def _same_instrument(first: MeasuredBlind, second: MeasuredBlind) -> bool:
    """Whether both read the same instrument: that of the shop's list where it is known, else that of one name."""
    used = [
        body.taken.used.tag if body.taken and body.taken.used else body.instrument for body in (first, second)
    ]
    return used[0] == used[1]


def _table(
    begun: ComparisonSet, found: Mapping[tuple[str, int], MeasuredBlind]
) -> list[list[tuple[float, ...]]]:
    """The readings by person and piece, each less the zero that its instrument is known to be off by."""
    return [
        [_corrected(begun, found[person, piece]) for piece in range(1, begun.pieces + 1)]
        for person in begun.people
    ]


def _corrected(begun: ComparisonSet, body: MeasuredBlind) -> tuple[float, ...]:
    readings = [float(value) for value in body.values]
    shift = _estimate(begun, body).mean - math.fsum(readings) / len(readings)
    return tuple(reading + shift for reading in readings)
