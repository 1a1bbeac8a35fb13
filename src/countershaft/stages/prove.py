"""Prove: bench and road checks against limits, ratios by counted turns, and the fixed-when sentence."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from countershaft.job.entry import Complaint, Entry, FixedWhen, TurnsCounted
from countershaft.job.state import JobState
from countershaft.metrology.computed import Computed
from countershaft.metrology.conformity import Verdict
from countershaft.model.transmission import Transmission
from countershaft.stages.inspection import Checked, checked
from countershaft.stages.measuring import computed, estimated
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["Proof", "TurnsState", "chart_ratios", "counted_ratio", "review", "survey"]


@dataclass(frozen=True, slots=True)
class TurnsState:
    """A gear's ratio from its teeth beside the ratio from counted turns."""

    gear: str
    expected: Fraction | None
    counted: TurnsCounted | None
    measured: float | None
    verdict: Verdict
    why: str
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """What proves the unit, and what is still open."""

    checks: tuple[Checked, ...]
    turns: tuple[TurnsState, ...]
    fixed: FixedWhen | None
    fixed_when: str | None

    @property
    def open(self) -> tuple[Checked, ...]:
        """Checks without an answer."""
        return tuple(one for one in self.checks if not one.answered)

    @property
    def turns_counted(self) -> bool:
        """At least one ratio was counted by hand, where the unit has a train."""
        return not self.turns or any(one.counted is not None for one in self.turns)

    @property
    def asked(self) -> int:
        """How many answers are asked for: the checks, the ratio by hand, the fixed-when sentence."""
        return len(self.checks) + bool(self.turns) + 1

    @property
    def answered(self) -> int:
        """How many of them are given."""
        counted = bool(self.turns) and self.turns_counted
        return len(self.checks) - len(self.open) + counted + (self.fixed is not None)

    @property
    def complete(self) -> bool:
        """Everything is answered and the fixed-when sentence is true."""
        return self.answered == self.asked and self.fixed is not None and self.fixed.true


def survey(transmission: Transmission, state: JobState) -> Proof:
    """The proof as its page shows it."""
    limits = [limit for limit in transmission.limits if limit.stage == "prove"]
    counted = {body.gear: body for body in state.bodies(TurnsCounted)}
    ratios = chart_ratios(transmission)
    complaint = state.last(Complaint)
    return Proof(
        checks=tuple(checked(transmission, state, limit, when="as left") for limit in limits),
        turns=tuple(_turns(gear, ratio, counted.get(gear), ratios) for gear, ratio in ratios.items()),
        fixed=state.last(FixedWhen),
        fixed_when=complaint.fixed_when if complaint else None,
    )


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a prove entry may join the log."""
    body = entry.body
    if isinstance(body, TurnsCounted):
        ratios = chart_ratios(transmission)
        if body.gear not in ratios:
            return object_to(
                gear=f"{body.gear!r} has no ratio in this unit; it has {', '.join(ratios) or 'none'}."
            )
        if body.counted_to >= body.input_turns:
            return object_to(counted_to="Read to a part of a turn that is smaller than the turns counted.")
    if isinstance(body, FixedWhen) and state.last(Complaint) is None:
        return object_to("Nobody wrote a fixed-when sentence. Write it at intake, then judge it here.")
    return ACCEPTED


def chart_ratios(transmission: Transmission) -> dict[str, Fraction]:
    """Gear -> exact ratio, for every state of the chart that has one."""
    states = transmission.train_states
    return {gear: state.ratio for gear, state in states.items() if state.ratio is not None}


def counted_ratio(counted: TurnsCounted) -> Computed:
    """The ratio of counted turns with its uncertainty; each count may be off by half of what was told apart."""
    return _ratio(counted.input_turns, counted.output_turns, counted.counted_to)


@lru_cache(maxsize=256)
def _ratio(turned: Decimal, came: Decimal, told_apart: Decimal) -> Computed:
    """Counted ratios are asked for on every page of a proof, and drawing them takes its time."""
    names = {"turns in": turned, "turns out": came}
    return computed(
        lambda a, b: a / b,
        {
            name: estimated((figure,), "turns", resolution=told_apart, to="turns")
            for name, figure in names.items()
        },
    )


def _turns(
    gear: str, expected: Fraction, counted: TurnsCounted | None, ratios: dict[str, Fraction]
) -> TurnsState:
    """Compare counted turns with the teeth; each count may be off by half of what was told apart."""
    if counted is None:
        return TurnsState(gear, expected, None, None, Verdict.NOT_MEASURED, "nobody has counted it.", ())
    half = Fraction(counted.counted_to) / 2
    turned, came = Fraction(counted.input_turns), Fraction(counted.output_turns)
    low, high = abs(came) - half, abs(came) + half
    said = f"{counted.input_turns} turns in, {counted.output_turns} out"
    if low <= 0:
        return TurnsState(
            gear,
            expected,
            counted,
            None,
            Verdict.AGAIN,
            f"{said}: the output hardly moved; turn further.",
            (),
        )
    sign = 1 if came > 0 else -1
    ratio = turned / came
    span = sorted((sign * (turned - half) / high, sign * (turned + half) / low))
    fits = [name for name, value in ratios.items() if span[0] <= value <= span[1]]
    working = (
        f"counted = {counted.input_turns} / {counted.output_turns} = {float(ratio):.3f}",
        f"each count may be off by {float(half):g} turns: {float(span[0]):.3f} to {float(span[1]):.3f}",
        f"from the teeth {float(expected):.4f} = {expected}",
    )
    if gear not in fits:
        other = f" It is the ratio of {', '.join(fits)}." if fits else ""
        return TurnsState(
            gear, expected, counted, float(ratio), Verdict.BAD,
            f"{said} is {float(ratio):.2f}, the teeth give {float(expected):.2f}.{other}", working,
        )  # fmt: skip
    others = _same_unless_equal(gear, fits, ratios)
    if others:
        why = f"{said} fits {gear} and {', '.join(others)} alike; turn further to tell them apart."
        return TurnsState(gear, expected, counted, float(ratio), Verdict.AGAIN, why, working)
    why = f"{said} is {float(ratio):.2f}; the teeth give {float(expected):.2f}."
    return TurnsState(gear, expected, counted, float(ratio), Verdict.GOOD, why, working)


def _same_unless_equal(gear: str, fits: list[str], ratios: dict[str, Fraction]) -> list[str]:
    """Other gears that fit as well and have another ratio; two states of one ratio cannot be told apart by turns."""
    return [name for name in fits if name != gear and ratios[name] != ratios[gear]]
