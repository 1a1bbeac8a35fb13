"""Roundness: minimum zone and least squares.

Expected: a search over all centres that four points can define (circles through three, and equal distances of two and
two), random centres as a second witness, closed forms said beside them, and numpy for least squares of small readings.
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
from countershaft.metrology.roundness import circle_of_least_squares, roundness, roundness_of_readings

Points = list[tuple[int, int]]


def middle_line(a: tuple[int, int], b: tuple[int, int]) -> tuple[int, int, int]:
    """2·(b - a)·c = b² - a²."""
    return 2 * (b[0] - a[0]), 2 * (b[1] - a[1]), b[0] ** 2 + b[1] ** 2 - a[0] ** 2 - a[1] ** 2


def width(points: Points, centre: tuple[Fraction, Fraction]) -> float:
    squares = [(x - centre[0]) ** 2 + (y - centre[1]) ** 2 for x, y in points]
    high, low = max(squares), min(squares)
    return float(high - low) / (math.sqrt(high) + math.sqrt(low))


def brute_force(points: Points) -> float:
    """The narrowest ring about any crossing of two middle lines (circles through three are among them)."""
    lines = [middle_line(a, b) for a, b in combinations(points, 2)]
    found = []
    for (a, b, e), (c, d, f) in combinations(lines, 2):
        turn = a * d - b * c
        if turn:
            found.append(width(points, (Fraction(e * d - b * f, turn), Fraction(a * f - e * c, turn))))
    return min(found)


@st.composite
def rings(draw: st.DrawFn) -> Points:
    """Points near a circle of radius 100, all round."""
    count = draw(st.integers(4, 7))
    off = draw(st.lists(st.integers(-6, 6), min_size=count, max_size=count))
    turns = [2 * math.pi * place / count for place in range(count)]
    ring = [
        (round((100 + d) * math.cos(t)), round((100 + d) * math.sin(t)))
        for d, t in zip(off, turns, strict=True)
    ]
    return [*ring, *draw(st.lists(st.sampled_from(ring), max_size=1))]


@settings(max_examples=150, deadline=None)
@given(rings())
def test_the_minimum_zone_is_that_of_every_centre_tried(points: Points) -> None:
    found = roundness(points)
    assert found.minimum.width == pytest.approx(
        brute_force(list(dict.fromkeys(points))), rel=1e-12, abs=1e-12
    )


@settings(max_examples=150, deadline=None)
@given(rings())
def test_the_minimum_zone_is_never_above_least_squares(points: Points) -> None:
    found = roundness(points)
    assert found.minimum.width <= found.least_squares.width


@pytest.mark.parametrize("seed", range(5))
def test_no_centre_at_random_is_narrower(seed: int) -> None:
    chance = random.Random(seed)
    turns = [2 * math.pi * place / 18 for place in range(18)]
    found = roundness_of_readings(turns, [chance.gauss(0, 5e-6) for _ in turns], radius=25e-3)
    points = [found.minimum.centre]  # the centre is one of those tried
    points += [(chance.gauss(0, 5e-6), chance.gauss(0, 5e-6)) for _ in range(4000)]
    ring = np.array(
        [
            ((25e-3 + r) * math.cos(t), (25e-3 + r) * math.sin(t))
            for t, r in zip(turns, random_readings(seed), strict=True)
        ]
    )
    widths = [np.ptp(np.hypot(ring[:, 0] - x, ring[:, 1] - y)) for x, y in points]
    assert min(widths) >= found.minimum.width - 1e-16
    assert widths[0] == pytest.approx(found.minimum.width, rel=1e-9)


def random_readings(seed: int) -> list[float]:
    chance = random.Random(seed)
    return [chance.gauss(0, 5e-6) for _ in range(18)]


def test_eccentric_set_up_is_taken_out() -> None:
    """A true circle off centre: the readings swing, the roundness is nothing."""
    points = [(3 + 50 * math.cos(t), -2 + 50 * math.sin(t)) for t in np.linspace(0, 2 * math.pi, 13)[:-1]]
    found = roundness(points)
    assert found.minimum.width < 1e-12
    assert found.least_squares.centre == pytest.approx((3, -2), abs=1e-12)
    assert found.least_squares.radius == pytest.approx(50, abs=1e-12)


@pytest.mark.parametrize("lobes", [2, 3, 4, 5])
def test_even_lobes_give_twice_their_height(lobes: int) -> None:
    """Crests R + h and hollows R - h evenly between them: by symmetry the centre stays, so the zone is 2h."""
    turns = [math.pi * place / lobes for place in range(2 * lobes)]
    readings = [0.004e-3 * (-1) ** place for place in range(2 * lobes)]
    found = roundness_of_readings(turns, readings, radius=20e-3)
    assert found.minimum.width == pytest.approx(0.008e-3, rel=1e-9)
    assert (len(found.minimum.outer), len(found.minimum.inner)) >= (1, 1)


def test_least_squares_of_small_readings_is_the_first_wave() -> None:
    """NIST/SEMATECH e-Handbook 2.3.4.4.1: a = 2/N Σ r cos θ, b = 2/N Σ r sin θ, for readings small to the radius."""
    chance = random.Random(4)
    turns = [2 * math.pi * place / 36 for place in range(36)]
    readings = [chance.gauss(0, 2e-6) for _ in turns]
    a = 2 / 36 * sum(r * math.cos(t) for t, r in zip(turns, readings, strict=True))
    b = 2 / 36 * sum(r * math.sin(t) for t, r in zip(turns, readings, strict=True))
    found = roundness_of_readings(turns, readings, radius=40e-3).least_squares
    assert found.centre == pytest.approx((a, b), abs=1e-9)
    left = [r - a * math.cos(t) - b * math.sin(t) for t, r in zip(turns, readings, strict=True)]
    assert found.width == pytest.approx(max(left) - min(left), abs=1e-9)


@settings(max_examples=60)
@given(st.integers(0, 10_000))
def test_no_centre_beside_it_scatters_less(seed: int) -> None:
    chance = random.Random(seed)
    points = [(chance.gauss(0, 3), chance.gauss(0, 3)) for _ in range(8)]
    x, y, radius = circle_of_least_squares(points)
    if radius > 30:
        return  # nearly a straight line

    def scatter(a: float, b: float) -> float:
        far = [math.dist(point, (a, b)) for point in points]
        return sum((one - sum(far) / 8) ** 2 for one in far)

    here = scatter(x, y)
    assert all(
        scatter(x + 1e-3 * math.cos(t), y + 1e-3 * math.sin(t)) >= here - 1e-12
        for t in np.linspace(0, 6.2, 12)
    )


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ([(0, 0), (1, 0), (0, 1)], "3 different points are given; roundness needs at least four"),
        ([(0, 0), (1, 1), (2, 2), (3, 3)], "not on one line"),
        ([(10, 0), (9, 4), (8, 6), (6, 8)], "leave half of the circle open"),
    ],
)
def test_what_cannot_be_judged_is_refused(points: list[tuple[float, float]], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        roundness(points)


def test_readings_without_their_angle_or_radius_are_refused() -> None:
    with pytest.raises(OutOfRange, match="4 angles but 3 readings"):
        roundness_of_readings([0, 1, 2, 3], [0.0, 0.0, 0.0], radius=1.0)
    with pytest.raises(OutOfRange, match="must be larger than every reading"):
        roundness_of_readings([0, 2, 4], [0.0, 2.0, 0.0], radius=1.0)


def test_the_working_names_the_places_from_one() -> None:
    found = roundness([(0.01, 0), (0, 0.01002), (-0.01, 0), (0, -0.01002)])
    assert found.working()[:2] == (
        "minimum zone: width = farthest outside + farthest inside the mean circle = 0.0100 mm + 0.0100 mm = 0.0200 mm",
        "minimum zone: centre 0.0000 mm, 0.0000 mm; touching outside: place 2, 4; inside: place 1, 3",
    )
