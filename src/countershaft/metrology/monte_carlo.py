"""Uncertainty of a computed figure by drawing its inputs many times, until the result stands still."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random

from countershaft.errors import OutOfRange
from countershaft.metrology.budget import coverage_factor
from countershaft.metrology.chance import Distribution

__all__ = ["Simulated", "first_order_holds", "shortest_interval", "simulate"]


@dataclass(frozen=True, slots=True)
class Simulated:
    """What many draws of the inputs gave; `settled` says that more would not change the wanted digits."""

    mean: float
    standard: float
    interval: tuple[float, float]
    probability: float
    trials: int
    settled: bool


def simulate(
    formula: Callable[..., float],
    inputs: Sequence[Distribution],
    *,
    seed: int,
    probability: float = 0.95,
    digits: int = 2,
    most: int = 1_000_000,
) -> Simulated:
    """Propagate the distributions of the inputs through a formula by Monte Carlo, with adaptive stopping.

    Parameters
    ----------
    formula : Callable[..., float] [any]
        Takes one drawn value of each input, in their order.
    inputs : Sequence[Distribution]
        What is known of each independent input.
    seed : int [-]
        The same seed gives the same result.
    probability : float [-]
        What the interval shall cover.
    digits : int [-]
        Significant digits of the standard uncertainty that shall stand still, 1 or 2 as a rule.
    most : int [-]
        Trials after which it gives up, at least two blocks.

    Returns
    -------
    Simulated
        Mean, standard uncertainty, shortest coverage interval, trials, and whether it settled.

    Raises
    ------
    OutOfRange
        There is no input, the coverage is not inside 0 to 1, there is no room for two blocks, or the formula gave
        a figure that is not finite.

    Notes
    -----
    Blocks of max(10 000, 100 / (1 - p)) trials are drawn until the averages of mean, standard uncertainty and both
    ends of the interval over the blocks are known to half a unit of the last wanted digit.
    The guide takes twice the standard deviation for that; Student's factor stands here instead, since two blocks
    that agree by chance prove nothing.

    References
    ----------
    JCGM 101:2008, 7.9 (adaptive procedure), 7.6 (mean and standard uncertainty), 7.7 and 5.3.4 (shortest interval).

    Examples
    --------
    A product of two small dimensions, each only known to be somewhere between its limits:

    >>> from countershaft.metrology.chance import Rectangular
    >>> found = simulate(lambda a, b: a * b, [Rectangular(0.0, 2.0), Rectangular(0.0, 2.0)], seed=1, digits=1)
    >>> found.settled, round(found.mean, 1), round(found.standard, 1)
    (True, 1.0, 0.9)
    """
    if not inputs or not 0 < probability < 1:
        raise OutOfRange(f"{len(inputs)} inputs and a coverage of {probability:g}: nothing can be drawn.")
    block = max(10_000, math.ceil(100 / (1 - probability)))
    if most < 2 * block:
        raise OutOfRange(f"{most} trials are too few for two blocks of {block}; allow at least {2 * block}.")
    chance = Random(seed)  # noqa: S311  # draws for a result, not for a secret
    values: list[float] = []
    blocks: list[tuple[float, float, float, float]] = []
    settled = False
    while not settled and len(values) + block <= most:
        drawn = sorted(map(formula, *(one.draw(block, chance) for one in inputs)))
        if not all(map(math.isfinite, drawn)):
            raise OutOfRange("the formula gave a figure that is not finite for a drawn input.")
        blocks.append((*_moments(drawn), *_shortest(drawn, probability)))
        values.extend(drawn)
        settled = len(blocks) > 1 and _stands_still(blocks, digits)
    values.sort()
    mean, standard = _moments(values)
    return Simulated(mean, standard, _shortest(values, probability), probability, len(values), settled)


def shortest_interval(values: Sequence[float], *, probability: float) -> tuple[float, float]:
    """The narrowest interval that holds a wanted part of some values.

    Parameters
    ----------
    values : Sequence[float] [any]
        At least two values.
    probability : float [-]
        The part that the interval shall hold.

    Returns
    -------
    tuple[float, float] [any]
        Its ends.

    Raises
    ------
    OutOfRange
        Fewer than two values, or the part is not inside 0 to 1.

    References
    ----------
    JCGM 101:2008, 7.7.

    Examples
    --------
    >>> shortest_interval([0.0, 1.0, 1.1, 1.2, 5.0], probability=0.5)
    (1.0, 1.2)
    """
    if len(values) < 2 or not 0 < probability < 1:
        raise OutOfRange(f"{len(values)} values and a coverage of {probability:g} make no interval.")
    return _shortest(sorted(values), probability)


def first_order_holds(value: float, expanded: float, found: Simulated, *, digits: int = 2) -> bool:
    """Whether the interval of the first-order budget is as good as the simulated one.

    Parameters
    ----------
    value, expanded : float [any]
        Result and expanded uncertainty of the budget, of the same coverage as the simulation.
    found : Simulated
        The simulation.
    digits : int [-]
        Significant digits of the standard uncertainty that count.

    Returns
    -------
    bool
        Both ends differ by no more than half a unit of the last digit that counts.

    References
    ----------
    JCGM 101:2008, 8.1 (validation of the first-order law against the simulation).

    Examples
    --------
    >>> found = Simulated(1.0, 0.10, (0.80, 1.20), 0.95, 20_000, True)
    >>> first_order_holds(1.0, 0.20, found), first_order_holds(1.0, 0.15, found)
    (True, False)
    """
    tolerance = _tolerance(found.standard, digits)
    low, high = found.interval
    return abs(value - expanded - low) <= tolerance and abs(value + expanded - high) <= tolerance


def _stands_still(blocks: Sequence[tuple[float, ...]], digits: int) -> bool:
    count = len(blocks)
    factor = coverage_factor(count - 1)
    tolerance = _tolerance(math.fsum(row[1] for row in blocks) / count, digits)
    for figures in zip(*blocks, strict=True):
        _, deviation = _moments(figures)
        if factor * deviation / math.sqrt(count) >= tolerance > 0:
            return False
    return True


def _tolerance(standard: float, digits: int) -> float:
    """Half a unit of the last wanted digit of a standard uncertainty (JCGM 101, 7.9.2); zero for a fixed value."""
    if standard <= 0:
        return 0.0
    return float(0.5 * 10.0 ** (math.floor(math.log10(standard)) - digits + 1))


def _moments(values: Sequence[float]) -> tuple[float, float]:
    mean = math.fsum(values) / len(values)
    return mean, math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (len(values) - 1))


def _shortest(ordered: Sequence[float], probability: float) -> tuple[float, float]:
    held = min(len(ordered) - 1, max(1, round(probability * len(ordered))))
    start = min(range(len(ordered) - held), key=lambda place: (ordered[place + held] - ordered[place], place))
    return ordered[start], ordered[start + held]
