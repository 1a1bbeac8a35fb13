"""Verdicts against limits: rules of ISO 14253-1 stated as properties, and one classroom case (invented demo)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.conformity import Verdict, judge
from countershaft.metrology.readings import estimate

VALUES = st.floats(-2, 2, allow_nan=False)
WIDTHS = st.floats(0.01, 3)


def test_on_the_limit_nobody_can_tell() -> None:
    """A reading of 0.07 on a 0.01 scale against at most 0.07 is neither good nor bad."""
    found = judge(estimate([0.07], resolution=0.01), lower=0.02, upper=0.07, unit="mm")
    assert found.verdict is Verdict.AGAIN
    assert "nobody can tell" in found.why


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(0.05, Verdict.GOOD), (0.10, Verdict.BAD), (0.005, Verdict.BAD), (0.068, Verdict.AGAIN)],
)
def test_both_sides(value: float, verdict: Verdict) -> None:
    """Well inside is good, well outside is bad, across the limit is undecided."""
    assert judge(estimate([value], resolution=0.01), lower=0.02, upper=0.07, unit="mm").verdict is verdict


@given(VALUES, VALUES, WIDTHS, WIDTHS)
def test_wider_limits_never_turn_good_to_bad(value: float, lower: float, width: float, more: float) -> None:
    """What is good against a narrow window is good against a wider one."""
    measured = estimate([value], resolution=0.05)
    if judge(measured, lower=lower, upper=lower + width, unit="mm").verdict is Verdict.GOOD:
        wider = judge(measured, lower=lower - more, upper=lower + width + more, unit="mm")
        assert wider.verdict is Verdict.GOOD


@given(VALUES, VALUES, WIDTHS)
def test_a_coarser_scale_never_decides_more(value: float, lower: float, width: float) -> None:
    """What is undecided with a fine scale is not decided the other way with a coarse one."""
    fine = judge(estimate([value], resolution=0.01), lower=lower, upper=lower + width, unit="mm").verdict
    coarse = judge(estimate([value], resolution=0.2), lower=lower, upper=lower + width, unit="mm").verdict
    assert coarse in (fine, Verdict.AGAIN)


def test_a_judgement_needs_a_limit_in_order() -> None:
    """No limit, or limits the wrong way round, are refused."""
    measured = estimate([1.0], resolution=0.01)
    with pytest.raises(OutOfRange, match="neither"):
        judge(measured, lower=None, upper=None, unit="mm")
    with pytest.raises(OutOfRange, match="not below"):
        judge(measured, lower=2.0, upper=1.0, unit="mm")
