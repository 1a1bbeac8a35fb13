"""Elimination on sparse rows of whole numbers: exact, without a fraction made on the way.

A row maps columns to whole numbers that are not zero.  Columns below `width` are unknowns; columns from there
on are right hand sides, so that one elimination answers for as many of them as are asked.  A row means that the
sum over its unknowns equals the sum over its right hand sides.

The equations of gear trains have two to four unknowns each, and stay that thin while they are solved; so this
costs far less than a dense elimination, and whole numbers cost far less than fractions.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import gcd

__all__ = ["IntRow", "Reduced", "reduce_rows"]

IntRow = dict[int, int]


@dataclass(frozen=True, slots=True)
class Reduced:
    """Rows reduced until each pivot stands in one row only.

    `pivots` maps the pivot column to its row.  `rests` are rows whose unknowns all went; what is left of them
    are right hand sides that would have to add up to zero.
    """

    width: int
    pivots: dict[int, IntRow]
    rests: tuple[IntRow, ...]

    def settles(self, unknown: int) -> bool:
        """Whether an unknown follows from the right hand sides alone."""
        row = self.pivots.get(unknown)
        return row is not None and sum(column < self.width for column in row) == 1


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
    {0: {0: 1, 2: 2}, 1: {1: 1, 2: 1}}
    """
    pivots: dict[int, IntRow] = {}
    rests: list[IntRow] = []
    for given in rows:
        row = given
        for column in [column for column in row if column in pivots]:
            row = _cleared(row, column, pivots[column])
        pivot = next((column for column in row if column < width), None)
        if pivot is None:
            if row:
                rests.append(row)
            continue
        row = _primitive(row, -1 if row[pivot] < 0 else 1)
        for column, other in pivots.items():
            if pivot in other:
                pivots[column] = _primitive(_cleared(other, pivot, row), 1)
        pivots[pivot] = row
    return Reduced(width, pivots, tuple(rests))


def _primitive(row: IntRow, sign: int) -> IntRow:
    """The row divided by what all its numbers share, which keeps them small, and by a sign."""
    content = sign * gcd(*row.values())
    return row if content == 1 else {column: value // content for column, value in row.items()}


def _cleared(row: IntRow, column: int, by: IntRow) -> IntRow:
    """The row with one column cleared by the row whose pivot stands there; its own pivot keeps its sign."""
    factor, scale = row[column], by[column]
    shared = gcd(factor, scale)
    factor, scale = factor // shared, scale // shared
    new = row.copy() if scale == 1 else {place: value * scale for place, value in row.items()}
    for place, value in by.items():
        total = new.get(place, 0) - value * factor
        if total:
            new[place] = total
        else:
            del new[place]
    return new
