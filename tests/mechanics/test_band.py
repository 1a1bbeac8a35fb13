"""Band brakes.

Expected values: the belt cut into many small pieces, each in balance (a second route of ours), and bounds that hold
for any band.  Published values stand in tests/published/test_friction.py.
"""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.band import (
    Band,
    Servo,
    band_capacity,
    band_force,
    band_lining_pressure,
    servo_force,
    servo_pressure,
)

bands = st.builds(Band, st.floats(0.04, 0.12), st.floats(0.5, 11.0), st.floats(0.04, 0.3))


def torque_in_pieces(band: Band, pulled: float, *, energised: bool, pieces: int = 50_000) -> float:
    """Friction of each small piece on the drum, going round from the pulled end; tension grows or shrinks with it."""
    tension, torque, angle = pulled, 0.0, band.wrap_angle / pieces
    for _ in range(pieces):
        # The tension in the middle of the piece decides its friction; half the growth is known from its start.
        half = 1 + band.friction_coefficient * angle / 2 * (1 if energised else -1)
        friction = band.friction_coefficient * tension * half * angle
        torque += friction * band.drum_radius
        tension += friction if energised else -friction
    return torque


@pytest.mark.parametrize("energised", [True, False])
def test_capacity_in_small_pieces(energised: bool) -> None:
    band = Band(0.07, 1.75 * pi, 0.12)
    both = band_capacity(band, force=1500)
    found = both.energised if energised else both.de_energised
    assert found == pytest.approx(torque_in_pieces(band, 1500, energised=energised), rel=1e-6)


@given(bands, st.floats(1, 20000))
def test_helped_by_the_drum_it_holds_more_by_the_ratio_of_tensions(band: Band, force: float) -> None:
    both = band_capacity(band, force=force)
    assert both.energised == pytest.approx(both.de_energised * band.tension_ratio)
    assert both.energised > both.de_energised > 0


@given(bands, st.floats(0, 20000), st.floats(0, 20000))
def test_more_pull_never_holds_less(band: Band, one: float, other: float) -> None:
    low, high = (band_capacity(band, force=force) for force in sorted((one, other)))
    assert low.energised <= high.energised
    assert low.de_energised <= high.de_energised


@given(bands, st.floats(1, 2000), st.booleans())
def test_the_force_that_is_needed_just_holds(band: Band, torque: float, energised: bool) -> None:
    both = band_capacity(band, force=band_force(band, torque=-torque, energised=energised))
    assert (both.energised if energised else both.de_energised) == pytest.approx(torque)


def test_a_little_friction_hardly_tells_the_ways_apart() -> None:
    """With hardly any friction both ways come to F · r · µ · θ."""
    both = band_capacity(Band(0.1, 2.0, 1e-6), force=1000)
    assert both.energised == pytest.approx(1000 * 0.1 * 2e-6, rel=1e-5)
    assert both.de_energised == pytest.approx(1000 * 0.1 * 2e-6, rel=1e-5)


def test_the_working_shows_both_ways() -> None:
    assert band_capacity(Band(0.06, 3.0, 0.25), force=168).working == (
        "tight over slack: e^(0.25 · 3 rad) = 2.117",
        "self-energised: 168 N · (2.117 − 1) · 60 mm = 11.2594 N·m",
        "de-energised: 168 N · (1 − 1/2.117) · 60 mm = 5.31855 N·m",
    )


def test_servo_with_both_sides_fed() -> None:
    """By hand: (500 kPa · 20 cm² − 200 kPa · 15 cm² − 100 N) · 1.2 = (1000 − 300 − 100) · 1.2."""
    servo = Servo(0.002, return_spring=100, lever_ratio=1.2, release_area=0.0015)
    assert servo_force(servo, pressure=500e3, release_pressure=200e3) == pytest.approx(720)
    assert servo_pressure(servo, force=720, release_pressure=200e3) == pytest.approx(500e3)
    assert servo_force(servo, pressure=0) == pytest.approx(-120)


def test_what_is_no_band_is_refused() -> None:
    with pytest.raises(OutOfRange, match="the wrapped angle of a band is 0"):
        Band(0.07, 0.0, 0.12)
    with pytest.raises(OutOfRange, match="a band cannot be pushed"):
        band_capacity(Band(0.07, 5.0, 0.12), force=-1)
    with pytest.raises(OutOfRange, match="drum radius and width of a band are above zero"):
        band_lining_pressure(100, drum_radius=0.07, width=0)
    with pytest.raises(OutOfRange, match="piston area and lever ratio are above zero"):
        Servo(0.0)
    with pytest.raises(OutOfRange, match="spring and release area are zero or more"):
        Servo(0.002, return_spring=-1)
    with pytest.raises(OutOfRange, match="a pressure is below zero"):
        servo_force(Servo(0.002), pressure=-1)
