"""Who gets what at the least cost: as many pairs as can be, and of those the cheapest, exactly."""

from __future__ import annotations

from collections.abc import Sequence

from countershaft.errors import BadInput

__all__ = ["assign"]


def assign(costs: Sequence[Sequence[int | None]]) -> tuple[int | None, ...]:
    """Pair rows with columns: most pairs first, least sum of costs second.

    Parameters
    ----------
    costs : Sequence[Sequence[int | None]] (n, m) [-]
        Cost of each pair, a whole number; None where a pair is not allowed.

    Returns
    -------
    tuple[int | None, ...] [-]
        For each row its column, or None where it stays alone.

    Raises
    ------
    BadInput
        The rows differ in length, or a cost is negative.

    References
    ----------
    Kuhn H.W., The Hungarian method for the assignment problem, Naval Research Logistics Quarterly 2 (1955) 83-97, in
    the form with potentials and shortest paths.

    Examples
    --------
    >>> assign([[4, 1, None], [2, 0, 5], [None, 3, None]])
    (0, 2, 1)
    """
    width = len(costs[0]) if costs else 0
    if any(len(row) != width for row in costs):
        raise BadInput("every row needs a cost, or None, for every column.")
    if any(cost is not None and cost < 0 for row in costs for cost in row):
        raise BadInput("a cost is not negative.")
    if not costs or not width:
        return (None,) * len(costs)
    # A forbidden pair costs more than all allowed ones together, so it is taken only where nothing else is left.
    forbidden = 1 + min(len(costs), width) * max(
        (cost for row in costs for cost in row if cost is not None), default=0
    )
    full = [[forbidden if cost is None else cost for cost in row] for row in costs]
    if len(full) <= width:
        column_of = _shortest_paths(full)
    else:
        row_of = _shortest_paths([list(column) for column in zip(*full, strict=True)])
        column_of = [-1] * len(full)
        for column, row in enumerate(row_of):
            column_of[row] = column
    return tuple(
        column if column >= 0 and costs[row][column] is not None else None
        for row, column in enumerate(column_of)
    )


def _shortest_paths(costs: list[list[int]]) -> list[int]:
    """The column of each row, where there are at least as many columns as rows."""
    rows, columns = len(costs), len(costs[0])
    of_row, of_column = [0] * rows, [0] * columns
    row_in = [-1] * columns
    for first in range(rows):
        row, best = first, [-1] * columns
        slack: list[int | None] = [None] * columns
        done: list[int] = []
        done_rows = [first]
        open_ = set(range(columns))
        while True:
            delta, nearest = _relax(row, costs[row], of_row[row], of_column, slack, best, open_)
            for each in done_rows:
                of_row[each] += delta
            for each in done:
                of_column[each] -= delta
            for each in open_:
                slack[each] = (slack[each] or 0) - delta
            open_.discard(nearest)
            done.append(nearest)
            if row_in[nearest] < 0:
                break
            row = row_in[nearest]
            done_rows.append(row)
        _turn_over(first, done[-1], best, row_in)
    found = [-1] * rows
    for column, row in enumerate(row_in):
        if row >= 0:
            found[row] = column
    return found


def _relax(
    row: int,
    costs: Sequence[int],
    of_row: int,
    of_column: Sequence[int],
    slack: list[int | None],
    best: list[int],
    open_: set[int],
) -> tuple[int, int]:
    """Shorten the ways to the open columns through one row; the shortest way and its column."""
    least, nearest = None, -1
    for column in sorted(open_):
        reduced = costs[column] - of_row - of_column[column]
        known = slack[column]
        if known is None or reduced < known:
            slack[column], best[column], known = reduced, row, reduced
        if least is None or known < least:
            least, nearest = known, column
    assert least is not None, "there is always an open column left"
    return least, nearest


def _turn_over(first: int, last: int, best: Sequence[int], row_in: list[int]) -> None:
    """Give each column on the way to the row that reached it, back to the row that began."""
    column = last
    while True:
        row = best[column]
        before = next((each for each, holder in enumerate(row_in) if holder == row), -1)
        row_in[column] = row
        if row == first:
            return
        column = before
