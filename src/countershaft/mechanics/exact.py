"""Exact linear algebra on rational numbers: ranks are decided, never guessed.

Rows are sequences of `Fraction`.  There is no tolerance anywhere: a pivot is a number that is not zero.
Sizes are those of gear trains (a few dozen unknowns), so plain Gauss-Jordan elimination is fast enough.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

__all__ = ["Echelon", "Shared", "Solution", "combination", "echelon", "solve"]

Row = Sequence[Fraction]


class Shared(Mapping[str, Fraction]):
    """Fractions by name over one denominator; each becomes a fraction when it is asked for."""

    __slots__ = ("numbers", "shared")

    def __init__(self, numbers: Mapping[str, int | Fraction], shared: int) -> None:
        self.numbers = numbers
        self.shared = shared

    def __getitem__(self, name: str) -> Fraction:
        return Fraction(self.numbers[name], self.shared)

    def __iter__(self) -> Iterator[str]:
        return iter(self.numbers)

    def __len__(self) -> int:
        return len(self.numbers)

    def __repr__(self) -> str:
        return repr(dict(self))


@dataclass(frozen=True, slots=True)
class Echelon:
    """Reduced row echelon form: rows with a leading 1 that stands alone in its column.

    `pivots` holds the column of the leading 1 of each row.
    """

    width: int
    rows: tuple[tuple[Fraction, ...], ...]
    pivots: tuple[int, ...]

    @property
    def rank(self) -> int:
        """Number of independent rows."""
        return len(self.rows)

    def remainder(self, row: Row) -> tuple[Fraction, ...]:
        """What is left of a row once everything that these rows say has been taken off it."""
        left = tuple(row)
        for reduced, pivot in zip(self.rows, self.pivots, strict=True):
            factor = left[pivot]
            if factor:
                left = tuple(a - factor * b for a, b in zip(left, reduced, strict=True))
        return left

    def spans(self, row: Row) -> bool:
        """Whether a row says nothing that these rows do not say already."""
        return not any(self.remainder(row))

    def with_rows(self, rows: Sequence[Row]) -> Echelon:
        """The same form with more rows taken in."""
        form = self
        for row in rows:
            form = form.extended(row)
        return form

    def extended(self, row: Row) -> Echelon:
        """The same form with one more row taken in."""
        left = self.remainder(row)
        pivot = next((column for column, value in enumerate(left) if value), None)
        if pivot is None:
            return self
        new = tuple(value / left[pivot] for value in left)
        rows = [tuple(a - old[pivot] * b for a, b in zip(old, new, strict=True)) for old in self.rows]
        place = sum(1 for other in self.pivots if other < pivot)
        rows.insert(place, new)
        pivots = (*self.pivots[:place], pivot, *self.pivots[place:])
        return Echelon(self.width, tuple(rows), pivots)


def echelon(rows: Sequence[Row], *, width: int) -> Echelon:
    """Reduced row echelon form of a matrix.

    Parameters
    ----------
    rows : Sequence[Sequence[Fraction]] (m, n) [-]
        The matrix; it may have no rows.
    width : int [-]
        Number of columns n.

    Returns
    -------
    Echelon
        Its independent rows, reduced.

    Examples
    --------
    >>> from fractions import Fraction as F
    >>> echelon([[F(1), F(2)], [F(2), F(4)]], width=2).rank
    1
    """
    return Echelon(width, (), ()).with_rows(rows)


@dataclass(frozen=True, slots=True)
class Solution:
    """Every solution of a linear system at once.

    `values` holds one number per unknown that has the same value in every solution, and None for each that
    has not.
    `freedom` is the number of unknowns that may still be chosen.  An inconsistent system has no values.
    """

    consistent: bool
    values: tuple[Fraction | None, ...]
    freedom: int


def solve(rows: Sequence[Row], constants: Row, *, width: int) -> Solution:
    """Solve rows · x = constants and say which unknowns are settled.

    Parameters
    ----------
    rows : Sequence[Sequence[Fraction]] (m, n) [-]
        Coefficients.
    constants : Sequence[Fraction] (m,) [-]
        Right hand sides.
    width : int [-]
        Number of unknowns n.

    Returns
    -------
    Solution
        Consistency, the settled unknowns, and the freedom that is left.

    Examples
    --------
    >>> from fractions import Fraction as F
    >>> solve([[F(1), F(1), F(0)], [F(1), F(-1), F(0)]], [F(3), F(1)], width=3).values
    (Fraction(2, 1), Fraction(1, 1), None)
    """
    form = echelon([(*row, value) for row, value in zip(rows, constants, strict=True)], width=width + 1)
    if width in form.pivots:
        return Solution(False, (None,) * width, 0)
    values: list[Fraction | None] = [None] * width
    for row, pivot in zip(form.rows, form.pivots, strict=True):
        if not any(row[column] for column in range(pivot + 1, width)):
            values[pivot] = row[width]
    return Solution(True, tuple(values), width - form.rank)


def combination(rows: Sequence[Row], target: Row) -> tuple[Fraction, ...] | None:
    """Multipliers that make a target row out of given rows, or None where no multipliers do.

    Where the rows depend on each other, a row that the rows before it already say gets the multiplier 0.

    Parameters
    ----------
    rows : Sequence[Sequence[Fraction]] (m, n) [-]
        The rows to combine.
    target : Sequence[Fraction] (n,) [-]
        The row to make.

    Returns
    -------
    tuple[Fraction, ...] (m,) [-] or None
        One multiplier per row.

    Examples
    --------
    >>> from fractions import Fraction as F
    >>> combination([[F(1), F(2)], [F(0), F(1)]], [F(1), F(0)])
    (Fraction(1, 1), Fraction(-2, 1))
    """
    columns = [[row[column] for row in rows] for column in range(len(target))]
    count = len(rows)
    form = echelon([(*column, value) for column, value in zip(columns, target, strict=True)], width=count + 1)
    if count in form.pivots:
        return None
    multipliers = [Fraction(0)] * count
    for row, pivot in zip(form.rows, form.pivots, strict=True):
        multipliers[pivot] = row[count]
    return tuple(multipliers)
