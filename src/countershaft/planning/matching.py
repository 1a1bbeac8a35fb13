"""Rows that share columns, each column once, or go alone: the cheapest way, and what leaving it would cost at least."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from countershaft.errors import BadInput

__all__ = ["ALONE", "FORBIDDEN", "Matching", "cheapest"]

#: Column of a row that goes alone.
ALONE: Final = -1
#: A cost that no sum of real costs reaches.
FORBIDDEN: Final = 1 << 200


@dataclass(frozen=True, slots=True)
class Matching:
    """The cheapest way, its cost, and the prices that prove it.

    For every row and column `cost - row_price - column_price` is not negative, and it is what the whole would cost
    more, at least, if that row took that column.  A column's price is never positive; going alone has price 0.
    """

    total: int
    column_of: tuple[int, ...]
    row_price: tuple[int, ...]
    column_price: tuple[int, ...]


def cheapest(rows: Sequence[Sequence[int]], alone: Sequence[int]) -> Matching | None:
    """Give every row a column of its own or leave it alone, at the least sum of costs.

    Parameters
    ----------
    rows : Sequence[Sequence[int]] (n, m) [-]
        Cost of each row at each column; FORBIDDEN or more where it may not go.
    alone : Sequence[int] (n,) [-]
        Cost of each row that takes no column.

    Returns
    -------
    Matching | None [-]
        The cheapest way; None where a row can go nowhere.

    Raises
    ------
    BadInput
        There is not one cost alone for every row.

    References
    ----------
    Kuhn H.W., The Hungarian method for the assignment problem, Naval Research Logistics Quarterly 2 (1955) 83-97, in
    the form with potentials and shortest paths.

    Examples
    --------
    Both want the first column; the second loses less by going alone.

    >>> found = cheapest([[1, 9], [2, 9]], [8, 4])
    >>> found.total, found.column_of
    (5, (0, -1))
    """
    if len(rows) != len(alone):
        raise BadInput(f"{len(rows)} rows and {len(alone)} costs alone: every row needs one.")
    width = len(rows[0]) if rows else 0
    row_price, column_of, owner, waiting = [], [ALONE] * len(rows), [-1] * width, []
    for row, costs in enumerate(rows):
        least = min(costs, default=FORBIDDEN)
        row_price.append(min(least, alone[row]))
        if least < alone[row]:
            column = costs.index(least)
            if owner[column] < 0:
                owner[column], column_of[row] = row, column
            else:
                waiting.append(row)
    if any(price >= FORBIDDEN for price in row_price):
        return None
    column_price = [0] * width
    for row in waiting:
        if not _enter(row, rows, alone, row_price, column_price, owner, column_of):
            return None
    return Matching(
        sum(row_price) + sum(column_price), tuple(column_of), tuple(row_price), tuple(column_price)
    )


def _enter(
    first: int,
    rows: Sequence[Sequence[int]],
    alone: Sequence[int],
    row_price: list[int],
    column_price: list[int],
    owner: list[int],
    column_of: list[int],
) -> bool:
    """Bring one more row in along the shortest way to a free column or to a row that goes alone."""
    way = [FORBIDDEN] * len(owner)
    reached_from = [-1] * len(owner)
    open_ = list(range(len(owner)))
    seen: list[tuple[int, int]] = []
    done: list[tuple[int, int]] = []
    row, far = first, 0
    end_row, end = -1, FORBIDDEN
    while True:
        seen.append((row, far))
        offset = far - row_price[row]
        if offset + alone[row] < end:
            end_row, end = row, offset + alone[row]
        _relax(row, offset, rows[row], column_price, open_, way, reached_from)
        nearest = min(open_, key=way.__getitem__, default=ALONE)
        if nearest == ALONE or way[nearest] >= end:
            nearest = ALONE
            break
        if owner[nearest] < 0:
            end = way[nearest]
            break
        open_.remove(nearest)
        done.append((nearest, way[nearest]))
        row, far = owner[nearest], way[nearest]
    if end >= FORBIDDEN // 2:
        return False
    for one, distance in seen:
        row_price[one] += end - distance
    for column, distance in done:
        column_price[column] += distance - end
    _turn_over(first, nearest, end_row, reached_from, owner, column_of)
    return True


def _relax(
    row: int,
    offset: int,
    costs: Sequence[int],
    column_price: Sequence[int],
    open_: Sequence[int],
    way: list[int],
    reached_from: list[int],
) -> None:
    """Shorten the ways to the open columns through one row."""
    for column in open_:
        through = offset + costs[column] - column_price[column]
        if through < way[column]:
            way[column], reached_from[column] = through, row


def _turn_over(
    first: int, last: int, end_row: int, reached_from: Sequence[int], owner: list[int], column_of: list[int]
) -> None:
    """Give each column on the way to the row that reached it, back to the row that began."""
    row = end_row if last == ALONE else reached_from[last]
    column = last
    while True:
        before = column_of[row]
        column_of[row] = column
        if column != ALONE:
            owner[column] = row
        if row == first:
            return
        column = before
        row = reached_from[column]
