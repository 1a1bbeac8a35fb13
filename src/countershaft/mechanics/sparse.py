"""Elimination on sparse rows of whole numbers: exact, without a fraction made on the way.

A row maps columns to whole numbers that are not zero.  Columns below `width` are unknowns; columns from there
on are right hand sides, so that one elimination answers for as many of them as are asked.  A row means that the
sum over its unknowns equals the sum over its right hand sides.

The equations of gear trains have two to four unknowns each, and stay that thin while they are solved; so this
costs far less than a dense elimination, and whole numbers cost far less than fractions.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import gcd
from typing import NamedTuple

__all__ = ["IntRow", "Reduced", "reduce_rows", "solve_dense", "thin"]

IntRow = dict[int, int]


class Reduced(NamedTuple):
    """Rows reduced until each pivot stands in one row only.

    `pivots` maps the pivot column to its row.  `rests` are rows whose unknowns all went; what is left of them
    are right hand sides that would have to add up to zero.
    """

    width: int
    pivots: dict[int, IntRow]
    rests: tuple[IntRow, ...]

    def settled(self, unknown: int) -> IntRow | None:
        """The row of an unknown that follows from the right hand sides alone; None for any other."""
        row = self.pivots.get(unknown)
        if row is not None:
            for column in row:
                if column < self.width and column != unknown:
                    return None
        return row


def thin(row: IntRow) -> IntRow:
    """The row without its zeros.

    Parameters
    ----------
    row : dict[int, int] [-]
        A row in which terms may have cancelled.

    Returns
    -------
    dict[int, int] [-]
        The same, fit to be solved.

    Examples
    --------
    >>> thin({0: 3, 1: 0})
    {0: 3}
    """
    return {column: value for column, value in row.items() if value} if 0 in row.values() else row


def reduce_rows(rows: Iterable[IntRow], width: int) -> Reduced:
    """Solve sparse equations on whole numbers.

    Parameters
    ----------
    rows : Iterable[dict[int, int]] [-]
        The equations; they are not changed.
    width : int [-]
        Number of unknowns; columns from here on are right hand sides.

    Returns
    -------
    Reduced
        One row per independent equation, and what is left of the others.

    References
    ----------
    Bareiss E.H., Sylvester's identity and multistep integer-preserving Gaussian elimination, Mathematics of
    Computation 22 (1968) 565-578: elimination without fractions; here rows are divided by their content instead
    (from memory).

    Examples
    --------
    2 x + y = 5 and x − y = 1, the unknowns 0 and 1, the right hand side 2:

    >>> reduce_rows([{0: 2, 1: 1, 2: 5}, {0: 1, 1: -1, 2: 1}], 2).pivots
    {0: {0: 2, 2: 4}, 1: {1: 1, 2: 1}}
    """
    pivots: dict[int, IntRow] = {}
    rests: list[IntRow] = []
    # Thin rows first: they settle an unknown at once, and what they settle is not carried along.
    for given in sorted(rows, key=len):
        row = given
        for column, by in pivots.items():
            if column in row:
                row = _cleared(row, column, by)
        for pivot in row:
            if pivot < width:
                break
        else:
            if row:
                rests.append(row)
            continue
        if row[pivot] != 1:
            row = _primitive(row, -1 if row[pivot] < 0 else 1)
        for column, other in pivots.items():
            if pivot in other:
                pivots[column] = _cleared(other, pivot, row)
        pivots[pivot] = row
    return Reduced(width, pivots, tuple(rests))


def _cleared(row: IntRow, column: int, by: IntRow) -> IntRow:
    """The row with one column cleared by the row whose pivot stands there; its own pivot stays positive.

    What all its numbers then share is taken out where they grew, which keeps them small.
    """
    factor, scale = row[column], by[column]
    if scale == 1:
        new = row.copy()
    else:
        shared = gcd(factor, scale)
        if shared != 1:
            factor //= shared
            scale //= shared
        new = row.copy() if scale == 1 else {place: value * scale for place, value in row.items()}
    for place, value in by.items():
        total = new.get(place, 0) - value * factor
        if total:
            new[place] = total
        else:
            del new[place]
    if scale == 1 or not new:
        return new
    content = gcd(*new.values())
    return new if content == 1 else {place: value // content for place, value in new.items()}


def _primitive(row: IntRow, sign: int) -> IntRow:
    """The row divided by what all its numbers share, and by a sign."""
    content = sign * gcd(*row.values())
    return row if content == 1 else {column: value // content for column, value in row.items()}


def solve_dense(rows: Sequence[Sequence[int]]) -> tuple[tuple[int, ...], int] | None:
    """Solve a small square system in which nearly every number counts.

    Parameters
    ----------
    rows : Sequence[Sequence[int]] (n, n + 1) [-]
        The coefficients, and the right hand side last.

    Returns
    -------
    tuple[tuple[int, ...], int] [-] or None
        The unknowns as whole numbers over one positive denominator; None where the rows depend on each other.

    References
    ----------
    Bareiss E.H., Sylvester's identity and multistep integer-preserving Gaussian elimination, Mathematics of
    Computation 22 (1968) 565-578: every division leaves no remainder (from memory).

    Examples
    --------
    >>> solve_dense([[2, 1, 5], [1, -1, 1]])
    ((6, 3), 3)
    """
    if len(rows) == 2:
        # Cramer's rule: most gears have two places that lose power.
        (a, b, right), (c, d, other) = rows
        values, shared = (right * d - b * other, a * other - right * c), a * d - b * c
        if not shared:
            return None
        return (values, shared) if shared > 0 else ((-values[0], -values[1]), -shared)
    left, done, before = list(rows), [], 1
    while left:
        place = 0
        while not left[place][0]:
            place += 1
            if place == len(left):
                return None
        pivot, *rest = left.pop(place)
        done.append((pivot, rest))
        for place, (factor, *row) in enumerate(left):
            left[place] = [
                (pivot * value - factor * other) // before for value, other in zip(row, rest, strict=True)
            ]
        before = pivot
    found: list[int] = []
    for pivot, (*rest, right) in reversed(done):
        total = right * before
        for factor, value in zip(rest, found, strict=True):
            total -= factor * value
        found.insert(0, total // pivot)
    return (tuple(found), before) if before > 0 else (tuple(-value for value in found), -before)
