"""Monte Carlo: moments of the distributions in closed form, a sum against the convolution of its parts, and numpy.

Tolerances are five standard deviations of the estimate, so a right program fails about once in a million seeds;
the seeds are fixed.
"""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.chance import (
    ArcSine,
    Distribution,
    Normal,
    Rectangular,
    RoughRectangular,
    Student,
    Triangular,
)
from countershaft.metrology.monte_carlo import Simulated, first_order_holds, shortest_interval, simulate

DRAWS = 40_000
#: Mean and variance in closed form (JCGM 101:2008, 6.4.2 to 6.4.9).
KNOWN = [
    (Normal(3.0, 0.5), 3.0, 0.25),
    (Rectangular(1.0, 4.0), 2.5, 9 / 12),
    (Triangular(1.0, 4.0), 2.5, 9 / 24),
    (ArcSine(-1.0, 3.0), 1.0, 4 / 2),
    (RoughRectangular(-2.0, 2.0, 0.5), 0.0, 4 / 3 + 0.25 / 9),
    (Student(7.0, 0.3, 9), 7.0, 0.09 * 9 / 7),
]


@pytest.mark.parametrize(("source", "mean", "variance"), KNOWN, ids=lambda one: type(one).__name__)
def test_each_distribution_has_its_moments(source: Distribution, mean: float, variance: float) -> None:
    values = np.array(source.draw(DRAWS, Random(5)))
    deviation = math.sqrt(variance)
    assert values.mean() == pytest.approx(mean, abs=5 * deviation / math.sqrt(DRAWS))
    kurtosis = float(((values - mean) ** 4).mean()) / variance**2
    assert values.var() == pytest.approx(variance, abs=5 * variance * math.sqrt(kurtosis / DRAWS))


@pytest.mark.parametrize(("source", "low", "high"), [(Rectangular(1, 4), 1, 4), (ArcSine(-1, 3), -1, 3)])
def test_limits_are_kept(source: Distribution, low: float, high: float) -> None:
    values = source.draw(2000, Random(2))
    assert min(values) >= low and max(values) <= high


def test_few_readings_have_wide_tails() -> None:
    """Student with two degrees of freedom: 4.303 covers 95 % (closed form of its quantile)."""
    values = Student(0.0, 1.0, 2).draw(DRAWS, Random(11))
    inside = sum(abs(value) <= 4.303 for value in values) / DRAWS
    assert inside == pytest.approx(0.95, abs=5 * math.sqrt(0.95 * 0.05 / DRAWS))


def test_the_same_seed_gives_the_same() -> None:
    inputs = [Normal(1.0, 0.2), Rectangular(0.0, 1.0)]
    one, again, other = (simulate(lambda a, b: a * b, inputs, seed=seed, digits=1) for seed in (4, 4, 5))
    assert one == again != other


def test_two_rectangles_make_a_triangle() -> None:
    """Closed form: the sum of two on 0 to 1 has the variance 1/6, and its 95 % lie in 1 ± (1 - √0.05)."""
    found = simulate(lambda a, b: a + b, [Rectangular(0, 1), Rectangular(0, 1)], seed=8)
    assert found.settled
    assert found.standard == pytest.approx(math.sqrt(1 / 6), abs=0.005)
    half = 1 - math.sqrt(0.05)
    assert found.interval == pytest.approx((1 - half, 1 + half), abs=0.02)


def test_a_skew_result_has_its_interval_at_the_peak() -> None:
    """A squared normal: the shortest 95 % start at zero and end at 1.96² = 3.84 (chi square, one degree)."""
    found = simulate(lambda a: a * a, [Normal(0.0, 1.0)], seed=3)
    assert found.interval[0] == pytest.approx(0.0, abs=0.001)
    assert found.interval[1] == pytest.approx(3.841, abs=0.08)


def test_it_gives_up_and_says_so() -> None:
    """Wild tails never stand still: one degree of freedom has no standard deviation."""
    found = simulate(lambda a: a, [Student(0.0, 1.0, 1)], seed=1, most=40_000)
    assert (found.settled, found.trials) == (False, 40_000)


def test_more_digits_take_more_trials() -> None:
    coarse, fine = (simulate(lambda a: a, [Normal(0, 1.0)], seed=6, digits=digits) for digits in (1, 2))
    assert coarse.settled and fine.settled
    assert fine.trials > coarse.trials >= 20_000


def test_a_fixed_result_stands_still_at_once() -> None:
    found = simulate(lambda _: 2.0, [Normal(0.0, 1.0)], seed=1)
    assert (found.mean, found.standard, found.interval, found.trials) == (2.0, 0.0, (2.0, 2.0), 20_000)
    assert found.settled


@given(st.lists(st.integers(-50, 50).map(float), min_size=2, max_size=30), st.floats(0.05, 0.95))
def test_no_other_interval_is_shorter(values: list[float], probability: float) -> None:
    """Brute force over every pair of values that holds as many."""
    low, high = shortest_interval(values, probability=probability)
    ordered = sorted(values)
    held = min(len(ordered) - 1, max(1, round(probability * len(ordered))))
    assert high - low == min(b - a for a, b in zip(ordered, ordered[held:], strict=False))
    assert sum(low <= value <= high for value in values) >= held


def test_the_first_order_is_judged() -> None:
    """JCGM 101, 8.1: u = 0.10 to two digits allows 0.005 at either end."""
    found = Simulated(1.0, 0.10, (0.80, 1.20), 0.95, 20_000, True)
    assert first_order_holds(1.0, 0.204, found)
    assert not first_order_holds(1.0, 0.206, found)
    assert not first_order_holds(1.006, 0.2, found)


def test_nonsense_is_refused() -> None:
    with pytest.raises(OutOfRange, match="nothing can be drawn"):
        simulate(lambda: 1.0, [], seed=1)
    with pytest.raises(OutOfRange, match="too few for two blocks"):
        simulate(lambda a: a, [Normal(0, 1)], seed=1, most=100)
    with pytest.raises(OutOfRange, match="not finite for a drawn input"):
        simulate(lambda _: math.inf, [Normal(0, 1)], seed=1)
    with pytest.raises(OutOfRange, match="make no interval"):
        shortest_interval([1.0], probability=0.5)
    with pytest.raises(OutOfRange, match="above the upper limit"):
        Rectangular(2.0, 1.0)
    with pytest.raises(OutOfRange, match="limits blurred by 3 cross"):
        RoughRectangular(0.0, 4.0, 3.0)
    with pytest.raises(OutOfRange, match="not above zero"):
        Student(0.0, 1.0, 0)
