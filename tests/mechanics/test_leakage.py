"""Leaks through annular gaps.

Expected values: the exact flow through a concentric annulus (Bird, Stewart, Lightfoot, Transport Phenomena, flow
through an annulus, from memory), the gap round the circle summed in small steps (a second route of ours), and bounds
that hold for any gap.  Published values stand in tests/published/test_parts_condition.py.
"""

from __future__ import annotations

from dataclasses import replace
from math import cos, log, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.leakage import (
    AnnularGap,
    annular_leak,
    clearance_at_growth,
    eccentricity_factor,
    gap_from_sizes,
    leak_growth,
)

SPOOL = AnnularGap(14e-3, 15e-6, 8e-3)
shares = st.floats(0, 1)


@st.composite
def gaps(draw: st.DrawFn) -> AnnularGap:
    diameter = draw(st.floats(5e-3, 0.15))
    return AnnularGap(diameter, draw(st.floats(2e-6, 2e-5)), draw(st.floats(2e-3, 0.05)), draw(shares))


def leak(gap: AnnularGap, bar: float = 5, viscosity: float = 0.03) -> float:
    return annular_leak(gap, pressure_drop=bar * 1e5, viscosity=viscosity, density=850).flow


@pytest.mark.parametrize("share", [0.001, 0.005, 0.02])
def test_the_narrow_gap_is_near_the_exact_annulus(share: float) -> None:
    mean, clearance = 0.02, share * 0.02
    outer, inner = (mean + clearance) / 2, (mean - clearance) / 2
    exact = (
        pi * 1000 / (8 * 100 * 0.1) * (outer**4 - inner**4 - (outer**2 - inner**2) ** 2 / log(outer / inner))
    )
    gap = gap_from_sizes(bore=2 * outer, inner=2 * inner, length=0.1)
    found = annular_leak(gap, pressure_drop=1000, viscosity=100, density=850).flow
    assert found == pytest.approx(exact, rel=1e-4)


@pytest.mark.parametrize("eccentricity", [0, 0.3, 0.8, 1])
def test_the_factor_is_the_mean_cube_of_the_gap_round_the_circle(eccentricity: float) -> None:
    steps = 720
    cubes = sum((1 + eccentricity * cos(2 * pi * step / steps)) ** 3 for step in range(steps))
    assert eccentricity_factor(eccentricity) == pytest.approx(cubes / steps, rel=1e-9)


@given(gaps(), st.floats(1.001, 1.5))
def test_every_direction(gap: AnnularGap, more: float) -> None:
    base = leak(gap)
    assert leak(replace(gap, clearance=gap.clearance * more)) == pytest.approx(base * more**3)
    assert leak(replace(gap, length=gap.length * more)) < base
    assert leak(gap, bar=5 * more) == pytest.approx(base * more)
    assert leak(gap, viscosity=0.03 * more) == pytest.approx(base / more)
    assert base <= leak(replace(gap, eccentricity=1.0)) <= 2.5 * base * (1 + 1e-12)


@given(gaps(), gaps())
def test_growth_is_the_ratio_of_two_leaks(before: AnnularGap, after: AnnularGap) -> None:
    told = leak_growth(before, after)
    assert told.factor == pytest.approx(leak(after) / leak(before))
    assert told.least * (1 - 1e-12) <= told.factor <= told.most * (1 + 1e-12)
    assert leak_growth(after, before).factor == pytest.approx(1 / told.factor)


@given(gaps(), st.floats(1, 8))
def test_the_clearance_of_a_growth_gives_that_growth(gap: AnnularGap, growth: float) -> None:
    wide = replace(gap, clearance=clearance_at_growth(gap.clearance, growth=growth))
    assert leak_growth(gap, wide).factor == pytest.approx(growth)


def test_the_working_ends_in_the_figures() -> None:
    told = leak_growth(SPOOL, replace(SPOOL, clearance=30e-6))
    assert told.working[0] == "clearance: (30 µm / 15 µm)³ = 8"
    assert told.working[-1] == "leak grows 8 times; 3.2 to 20 times if nobody knows how the part lies"
    assert annular_leak(SPOOL, pressure_drop=0, viscosity=0.03, density=850).flow == 0


def test_what_is_not_laminar_is_refused() -> None:
    wide = AnnularGap(0.06, 0.001, 1.0)
    with pytest.raises(OutOfRange, match=r"Reynolds number in the gap is \d+; expected at most 2000"):
        annular_leak(wide, pressure_drop=1e5, viscosity=0.002, density=850)


def test_a_land_that_is_too_short_is_refused() -> None:
    sharp = AnnularGap(0.02, 100e-6, 0.5e-3)
    with pytest.raises(OutOfRange, match=r"inlet and outlet take \d+% of the pressure; expected at most 10%"):
        annular_leak(sharp, pressure_drop=1e5, viscosity=0.012, density=850)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"clearance": 0.0}, "radial clearance of a gap is 0 m; expected more than zero. Without clearance"),
        ({"clearance": 0.0005}, "radial clearance is 0.5 mm on 14 mm; expected at most 2%"),
        ({"eccentricity": 1.2}, "eccentricity of a gap is 1.2; expected 0 to 1"),
        ({"length": -1.0}, "length of a gap is -1 m; expected more than zero"),
    ],
)
def test_a_gap_that_is_none(change: dict[str, float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        replace(SPOOL, **change)


def test_a_spool_larger_than_its_bore() -> None:
    with pytest.raises(
        OutOfRange, match=r"inner part is 14\.01 mm in a bore of 14 mm; expected a smaller one"
    ):
        gap_from_sizes(bore=14e-3, inner=14.01e-3, length=8e-3)
