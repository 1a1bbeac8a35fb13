"""Means and the analysis of variance in exact arithmetic: where scatter comes from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from countershaft.errors import OutOfRange
from countershaft.metrology.distributions import f_tail
from countershaft.metrology.regression import Figure

__all__ = ["OneWay", "Source", "Summary", "one_way", "source", "summarise"]


@dataclass(frozen=True, slots=True)
class Summary:
    """Count, mean, standard deviation (n - 1) and how much each value resembles the one before."""

    count: int
    mean: float
    deviation: float
    autocorrelation: float


@dataclass(frozen=True, slots=True)
class Source:
    """One line of an analysis of variance; `chance` is how often luck alone gives so large a ratio."""

    name: str
    degrees_of_freedom: int
    sum_of_squares: float
    mean_square: float
    ratio: float | None = None
    chance: float | None = None


@dataclass(frozen=True, slots=True)
class OneWay:
    """Scatter between and within groups."""

    between: Source
    within: Source
    r_squared: float
    residual: float


def summarise(values: Sequence[Figure]) -> Summary:
    """Mean, standard deviation and lag-1 autocorrelation of some values.

    Parameters
    ----------
    values : Sequence[Figure] (n,) [any]
        At least two values, in the order in which they were taken.

    Returns
    -------
    Summary [any]
        In the unit of the values; the autocorrelation is a plain number, 0 where nothing scatters.

    Raises
    ------
    OutOfRange
        Fewer than two values, or one that is not finite.

    References
    ----------
    NIST Statistical Reference Datasets, univariate summary statistics.

    Examples
    --------
    >>> summarise([10000001, 10000003, 10000002])
    Summary(count=3, mean=10000002.0, deviation=1.0, autocorrelation=-0.5)
    """
    if len(values) < 2:
        raise OutOfRange(f"{len(values)} values have no scatter; take at least two.")
    exact = _exact(values)
    mean = _mean(exact)
    rest = [value - mean for value in exact]
    squares = _squares(rest)
    lagged = sum((one * after for one, after in pairwise(rest)), Fraction(0))
    deviation = math.sqrt(squares / (len(exact) - 1))
    return Summary(len(exact), float(mean), deviation, float(lagged / squares) if squares else 0.0)


def one_way(groups: Sequence[Sequence[Figure]]) -> OneWay:
    """Analysis of variance of some groups: whether their means differ by more than their scatter explains.

    Parameters
    ----------
    groups : Sequence[Sequence[Figure]] [any]
        At least two groups, together more values than groups.

    Returns
    -------
    OneWay
        Between and within the groups, R² and the standard deviation within.

    Raises
    ------
    OutOfRange
        Fewer than two groups, an empty one, no repeats, or a value that is not finite.

    References
    ----------
    NIST Statistical Reference Datasets, analysis of variance; NIST/SEMATECH e-Handbook, 7.4.3.

    Examples
    --------
    >>> found = one_way([[1, 2, 3], [2, 3, 4], [6, 7, 8]])
    >>> found.between.ratio, found.within.degrees_of_freedom, round(found.r_squared, 3)
    (21.0, 6, 0.875)
    """
    count = sum(len(group) for group in groups)
    if len(groups) < 2 or not all(groups) or count <= len(groups):
        raise OutOfRange(
            f"{len(groups)} groups with {count} values: at least two groups, none empty, and one with repeats."
        )
    exact = [_exact(group) for group in groups]
    whole = _mean([value for group in exact for value in group])
    between = sum((len(group) * (_mean(group) - whole) ** 2 for group in exact), Fraction(0))
    within = sum((_squares([value - _mean(group) for value in group]) for group in exact), Fraction(0))
    above, below = len(groups) - 1, count - len(groups)
    error = source("within", below, within)
    total = between + within
    return OneWay(
        between=source("between", above, between, against=(within, below)),
        within=error,
        r_squared=float(between / total) if total else 0.0,
        residual=math.sqrt(error.mean_square),
    )


def source(
    name: str, degrees_of_freedom: int, squares: Fraction, *, against: tuple[Fraction, int] | None = None
) -> Source:
    """One line of an analysis of variance.

    Parameters
    ----------
    name : str
        What scatters.
    degrees_of_freedom : int [-]
        Of this line, above zero.
    squares : Fraction [any]
        Its sum of squares, exact.
    against : tuple[Fraction, int], optional [any]
        Sum of squares and degrees of freedom of what it is compared with.

    Returns
    -------
    Source
        With ratio and chance where it is compared with something that scatters.

    References
    ----------
    NIST/SEMATECH e-Handbook, 7.4.3.3 (table of the analysis of variance and F test).

    Examples
    --------
    >>> source("people", 2, Fraction(8), against=(Fraction(12), 6)).ratio
    2.0
    """
    mean_square = squares / degrees_of_freedom
    if against is None or not against[0]:
        return Source(name, degrees_of_freedom, float(squares), float(mean_square))
    ratio = float(mean_square / (against[0] / against[1]))
    chance = f_tail(ratio, above=degrees_of_freedom, below=against[1])
    return Source(name, degrees_of_freedom, float(squares), float(mean_square), ratio, chance)


def _exact(values: Sequence[Figure]) -> list[Fraction]:
    if not all(math.isfinite(one) for one in values):
        raise OutOfRange("a value is not finite; type it again.")
    return [Fraction(one) for one in values]


def _mean(values: Sequence[Fraction]) -> Fraction:
    return sum(values, Fraction(0)) / len(values)


def _squares(values: Sequence[Fraction]) -> Fraction:
    return sum((value * value for value in values), Fraction(0))
