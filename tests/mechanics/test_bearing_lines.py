"""Bearing lines with both rings turning.

Expected values: speeds of the contact points on both raceways (a second route: velocities instead of the formula),
invariance against the frame, and an invented bearing that another program computed (consistency only).  Published
values stand in tests/published/test_noise.py.
"""

from __future__ import annotations

from math import cos, pi, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.bearing_lines import BearingGeometry, bearing_lines, multiplier_faults

speeds = st.floats(-200, 200)
geometries = st.builds(
    lambda count, ball, more, angle: BearingGeometry(count, ball, ball + more, angle),
    st.integers(3, 40),
    st.floats(0.002, 0.03),
    st.floats(0.005, 0.2),
    st.floats(0, 1.2),
)


@given(geometries, speeds, speeds)
def test_lines_from_the_velocities_of_the_contacts(
    geometry: BearingGeometry, inner: float, outer: float
) -> None:
    """An element that rolls on both raceways moves at the mean of their speeds, and spins at their difference."""
    reach = geometry.element_diameter / 2 * cos(geometry.contact_angle)
    on_inner = 2 * pi * inner * (geometry.pitch_diameter / 2 - reach)
    on_outer = 2 * pi * outer * (geometry.pitch_diameter / 2 + reach)
    cage = (on_inner + on_outer) / 2 / (geometry.pitch_diameter / 2) / (2 * pi)
    lines = bearing_lines(geometry, inner_speed=inner, outer_speed=outer)
    assert lines.cage == pytest.approx(cage, abs=1e-9)
    assert lines.outer_pass == pytest.approx(geometry.elements * abs(cage - outer), abs=1e-9)
    assert lines.inner_pass == pytest.approx(geometry.elements * abs(inner - cage), abs=1e-9)
    seen_from_cage = 2 * pi * abs(outer - cage) * (geometry.pitch_diameter / 2 + reach)
    assert lines.spin == pytest.approx(seen_from_cage / (pi * geometry.element_diameter), abs=1e-9)


@given(geometries, speeds, speeds, speeds)
def test_turning_everything_shifts_the_cage_alone(
    geometry: BearingGeometry, inner: float, outer: float, more: float
) -> None:
    still = bearing_lines(geometry, inner_speed=inner, outer_speed=outer)
    moved = bearing_lines(geometry, inner_speed=inner + more, outer_speed=outer + more, load_speed=more)
    for name in (
        "outer_pass",
        "inner_pass",
        "spin",
        "outer_modulation",
        "inner_modulation",
        "element_modulation",
    ):
        assert getattr(moved, name) == pytest.approx(getattr(still, name), abs=1e-9), name
    assert moved.cage == pytest.approx(still.cage + more, abs=1e-9)


@given(geometries, speeds, speeds)
def test_passes_add_up(geometry: BearingGeometry, inner: float, outer: float) -> None:
    lines = bearing_lines(geometry, inner_speed=inner, outer_speed=outer)
    assert lines.outer_pass + lines.inner_pass == pytest.approx(
        geometry.elements * abs(inner - outer), abs=1e-9
    )
    assert lines.outer_pass == pytest.approx(geometry.elements * lines.cage_on_outer, abs=1e-9)
    assert lines.inner_pass == pytest.approx(geometry.elements * lines.cage_on_inner, abs=1e-9)
    assert lines.element_strikes == 2 * lines.spin


def test_the_invented_taper_roller_bearing() -> None:
    """18 rollers of 7.05 mm on 45 mm at 14 degrees, per shaft turn; another program's figures, to its digits."""
    lines = bearing_lines(BearingGeometry(18, 7.05, 45.0, radians(14)), inner_speed=1)
    found = (lines.cage, lines.outer_pass, lines.inner_pass, lines.spin, lines.element_strikes)
    assert found == pytest.approx((0.424, 7.6319, 10.3681, 3.1177, 6.2355), abs=6e-5)


def test_a_held_ring_keeps_its_flaw_in_the_load() -> None:
    lines = bearing_lines(BearingGeometry(9, 7.94, 39.04), inner_speed=30)
    assert (lines.outer_modulation, lines.inner_modulation) == (0, 30)
    assert lines.element_modulation == lines.cage


def test_the_bearing_of_a_planet_keeps_its_pin_in_the_load() -> None:
    """The load turns with the carrier: a flaw on the pin stays in it, one on the planet's bore goes round."""
    lines = bearing_lines(BearingGeometry(14, 3, 20), inner_speed=20, outer_speed=-35, load_speed=20)
    assert (lines.inner_modulation, lines.outer_modulation) == (0, 55)


def test_rings_that_turn_as_one_sound_nothing() -> None:
    lines = bearing_lines(BearingGeometry(14, 3, 20), inner_speed=20, outer_speed=20)
    assert (lines.outer_pass, lines.inner_pass, lines.spin) == (0, 0, 0)
    assert lines.cage == pytest.approx(20)


def test_the_working_shows_the_figures() -> None:
    lines = bearing_lines(BearingGeometry(8, 10, 50), inner_speed=30, outer_speed=-10)
    assert lines.working == (
        "gamma: d cos(alpha) / D = 0.2",
        "rings per second: 30 inner, −10 outer, 40 apart",
        "cage: (inner · (1 − gamma) + outer · (1 + gamma)) / 2 = 6",
        "passes of the outer ring: 8 / 2 · 40 · (1 − gamma) = 128",
        "passes of the inner ring: 8 / 2 · 40 · (1 + gamma) = 192",
        "spin: D / 2d · 40 · (1 − gamma²) = 96, two strikes a turn = 192",
    )


def test_typed_multiples_are_held_against_each_other() -> None:
    assert multiplier_faults(9, outer_pass=3.5848, inner_pass=5.4152, cage=0.39828) == ()
    swapped = multiplier_faults(9, outer_pass=3.5848, inner_pass=4.5152, cage=0.39828)
    assert swapped == ("passes 3.5848 + 4.5152 = 8.1, but there are 9 elements.",)
    slip = multiplier_faults(9, outer_pass=3.5848, inner_pass=5.4152, cage=0.29828)
    assert slip == (
        "9 elements · cage 0.29828 = 2.68452, but the passes of the outer ring are 3.5848: one of the three is wrong.",
    )


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        ((1, 0.01, 0.05, 0.0), "a bearing with 1 rolling element"),
        ((8, 0.06, 0.05, 0.0), "the pitch diameter is the larger one"),
        ((8, 0.01, 0.05, 2.0), "expected 0 to a quarter turn"),
        ((8, 0.01, 0.05, -0.1), "expected 0 to a quarter turn"),
    ],
)
def test_what_is_no_bearing_is_refused(figures: tuple[int, float, float, float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        BearingGeometry(*figures)
