"""Budgets of uncertainty: sums worked by hand, and the rules of JCGM 100 stated as properties.

Published values are held in tests/published/test_uncertainty.py.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.budget import (
    NORMAL,
    STUDENT,
    Contribution,
    combine,
    coverage_factor,
    from_certificate,
    from_half_width,
    from_repeats,
    from_step,
)

CONTRIBUTIONS = st.lists(
    st.builds(
        Contribution,
        st.text(max_size=3),
        st.floats(0, 10),
        st.floats(-5, 5),
        st.one_of(st.integers(1, 60), st.just(math.inf)),
    ),
    min_size=1,
    max_size=6,
)


def test_three_four_five() -> None:
    """By hand: 3 and 4 make 5; shares 9/25 and 16/25; ν = 5⁴ / (3⁴/9) = 69.4; factor of the row 50: 2.05."""
    found = combine([Contribution("a", 1.5, -2.0, 9), Contribution("b", 4.0)])
    assert found.standard == pytest.approx(5.0)
    assert found.shares == pytest.approx((0.36, 0.64))
    assert found.degrees_of_freedom == pytest.approx(69.444, abs=1e-3)
    assert (found.factor, found.expanded) == (2.05, pytest.approx(10.25))
    assert found.largest == Contribution("b", 4.0)


def test_nothing_uncertain_is_nothing() -> None:
    found = combine([Contribution("a", 0.0), Contribution("b", 1.0, 0.0)])
    assert (found.standard, found.expanded, found.shares) == (0.0, 0.0, (0.0, 0.0))
    assert math.isinf(found.degrees_of_freedom)
    assert combine([]).largest is None


@given(CONTRIBUTIONS)
def test_shares_are_the_whole(rows: list[Contribution]) -> None:
    found = combine(rows)
    assert sum(found.shares) == pytest.approx(1.0) or found.standard < 1e-150
    assert all(share >= 0 for share in found.shares)


@given(CONTRIBUTIONS)
def test_freedom_lies_between_the_least_and_the_sum(rows: list[Contribution]) -> None:
    """JCGM 100, G.4.1: the effective degrees of freedom never exceed the sum, nor fall below the least."""
    found = combine(rows).degrees_of_freedom
    assert found >= min(one.degrees_of_freedom for one in rows) * (1 - 1e-9)
    moving = [one.degrees_of_freedom for one in rows if one.effect > 1e-60]
    assert found <= sum(moving) * (1 + 1e-9) or not moving


@given(CONTRIBUTIONS, st.floats(1, 5))
def test_a_larger_contribution_never_narrows(rows: list[Contribution], more: float) -> None:
    """The standard uncertainty rises with each of its parts."""
    first = rows[0]
    grown = Contribution(first.name, first.standard * more, first.sensitivity, first.degrees_of_freedom)
    assert combine([grown, *rows[1:]]).standard >= combine(rows).standard * (1 - 1e-12)


def test_the_ways_to_a_contribution() -> None:
    """By hand: 0.01/√4; 0.01/√3 = 0.0057735; 0.01/√12 = 0.0028868; 0.05/2."""
    assert from_repeats(0.01, 4) == Contribution("repeats", 0.005, 1.0, 3, "0.01 / √4", 0.01, "√4", STUDENT)
    assert from_half_width("error", 0.01, sensitivity=-2.0).effect == pytest.approx(0.011547, abs=1e-6)
    assert from_step(0.01).standard == pytest.approx(0.0028868, abs=1e-7)
    assert from_certificate("block", 0.05) == Contribution(
        "block", 0.025, 1.0, math.inf, "0.05 / 2", 0.05, "2", NORMAL
    )
    assert (from_step(0.01).within, from_step(0.01).divisor) == (0.005, "√3")


def test_the_table_is_its_own_working() -> None:
    """Every line carries its numbers; by hand 0.005, 0.012 and 0.013."""
    rows = [from_repeats(0.01, 4), Contribution("heat", 0.5, -0.024)]
    assert combine(rows, probability=0.99).working("mm") == (
        "repeats: u = 0.01 / √4 = 0.0050 mm, 3 degrees of freedom, 15 % of the variance",
        "heat: u = -0.024 · 0.5 = 0.0120 mm, ∞ degrees of freedom, 85 % of the variance",
        "together u = 0.0130 mm, 137 degrees of freedom",
        "U = 2.61 · u = 0.0340 mm (covers 99 %)",
    )


@pytest.mark.parametrize(("freedom", "factor"), [(1, 12.71), (4.9, 2.78), (9, 2.26), (30, 2.04)])
def test_other_coverages_come_from_the_distribution(freedom: float, factor: float) -> None:
    """JCGM 100, Table G.2, column 95 % (from memory); a part of a degree of freedom is cut off."""
    assert coverage_factor(freedom, probability=0.95) == pytest.approx(factor, abs=0.0051)


def test_nonsense_is_refused() -> None:
    with pytest.raises(OutOfRange, match="1 readings have no scatter"):
        from_repeats(0.01, 1)
    with pytest.raises(OutOfRange, match="step of the scale is 0"):
        from_step(0.0)
    with pytest.raises(OutOfRange, match="half width -1"):
        from_half_width("error", -1.0)
    with pytest.raises(OutOfRange, match="no stated uncertainty"):
        from_certificate("block", 0.05, factor=0)
    with pytest.raises(OutOfRange, match="heat: the uncertainty nan"):
        combine([Contribution("heat", math.nan)])
    with pytest.raises(OutOfRange, match=r"heat: degrees of freedom 0\.5 are below 1"):
        combine([Contribution("heat", 1.0, 1.0, 0.5)])
    with pytest.raises(OutOfRange, match="coverage 1 is not inside"):
        coverage_factor(4, probability=1.0)
