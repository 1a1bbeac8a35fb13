"""Least squares in exact arithmetic: what is fitted is right to the last digit that the figures allow.

Figures are taken as the fractions that they are, the normal equations are solved without rounding, and only the answer
becomes a float.  So no badly placed data can spoil a fit; a decimal typed by a person is exact as a `Decimal` or
`Fraction`, while a float carries the rounding that it already has.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from countershaft.errors import OutOfRange

__all__ = ["Figure", "Fit", "fit_polynomial", "least_squares"]

#: A figure that is taken as the exact fraction that it is.
Figure = int | float | Decimal | Fraction


@dataclass(frozen=True, slots=True)
class Fit:
    """Coefficients with their standard uncertainties, the scatter about the fit, and what part of it is explained."""

    coefficients: tuple[float, ...]
    standard: tuple[float, ...]
    residual: float
    r_squared: float
    degrees_of_freedom: int


def fit_polynomial(x: Sequence[Figure], y: Sequence[Figure], *, degree: int = 1) -> Fit:
    """Fit y = b0 + b1 x + b2 x² + … by least squares.

    Parameters
    ----------
    x, y : Sequence[Figure] (n,) [any]
        The points.
    degree : int [-]
        1 for a straight line.

    Returns
    -------
    Fit
        Coefficients from b0 upward.

    Raises
    ------
    OutOfRange
        The degree is negative, x and y differ in length, or the points cannot tell the coefficients.

    References
    ----------
    NIST Statistical Reference Datasets, linear regression; JCGM 100:2008, H.3 (calibration line).

    Examples
    --------
    Anscombe's first set, printed as y = 3.00 + 0.500 x with R² = 0.667 (from memory):

    >>> x = [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5]
    >>> y = [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68]
    >>> found = fit_polynomial(x, y)
    >>> [round(one, 2) for one in found.coefficients], round(found.r_squared, 3)
    ([3.0, 0.5], 0.667)
    """
    if degree < 0:
        raise OutOfRange(f"a polynomial of degree {degree} is none; the degree is 0 or more.")
    if len(x) != len(y):
        raise OutOfRange(f"{len(x)} values of x and {len(y)} of y: each point needs both.")
    return least_squares([[Fraction(1), *_powers(one, degree)] for one in _exact(x)], y)


def least_squares(rows: Sequence[Sequence[Figure]], values: Sequence[Figure]) -> Fit:
    """Fit values by a sum of given columns, each with its own coefficient.

    Parameters
    ----------
    rows : Sequence[Sequence[Figure]] (n, p) [any]
        What each coefficient is multiplied with, for each value; a column of ones for a constant.
    values : Sequence[Figure] (n,) [any]
        What is to be fitted.

    Returns
    -------
    Fit
        One coefficient for each column; R² is about the mean where a column is constant, else about zero.

    Raises
    ------
    OutOfRange
        Lengths differ, there are no more values than coefficients, or the columns do not tell the coefficients apart.

    References
    ----------
    NIST Statistical Reference Datasets, linear regression (certified coefficients, standard deviations and R²).

    Examples
    --------
    >>> found = least_squares([[1, 0], [1, 1], [1, 2], [1, 3]], [1, 3, 4, 8])
    >>> [round(one, 6) for one in found.coefficients], round(found.residual, 6), found.degrees_of_freedom
    ([0.7, 2.2], 0.948683, 2)
    """
    table, wanted = [_exact(row) for row in rows], _exact(values)
    width = len(table[0]) if table else 0
    if len(table) != len(wanted) or any(len(row) != width for row in table):
        raise OutOfRange(
            f"{len(table)} rows for {len(wanted)} values, of unequal width: the table is not whole."
        )
    freedom = len(wanted) - width
    if width == 0 or freedom < 1:
        raise OutOfRange(f"{len(wanted)} values are too few for {width} coefficients; take more.")
    normal = [[_dot(one, other) for other in zip(*table, strict=True)] for one in zip(*table, strict=True)]
    right = [_dot(column, wanted) for column in zip(*table, strict=True)]
    inverse = _inverse(normal)
    found = [_dot(row, right) for row in inverse]
    rest = [value - _dot(row, found) for row, value in zip(table, wanted, strict=True)]
    scatter = _dot(rest, rest)
    constant = any(len(set(column)) == 1 and column[0] for column in zip(*table, strict=True))
    middle = sum(wanted, Fraction(0)) / len(wanted) if constant else Fraction(0)
    total = sum(((value - middle) ** 2 for value in wanted), Fraction(0))
    return Fit(
        coefficients=tuple(float(one) for one in found),
        standard=tuple(math.sqrt(scatter / freedom * inverse[k][k]) for k in range(width)),
        residual=math.sqrt(scatter / freedom),
        r_squared=float(1 - scatter / total) if total else 1.0,
        degrees_of_freedom=freedom,
    )


def _exact(figures: Sequence[Figure]) -> list[Fraction]:
    if not all(math.isfinite(one) for one in figures):
        raise OutOfRange("a figure is not finite; type it again.")
    return [Fraction(one) for one in figures]


def _powers(x: Fraction, degree: int) -> list[Fraction]:
    return [x**power for power in range(1, degree + 1)]


def _dot(one: Sequence[Fraction], other: Sequence[Fraction]) -> Fraction:
    return sum((a * b for a, b in zip(one, other, strict=True)), Fraction(0))


def _inverse(matrix: list[list[Fraction]]) -> list[list[Fraction]]:
    """The inverse of a symmetric matrix by elimination, without rounding."""
    size = len(matrix)
    work = [[*row, *(Fraction(int(k == place)) for k in range(size))] for place, row in enumerate(matrix)]
    for place in range(size):
        pivot = next((row for row in range(place, size) if work[row][place]), None)
        if pivot is None:
            raise OutOfRange("the values of x do not tell the coefficients apart; spread them, or fit fewer.")
        work[place], work[pivot] = work[pivot], work[place]
        head = work[place][place]
        work[place] = [one / head for one in work[place]]
        for row in range(size):
            factor = work[row][place]
            if row != place and factor:
                work[row] = [a - factor * b for a, b in zip(work[row], work[place], strict=True)]
    return [row[size:] for row in work]
