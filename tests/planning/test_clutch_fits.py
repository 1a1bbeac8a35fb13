"""Clutch packs: from readings to a size.  Expected values: by hand, and draws from the readings (a second route)."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from random import Random
from statistics import fmean, stdev

import pytest

from countershaft.errors import OutOfRange
from countershaft.planning.clutch_fits import (
    Plates,
    clutch_by_arithmetic,
    clutch_by_dial,
    clutch_by_feeler,
    clutch_under_load,
    feeler,
)
from countershaft.planning.gap_fits import Measured, Needed


def m(text: str, standard: float = 0.0) -> Measured:
    """A measured length."""
    return Measured(Fraction(text), standard)


def test_a_feeler_lies_evenly_between_two_leaves() -> None:
    """Draws between 0.20 and 0.25."""
    chance = Random(3)
    draws = [chance.uniform(0.20, 0.25) for _ in range(20_000)]
    found = feeler(Fraction("0.20"), Fraction("0.25"))
    assert float(found.value) == pytest.approx(fmean(draws), abs=0.0005)
    assert found.standard == pytest.approx(stdev(draws), rel=0.02)


def test_a_tilted_pack_is_more_uncertain() -> None:
    """Places 1.0, 1.1, 1.2: the scatter of the mean is 0.1 / sqrt 3 beside the step of the leaves."""
    places = [
        (Fraction(text) - Fraction("0.025"), Fraction(text) + Fraction("0.025"))
        for text in ("1.0", "1.1", "1.2")
    ]
    found = clutch_by_feeler(m("2.2"), places, goal=Fraction("1.05"))
    assert float(found.size) == 2.25
    assert found.standard == pytest.approx(math.hypot(0.1 / math.sqrt(3), 0.05 / math.sqrt(12)))


def test_one_plate_measured_for_all_counts_as_often_as_there_are_plates() -> None:
    """Five of 1.74: 5 x 0.01 when one was measured, root of 5 x 0.01 when each was."""
    one, each = (Plates("friction", 5, m("1.74", 0.01), one_measured=flag) for flag in (True, False))
    assert (float(one.stack.value), one.stack.standard) == (8.7, pytest.approx(0.05))
    assert each.stack.standard == pytest.approx(0.02236, abs=1e-5)


def test_the_stack_of_a_pack_by_its_plates() -> None:
    """5 x 1.74 + 5 x 1.95 + 1.25 = 19.70; 23.64 - 19.70 - 1.10 = 2.84."""
    pack = [Plates("friction", 5, m("1.74")), Plates("steel", 5, m("1.95")), Plates("wave", 1, m("1.25"))]
    found = clutch_by_arithmetic(m("23.64"), pack, goal=Fraction("1.1"))
    assert float(found.size) == 2.84
    assert found.working[0] == "stack = 5 × 1.74 (friction) + 5 × 1.95 (steel) + 1 × 1.25 (wave) = 19.7 mm"


def test_beyond_both_loads_the_errors_count_more() -> None:
    """Loads 50 and 150 N, asked for 200: 1.5 times the second less 0.5 times the first, by draws."""
    chance = Random(5)
    draws = [-0.5 * chance.gauss(1.0, 0.01) + 1.5 * chance.gauss(1.1, 0.02) for _ in range(20_000)]
    found = clutch_under_load(
        m("2.0"), (Fraction(50), m("1.0", 0.01)), (Fraction(150), m("1.1", 0.02)),
        load=Fraction(200), goal=Fraction("1.05"),
    )  # fmt: skip
    assert float(found.rest - 2) == pytest.approx(fmean(draws), abs=0.001)
    assert found.standard == pytest.approx(stdev(draws), rel=0.03)


def test_a_dial_that_is_read_at_rest_and_lifted() -> None:
    """0.02 to 1.19 is 1.17 of travel; 2.2 + 1.17 - 1.1 = 2.27."""
    found = clutch_by_dial(m("2.2"), [(m("0.02"), m("1.19"))], goal=Fraction("1.1"))
    assert float(found.size) == 2.27


def under(low: int, first: str, high: int, second: str) -> Needed:
    """Clearances under two loads [N]."""
    readings = (Fraction(low), m(first)), (Fraction(high), m(second))
    return clutch_under_load(m("2"), *readings, load=Fraction(5), goal=Fraction(1))


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (lambda: feeler(Fraction("0.3"), Fraction("0.2")), "the second must be thicker"),
        (lambda: clutch_by_feeler(m("2"), [], goal=Fraction(1)), "no place was read"),
        (lambda: clutch_by_dial(m("2"), [(m("1"), m("0"))], goal=Fraction(1)), "expected more lifted"),
        (lambda: clutch_by_arithmetic(m("9"), [], goal=Fraction(1)), "the pack has no plates"),
        (
            lambda: clutch_by_arithmetic(m("9"), [Plates("steel", 5, m("1.95"))], goal=Fraction(1)),
            "the pack of 9.75 mm does not go into a depth of 9 mm",
        ),
        (lambda: Plates("steel", 0, m("1")), "there are 0 plates"),
        (
            lambda: under(5, "1", 5, "1"),
            "both readings were taken under 5 N",
        ),
        (
            lambda: under(5, "1", 9, "0.9"),
            "more load gave less clearance",
        ),
    ],
)  # fmt: skip
def test_readings_that_cannot_be_are_refused(asked: Callable[[], object], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        asked()
