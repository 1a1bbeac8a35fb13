"""Estimates from readings.

Expected values: worked by hand where shown, and the t distribution of an independent numerical integration.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.budget import COVERAGE_95_45, coverage_factor
from countershaft.metrology.readings import estimate


def t_coverage(t: float, freedom: int, steps: int = 20_000) -> float:
    """Probability within plus or minus t of Student's distribution, by Simpson's rule on its density."""
    norm = math.exp(math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2)) / math.sqrt(freedom * math.pi)
    width = t / steps
    total = 0.0
    for index in range(steps + 1):
        weight = 1 if index in (0, steps) else 4 if index % 2 else 2
        total += weight * (1 + (index * width) ** 2 / freedom) ** (-(freedom + 1) / 2)
    return 2 * norm * total * width / 3


@pytest.mark.parametrize(("freedom", "factor"), COVERAGE_95_45)
def test_the_table_covers_what_it_says(freedom: int, factor: float) -> None:
    """Each factor of the table covers 95.45 % of Student's distribution, to the digits printed."""
    half_digit = 0.0026 if freedom == 100 else 0.0051
    assert t_coverage(factor - half_digit, freedom) < 0.9545 < t_coverage(factor + half_digit, freedom)


def test_equal_readings_leave_the_step_of_the_scale() -> None:
    """By hand: three times 0.36 on a 0.01 scale: u = 0.01 / sqrt(12) = 0.002887, U = 2 u."""
    found = estimate([0.36, 0.36, 0.36], resolution=0.01)
    assert found.standard == pytest.approx(0.0028868, abs=1e-7)
    assert found.expanded == pytest.approx(0.0057735, abs=1e-7)
    assert math.isinf(found.degrees_of_freedom)


def test_scatter_and_step_join() -> None:
    """By hand, for 0.65, 0.66, 0.67.

    s = 0.01, u_A = 0.0057735, u_B = 0.0028868, u = 0.0064550, nu = 2 (u / u_A)^4 = 3.125.
    """
    found = estimate([0.65, 0.66, 0.67], resolution=0.01)
    assert found.standard == pytest.approx(0.0064550, abs=1e-7)
    assert found.degrees_of_freedom == pytest.approx(3.125, abs=1e-9)
    assert found.factor == 3.31


@given(st.lists(st.floats(-5, 5), min_size=2, max_size=8), st.floats(1e-4, 0.1))
def test_a_finer_scale_never_widens(readings: list[float], step: float) -> None:
    """The standard uncertainty falls, or stays, with the step of the scale."""
    assert estimate(readings, resolution=step / 2).standard <= estimate(readings, resolution=step).standard


@given(st.lists(st.floats(-100, 100), min_size=1, max_size=8), st.floats(-1, 1))
def test_a_shift_moves_only_the_mean(readings: list[float], shift: float) -> None:
    """Adding one number to every reading moves the mean by it and leaves the uncertainty."""
    one, other = (
        estimate(readings, resolution=0.01),
        estimate([value + shift for value in readings], resolution=0.01),
    )
    assert other.mean == pytest.approx(one.mean + shift, abs=1e-9)
    assert other.standard == pytest.approx(one.standard, rel=1e-6, abs=1e-9)


def test_the_working_shows_its_numbers() -> None:
    """Every line of the working carries the numbers it speaks of."""
    lines = estimate([0.65, 0.66, 0.67], resolution=0.01).working("mm")
    assert lines[0] == "mean = (0.650 + 0.660 + 0.670) / 3 = 0.6600 mm"
    assert any("s / √3" in line for line in lines)
    assert lines[-1].startswith("U = 3.31 · u = 0.0214 mm")


@pytest.mark.parametrize(
    ("readings", "resolution", "words"),
    [
        ([], 0.01, "no reading"),
        ([math.nan], 0.01, "finite"),
        ([1.0], 0.0, "above zero"),
        ([1.0], -1.0, "above zero"),
    ],
)
def test_nonsense_is_refused(readings: list[float], resolution: float, words: str) -> None:
    """Nothing is computed from nothing, and the message says what is wrong."""
    with pytest.raises(OutOfRange, match=words):
        estimate(readings, resolution=resolution)


def test_no_factor_below_one_degree_of_freedom() -> None:
    """A factor outside the table is refused, not clamped."""
    with pytest.raises(OutOfRange, match="below 1"):
        coverage_factor(0.5)


def test_the_instrument_joins_in() -> None:
    """By hand: step 0.01/√12, permitted error 0.012/√3 = 0.0069282, zero once more the step: u = 0.0080416."""
    found = estimate([0.36], resolution=0.01, permitted_error=0.012, zero_offset=0.02)
    assert found.mean == pytest.approx(0.34)
    assert found.standard == pytest.approx(0.0080416, abs=1e-7)
    assert found.expanded == pytest.approx(2 * 0.0080416, abs=2e-7)
    assert [one.name for one in found.budget.contributions] == [
        "step of the scale",
        "permitted error",
        "zero, read on the same scale",
    ]


def test_the_working_shows_the_instrument() -> None:
    lines = estimate([0.36], resolution=0.01, permitted_error=0.012, zero_offset=0.02).working("mm")
    assert "less the zero offset 0.020 mm: 0.3400 mm" in lines
    assert "permitted error: u = 0.012 / √3 = 0.0069 mm" in lines


@given(
    st.lists(st.floats(-5, 5), min_size=1, max_size=6),
    st.floats(1e-4, 0.1),
    st.floats(0, 0.1),
    st.floats(0, 0.1),
)
def test_a_worse_instrument_never_narrows(
    readings: list[float], step: float, error: float, more: float
) -> None:
    """The standard uncertainty rises with the permitted error."""
    one = estimate(readings, resolution=step, permitted_error=error)
    assert estimate(readings, resolution=step, permitted_error=error + more).standard >= one.standard


def test_a_forecast_of_what_is_done_next_is_what_it_says() -> None:
    """Four times the readings with the same scatter: s/√12 instead of s/√3, and the rest as it was."""
    now = estimate([0.65, 0.66, 0.67], resolution=0.01)
    then = now.foreseen(repeats=12)
    assert then.standard == pytest.approx(math.hypot(0.01 / math.sqrt(12), 0.01 / math.sqrt(12)))
    assert now.foreseen(resolution=0.001).standard == pytest.approx(
        math.hypot(0.01 / math.sqrt(3), 0.001 / math.sqrt(12))
    )
    assert now.foreseen() == now
    assert now.foreseen(permitted_error=0.02).standard > now.standard


@pytest.mark.parametrize(
    ("error", "offset", "words"),
    [
        (-0.1, None, "permitted error is -0.1"),
        (math.inf, None, "permitted error is inf"),
        (0.0, math.nan, "zero"),
    ],
)
def test_a_senseless_instrument_is_refused(error: float, offset: float | None, words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        estimate([1.0], resolution=0.01, permitted_error=error, zero_offset=offset)
