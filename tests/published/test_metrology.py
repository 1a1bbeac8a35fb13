"""Published values of measurement uncertainty and units: see metrology.json beside this file for each source."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from countershaft.metrology.budget import coverage_factor
from countershaft.metrology.distributions import f_tail
from countershaft.metrology.readings import estimate
from countershaft.stages.measuring import estimated
from countershaft.units import convert

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case
    for case in json.loads(Path(__file__).with_name("metrology.json").read_text(encoding="utf-8"))
}


def half_a_digit(printed: str) -> float:
    """Half a unit of the last printed digit."""
    mantissa, _, exponent = printed.upper().partition("E")
    places = len(mantissa.partition(".")[2])
    return 0.5000001 * 10.0 ** (int(exponent or 0) - places)


def test_rectangular_distribution_of_a_half_width() -> None:
    """GUM 4.3.7: a value within plus or minus a has u = a / sqrt(3); a scale's step is twice its half width."""
    case = CASES["T06-05"]
    found = estimate([0.0], resolution=2 * case["inputs"]["half_width"]).standard
    assert found * 1e6 == pytest.approx(
        case["expected"]["u_1e-6"], abs=half_a_digit(case["printed"]["u_1e-6"])
    )


@pytest.mark.parametrize("freedom", CASES["T06-06"]["inputs"]["nu"])
@pytest.mark.parametrize(("column", "probability"), [(0, 0.95), (2, 0.99)])
def test_coverage_factor_of_the_other_columns(freedom: int, column: int, probability: float) -> None:
    """GUM Table G.2, columns 95 % and 99 %."""
    printed = CASES["T06-06"]["printed"][f"nu{freedom}"][column]
    found = coverage_factor(freedom, probability=probability)
    assert found == pytest.approx(float(printed), abs=half_a_digit(printed))


@pytest.mark.parametrize("freedom", CASES["T06-06"]["inputs"]["nu"])
def test_coverage_factor_of_the_table(freedom: int) -> None:
    """GUM Table G.2, column 95.45 %."""
    printed = CASES["T06-06"]["printed"][f"nu{freedom}"][1]
    assert coverage_factor(freedom) == pytest.approx(float(printed), abs=half_a_digit(printed))


def test_mean_of_twenty_two_temperatures() -> None:
    """NIST TN 1900 example E2: mean, scatter and standard uncertainty of the mean."""
    case = CASES["T06-14"]
    found = estimate(case["inputs"]["t_C"], resolution=1e-6)
    for value, name in ((found.mean, "mean"), (found.spread, "s"), (found.standard, "u")):
        assert value == pytest.approx(case["expected"][name], abs=half_a_digit(case["printed"][name])), name
    factor = coverage_factor(found.degrees_of_freedom, probability=0.95)
    half = factor * found.standard
    for value, name in ((factor, "k"), (found.mean - half, "lo"), (found.mean + half, "hi")):
        assert value == pytest.approx(case["expected"][name], abs=half_a_digit(case["printed"][name])), name


@pytest.mark.parametrize(("end", "more"), [("lo", 0), ("hi", 1)])
def test_exact_interval_of_a_share(end: str, more: int) -> None:
    """Each limit p leaves 5 %: with F = p (n - x + 1 - m) / ((1 - p) (x + m)), m = 0 below and 1 above."""
    case = CASES["T13-03"]
    x, n = case["inputs"]["x"] + more, case["inputs"]["n"]
    rest = (1 - case["inputs"]["conf"]) / 2
    tails = []
    for off in (-1.2e-6, 1.2e-6):
        share = case["expected"][end] + off
        ratio = share * (n - x + 1) / ((1 - share) * x)
        # P(at least x of n) is the chance that F with 2x and 2(n - x + 1) degrees of freedom stays below the ratio.
        tails.append(1 - f_tail(ratio, above=2 * x, below=2 * (n - x + 1)))
    wanted = 1 - rest if more else rest
    assert tails[0] < wanted < tails[1]


def test_exact_median_rank() -> None:
    """The rank r of failure i of n leaves half on either side: F = (1/r - 1) i / (n - i + 1)."""
    case = CASES["T13-06"]
    i, n = case["inputs"]["i"], case["inputs"]["n"]
    printed = case["expected"]["F_0.5_10_12"]
    assert f_tail(printed + 5e-5, above=10, below=12) < 0.5 < f_tail(printed - 5e-5, above=10, below=12)
    for off, above in ((-5e-5, True), (5e-5, False)):
        ratio = (1 / (case["expected"]["MR"] + off) - 1) * i / (n - i + 1)
        assert (f_tail(ratio, above=2 * (n - i + 1), below=2 * i) < 0.5) is above


UNIT_CASES = [
    ("T12-01", "lbf_ft_to_Nm", "lbf·ft", "N·m", 1.0),
    ("T12-01", "lbf_in_to_Nm", "lbf·in", "N·m", 1.0),
    ("T12-02", "psi", "psi", "kPa", 1e-3),
    ("T12-02", "bar", "bar", "kPa", 1e-3),
    ("T12-04", "lbf_N", "lbf", "N", 1.0),
    ("T12-04", "lb_kg", "lb", "kg", 1.0),
    ("T12-04", "in_mm", "in", "mm", 1.0),
    ("T12-04", "mil_mm", "thou", "mm", 1.0),
    ("T12-04", "mph_ms", "mph", "km/h", 3.6),
    ("T12-04", "gpm_m3s", "US gal/min", "L/min", 60_000.0),
]


@pytest.mark.parametrize(("case", "name", "source", "target", "scale"), UNIT_CASES)
def test_conversion_factor(case: str, name: str, source: str, target: str, scale: float) -> None:
    """NIST SP 811 appendix B: one of each unit in ours; `scale` is our unit's own factor to the table's."""
    printed = CASES[case]["printed"][name]
    assert convert(1.0, source, target) / scale == pytest.approx(
        CASES[case]["expected"][name], abs=half_a_digit(printed)
    )


def test_a_difference_of_temperature_has_no_offset() -> None:
    """NIST SP 811: 18 °F apart is 10 °C apart; a step of a scale is such a difference."""
    case = CASES["T12-06"]
    step = Decimal(case["inputs"]["dF"])
    found = estimated((Decimal(212),), "°F", resolution=step, to="°C").resolution
    assert found == pytest.approx(case["expected"]["dC"])


@pytest.mark.parametrize("index", range(3))
def test_fahrenheit(index: int) -> None:
    """NIST SP 811: C = (F - 32) / 1.8."""
    case = CASES["T12-06"]
    printed = case["printed"]["C"][index]
    assert convert(case["inputs"]["F"][index], "°F", "°C") == pytest.approx(
        float(printed), abs=half_a_digit(printed)
    )
