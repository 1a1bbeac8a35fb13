"""What a sum answers: figures in both systems, what each may be off, a verdict where there is one, the working."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from countershaft.errors import CountershaftError, FormError
from countershaft.metrology.budget import USUAL_COVERAGE, Budget, Contribution, combine
from countershaft.metrology.propagation import Input
from countershaft.sums.asked import Asked, Inputs, in_unit, read_inputs, width_in_unit

__all__ = ["Figure", "Outcome", "Sum", "Worked", "digits_of", "key_of", "printed", "work_out"]

#: Up to this share of both together, up and down count as the same (common practice, no source) [-].
_EVEN: Final = 0.15

#: How a unit is written in the key of a figure for machines.
_KEYS: Final[dict[str, str]] = {
    "Ω": "ohm", "°C": "c", "°F": "f", "%": "percent", "µm/m·K": "um_per_m_k", "µin/in·°F": "uin_per_in_f",
    "N·m": "nm", "lbf·ft": "lbf_ft", "lbf·in": "lbf_in", "in³/min": "in3_per_min", "US gal/min": "us_gal_per_min",
    "lbf/in": "lbf_per_in", "N/mm": "n_per_mm", "mL/min": "ml_per_min", "L/min": "l_per_min", "µm": "um",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of an answer, in SI, with the unit of either system, how it follows, and how far it may be off.

    `answers`: it may answer a limit of its kind in a job.  `budget` and `uneven` are filled in by `work_out`.
    `uneven` is how far it goes up and down where the two differ much, as the cube of a clearance does.
    `places` are the digits behind the point, metric and inch, of a figure that a table gives exactly.
    """

    key: str
    label: str
    kind: str
    value: float
    metric: str
    inch: str
    working: tuple[str, ...]
    answers: bool = False
    places: tuple[int, int] | None = None
    budget: Budget | None = None
    uneven: tuple[float, float] | None = None

    @property
    def units(self) -> tuple[str, ...]:
        """The unit of either system, once where both are the same."""
        return tuple(dict.fromkeys((self.metric, self.inch or self.metric)))

    @property
    def expanded(self) -> float | None:
        """Expanded uncertainty in SI; None where nothing that went in may be off."""
        return None if self.budget is None or not self.budget.standard else self.budget.expanded

    def within(self, unit: str) -> tuple[float, float | None]:
        """The figure in a unit of its kind, and its expanded uncertainty."""
        off = self.expanded
        return in_unit(self.value, self.kind, unit), None if off is None else width_in_unit(
            off, self.kind, unit
        )


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a sum makes of its inputs: figures, a verdict with its reason where it judges, and remarks."""

    figures: tuple[Figure, ...]
    verdict: str = ""
    why: str = ""
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sum:
    """A bench sum: its name, what it answers in one sentence, its fields, its cautions, and where its formula is from.

    `blame` leads a refusal to the field that it is about: the first words that stand in the message.
    `answers` are the kinds of limit that one of its figures can answer in a job.
    """

    name: str
    title: str
    asks: str
    fields: tuple[Asked, ...]
    compute: Callable[[Inputs], Outcome]
    source: str
    cautions: tuple[tuple[str, str], ...] = ()
    blame: tuple[tuple[str, str], ...] = ()
    answers: tuple[str, ...] = ()

    def field(self, name: str) -> Asked:
        """One of its fields."""
        return next(one for one in self.fields if one.name == name)


@dataclass(frozen=True, slots=True)
class Worked:
    """A sum that was done: what went in, and what came out with its uncertainty."""

    sum: Sum
    inputs: Inputs
    outcome: Outcome

    def working(self, figure: Figure) -> tuple[str, ...]:
        """How a figure follows, from what was typed to how far it may be off and by what."""
        return (*self.brought, *figure.working, *self._off(figure))

    def _off(self, figure: Figure) -> tuple[str, ...]:
        budget, (value, off) = figure.budget, figure.within(figure.metric)
        if budget is None or off is None:
            return ()
        places = digits_of(value, off)
        rows = zip(budget.contributions, budget.shares, strict=True)
        largest = sorted(((share, self.sum.field(one.name).label) for one, share in rows), reverse=True)
        parts = ", ".join(f"{label} {share:.0%}" for share, label in largest if share >= 0.005)
        standard = f"{budget.factor:.2f} · {off / budget.factor:.{places + 1}f} {figure.metric}".rstrip()
        return (
            f"U = {standard} = {off:.{places}f} {figure.metric}".rstrip() + " (covers about 95 %)",
            f"by the last digit typed and any ±: {parts} of the variance",
            *_lopsided(figure, self.sum.field(budget.largest.name).label if budget.largest else ""),
        )

    @property
    def brought(self) -> tuple[str, ...]:
        """Figures of another unit than the working is written in, and what they are in that."""
        lines = []
        for field in self.sum.fields:
            one = self.inputs.given.get(field.name)
            if one is not None and field.metric and one.unit != field.metric:
                there = in_unit(one.value, field.kind, field.metric)
                lines.append(f"{field.label}: {one.text} = {there:.6g} {field.metric}")
        return tuple(lines)


def _lopsided(figure: Figure, label: str) -> tuple[str, ...]:
    if figure.uneven is None:
        return ()
    up, down = (width_in_unit(one, figure.kind, figure.metric) for one in figure.uneven)
    ends = f"{up:.2g} more or {down:.2g} {figure.metric}".rstrip()
    return (f"the formula bends: by {label} alone it may be {ends} less; measure that finer",)


def work_out(one: Sum, typed: Mapping[str, str], *, inch: bool = False) -> Worked:
    """Do a sum with what was typed; raises FormError with a word for each field that is wrong.

    `inch` says in which system a bare figure is meant.
    A refusal of the formula stands at the field that it names, else under the empty name.
    """
    inputs = read_inputs(one.fields, typed, inch=inch)
    try:
        found = one.compute(inputs)
    except FormError:
        raise
    except CountershaftError as fault:
        raise FormError({_blamed(one, str(fault)): str(fault)}) from fault
    return Worked(one, inputs, replace(found, figures=tuple(_budgeted(one, inputs, found.figures))))


def _blamed(one: Sum, message: str) -> str:
    return next((field for words, field in one.blame if words in message), "")


@dataclass(frozen=True, slots=True)
class _Moved:
    """A sum done again with one figure moved; None where that leaves the range of the formula."""

    sum: Sum
    inputs: Inputs
    known: dict[tuple[str, float], dict[str, float]]

    def at(self, name: str, by: float, key: str) -> float | None:
        """One figure of the answer with one input moved."""
        if (name, by) not in self.known:
            moved = self.inputs.moved({name: self.inputs[name] + by})
            try:
                found = self.sum.compute(moved).figures
            except CountershaftError:
                found = ()
            self.known[name, by] = {figure.key: figure.value for figure in found}
        return self.known[name, by].get(key)


def _budgeted(one: Sum, inputs: Inputs, figures: tuple[Figure, ...]) -> list[Figure]:
    """The figures with their budgets; raises FormError where a figure is off by more than its whole range."""
    uncertain = inputs.uncertain()
    if not uncertain:
        return list(figures)
    moved = _Moved(one, inputs, {})
    done = []
    for figure in figures:
        rows = [Contribution(row.name, row.standard, _slope(moved, figure, row)) for row in uncertain]
        budget = combine(rows, probability=USUAL_COVERAGE)
        done.append(replace(figure, budget=budget, uneven=_uneven(moved, figure, budget)))
    return done


def _slope(moved: _Moved, figure: Figure, row: Input) -> float:
    """How much a figure moves with an input (JCGM 100, 5.1.3, Note 2); from one side at the end of its range."""
    above, below = (moved.at(row.name, sign * row.standard, figure.key) for sign in (1, -1))
    if above is not None and below is not None:
        return (above - below) / (2 * row.standard)
    if above is not None:
        return (above - figure.value) / row.standard
    if below is not None:
        return (figure.value - below) / row.standard
    raise FormError(
        {
            row.name: "is off by more than the whole range in which the formula holds: its last digit counts, and any "
            "±. Measure it finer, and type every digit."
        }
    )


def _uneven(moved: _Moved, figure: Figure, budget: Budget) -> tuple[float, float] | None:
    """How far a figure goes up and down by what matters most in it, where that is clearly not the same."""
    most = budget.largest
    if most is None or not most.effect:
        return None
    width = budget.factor * most.standard
    one, other = (moved.at(most.name, sign * width, figure.key) for sign in (1, -1))
    if one is None or other is None:
        return None
    up, down = max(one, other) - figure.value, figure.value - min(one, other)
    return (up, down) if abs(up - down) > _EVEN * (up + down) else None


def printed(figure: Figure, unit: str) -> str:
    """A figure with its uncertainty in a unit, as finely as that allows; four digits where nothing is off."""
    value, off = figure.within(unit)
    places = digits_of(value, off)
    if off is None and figure.places is not None:
        places = figure.places[unit != figure.metric]
    text = f"{value:.{places}f}".replace("-", "−")
    if off is not None:
        text = f"{text} ± {off:.{places}f}"
    return f"{text} {unit}".rstrip()


def digits_of(value: float, off: float | None) -> int:
    """Digits behind the point: two significant ones of the uncertainty, else four of the figure."""
    scale = off or abs(value)
    if not scale or not math.isfinite(scale):
        return 0
    return min(max(0, (1 if off else 3) - math.floor(math.log10(scale))), 7)


def key_of(figure: Figure, unit: str) -> str:
    """The key of a figure for machines: its name with the unit behind it."""
    if not unit:
        return figure.key
    return f"{figure.key}_{_KEYS.get(unit, unit.lower())}"
