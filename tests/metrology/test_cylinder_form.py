"""Taper, ovality and barrel shape.

Expected: closed forms of an ellipse and of straight cones, and numpy's straight line through the means.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from countershaft.errors import OutOfRange
from countershaft.metrology.cylinder_form import cylinder_form, ovality

SQUARE = math.pi / 2


def test_the_long_axis_is_found_between_the_directions() -> None:
    """D(θ) = 50 + 0.02 cos 2(θ - 25°), read at 0, 60, 120 degrees."""
    axis = math.radians(25)
    ways = [math.radians(turn) for turn in (0, 60, 120)]
    found = ovality(ways, [50 + 0.02 * math.cos(2 * (way - axis)) for way in ways], standard=0.002)
    assert found.fitted == pytest.approx(0.04)
    assert found.long_axis == pytest.approx(axis)
    assert found.mean == pytest.approx(50)
    assert found.measured < 0.04
    # Three equal directions: each part has √(2/3) u, and the ovality is twice the wave.
    assert found.standard == pytest.approx(2 * math.sqrt(2 / 3) * 0.002)


def test_two_directions_give_the_plain_difference() -> None:
    found = ovality([0, SQUARE], [50.02, 50.0], standard=0.003)
    assert (found.measured, found.fitted, found.long_axis) == (pytest.approx(0.02), None, None)
    assert found.standard == pytest.approx(0.003 * math.sqrt(2))


def test_three_lobes_do_not_show_in_diameters() -> None:
    """A part of three lobes has equal diameters all round: the known blind spot of a micrometer."""
    ways = [math.radians(turn) for turn in range(0, 180, 15)]
    sizes = [
        sum(25 + 0.01 * math.cos(3 * turn) for turn in (way, way + math.pi)) for way in ways
    ]  # radius one way and the other
    assert ovality(ways, sizes).measured < 1e-12


def test_taper_and_barrel() -> None:
    sections = {
        0.0: [(0.0, 50.00), (SQUARE, 50.00)],
        20.0: [(0.0, 50.03), (SQUARE, 50.03)],
        40.0: [(0.0, 50.02), (SQUARE, 50.02)],
    }
    found = cylinder_form(sections, standard=0.004)
    line = np.polyfit([0, 20, 40], [50.00, 50.03, 50.02], 1)
    assert found.slope == pytest.approx(line[0])
    assert found.taper == pytest.approx(line[0] * 40)
    assert found.barrel == pytest.approx(0.02)
    # The ends alone make this slope: u = √2 · (u/√2) of the mean of two diameters.
    assert found.taper_standard == pytest.approx(0.004)
    assert found.worst_ovality == 0
    assert (found.smallest, found.smallest_at[0]) == (50.00, 0.0)
    assert (found.largest, found.largest_at[0]) == (50.03, 20.0)


def test_a_bore_that_narrows_has_a_negative_taper() -> None:
    found = cylinder_form({0.0: [(0, 50.1), (SQUARE, 50.1)], 10.0: [(0, 50.0), (SQUARE, 50.06)]})
    assert found.taper == pytest.approx(-0.07)
    assert (found.worst_ovality, found.worst_ovality_at) == (pytest.approx(0.06), 10.0)
    assert found.barrel is None


@pytest.mark.parametrize(
    ("ways", "sizes", "said"),
    [
        ([0], [50.0], "at least two directions"),
        ([0, math.pi], [50.0, 50.0], "at least two directions"),
        ([0, 1], [50.0], "2 directions but 1 diameters"),
        ([0, 1], [50.0, -1.0], "not a number above zero"),
    ],
)
def test_what_cannot_be_told_is_refused(ways: list[float], sizes: list[float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        ovality(ways, sizes)


def test_one_section_has_no_taper() -> None:
    with pytest.raises(OutOfRange, match="1 sections are given; taper needs at least two"):
        cylinder_form({0.0: [(0, 50.0), (1, 50.0)]})


def test_the_working_tells_every_section() -> None:
    found = cylinder_form(
        {0.0: [(0, 0.05), (SQUARE, 0.05002)], 0.04: [(0, 0.0501), (SQUARE, 0.0501)]}, standard=2e-6
    )
    assert found.working() == (
        "at 0.00 mm: mean 50.010 mm, largest less smallest 0.020 mm",
        "at 40.00 mm: mean 50.100 mm, largest less smallest 0.000 mm",
        "slope 2.2500 mm per m · length 40.00 mm = taper 0.0900 mm, u = 0.0020 mm",
        "worst ovality 0.020 mm at 0.00 mm",
    )
