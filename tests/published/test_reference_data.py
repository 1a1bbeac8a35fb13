"""Reference data for statistics against our exact arithmetic: see reference_data.json beside this file.

Certified values have 15 digits.  Decimals as printed reach all of them; as floats they carry their own rounding, and
what is left of the digits then is held too, so that nobody promises more than double precision allows.
"""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from countershaft.metrology.regression import Fit, fit_polynomial, least_squares
from countershaft.metrology.study import crossed_study
from countershaft.metrology.variance import OneWay, one_way, summarise

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case
    for case in json.loads(Path(__file__).with_name("reference_data.json").read_text(encoding="utf-8"))
}
POLYNOMIALS = [name for name, case in CASES.items() if "degree" in case["inputs"]]
TABLES = [name for name, case in CASES.items() if "rows" in case["inputs"]]
ANOVA = [name for name, case in CASES.items() if "f" in case["expected"]]
SUMMARIES = [name for name, case in CASES.items() if "r1" in case["expected"]]
#: Relative error that typing the decimals as floats leaves; the rest reach 1e-12.
AS_FLOATS = {"NIST-Filip": 1e-7, "NIST-Longley": 1e-10, "NIST-Wampler2": 1e-10}


def exact(figures: list[str]) -> list[Decimal]:
    return [Decimal(one) for one in figures]


def floats(figures: list[str]) -> list[float]:
    return [float(one) for one in figures]


def hold(found: Fit, expected: dict[str, Any], rel: float) -> None:
    """Every certified figure of a fit."""
    assert found.coefficients == pytest.approx(expected["b"], rel=rel)
    assert found.standard == pytest.approx(expected["se"], rel=rel, abs=1e-9 if rel > 1e-13 else 0)
    if "r2" in expected:
        assert found.r_squared == pytest.approx(expected["r2"], rel=rel)
    if "residual" in expected:
        assert found.residual == pytest.approx(expected["residual"], rel=rel)


@pytest.mark.parametrize("name", POLYNOMIALS)
def test_polynomials(name: str) -> None:
    given, expected = CASES[name]["inputs"], CASES[name]["expected"]
    x, y, degree = given["x"], given["y"], given["degree"]
    hold(fit_polynomial(exact(x), exact(y), degree=degree), expected, CASES[name]["tol"])
    hold(fit_polynomial(floats(x), floats(y), degree=degree), expected, AS_FLOATS.get(name, 1e-12))


@pytest.mark.parametrize("name", TABLES)
def test_tables(name: str) -> None:
    given, expected = CASES[name]["inputs"], CASES[name]["expected"]
    rows = given["rows"]
    hold(least_squares([exact(row) for row in rows], exact(given["y"])), expected, CASES[name]["tol"])
    hold(
        least_squares([floats(row) for row in rows], floats(given["y"])),
        expected,
        AS_FLOATS.get(name, 1e-12),
    )


def groups_of(given: dict[str, Any]) -> list[list[Decimal]]:
    """The groups as printed, or made as Simon and Lesage made them."""
    if "groups" in given:
        return [exact(group) for group in given["groups"]]

    def beta(number: int) -> Decimal:
        return Decimal("0.2") if number == 1 else Decimal("0.1") if number % 2 == 0 else Decimal("0.3")

    offset = Decimal(given["offset"])
    return [
        [offset + beta(treatment) + beta(repeat) for repeat in range(1, given["repeats"] + 1)]
        for treatment in range(1, 10)
    ]


def hold_anova(found: OneWay, expected: dict[str, float], rel: float) -> None:
    """Every certified figure of an analysis of variance."""
    figures = {
        "f": found.between.ratio,
        "between": found.between.sum_of_squares,
        "within": found.within.sum_of_squares,
        "r2": found.r_squared,
        "residual": found.residual,
    }
    for name, value in expected.items():
        assert figures[name] == pytest.approx(value, rel=rel), name


@pytest.mark.parametrize("name", ANOVA)
def test_analysis_of_variance(name: str) -> None:
    hold_anova(one_way(groups_of(CASES[name]["inputs"])), CASES[name]["expected"], CASES[name]["tol"])


@pytest.mark.parametrize(
    ("name", "rel"),
    [
        ("NIST-SiRstv", 1e-12),
        ("NIST-AtmWtAg", 1e-8),
        ("NIST-SmLs01", 1e-13),
        ("NIST-SmLs04", 1e-8),
        ("NIST-SmLs07", 3e-3),
    ],
)
def test_analysis_of_variance_of_floats(name: str, rel: float) -> None:
    """At 10¹² a float keeps four digits behind the point: of the ratio 21 that leaves three digits, for any program."""
    groups = [[float(one) for one in group] for group in groups_of(CASES[name]["inputs"])]
    hold_anova(one_way(groups), CASES[name]["expected"], rel)


@pytest.mark.parametrize("name", SUMMARIES)
def test_summaries(name: str) -> None:
    given, expected = CASES[name]["inputs"], CASES[name]["expected"]
    values = exact(given["values"] if "values" in given else [given["first"], *given["pair"] * 500])
    found = summarise(values)
    assert found.mean == expected["mean"]
    assert found.deviation == pytest.approx(expected["sd"], rel=CASES[name]["tol"])
    assert found.autocorrelation == pytest.approx(expected["r1"], rel=CASES[name]["tol"])
    assert summarise([float(one) for one in values]).deviation == pytest.approx(expected["sd"], rel=1e-8)


def test_a_crossed_study() -> None:
    """The table, the components and what follows from them; four digits as printed."""
    given, expected = CASES["GRR-01"]["inputs"], CASES["GRR-01"]["expected"]
    found = crossed_study([[exact(cell) for cell in person] for person in given["readings"]])
    parts, people, crossed, repeats = found.sources
    for row, name in ((parts, "parts"), (people, "people"), (crossed, "crossed"), (repeats, "repeats")):
        assert row.sum_of_squares == pytest.approx(expected[f"ss_{name}"], abs=5.1e-5), name
    assert [row.degrees_of_freedom for row in found.sources] == [9, 2, 18, 60]
    for row, name in ((parts, "parts"), (people, "people")):
        against_crossed = row.mean_square / crossed.mean_square
        assert against_crossed == pytest.approx(expected[f"f_{name}"], abs=6e-4), name
        assert row.ratio == pytest.approx(expected[f"f_{name}_pooled"], abs=6e-4), name
    assert crossed.ratio == pytest.approx(expected["f_crossed"], abs=5.1e-4)
    assert crossed.chance == pytest.approx(expected["p_crossed"], abs=5.1e-4)
    assert found.pooled
    for name in ("repeatability", "people", "parts", "measuring"):
        assert getattr(found, name) ** 2 == pytest.approx(expected[f"var_{name}"], abs=5.1e-6), name
    assert 100 * found.share == pytest.approx(expected["share_percent"], abs=5.1e-3)
    assert found.classes == expected["classes"]
