"""Straightness: exact minimum zone.

Expected: a search over every pair of points (the definition of the narrowest strip for points), numpy's singular
value decomposition for the least squares line, and closed forms said beside them.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.straightness import straightness

heights = st.integers(-9, 9)
lines = st.lists(st.tuples(st.integers(0, 40), heights), min_size=3, max_size=9).filter(
    lambda line: len({x for x, _ in line}) > 1
)


def brute_force(points: list[tuple[int, int]]) -> Fraction:
    """Squared width of the narrowest strip: every direction of two points, every point."""
    found = []
    for (ax, ay), (bx, by) in combinations(points, 2):
        normal = (ay - by, bx - ax)
        square = normal[0] ** 2 + normal[1] ** 2
        if square:
            levels = [normal[0] * x + normal[1] * y for x, y in points]
            found.append(Fraction((max(levels) - min(levels)) ** 2, square))
    return min(found)


@given(lines)
def test_the_minimum_zone_is_that_of_every_direction_tried(line: list[tuple[int, int]]) -> None:
    found = straightness([x for x, _ in line], [y for _, y in line])
    assert found.minimum.squared == brute_force(line)


@given(lines)
def test_the_minimum_zone_is_never_above_least_squares(line: list[tuple[int, int]]) -> None:
    found = straightness([x for x, _ in line], [y / 1000 for _, y in line])
    assert found.minimum.width <= found.least_squares.width
    assert found.minimum.squared <= found.least_squares.squared


@given(lines, st.floats(-0.2, 0.2))
def test_least_squares_is_the_smallest_singular_direction(line: list[tuple[int, int]], lean: float) -> None:
    points = np.array([(x, y / 100 + lean * x) for x, y in line])
    centred = points - points.mean(axis=0)
    _, values, axes = np.linalg.svd(centred)
    if values[0] - values[1] < 1e-3 * values[0]:
        return  # no direction is better than another
    found = straightness(list(points[:, 0]), list(points[:, 1])).least_squares
    assert abs(abs(np.dot(axes[1], found.normal)) - 1) < 1e-9
    assert found.width == pytest.approx(np.ptp(centred @ axes[1]), abs=1e-9)


def test_a_straight_leaning_line_has_no_deviation() -> None:
    found = straightness([0, 1, 2, 3], [Fraction(1, 7) * place for place in range(4)])
    assert found.minimum.width == 0.0
    assert found.least_squares.width < 1e-15


def test_a_bow_of_three_places() -> None:
    """The middle of three equal steps stands 0.03 high: zone 0.03; least squares the same, by symmetry."""
    found = straightness([0, 0.1, 0.2], [0, 0.03e-3, 0])
    assert found.minimum.width == pytest.approx(0.03e-3, rel=1e-6)
    assert found.minimum.upper == (1,)
    assert found.minimum.lower == (0, 2)
    assert (found.least_squares.peak, found.least_squares.valley) == pytest.approx(
        (0.02e-3, 0.01e-3), rel=1e-6
    )


@pytest.mark.parametrize(
    ("positions", "readings", "said"),
    [
        ([0, 1], [0, 0], "2 readings are given; straightness needs at least three"),
        ([0, 1, 2], [0, 0], "3 positions but 2 heights"),
        ([1, 1, 1], [0, 1, 2], "all readings stand at one place"),
        ([0, 1, 2], [0, float("inf"), 0], "not a finite number"),
    ],
)
def test_what_cannot_be_judged_is_refused(positions: list[float], readings: list[float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        straightness(positions, readings)
