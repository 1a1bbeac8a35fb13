"""Vacuum on a bore against the blocked hose.

Expected: worked by hand; the figures of the test are invented.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.vacuum_check import VacuumFigures, check_vacuum

FIGURES = VacuumFigures(good_from=0.8, bad_below=0.7, source="shop", least_blocked=60e3)
RANK = {"bad": 0, "measure again": 1, "good": 2}


@pytest.mark.parametrize(
    ("held", "verdict", "said"),
    [
        (64e3, "good", "At least 92.1% of the blocked reading is held"),
        (55e3, "measure again", "79.0% to 82.8% of the blocked reading is held"),
        (50e3, "measure again", "Oil the land, seat the plate, and read again"),
        (40e3, "bad", "At most 60.5% of the blocked reading is held; bad below 70%"),
        (0.0, "bad", "At most 1.0% of the blocked reading"),
    ],
)
def test_verdicts(held: float, verdict: str, said: str) -> None:
    told = check_vacuum(held, blocked=68e3, figures=FIGURES, gauge_half_width=0.7e3)
    assert told.verdict == verdict
    assert said in told.why
    assert told.low <= told.share <= told.high


def test_a_bench_that_leaks_itself_judges_nothing() -> None:
    told = check_vacuum(50e3, blocked=50e3, figures=FIGURES)
    assert told.verdict == "measure again"
    assert "The bench reaches 50 kPa with its hose blocked, and must reach 60 kPa" in told.why


readings = st.floats(0, 68e3)


@given(readings, readings, st.floats(0, 2e3))
def test_more_vacuum_is_never_worse(one: float, other: float, half_width: float) -> None:
    low, high = sorted((one, other))
    worse, better = (
        check_vacuum(held, blocked=68e3, figures=FIGURES, gauge_half_width=half_width) for held in (low, high)
    )
    assert RANK[worse.verdict] <= RANK[better.verdict]


@given(readings, st.floats(0, 2e3), st.floats(0, 2e3))
def test_a_worse_gauge_never_decides_more(held: float, one: float, other: float) -> None:
    fine, coarse = (
        check_vacuum(held, blocked=68e3, figures=FIGURES, gauge_half_width=half_width).verdict
        for half_width in sorted((one, other))
    )
    assert coarse in {fine, "measure again"}


@pytest.mark.parametrize(
    ("held", "blocked", "said"),
    [
        (60e3, 0.0, "blocked reading is 0 Pa; expected more than zero. Block the hose"),
        (60e3, 120e3, "blocked reading is 120 kPa of vacuum; expected at most 111 kPa"),
        (66e3, 60e3, "holds 66 kPa, more than the blocked hose with 60 kPa. Block the hose again"),
        (-1.0, 60e3, "reading on the bore is -1 Pa; expected zero or more"),
    ],
)
def test_readings_that_cannot_be(held: float, blocked: float, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        check_vacuum(held, blocked=blocked, figures=FIGURES, gauge_half_width=1e3)


@pytest.mark.parametrize(("good", "bad"), [(0.6, 0.7), (1.2, 0.7), (0.8, 0.0)])
def test_figures_that_cannot_be(good: float, bad: float) -> None:
    with pytest.raises(BadInput, match=r"expected 0 < bad below ≤ good from ≤ 1\. Correct the figures"):
        VacuumFigures(good_from=good, bad_below=bad, source="shop")
