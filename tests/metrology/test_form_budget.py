"""Where the expected values come from: arithmetic by hand beside each, and a second method (plain draws).

The square root of two of a zone is the bound that metrology/flatness.py proves; it is held here against plain draws.
"""

from __future__ import annotations

import math
import statistics
from random import Random

import pytest

from countershaft.errors import OutOfRange
from countershaft.metrology.budget import Contribution
from countershaft.metrology.flatness import flatness
from countershaft.metrology.form_budget import (
    PlaceReading,
    form_estimate,
    moved_by_each,
    one_reading,
    simulated_form,
)


def test_scatter_is_pooled_over_the_places() -> None:
    # by hand: places (1, 3) and (4, 4, 7): squares 2 and 6, freedom 1 + 2, so s = sqrt(8 / 3)
    one = one_reading([[1.0, 3.0], [4.0, 4.0, 7.0]], resolution=1.0)
    assert one.scatter == pytest.approx(math.sqrt(8 / 3))
    assert (one.freedom, one.repeats) == (3.0, 2)
    # u² = 1/12 + (8/3)/2
    assert one.standard == pytest.approx(math.sqrt(1 / 12 + 4 / 3))


def test_readings_without_repeats_have_the_scale_alone() -> None:
    one = one_reading([[1.0], [2.0]], resolution=0.3, permitted_error=0.4)
    assert one.scatter == 0.0 and math.isinf(one.freedom)
    assert one.standard == pytest.approx(math.sqrt(0.09 / 12 + 0.16 / 3))


def test_the_slope_carries_every_part() -> None:
    found = form_estimate(
        0.04, PlaceReading(0.01, 0.006), slope=2.0, others=[Contribution("probe radius", 0.003)]
    )
    by_hand = math.sqrt(4 * (1e-4 / 12 + 3.6e-5 / 3) + 9e-6)
    assert found.standard == pytest.approx(by_hand)
    assert found.expanded == pytest.approx(2 * by_hand)
    assert "probe radius" in "\n".join(found.working("mm"))


def test_a_finer_instrument_is_foreseen_through_the_slope() -> None:
    found = form_estimate(0.04, PlaceReading(0.01), slope=math.sqrt(2))
    assert found.foreseen(resolution=0.002).standard == pytest.approx(found.standard / 5)
    assert found.foreseen(resolution=0.002).mean == found.mean


def test_a_form_that_is_not_linear_has_the_farther_end() -> None:
    drawn = simulated_form(lambda *row: max(row) - min(row), [(0.0, 1.0)] * 8)
    # mean range of eight normal values, from the table of control chart factors: d2 = 2.847
    assert drawn.mean == pytest.approx(2.847, abs=0.03)
    found = form_estimate(0.0, PlaceReading(math.sqrt(12)), slope=math.sqrt(2), simulated=drawn)
    assert found.expanded == pytest.approx(drawn.interval[1])
    assert "not linear" in found.working("mm")[-1]


def test_draws_forget_neither_a_certificate_nor_few_repeats() -> None:
    """Student's factor for 1 degree of freedom is 13.97 (JCGM 100, Table G.2)."""
    drawn = simulated_form(lambda *row: max(row) - min(row), [(0.0, 1.0)] * 8)
    one, slope = PlaceReading(math.sqrt(12)), math.sqrt(2)
    alone = form_estimate(0.0, one, slope=slope, simulated=drawn)
    certified = form_estimate(
        0.0, one, slope=slope, others=(Contribution("calibration certificate", 3.0),), simulated=drawn
    )
    # by hand: two independent half widths, the second 2 · 3
    assert certified.expanded == pytest.approx(math.hypot(alone.expanded, 6.0), rel=1e-3)
    assert "with what the draws do not know" in certified.working("mm")[-1]
    few = form_estimate(
        0.0, PlaceReading(1e-6, scatter=math.sqrt(2), freedom=1.0, repeats=2), slope=slope, simulated=drawn
    )
    assert few.expanded == pytest.approx(alone.expanded * 13.97 / 2, rel=2e-3)


def test_a_certificate_leaves_a_straight_form_to_its_budget() -> None:
    """By hand: u² = (2 · 0.1)² + 0.15², and U = 2 u."""
    drawn = simulated_form(lambda value: 2 * value, [(5.0, 0.1)])
    beside = (Contribution("calibration certificate", 0.15),)
    found = form_estimate(10.0, PlaceReading(0.1 * math.sqrt(12)), slope=2.0, others=beside, simulated=drawn)
    assert found.expanded == pytest.approx(0.5, rel=1e-4)


def test_where_the_budget_holds_it_counts() -> None:
    drawn = simulated_form(lambda value: 2 * value, [(5.0, 0.1)])
    found = form_estimate(10.0, PlaceReading(0.1 * math.sqrt(12)), slope=2.0, simulated=drawn)
    assert found.expanded == pytest.approx(0.4)
    assert "as the budget says" in found.working("mm")[-1]


def test_moving_each_reading_gives_the_slope_of_a_sum() -> None:
    # by hand: 2a - b + 3c has the slope sqrt(4 + 1 + 9)
    slope = moved_by_each(lambda row: 2 * row[0] - row[1] + 3 * row[2], [1.0, 0.0, 5.0], 0.1)
    assert slope == pytest.approx(math.sqrt(14))


def test_a_flat_zone_still_moves() -> None:
    slope = moved_by_each(lambda row: max(row) - min(row), [0.0, 0.0, 0.0], 0.1)
    assert slope == pytest.approx(math.sqrt(3))


def test_root_two_bounds_the_zone_of_a_face_with_a_clear_form() -> None:
    """A dished face, drawn plainly: its zone scatters with no more than √2 u."""
    rows = [(float(x), float(y), 0.4 * ((x - 2) ** 2 + (y - 2) ** 2)) for x in range(5) for y in range(5)]
    chance = Random(4)
    drawn = [
        flatness([(x, y, round(z + chance.gauss(0, 0.02), 6)) for x, y, z in rows]).minimum.width
        for _ in range(150)
    ]
    # 150 draws know a standard deviation to about 6 %; four times that is allowed
    assert statistics.stdev(drawn) <= 0.02 * math.sqrt(2) * 1.25


@pytest.mark.parametrize(
    ("readings", "resolution", "error"),
    [([], 0.1, 0.0), ([[1.0], []], 0.1, 0.0), ([[1.0]], 0.0, 0.0), ([[1.0]], 0.1, -1.0)],
)
def test_bad_input_is_refused(readings: list[list[float]], resolution: float, error: float) -> None:
    with pytest.raises(OutOfRange, match=r"no reading|no instrument's"):
        one_reading(readings, resolution=resolution, permitted_error=error)
