"""A measured value on paper and page: its budget as a table, its rule, and how it was taken."""

from __future__ import annotations

import math
from dataclasses import dataclass

from countershaft.figures.slot_gauge import SlotGauge
from countershaft.job.taken import Taken
from countershaft.metrology.budget import NORMAL, RECTANGULAR, STUDENT, Budget, Contribution
from countershaft.metrology.conformity import Judgement
from countershaft.metrology.decision import Decision
from countershaft.metrology.readings import Estimate

__all__ = ["BudgetTable", "Slot", "budget_table", "figure", "odds", "shares", "slot_of", "taken_words"]

_SUPERSCRIPT = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")

#: How an input that nobody gave a distribution stands in the table.
_AS_GIVEN = "as given"


@dataclass(frozen=True, slots=True)
class BudgetTable:
    """The budget of a measurement, ready to be set; `right` are the columns that hold figures."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Slot:
    """What a value is held against, in its unit."""

    name: str
    lower: float | None
    upper: float | None
    goal: float | None
    unit: str
    digits: int


def slot_of(slot: Slot, value: Estimate | None, judgement: Judgement, *, when: str) -> SlotGauge:
    """A value in its slot, with the window that a value of its uncertainty is good in where the rule has a guard."""
    guarded = isinstance(judgement, Decision) and judgement.rule.guard > 0
    return SlotGauge(
        lower=slot.lower,
        upper=slot.upper,
        value=value.mean if value else None,
        expanded_uncertainty=value.expanded if value else None,
        goal=slot.goal,
        unit=slot.unit,
        verdict=judgement.verdict.value,
        digits=slot.digits,
        label=f"{slot.name}, {when}" if when else slot.name,
        acceptance=judgement.acceptance if isinstance(judgement, Decision) and guarded else None,
    )


def budget_table(budget: Budget, unit: str) -> BudgetTable:
    """Each contribution with what is known of it, its distribution, divisor, sensitivity, uncertainty and share."""
    rows = tuple(
        (
            one.name,
            _within(one),
            one.shape or _AS_GIVEN,
            one.divisor or "1",
            _sensitivity(one.sensitivity),
            figure(one.effect),
            f"{100 * share:.0f} %",
        )
        for one, share in zip(budget.contributions, budget.shares, strict=True)
    )
    return BudgetTable(
        (
            "Contribution",
            "Known to",
            "Distribution",
            "Divisor",
            "Sensitivity",
            f"u, {unit}" if unit else "u",
            "Share",
        ),
        (*rows, ("together", "", "", "", "", figure(budget.standard), "100 %")),
        (4, 5, 6),
    )


def shares(budget: Budget, most: int = 2) -> str:
    """The contributions that weigh most, in short: "permitted error 63 %, repeats 15 %"."""
    known = zip(budget.contributions, budget.shares, strict=True)
    largest = sorted(known, key=lambda one: -one[1])[:most]
    return ", ".join(f"{row.name} {100 * share:.0f} %" for row, share in largest if share >= 0.005)


def odds(judgement: Judgement) -> str:
    """The probability of conformity and the rule, in short; empty where nothing was measured."""
    if not isinstance(judgement, Decision):
        return ""
    return f"{judgement.odds}, {judgement.rule.name} rule"


def taken_words(taken: Taken | None) -> str:
    """How a figure was taken, beside who wrote it: instrument, person and day, warmth, and the answer to a question."""
    if taken is None:
        return ""
    found = [f"typed {taken.typed}"] if taken.typed else []
    found += [f"on {taken.used.name} ({taken.used.tag})"] if taken.used else []
    if taken.by or taken.on:
        day = f"on {taken.on:%d %b %Y}" if taken.on else ""
        found.append(
            " ".join(words for words in ("taken", f"by {taken.by}" if taken.by else "", day) if words)
        )
    if taken.warmth:
        warm = taken.warmth
        found.append(f"{warm.material} at {warm.part_c} °C, instrument at {warm.tool_c} °C")
    if taken.sure:
        found.append(f"asked whether it is so: {taken.sure}")
    return "; ".join(found)


def figure(amount: float) -> str:
    """An uncertainty with two significant digits, never in the powers of a computer."""
    if amount == 0:
        return "0"
    power = math.floor(math.log10(abs(amount)))
    if power < -4:
        return f"{amount / 10.0**power:.1f}·10{str(power).translate(_SUPERSCRIPT)}".replace("-", "−")
    return f"{amount:.{max(0, 1 - power)}f}".replace("-", "−")


def _within(one: Contribution) -> str:
    """What is known of an input, in its own unit."""
    if one.within is None:
        return f"u = {figure(one.standard)}"
    if one.shape == STUDENT:
        return f"s = {figure(one.within)}"
    return {RECTANGULAR: "± {}", NORMAL: "U = {}"}.get(one.shape, "{}").format(figure(one.within))


def _sensitivity(amount: float) -> str:
    return "1" if amount == 1 else f"−{figure(-amount)}" if amount < 0 else figure(amount)
