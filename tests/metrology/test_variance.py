"""Analysis of variance: the two ways to its sums, Student's t as its smallest case, and Python's own statistics.

Certified reference data are held in tests/published/test_reference_data.py.
"""

from __future__ import annotations

import math
import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.variance import one_way, summarise

GROUPS = st.lists(st.lists(st.integers(-50, 50), min_size=2, max_size=6), min_size=2, max_size=5)


@given(GROUPS)
def test_between_and_within_are_the_whole(groups: list[list[int]]) -> None:
    """Their sums of squares and degrees of freedom are those of all values together (numpy)."""
    found = one_way(groups)
    values = np.array([value for group in groups for value in group], dtype=float)
    total = float(((values - values.mean()) ** 2).sum())
    parts = found.between.sum_of_squares + found.within.sum_of_squares
    assert parts == pytest.approx(total, rel=1e-9, abs=1e-9)
    assert found.between.degrees_of_freedom + found.within.degrees_of_freedom == len(values) - 1
    assert 0 <= found.r_squared <= 1


def test_two_groups_are_a_t_test() -> None:
    """By hand: means 2 and 5, pooled variance 1, t = 3 / √(2/3) = 3.674, F = t² = 13.5."""
    found = one_way([[1, 2, 3], [4, 5, 6]])
    assert found.between.ratio == pytest.approx(13.5)
    assert found.between.chance == pytest.approx(0.021312, abs=1e-6)
    assert found.residual == pytest.approx(1.0)


def test_without_scatter_there_is_no_ratio() -> None:
    found = one_way([[1, 1], [2, 2]])
    assert (found.between.ratio, found.between.chance, found.residual) == (None, None, 0.0)
    assert one_way([[3, 3], [3, 3]]).r_squared == 0.0


@given(st.lists(st.integers(-1000, 1000), min_size=2, max_size=40))
def test_a_summary_is_that_of_the_standard_library(values: list[int]) -> None:
    found = summarise(values)
    assert found.mean == pytest.approx(statistics.mean(values))
    assert found.deviation == pytest.approx(statistics.stdev(values))
    assert -1 <= found.autocorrelation <= 1


def test_autocorrelation_by_hand() -> None:
    """1, 2, 3, 4: deviations -1.5, -0.5, 0.5, 1.5; products 0.75 - 0.25 + 0.75 = 1.25 over 5."""
    assert summarise([1, 2, 3, 4]).autocorrelation == pytest.approx(0.25)
    assert summarise([2, 2]).autocorrelation == 0.0


def test_nonsense_is_refused() -> None:
    with pytest.raises(OutOfRange, match="1 values have no scatter"):
        summarise([1])
    with pytest.raises(OutOfRange, match="not finite"):
        summarise([1, math.inf])
    for groups in ([[1, 2]], [[1, 2], []], [[1], [2]]):
        with pytest.raises(OutOfRange, match="at least two groups, none empty"):
            one_way(groups)
