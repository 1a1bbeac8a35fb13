"""Flatness: exact minimum zone.

Expected: a search over the normals of all triples and all pairs of pairs of points (the definition of the width of a
point set), random directions as a second witness, numpy's singular value decomposition for least squares, and closed
forms said beside them.
"""

from __future__ import annotations

import math
import random
from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.flatness import flatness, flatness_of_grid
from countershaft.metrology.hull import cross, dot, minus

Points = list[tuple[int, int, int]]


def spread_out(points: Points) -> bool:
    """Whether the places do not all stand on one line."""
    return any(
        (bx - ax) * (cy - ay) != (by - ay) * (cx - ax)
        for (ax, ay, _), (bx, by, _), (cx, cy, _) in combinations(points, 3)
    )


places = st.integers(0, 12)
faces = st.lists(st.tuples(places, places, st.integers(-3, 3)), min_size=4, max_size=7).filter(spread_out)


def brute_force(points: Points) -> Fraction:
    """Squared width: every plane through three points, and every plane along two lines through two points each."""
    arrows = [minus(b, a) for a, b in combinations(points, 2)]
    normals = (cross(a, b) for a, b in combinations(arrows, 2))
    return min(
        Fraction((max(levels) - min(levels)) ** 2, dot(normal, normal))
        for normal in normals
        if any(normal)
        for levels in [[dot(normal, point) for point in points]]
    )


@settings(max_examples=300)
@given(faces)
def test_the_minimum_zone_is_that_of_every_direction_tried(points: Points) -> None:
    assert flatness(points).minimum.squared == brute_force(points)


@settings(max_examples=300)
@given(
    st.lists(st.tuples(places, places, st.floats(-0.05, 0.05)), min_size=4, max_size=25).filter(spread_out)
)
def test_the_minimum_zone_is_never_above_least_squares(points: list[tuple[int, int, float]]) -> None:
    found = flatness(points)
    assert found.minimum.width <= found.least_squares.width
    assert found.minimum.squared <= found.least_squares.squared


@pytest.mark.parametrize("seed", range(6))
def test_no_direction_at_random_is_narrower(seed: int) -> None:
    chance = random.Random(seed)
    points = np.array([(x, y, chance.gauss(0, 0.3)) for x in range(5) for y in range(5)])
    found = flatness([tuple(point) for point in points.tolist()]).minimum
    near = np.array([found.normal]) + np.array(
        [[chance.gauss(0, 0.02) for _ in range(3)] for _ in range(5000)]
    )
    near /= np.linalg.norm(near, axis=1)[:, None]
    widths = np.ptp(points @ near.T, axis=0)
    assert widths.min() >= found.width * (1 - 1e-12)
    assert widths.min() < found.width * 1.2


@pytest.mark.parametrize("seed", range(6))
def test_least_squares_is_the_smallest_singular_direction(seed: int) -> None:
    chance = random.Random(seed)
    points = np.array([(x * 20e-3, y * 20e-3, chance.gauss(0, 1e-5)) for x in range(4) for y in range(6)])
    centred = points - points.mean(axis=0)
    axes = np.linalg.svd(centred)[2]
    found = flatness([tuple(point) for point in points.tolist()]).least_squares
    assert abs(np.dot(axes[2], found.normal)) == pytest.approx(1, abs=1e-12)
    assert found.width == pytest.approx(np.ptp(centred @ axes[2]), rel=1e-8)


def test_a_face_that_leans_as_a_whole_is_flat() -> None:
    points = [(x, y, Fraction(x, 3) - Fraction(y, 7)) for x in range(4) for y in range(3)]
    found = flatness(points)
    assert found.minimum.width == 0.0
    assert found.least_squares.width < 1e-14
    square = math.sqrt(1 + 1 / 9 + 1 / 49)
    assert found.minimum.normal == pytest.approx((-1 / 3 / square, 1 / 7 / square, 1 / square))


def test_the_points_that_touch_are_named() -> None:
    """Three corners level, one spot above their middle: it touches alone, the corners below."""
    found = flatness([(0, 0, 0), (90, 0, 0), (0, 90, 0), (30, 30, 0.012)]).minimum
    assert (found.upper, found.lower) == ((3,), (0, 1, 2))


def test_a_twist_touches_two_and_two() -> None:
    found = flatness_of_grid([[0.02, 0.0], [0.0, 0.02]], step_x=100.0, step_y=80.0).minimum
    assert found.width == pytest.approx(0.02, rel=1e-6)
    assert {found.upper, found.lower} == {(0, 3), (1, 2)}


def test_a_hole_in_the_grid_is_left_out() -> None:
    rows = [[0.0, 0.0, 0.0], [0.0, None, 0.0], [0.0, 0.0, 0.03]]
    assert flatness_of_grid(rows, step_x=10.0, step_y=10.0).minimum.width == pytest.approx(
        brute_force_float(
            [
                (c * 10.0, r * 10.0, h)
                for r, row in enumerate(rows)
                for c, h in enumerate(row)
                if h is not None
            ]
        )
    )


def brute_force_float(points: list[tuple[float, float, float]]) -> float:
    """As above, in thousandths."""
    return (
        math.sqrt(brute_force([(int(x * 1000), int(y * 1000), round(z * 1000)) for x, y, z in points])) / 1000
    )


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ([(0, 0, 0), (1, 0, 0), (0, 1, 0)], "3 points are given; flatness needs at least four"),
        ([(0, 0, 0), (1, 1, 0), (2, 2, 1), (3, 3, 0)], "all places stand on one line of the face"),
        ([(0, 0, 0), (1, 0, 0), (0, 1, 0), (1, 1, float("nan"))], "not a finite number"),
    ],
)
def test_what_cannot_be_judged_is_refused(points: list[tuple[float, float, float]], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        flatness(points)


def test_a_grid_without_a_step_is_refused() -> None:
    with pytest.raises(OutOfRange, match="both must be above zero"):
        flatness_of_grid([[0.0, 0.0], [0.0, 0.0]], step_x=0.0, step_y=1.0)
