"""Backlash from the probe to the pitch circle and to the normal.

Expected: the second route over the transverse section (ISO 21771: tan α_t = tan α_n / cos β,
tan β_b = tan β cos α_t; normal backlash = j_t cos α_t cos β_b), and right triangles.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.backlash import backlash


@given(st.floats(14, 30), st.floats(-45, 45))
def test_the_normal_is_that_of_the_transverse_section(pressure: float, helix: float) -> None:
    alpha, beta = math.radians(pressure), math.radians(helix)
    transverse = math.atan(math.tan(alpha) / math.cos(beta))
    base = math.atan(math.tan(beta) * math.cos(transverse))
    found = backlash([0.1e-3], pitch_radius=0.05, probe_radius=0.05, pressure_angle=alpha, helix_angle=beta)
    assert found.circumferential == pytest.approx(0.1e-3)
    assert found.normal == pytest.approx(0.1e-3 * math.cos(transverse) * math.cos(base), rel=1e-12)


def test_a_probe_farther_out_reads_more() -> None:
    found = backlash(
        [0.15e-3, 0.18e-3], pitch_radius=0.06, probe_radius=0.09, pressure_angle=math.radians(20)
    )
    assert (found.least, found.most) == pytest.approx((0.10e-3, 0.12e-3))
    assert found.circumferential == pytest.approx(0.11e-3)
    assert found.angle == pytest.approx(0.11e-3 / 0.06)


def test_a_tilted_plunger_reads_one_and_a_half_percent_too_much() -> None:
    """Common practice: 10 degrees of tilt make 1.5 %."""
    straight = backlash([0.1e-3], pitch_radius=1.0, probe_radius=1.0, pressure_angle=0.35)
    tilted = backlash(
        [0.1e-3], pitch_radius=1.0, probe_radius=1.0, pressure_angle=0.35, probe_tilt=math.radians(10)
    )
    assert 1 - tilted.circumferential / straight.circumferential == pytest.approx(0.015, abs=0.0005)


def test_uncertainty_by_differences() -> None:
    """JCGM 100:2008, 5.1.2: each input moved by its standard uncertainty, squares added."""

    def along(reading: float, probe: float) -> float:
        return backlash([reading], pitch_radius=0.06, probe_radius=probe, pressure_angle=0.35).circumferential

    found = backlash(
        [0.2e-3],
        pitch_radius=0.06,
        probe_radius=0.08,
        pressure_angle=0.35,
        standard=5e-6,
        probe_radius_standard=5e-4,
    )
    moved = math.hypot(
        along(0.205e-3, 0.08) - along(0.2e-3, 0.08), along(0.2e-3, 0.0805) - along(0.2e-3, 0.08)
    )
    assert found.standard == pytest.approx(moved, rel=5e-3)
    assert found.normal_standard == pytest.approx(found.standard * found.normal / found.circumferential)


@pytest.mark.parametrize(
    ("readings", "changed", "said"),
    [
        ([], {}, "at least one reading"),
        ([-0.1], {}, "none below zero"),
        ([0.1], {"probe_radius": 0.0}, "must be above zero"),
        ([0.1], {"pressure_angle": 1.0}, "between 0 and 45 degrees"),
        ([0.1], {"helix_angle": 1.2}, "within 60 degrees"),
        ([0.1], {"probe_tilt": 0.6}, "tilted by more than 30 degrees"),
    ],
)
def test_what_no_gear_has_is_refused(readings: list[float], changed: dict[str, float], said: str) -> None:
    given_ = {"pitch_radius": 1.0, "probe_radius": 1.0, "pressure_angle": 0.35} | changed
    with pytest.raises(OutOfRange, match=said):
        backlash(readings, **given_)
