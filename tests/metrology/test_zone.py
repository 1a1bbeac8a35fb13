"""Zones across one direction, and the direction of least squares.

Expected: numpy (projection, singular values), and simulated readings for how far scatter moves a zone.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.metrology.flatness import flatness
from countershaft.metrology.hull import whole_numbers
from countershaft.metrology.roundness import roundness_of_readings
from countershaft.metrology.straightness import straightness
from countershaft.metrology.zone import least_squares_normal, zone_across

point = st.tuples(st.integers(-20, 20), st.integers(-20, 20), st.integers(-20, 20))


@given(st.lists(point, min_size=2, max_size=9), point.filter(any))
def test_a_zone_is_the_spread_of_the_projections(points: list[tuple[int, ...]], way: tuple[int, ...]) -> None:
    scaled = [tuple(value / 8 for value in one) for one in points]
    whole, factor = whole_numbers(scaled)
    found = zone_across(whole, factor, way)
    unit = np.array(way) / np.linalg.norm(way)
    levels = np.array(scaled) @ unit
    assert found.width == pytest.approx(np.ptp(levels), abs=1e-12)
    assert abs(np.dot(found.normal, unit)) == pytest.approx(1)
    assert next(part for part in reversed(found.normal) if part) > 0
    assert found.peak + found.valley == pytest.approx(found.width, abs=1e-12)
    assert sum(found.deviations) == pytest.approx(0, abs=1e-10)


@pytest.mark.parametrize("seed", range(5))
def test_tiny_deviations_on_a_wide_face_keep_their_direction(seed: int) -> None:
    """Heights of 10 nm on a face of 1 m: the normal agrees with numpy's to eight digits of its lean."""
    chance = np.random.default_rng(seed)
    points = np.column_stack(
        [chance.uniform(0, 1, 30), chance.uniform(0, 0.5, 30), chance.normal(0, 1e-8, 30)]
    )
    axis = np.linalg.svd(points - points.mean(axis=0))[2][2]
    normal = least_squares_normal([tuple(one) for one in points.tolist()])
    lean, theirs = np.array(normal[:2]) / normal[2], axis[:2] / axis[2]
    assert lean == pytest.approx(theirs, rel=1e-6, abs=1e-16)


@pytest.mark.parametrize("kind", ["line", "face", "ring"])
def test_scatter_of_the_readings_moves_a_zone_by_no_more_than_root_two(kind: str) -> None:
    """A form far larger than the scatter, so that the same places touch; u of one reading is 0.01."""
    chance = np.random.default_rng(11)

    def width() -> float:
        off = chance.normal(0, 0.01, 9)
        if kind == "line":
            return straightness([0, 100, 200], [off[0], 3 + off[1], off[2]]).minimum.width
        if kind == "face":
            rows = [(0, 0, 2 + off[0]), (100, 0, off[1]), (100, 100, 2 + off[2]), (0, 100, off[3])]
            return flatness(rows).minimum.width
        turns = [math.pi / 4 * place for place in range(8)]
        oval = [math.cos(2 * turn) + step for turn, step in zip(turns, off[:8], strict=True)]
        return roundness_of_readings(turns, oval, radius=500.0).minimum.width

    scatter = np.std([width() for _ in range(400)])
    assert 0.3 * 0.01 < scatter < 1.08 * math.sqrt(2) * 0.01


def test_the_working_names_the_places_from_one() -> None:
    found = flatness([(0, 0, 0), (90e-3, 0, 0), (0, 90e-3, 0), (30e-3, 30e-3, 12e-6)])
    assert found.working()[:2] == (
        "minimum zone: width = highest above + lowest below the mean = 0.0090 mm + 0.0030 mm = 0.0120 mm",
        "minimum zone: touching above: place 4; below: place 1, 2, 3",
    )
    line = straightness([0, 0.1, 0.2], [0, 25.4e-6, 0]).working("in")
    assert line[0].endswith("= 0.00067 in + 0.00033 in = 0.00100 in")
    assert line[2].startswith("least squares: width")
