"""Uncertainty of a computed figure: each input moved by its own uncertainty, one after the other."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.metrology.budget import USUAL_COVERAGE, Budget, Contribution, combine

__all__ = ["Input", "Propagated", "propagate"]


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a formula: its best value, its standard uncertainty and how well that is known."""

    name: str
    value: float
    standard: float
    degrees_of_freedom: float = math.inf


@dataclass(frozen=True, slots=True)
class Propagated:
    """The result of a formula with its budget."""

    value: float
    budget: Budget


def propagate(
    formula: Callable[..., float], inputs: Sequence[Input], *, probability: float = USUAL_COVERAGE
) -> Propagated:
    """Value of a formula and the budget of its uncertainty, to first order.

    Parameters
    ----------
    formula : Callable[..., float] [any]
        Takes the inputs' values in their order.
    inputs : Sequence[Input]
        Independent inputs.
    probability : float [-]
        How much the expanded uncertainty shall cover.

    Returns
    -------
    Propagated
        The value and its budget; the sensitivities are in units of the result per unit of the input.

    Raises
    ------
    OutOfRange
        There is no input, or the formula has no finite value within one standard uncertainty of the inputs.

    Notes
    -----
    The sensitivity is (f(x + u) − f(x − u)) / 2u.
    A formula that is curved within the uncertainty of its inputs needs `simulate`; `first_order_holds` tells.

    References
    ----------
    JCGM 100:2008, 5.1.3, Note 2 (sensitivity by small steps).

    Examples
    --------
    >>> found = propagate(lambda width, height: width * height, [Input("width", 20.0, 0.1), Input("height", 5.0, 0.1)])
    >>> round(found.value, 6), round(found.budget.standard, 4), found.budget.largest.name
    (100.0, 2.0616, 'height')
    """
    if not inputs:
        raise OutOfRange("the formula has no input; name at least one.")
    values = [one.value for one in inputs]
    value = formula(*values)
    rows = []
    for place, one in enumerate(inputs):
        step = one.standard or 1e-6 * (abs(one.value) or 1.0)
        above = formula(*values[:place], one.value + step, *values[place + 1 :])
        below = formula(*values[:place], one.value - step, *values[place + 1 :])
        slope = (above - below) / (2 * step)
        if not math.isfinite(slope) or not math.isfinite(value):
            raise OutOfRange(
                f"the formula has no finite value near {one.name} = {one.value:g} ± {one.standard:g}."
            )
        rows.append(Contribution(one.name, one.standard, slope, one.degrees_of_freedom))
    return Propagated(value, combine(rows, probability=probability))
