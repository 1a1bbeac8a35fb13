"""Limits of size.

Expected values: a second route to the printed tables is the formulas of ISO 286-1 that they were rounded from (from
memory): i = 0.45 D^(1/3) + 0.001 D times 7, 10, 16, 25, 40, 64, 100 for grades 5 to 11, D the geometric mean of a step.
The first step, up to 3 mm, was never rounded from them.
Published tables stand in tests/published/parts_condition.json.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import sqrt

import pytest

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.size_limits import (
    HOLES,
    SHAFTS,
    fundamental_deviation,
    size_limits,
    standard_tolerance,
)

FACTORS = {5: 7, 6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100}
STEPS = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500)
FINE = (3, 6, 10, 18, 30, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250, 280, 315, 355, 400, 450, 500)


def steps(ends: tuple[int, ...] = STEPS) -> Iterator[tuple[float, float]]:
    """Each step: a size in it [m], and the mean that its figures were made of [mm]."""
    for low, high in pairwise(ends):
        yield high / 1e3, sqrt(low * high)


@pytest.mark.parametrize("grade", FACTORS)
def test_tolerances_are_those_of_the_unit_that_they_were_rounded_from(grade: int) -> None:
    for nominal, mean in steps():
        unit = 0.45 * mean ** (1 / 3) + 0.001 * mean
        printed = 1e6 * standard_tolerance(nominal, grade=grade)
        assert printed == pytest.approx(FACTORS[grade] * unit, rel=0.06, abs=1.0), (nominal, grade)


def test_deviations_are_those_of_the_rules_that_they_were_rounded_from() -> None:
    """f −5.5 D^0.41, g −2.5 D^0.34, k 0.6 ∛D, m IT7 − IT6, n 5 D^0.34, p IT7 + 0 to 5 µm."""
    for nominal, mean in steps():
        tight = {grade: 1e6 * standard_tolerance(nominal, grade=grade) for grade in (6, 7)}
        told = {letter: 1e6 * fundamental_deviation(nominal, letter=letter) for letter in "fgkmnp"}
        assert told["f"] == pytest.approx(-5.5 * mean**0.41, abs=1)
        assert told["g"] == pytest.approx(-2.5 * mean**0.34, abs=1)
        assert told["k"] == pytest.approx(0.6 * mean ** (1 / 3), abs=1)
        assert told["m"] == pytest.approx(tight[7] - tight[6], abs=3)
        assert told["n"] == pytest.approx(5 * mean**0.34, abs=2)
        assert -5 <= told["p"] - tight[7] <= 5


def test_the_tightest_are_those_of_their_rules() -> None:
    """s is IT8 + 1 to 4 µm up to 50 mm and IT7 + 0.4 D above; r is the geometric mean of p and s."""
    for nominal, mean in steps(FINE):
        s, r, p = (1e6 * fundamental_deviation(nominal, letter=letter) for letter in "srp")
        if nominal > 0.05:
            assert s == pytest.approx(1e6 * standard_tolerance(nominal, grade=7) + 0.4 * mean, abs=3)
        else:
            assert 0 <= s - 1e6 * standard_tolerance(nominal, grade=8) <= 4
        assert r == pytest.approx(sqrt(p * s), abs=2)


def test_a_step_ends_with_its_greatest_size() -> None:
    assert standard_tolerance(50e-3, grade=6) == 16e-6
    assert standard_tolerance(50.001e-3, grade=6) == 19e-6
    assert fundamental_deviation(65e-3, letter="r") == 41e-6
    assert fundamental_deviation(65.1e-3, letter="r") == 43e-6


@pytest.mark.parametrize("letter", [*SHAFTS, *HOLES])
def test_limits_stand_one_tolerance_apart(letter: str) -> None:
    for grade in (5, 6, 7):
        limits = size_limits(0.1, tolerance=f"{letter}{grade}")
        assert limits.greatest - limits.least == pytest.approx(standard_tolerance(0.1, grade=grade))
        assert limits.ends == (limits.least, limits.greatest)


def test_holes_mirror_shafts() -> None:
    hole, shaft = (size_limits(0.06, tolerance=one) for one in ("G7", "g7"))
    assert hole.least - 0.06 == pytest.approx(0.06 - shaft.greatest)


@pytest.mark.parametrize(
    ("nominal", "tolerance", "words"),
    [
        (0.04, "H", "is no class of tolerance; expected a letter and a grade"),
        (0.04, "K7", "class 'K' is not in the table"),
        (0.04, "zc6", "class 'zc' is not in the table"),
        (0.04, "h4", "grade 4 is not in the table; expected 5 to 11"),
        (0.04, "k9", "k9 begins elsewhere"),
    ],
)
def test_what_is_no_class_is_refused(nominal: float, tolerance: str, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        size_limits(nominal, tolerance=tolerance)


@pytest.mark.parametrize("nominal", [0.0005, 0.6, float("nan")])
def test_sizes_outside_the_tables_are_refused(nominal: float) -> None:
    with pytest.raises(OutOfRange, match="nominal size"):
        size_limits(nominal, tolerance="H7")
