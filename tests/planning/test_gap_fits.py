"""From a reading to a size.  Expected values: by hand."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from countershaft.errors import OutOfRange
from countershaft.planning.gap_fits import Measured, end_play, preload_by_gap


def m(text: str, standard: float = 0.0) -> Measured:
    """A measured length."""
    return Measured(Fraction(text), standard)


def test_end_play_with_its_working_and_its_gap() -> None:
    """1.24 + 0.74 - 0.19 = 1.79; u = hypot(0.003, 0.004) = 0.005."""
    found = end_play(m("1.24", 0.003), m("0.74", 0.004), goal=Fraction("0.19"))
    assert (float(found.size), found.standard) == (1.79, pytest.approx(0.005))
    assert found.working == ("needed = trial + reading − goal = 1.24 + 0.74 − 0.19 = 1.79 mm, u = 0.005 mm",)
    gap = found.as_gap(
        "EP", place="IN", lower=Fraction("0.12"), upper=Fraction("0.26"), suspects=("a doubled ring",)
    )
    assert (gap.rest, gap.goal, gap.terms[0].factor) == (Fraction("1.98"), Fraction("0.19"), -1)


def test_a_preload_is_a_gap_below_nothing() -> None:
    """1.06 + (0.38 - 0.02) + 0.08 = 1.50."""
    found = preload_by_gap(m("1.06", 0.003), m("0.38", 0.004), goal=Fraction("0.08"), give=m("0.02", 0.012))
    assert (float(found.size), float(found.goal), found.standard) == (1.5, -0.08, pytest.approx(0.013))
    assert (
        found.working[1] == "needed = trial + play + interference = 1.06 + 0.36 + 0.08 = 1.5 mm, u = 0.013 mm"
    )


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (lambda: end_play(m("1.8"), m("0"), goal=Fraction(1)), "with no play the shaft is clamped"),
        (lambda: preload_by_gap(m("1"), m("0.1"), goal=Fraction(0)), "expected more than 0"),
        (lambda: preload_by_gap(m("1"), m("0.1"), goal=Fraction(1), give=m("0.1")), "no play is left"),
        (lambda: m("1", -1), "expected 0 or more"),
    ],
)  # fmt: skip
def test_readings_that_cannot_be_are_refused(asked: Callable[[], object], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        asked()
