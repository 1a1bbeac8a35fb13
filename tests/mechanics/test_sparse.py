"""Elimination on sparse whole numbers.  Expected values: sympy's reduced row echelon form on random matrices."""

from __future__ import annotations

from fractions import Fraction

import sympy
from hypothesis import given
from hypothesis import strategies as st

from countershaft.mechanics.sparse import IntRow, reduce_rows, solve_dense

WIDTH = 4
ROWS = st.lists(
    st.dictionaries(st.integers(0, WIDTH + 1), st.integers(-9, 9).filter(bool), max_size=4), max_size=6
)


def dense(rows: list[IntRow]) -> sympy.Matrix:
    return sympy.Matrix(len(rows), WIDTH + 2, lambda row, column: rows[row].get(column, 0))


def settled(matrix: sympy.Matrix) -> dict[int, tuple[Fraction, Fraction]]:
    """Unknown to its two values, for every unknown that the reduced form settles."""
    reduced, pivots = matrix.rref()
    found = {}
    for row, pivot in enumerate(pivots):
        if pivot < WIDTH and not any(reduced[row, column] for column in range(pivot + 1, WIDTH)):
            found[pivot] = tuple(Fraction(str(reduced[row, WIDTH + side])) for side in (0, 1))
    return found


@given(ROWS)
def test_unknowns_are_those_of_the_reduced_form(rows: list[IntRow]) -> None:
    """The unknowns that are settled, and what they come to for either right hand side."""
    before = [dict(row) for row in rows]
    found = reduce_rows(rows, WIDTH)
    assert rows == before
    coefficients = dense(rows)[:, :WIDTH]
    assert len(found.pivots) == coefficients.rank()
    if not found.rests:
        values = {
            unknown: tuple(Fraction(row.get(WIDTH + side, 0), row[unknown]) for side in (0, 1))
            for unknown, row in found.pivots.items()
            if found.settled(unknown) is not None
        }
        assert values == settled(dense(rows))


@given(ROWS)
def test_rests_say_what_cannot_be(rows: list[IntRow]) -> None:
    """What is left over has no unknown, and stands there exactly where a right hand side raises the rank."""
    found = reduce_rows(rows, WIDTH)
    assert all(column >= WIDTH for rest in found.rests for column in rest)
    matrix = dense(rows)
    assert bool(found.rests) == (matrix.rank() > matrix[:, :WIDTH].rank())


@given(ROWS)
def test_a_pivot_stands_alone_and_is_positive(rows: list[IntRow]) -> None:
    found = reduce_rows(rows, WIDTH)
    for pivot, row in found.pivots.items():
        assert row[pivot] > 0
        assert all(pivot not in other for column, other in found.pivots.items() if column != pivot)


@given(st.integers(1, 4).flatmap(lambda size: st.lists(
    st.lists(st.integers(-9, 9), min_size=size + 1, max_size=size + 1), min_size=size, max_size=size
)))  # fmt: skip
def test_small_dense_systems(rows: list[list[int]]) -> None:
    """The one solution over a positive denominator, or none where the determinant is zero."""
    size = len(rows)
    matrix = sympy.Matrix(rows)
    found = solve_dense(rows)
    if matrix[:, :size].det() == 0:
        assert found is None
        return
    assert found is not None
    numbers, shared = found
    assert shared > 0
    expected = matrix[:, :size].LUsolve(matrix[:, size])
    assert [Fraction(number, shared) for number in numbers] == [Fraction(str(value)) for value in expected]
