"""Least squares: numpy's own solver on tame data, exact answers by hand, and what a fit must not do.

Certified reference data are held in tests/published/test_reference_data.py.
"""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.regression import fit_polynomial, least_squares

POINTS = st.lists(st.tuples(st.integers(-20, 20), st.integers(-50, 50)), min_size=5, max_size=15).filter(
    lambda points: len({x for x, _ in points}) >= 4
)


@given(POINTS, st.integers(0, 2))
def test_it_agrees_with_a_general_solver(points: list[tuple[int, int]], degree: int) -> None:
    x, y = (np.array(axis, dtype=float) for axis in zip(*points, strict=True))
    table = np.vander(x, degree + 1, increasing=True)
    expected, *_ = np.linalg.lstsq(table, y)
    found = fit_polynomial([float(one) for one in x], [float(one) for one in y], degree=degree)
    assert found.coefficients == pytest.approx(expected.tolist(), rel=1e-7, abs=1e-7)
    rest = y - table @ expected
    freedom = len(y) - degree - 1
    assert found.residual == pytest.approx(math.sqrt(float(rest @ rest) / freedom), rel=1e-6, abs=1e-7)
    spread = np.sqrt(np.diag(np.linalg.inv(table.T @ table))) * found.residual
    assert found.standard == pytest.approx(spread.tolist(), rel=1e-6, abs=1e-9)
    assert found.degrees_of_freedom == freedom


@given(POINTS)
def test_what_is_left_stands_square_on_what_is_fitted(points: list[tuple[int, int]]) -> None:
    """The residuals of a least-squares line have no sum and no slope left."""
    x, y = zip(*points, strict=True)
    b0, b1 = fit_polynomial(x, y).coefficients
    rest = [float(value - b0 - b1 * place) for place, value in points]
    assert sum(rest) == pytest.approx(0.0, abs=1e-9)
    assert sum(one * place for one, place in zip(rest, x, strict=True)) == pytest.approx(0.0, abs=1e-7)


def test_figures_of_every_kind_are_exact() -> None:
    """Through (1/3, 1) and (2/3, 2) and (1, 3): y = 3 x, exactly."""
    found = fit_polynomial([Fraction(1, 3), Fraction(2, 3), 1], [1, Decimal(2), 3.0])
    assert (found.coefficients, found.residual, found.r_squared) == ((0.0, 3.0), 0.0, 1.0)


def test_values_all_alike_are_explained() -> None:
    assert fit_polynomial([1, 2, 3], [5, 5, 5]).r_squared == 1.0


def test_nonsense_is_refused() -> None:
    with pytest.raises(OutOfRange, match="degree -1 is none"):
        fit_polynomial([1, 2], [1, 2], degree=-1)
    with pytest.raises(OutOfRange, match="3 values of x and 2 of y"):
        fit_polynomial([1, 2, 3], [1, 2])
    with pytest.raises(OutOfRange, match="2 values are too few for 2 coefficients"):
        fit_polynomial([1, 2], [1, 2])
    with pytest.raises(OutOfRange, match="do not tell the coefficients apart"):
        fit_polynomial([4, 4, 4], [1, 2, 3])
    with pytest.raises(OutOfRange, match="the table is not whole"):
        least_squares([[1, 2], [1]], [1, 2])
    with pytest.raises(OutOfRange, match="not finite"):
        fit_polynomial([1, 2, math.nan], [1, 2, 3])
    with pytest.raises(OutOfRange, match="0 values are too few for 0 coefficients"):
        least_squares([], [])
