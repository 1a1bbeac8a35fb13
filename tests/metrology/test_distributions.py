"""Student's t and Fisher's F.

Expected values: mpmath's incomplete beta function at 30 digits, closed forms for one and two degrees of freedom, and
critical values of the F table of the NIST/SEMATECH e-Handbook, 1.3.6.7.3 (from memory).
"""

from __future__ import annotations

import math

import mpmath
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.distributions import f_tail, t_probability, t_quantile

FREEDOMS = st.floats(0.5, 500)


def exact_t(value: float, freedom: float) -> float:
    """The same probability from an independent library at 30 digits."""
    with mpmath.workdps(30):
        x = mpmath.mpf(freedom) / (mpmath.mpf(freedom) + mpmath.mpf(value) ** 2)
        tail = mpmath.betainc(mpmath.mpf(freedom) / 2, mpmath.mpf("0.5"), 0, x, regularized=True) / 2
        return float(1 - tail if value > 0 else tail)


@pytest.mark.parametrize("freedom", [0.7, 1, 2, 3.3, 8, 30, 250])
@pytest.mark.parametrize("value", [-6.0, -2.0, -0.3, -1e-8, 0.0, 1e-9, 1e-3, 1.0, 4.5, 40.0])
def test_t_agrees_with_a_long_computation(value: float, freedom: float) -> None:
    assert t_probability(value, degrees_of_freedom=freedom) == pytest.approx(
        exact_t(value, freedom), rel=1e-11, abs=1e-15
    )


@pytest.mark.parametrize("freedom", [9e4, 1.1e5, 1e6])
@pytest.mark.parametrize("value", [-7.0, -1.7, 0.2, 3.0])
def test_t_of_many_degrees_of_freedom(value: float, freedom: float) -> None:
    """Either side of the change to the normal distribution; by quadrature of the density at 30 digits."""
    with mpmath.workdps(30):
        nu = mpmath.mpf(freedom)
        scale = mpmath.exp(mpmath.loggamma((nu + 1) / 2) - mpmath.loggamma(nu / 2)) / mpmath.sqrt(
            nu * mpmath.pi
        )
        middle = mpmath.quad(lambda t: scale * (1 + t * t / nu) ** (-(nu + 1) / 2), [0, mpmath.mpf(value)])
        expected = float(mpmath.mpf("0.5") + middle)
    assert t_probability(value, degrees_of_freedom=freedom) == pytest.approx(expected, abs=1e-10)


@pytest.mark.parametrize("freedom", [1e9, 1e15, 1e300])
def test_t_of_very_many_is_normal(freedom: float) -> None:
    normal = t_probability(1.3, degrees_of_freedom=math.inf)
    assert t_probability(1.3, degrees_of_freedom=freedom) == pytest.approx(normal, abs=1e-9)
    assert t_quantile(0.975, degrees_of_freedom=freedom) == pytest.approx(1.95996, abs=1e-5)


@given(st.floats(-50, 50))
def test_t_has_its_closed_forms(value: float) -> None:
    """One degree of freedom: 1/2 + atan(t)/π; two: 1/2 + t / (2 √(2 + t²))."""
    assert t_probability(value, degrees_of_freedom=1) == pytest.approx(
        0.5 + math.atan(value) / math.pi, abs=1e-13
    )
    assert t_probability(value, degrees_of_freedom=2) == pytest.approx(
        0.5 + value / (2 * math.sqrt(2 + value * value)), abs=1e-13
    )


def test_t_ends_at_the_normal_distribution() -> None:
    """By table: 0.8413 below one standard deviation, 1.959964 for 97.5 %."""
    assert t_probability(1.0, degrees_of_freedom=math.inf) == pytest.approx(0.841344746068543, abs=1e-14)
    assert t_quantile(0.975, degrees_of_freedom=math.inf) == pytest.approx(1.959963984540054, abs=1e-12)
    assert t_probability(math.inf, degrees_of_freedom=3) == 1.0
    assert t_probability(-math.inf, degrees_of_freedom=3) == 0.0


@given(st.floats(0.001, 0.999), FREEDOMS)
def test_a_quantile_is_found_again(probability: float, freedom: float) -> None:
    value = t_quantile(probability, degrees_of_freedom=freedom)
    assert t_probability(value, degrees_of_freedom=freedom) == pytest.approx(probability, abs=1e-11)


@pytest.mark.parametrize(
    ("above", "below", "value"), [(1, 10, 4.965), (4, 20, 2.866), (9, 18, 2.456), (18, 60, 1.778)]
)
def test_f_has_its_five_per_cent_values(above: int, below: int, value: float) -> None:
    """Each lies within half a unit of its last printed digit."""
    assert f_tail(value + 0.0006, above=above, below=below) < 0.05
    assert f_tail(value - 0.0006, above=above, below=below) > 0.05


@given(st.floats(0, 100), st.integers(1, 60))
def test_f_of_one_is_the_square_of_t(value: float, below: int) -> None:
    """A ratio with one degree of freedom above is the square of a t value."""
    two_sided = 2 * (1 - t_probability(math.sqrt(value), degrees_of_freedom=below))
    assert f_tail(value, above=1, below=below) == pytest.approx(two_sided, abs=1e-12)


@given(st.floats(1e-12, 1e6), st.integers(1, 60), st.integers(1, 60))
def test_f_turned_over_is_its_other_side(value: float, above: int, below: int) -> None:
    """Either variance may stand on top: one side's tail and the other's are the whole."""
    both = f_tail(value, above=above, below=below) + f_tail(1 / value, above=below, below=above)
    assert both == pytest.approx(1.0, abs=1e-12)


def test_f_at_its_ends() -> None:
    assert (f_tail(0.0, above=3, below=4), f_tail(math.inf, above=3, below=4)) == (1.0, 0.0)


def test_nonsense_is_refused() -> None:
    with pytest.raises(OutOfRange, match="degrees of freedom 0 are not above zero"):
        t_probability(1.0, degrees_of_freedom=0)
    with pytest.raises(OutOfRange, match="probability 1 is not inside 0 to 1"):
        t_quantile(1.0, degrees_of_freedom=4)
    with pytest.raises(OutOfRange, match="is no F statistic"):
        f_tail(-1.0, above=1, below=1)
