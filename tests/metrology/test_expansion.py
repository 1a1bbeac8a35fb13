"""Lengths at 20 °C: worked by hand, the end gauge of JCGM 100 H.1, and the symmetry of part and scale.

Coefficients are round figures of steel and aluminium (from memory of handbooks).
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.expansion import Thermal, temperature_matters, to_reference

ALUMINIUM, STEEL = 23e-6, 11.5e-6
COEFFICIENTS = st.floats(0, 3e-5)
KELVINS = st.floats(-60, 100)


def test_a_warm_case_under_a_cold_scale() -> None:
    """By hand: 200 mm · 23e-6 · 15 K = 0.069 mm too long; a scale at 20 °C adds nothing."""
    found = to_reference(200.0, Thermal(ALUMINIUM, 15.0), Thermal(STEEL, 0.0))
    assert found.correction == pytest.approx(-0.069)
    assert found.value == pytest.approx(199.931)
    assert (found.contributions, found.standard) == ((), 0.0)


def test_a_warm_scale_reads_short() -> None:
    """By hand: the scale alone 10 K warm: 100 mm are 100.0115 mm."""
    assert to_reference(100.0, Thermal(STEEL, 0.0), Thermal(STEEL, 10.0)).value == pytest.approx(100.0115)


def test_contributions_are_those_of_the_end_gauge() -> None:
    """JCGM 100, H.1.3.4 (from memory): 50 mm · 11.5e-6 · 0.029 K = 16.6 nm for the difference of temperature."""
    found = to_reference(50.0, Thermal(11.5e-6, -0.1, temperature_standard=0.029), Thermal(11.5e-6, -0.1))
    assert [one.name for one in found.contributions] == ["temperature of the part"]
    assert found.standard * 1e6 == pytest.approx(16.7, abs=0.1)


def test_every_spread_has_its_row() -> None:
    """By hand, 100 mm, 10 K: 100·23e-6·1, 100·10·1e-6, 100·11.5e-6·0.5, 100·10·5e-7."""
    found = to_reference(100.0, Thermal(ALUMINIUM, 10.0, 1e-6, 1.0), Thermal(STEEL, 10.0, 5e-7, 0.5))
    effects = [one.effect for one in found.contributions]
    assert effects == pytest.approx([0.0023, 0.001, 0.000575, 0.0005])
    assert found.standard == pytest.approx(math.hypot(*effects))


@given(st.floats(0.1, 500), COEFFICIENTS, KELVINS)
def test_alike_and_equally_warm_needs_nothing(length: float, coefficient: float, warm: float) -> None:
    body = Thermal(coefficient, warm)
    assert to_reference(length, body, body).value == length


@given(st.floats(0.1, 500), COEFFICIENTS, KELVINS, COEFFICIENTS, KELVINS)
def test_part_and_scale_are_each_others_mirror(
    length: float, one: float, warm: float, other: float, cold: float
) -> None:
    there = to_reference(length, Thermal(one, warm), Thermal(other, cold)).correction
    back = to_reference(length, Thermal(other, cold), Thermal(one, warm)).correction
    assert there == pytest.approx(-back, abs=1e-12)


def test_what_matters_is_held_against_the_window() -> None:
    """By hand: 0.0345 mm is more than a tenth of 0.3 mm and less than a tenth of 0.4 mm."""
    case, scale = Thermal(ALUMINIUM, 10.0), Thermal(STEEL, 10.0)
    assert temperature_matters(300.0, case, scale, against=0.3)
    assert not temperature_matters(300.0, case, scale, against=0.4)
    assert temperature_matters(300.0, Thermal(ALUMINIUM, 10.0, 0, 1.0), scale, against=0.4)


def test_nonsense_is_refused() -> None:
    cold = Thermal(STEEL, 0.0)
    with pytest.raises(OutOfRange, match="the part's expansion and uncertainties"):
        to_reference(1.0, Thermal(-1e-6, 0.0), cold)
    with pytest.raises(OutOfRange, match="the scale is 500 K from 20 °C"):
        to_reference(1.0, cold, Thermal(STEEL, 500.0))
    with pytest.raises(OutOfRange, match="the part is nan K"):
        to_reference(1.0, Thermal(STEEL, math.nan), cold)
    with pytest.raises(OutOfRange, match="not a finite number"):
        to_reference(math.inf, cold, cold)
    with pytest.raises(OutOfRange, match="compared with 0"):
        temperature_matters(1.0, cold, cold, against=0.0)
