"""Rows that share columns or go alone.  Expected values: trying every way, and the prices' own promise."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput
from countershaft.planning.matching import ALONE, FORBIDDEN, cheapest

COSTS = st.one_of(st.integers(0, 20), st.just(FORBIDDEN))


@st.composite
def tables(draw: st.DrawFn) -> tuple[list[list[int]], list[int]]:
    """Up to four rows and four columns."""
    width = draw(st.integers(0, 4))
    rows = draw(st.lists(st.lists(COSTS, min_size=width, max_size=width), min_size=1, max_size=4))
    return rows, draw(st.lists(COSTS, min_size=len(rows), max_size=len(rows)))


@given(tables())
def test_the_cheapest_of_all_ways(table: tuple[list[list[int]], list[int]]) -> None:
    rows, alone = table
    width = len(rows[0])
    totals = []
    for way in product(range(-1, width), repeat=len(rows)):
        columns = [column for column in way if column != ALONE]
        if len(set(columns)) == len(columns):
            pairs = zip(way, rows, alone, strict=True)
            totals.append(sum(apart if column == ALONE else row[column] for column, row, apart in pairs))
    found = cheapest(rows, alone)
    if min(totals) >= FORBIDDEN:
        assert found is None
        return
    assert found is not None
    assert found.total == min(totals)
    taken = [column for column in found.column_of if column != ALONE]
    assert len(set(taken)) == len(taken)
    pairs = zip(found.column_of, rows, alone, strict=True)
    assert found.total == sum(apart if column == ALONE else row[column] for column, row, apart in pairs)


@given(tables())
def test_the_prices_prove_it(table: tuple[list[list[int]], list[int]]) -> None:
    """No reduced cost is negative, and they add up to the total: weak duality."""
    rows, alone = table
    found = cheapest(rows, alone)
    if found is None:
        return
    for row, apart, price in zip(rows, alone, found.row_price, strict=True):
        assert apart - price >= 0
        assert all(cost - price - of >= 0 for cost, of in zip(row, found.column_price, strict=True))
    assert all(price <= 0 for price in found.column_price)
    assert sum(found.row_price) + sum(found.column_price) == found.total


def test_every_row_needs_a_cost_alone() -> None:
    with pytest.raises(BadInput, match="2 rows and 1 costs alone"):
        cheapest([[1], [2]], [3])
