"""Tilt of a housing face.

Expected: readings made from a plane that leans by a known angle.
"""

from __future__ import annotations

import math

import pytest

from countershaft.errors import OutOfRange
from countershaft.metrology.housing_face import face_from_total, face_tilt

EIGHTHS = [math.radians(turn) for turn in range(0, 360, 45)]


def test_a_leaning_plane_is_found_again() -> None:
    """A face that leans 0.4 mm per m, nearest to the indicator at 7 o'clock, read on 300 mm."""
    near, lean, radius = math.radians(210), 0.4e-3, 0.15
    read = [0.02e-3 + radius * lean * math.cos(turn - near) for turn in EIGHTHS]
    found = face_tilt(EIGHTHS, read, diameter=0.3, standard=3e-6)
    assert found.tilt == pytest.approx(lean)
    assert found.nearest == pytest.approx(near)
    assert found.shift_at(0.11) == pytest.approx(0.044e-3)
    assert (
        found.words()
        == "the face runs out 0.12 mm on 300.00 mm, a lean of 0.40 mm per m, nearest at 7 o'clock"
    )
    # The wave has √(2/8) u, the total twice that.
    assert found.standard == pytest.approx(3e-6)


def test_sag_is_taken_off_the_face_too() -> None:
    read = [-0.03e-3 * (1 - math.cos(turn)) / 2 for turn in EIGHTHS]
    assert face_tilt(EIGHTHS, read, diameter=0.3, standard=3e-6, sag=-0.03e-3).total < 1e-12


def test_a_bare_total_has_no_direction() -> None:
    found = face_from_total(0.1e-3, diameter=0.3, standard=3e-6)
    assert (found.nearest, found.sweep) == (None, None)
    assert found.standard == pytest.approx(math.sqrt(2) * 3e-6)
    assert found.words("in") == "the face runs out 0.004 in on 11.811 in, a lean of 0.33 mm per m"


def test_what_is_no_face_is_refused() -> None:
    with pytest.raises(OutOfRange, match="diameter of the swept circle is 0"):
        face_tilt(EIGHTHS, [0.0] * 8, diameter=0.0, standard=3e-6)
    with pytest.raises(OutOfRange, match="must be zero or above"):
        face_from_total(-1e-5, diameter=0.3, standard=3e-6)
    with pytest.raises(OutOfRange, match="must be above zero"):
        face_from_total(1e-5, diameter=0.3, standard=0.0)


def test_the_working_divides_total_by_diameter() -> None:
    assert face_from_total(0.09e-3, diameter=0.28, standard=3e-6).working() == (
        "total indicator reading 0.090 mm, u = 0.0042 mm",
        "lean = total / diameter = 0.090 mm / 280.00 mm = 0.321 mm per m",
    )
