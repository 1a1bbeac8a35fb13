"""Exact linear algebra.  Expected values: sympy on random matrices, and sums by hand."""

from __future__ import annotations

from fractions import Fraction

import sympy
from hypothesis import given
from hypothesis import strategies as st

from countershaft.mechanics.exact import combination, echelon, solve
from tests.strategies import matrices


def as_sympy(rows: list[list[Fraction]]) -> sympy.Matrix:
    return sympy.Matrix([[sympy.Rational(v.numerator, v.denominator) for v in row] for row in rows])


@given(matrices())
def test_echelon_is_the_reduced_form(rows: list[list[Fraction]]) -> None:
    """Rows and pivots are those of the library's reduced row echelon form."""
    form = echelon(rows, width=len(rows[0]))
    reduced, pivots = as_sympy(rows).rref()
    assert form.pivots == tuple(pivots)
    assert form.rank == as_sympy(rows).rank()
    assert (
        as_sympy([list(row) for row in form.rows] or [[Fraction(0)] * len(rows[0])])
        == reduced[: max(form.rank, 1), :]
    )


@given(matrices(), st.data())
def test_combination_makes_the_target(rows: list[list[Fraction]], data: st.DataObject) -> None:
    """Multipliers are found exactly where the target lies in the span, and they add up to it."""
    width = len(rows[0])
    target = data.draw(
        st.one_of(
            st.sampled_from(rows), st.lists(st.integers(-3, 3).map(Fraction), min_size=width, max_size=width)
        )
    )
    factors = combination(rows, target)
    assert (factors is None) == (as_sympy([*rows, target]).rank() > as_sympy(rows).rank())
    assert echelon(rows, width=width).spans(target) == (factors is not None)
    if factors is not None:
        made = [sum(f * row[column] for f, row in zip(factors, rows, strict=True)) for column in range(width)]
        assert made == target


def test_rank_is_decided_where_floats_would_guess() -> None:
    """Two rows that differ by one part in 10^40 are independent; two that do not differ are not."""
    tiny = Fraction(1, 10**40)
    assert echelon([[Fraction(1), Fraction(1)], [Fraction(1), 1 + tiny]], width=2).rank == 2
    third = Fraction(1, 3)
    assert echelon([[third, Fraction(1)], [Fraction(1), Fraction(3)]], width=2).rank == 1


def test_a_contradiction_has_no_values() -> None:
    """x = 1 and x = 2 cannot both hold."""
    found = solve([[Fraction(1)], [Fraction(1)]], [Fraction(1), Fraction(2)], width=1)
    assert not found.consistent
    assert found.values == (None,)


def test_what_no_row_names_floats() -> None:
    """x + y = 3 alone settles neither and leaves one freedom beside the unknown that no row names."""
    found = solve([[Fraction(1), Fraction(1), Fraction(0)]], [Fraction(3)], width=3)
    assert found.values == (None, None, None)
    assert found.freedom == 2


def test_dependent_rows_get_no_multiplier() -> None:
    """The second of two equal rows gets zero."""
    row = [Fraction(1), Fraction(-1)]
    assert combination([row, row], row) == (1, 0)
