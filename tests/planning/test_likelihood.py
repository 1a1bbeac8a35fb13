"""Probability inside limits.  Expected values: the normal distribution of the standard library, and brute force."""

from __future__ import annotations

import math
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.planning.likelihood import IMPOSSIBLE, best_loss, loss, within

VALUES = st.floats(-3, 3)
SPREADS = st.floats(0.01, 2)


@given(VALUES, SPREADS)
def test_it_is_the_normal_distribution(value: float, spread: float) -> None:
    reference = NormalDist(value, spread)
    expected = reference.cdf(1.0) - reference.cdf(-0.5)
    assert within(value, spread, lower=-0.5, upper=1.0) == pytest.approx(expected, abs=1e-12)


def test_a_value_known_exactly_is_inside_or_not() -> None:
    assert [within(value, 0, lower=0, upper=1) for value in (-0.1, 0, 1, 1.1)] == [0, 1, 1, 0]


def test_far_out_it_keeps_telling_better_from_worse() -> None:
    """Thirty standard uncertainties out: Phi(-30) = 4.9e-198 (from memory of the asymptotic series, checked below)."""
    found = within(30.0, 1.0, lower=-1.0, upper=0.0)
    series = math.exp(-450) / (30 * math.sqrt(2 * math.pi)) * (1 - 1 / 900 + 3 / 810_000)
    assert found == pytest.approx(series, rel=1e-6)
    assert loss(31.0, 1.0, lower=-1.0, upper=0.0) > loss(30.0, 1.0, lower=-1.0, upper=0.0)
    assert loss(90.0, 1.0, lower=-1.0, upper=0.0) == IMPOSSIBLE


@given(
    st.tuples(VALUES, VALUES).map(sorted),
    st.tuples(SPREADS, SPREADS).map(sorted),
    st.floats(0, 1),
    st.floats(0, 1),
)
def test_the_least_loss_is_never_above_a_real_one(
    values: list[float], spreads: list[float], along: float, across: float
) -> None:
    value = values[0] + along * (values[1] - values[0])
    spread = spreads[0] + across * (spreads[1] - spreads[0])
    value, spread = min(value, values[1]), min(spread, spreads[1])
    bound = best_loss((values[0], values[1]), (spreads[0], spreads[1]), lower=-0.5, upper=1.0)
    assert bound <= loss(value, spread, lower=-0.5, upper=1.0)


def test_limits_and_uncertainty_the_wrong_way_are_refused() -> None:
    with pytest.raises(OutOfRange, match="expected rising limits, u of 0 or more"):
        within(0, -1, lower=0, upper=1)
