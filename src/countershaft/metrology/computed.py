"""A figure computed from measured ones: to first order where that is enough, else by Monte Carlo."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from random import Random

from countershaft.errors import OutOfRange
from countershaft.metrology.budget import (
    RECTANGULAR,
    USUAL_COVERAGE,
    Budget,
    Contribution,
    coverage_factor,
)
from countershaft.metrology.chance import Distribution, Normal, Rectangular
from countershaft.metrology.monte_carlo import Simulated, first_order_holds, simulate
from countershaft.metrology.propagation import Input, Propagated, propagate
from countershaft.metrology.readings import Estimate

__all__ = ["Computed", "compute"]


@dataclass(frozen=True, slots=True)
class Computed(Estimate):
    """A computed figure with its uncertainty; it is judged like any measured one.

    `inputs` are what it was computed from, and `trials` the draws where the formula is curved, 0 where the first order
    is enough.  No finer scale changes it by itself: its inputs have to be measured better.
    """

    inputs: tuple[tuple[str, Estimate], ...] = ()
    trials: int = 0

    def working(self, unit: str, *, digits: int = 3) -> tuple[str, ...]:
        """The inputs, how the uncertainty was found, and the budget line by line."""
        return (*self.value_lines(unit, digits=digits), *self.budget.working(unit, digits=digits + 1))

    def value_lines(self, unit: str, *, digits: int = 3) -> tuple[str, ...]:
        """The inputs and the value, with the way by which its uncertainty was found."""
        places = digits + 1
        lines = [f"{name} = {one.mean:.{places}f}, u = {one.standard:.2g}" for name, one in self.inputs]
        how = (
            f"the formula is curved within these: {self.trials} draws of the inputs (JCGM 101)"
            if self.trials
            else "the formula is as good as straight within these (JCGM 100, 5.1.2)"
        )
        return (*lines, f"value = {self.mean:.{places}f} {unit}".rstrip() + f"; {how}")

    def foreseen(
        self,
        *,
        repeats: int | None = None,
        resolution: float | None = None,
        permitted_error: float | None = None,
    ) -> Estimate:
        """The figure as it is: another instrument for one of its inputs is not foreseen here."""
        return self


@dataclass(frozen=True, slots=True)
class _Drawn:
    """An estimate as a distribution: its mean, with each contribution drawn by its own shape.

    Scatter is drawn as if it were well known: with three readings Student's distribution has no spread at all that
    could be told.  That few readings are few comes in by Student's factor, as in the first order.
    """

    value: Estimate

    def draw(self, count: int, chance: Random) -> list[float]:
        """Values of this distribution."""
        drawn = [self.value.mean] * count
        for one in self.value.budget.contributions:
            scale = one.sensitivity
            for place, amount in enumerate(_shaped(one).draw(count, chance)):
                drawn[place] += scale * amount
        return drawn


def compute(
    formula: Callable[..., float],
    inputs: Mapping[str, Estimate],
    *,
    seed: int,
    probability: float = USUAL_COVERAGE,
    digits: int = 1,
    most: int = 200_000,
) -> Computed:
    """A figure from measured inputs, with the uncertainty that they give it.

    Parameters
    ----------
    formula : Callable[..., float] [any]
        Takes the inputs' values in their order.
    inputs : Mapping[str, Estimate] [any]
        The measured inputs by name, independent of each other.
    seed : int [-]
        The same seed gives the same result.
    probability : float [-]
        How much the expanded uncertainty shall cover.
    digits : int [-]
        Significant digits of the standard uncertainty that count, 1 or 2.
    most : int [-]
        Draws after which the simulation gives up.

    Returns
    -------
    Computed [any]
        Value, uncertainty and budget; of the simulation where the first order does not hold.

    Raises
    ------
    OutOfRange
        There is no input, or the formula has no finite value near them.

    Notes
    -----
    Whether the formula is as good as straight is asked with normal inputs, so that only its curve can speak.
    The expanded uncertainty of a simulation is the longer side of its shortest interval, which is the safe side.
    Its budget holds what each input gives alone, the others at their best values, and the rest as a row of its own.

    References
    ----------
    JCGM 100:2008, 5.1.2; JCGM 101:2008, 8.1 (whether the first order holds), 7.7, and B.1 (budget of a simulation).

    Examples
    --------
    A leak grows with the third power of its gap:

    >>> from countershaft.metrology.readings import estimate
    >>> found = compute(lambda gap: (gap / 0.05) ** 3, {"gap": estimate([0.05], resolution=0.04)}, seed=1)
    >>> round(found.mean, 1), found.trials > 0
    (1.2, True)
    >>> both = {"in": estimate([8.0], resolution=0.01), "out": estimate([2.0], resolution=0.01)}
    >>> found = compute(lambda turns_in, turns_out: turns_in / turns_out, both, seed=1)
    >>> round(found.mean, 3), found.trials
    (4.0, 0)
    """
    if not inputs:
        raise OutOfRange("the formula has no input; name at least one.")
    flat = propagate(
        formula,
        [Input(name, one.mean, one.standard, one.degrees_of_freedom) for name, one in inputs.items()],
        probability=probability,
    )

    def drawn(inputs: Sequence[Distribution]) -> Simulated:
        return simulate(formula, inputs, seed=seed, probability=probability, digits=digits, most=most)

    straight = drawn([Normal(one.mean, one.standard) for one in inputs.values()])
    half = coverage_factor(math.inf, probability=probability) * flat.budget.standard
    if first_order_holds(flat.value, half, straight, digits=digits):
        return _joined(inputs, flat.value, flat.budget, 0)
    real = drawn([_Drawn(one) for one in inputs.values()])
    return _joined(inputs, real.mean, _budget(formula, inputs, flat, real, seed), real.trials)


def _shaped(one: Contribution) -> Distribution:
    """A contribution as what it is known by, around zero."""
    if one.shape == RECTANGULAR and one.within is not None:
        return Rectangular(-one.within, one.within)
    return Normal(0.0, one.standard)


def _budget(
    formula: Callable[..., float],
    inputs: Mapping[str, Estimate],
    flat: Propagated,
    real: Simulated,
    seed: int,
) -> Budget:
    """What each input gives alone, and what only all of them together give."""
    values = [one.mean for one in inputs.values()]
    rows = []
    for place, (name, one) in enumerate(inputs.items()):

        def alone(value: float, place: int = place) -> float:
            return formula(*values[:place], value, *values[place + 1 :])

        effect = simulate(alone, [_Drawn(one)], seed=seed + 1 + place, most=20_000).standard
        rows.append(Contribution(name, one.standard, effect / one.standard if one.standard else 0.0))
    together = math.hypot(*(one.effect for one in rows))
    rest = math.sqrt(max(0.0, real.standard**2 - together**2))
    if len(rows) > 1 and rest > 0.1 * real.standard:
        rows.append(Contribution("only together: the formula is curved", rest))
    low, high = real.interval
    probability = flat.budget.probability
    few = flat.budget.factor / coverage_factor(math.inf, probability=probability)
    half = few * max(high - real.mean, real.mean - low)
    factor = half / real.standard if real.standard else 0.0
    freedom = flat.budget.degrees_of_freedom
    return Budget(tuple(rows), real.standard, freedom, probability, factor, half)


def _joined(inputs: Mapping[str, Estimate], value: float, budget: Budget, trials: int) -> Computed:
    return Computed(
        readings=(value,),
        resolution=budget.expanded,
        mean=value,
        spread=0.0,
        standard=budget.standard,
        degrees_of_freedom=budget.degrees_of_freedom,
        factor=budget.factor,
        expanded=budget.expanded,
        budget=budget,
        inputs=tuple(inputs.items()),
        trials=trials,
    )
