"""Wear against its limit.

Expected: worked by hand, and bounds that hold for any limit.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.wear import Direction, WearLimit, wear

BORE = WearLimit((14.000, 14.018), 14.050, "grows")
PLATE = WearLimit((1.95, 2.05), 1.80, "shrinks")
RANK = {"bad": 0, "measure again": 1, "good": 2}


@pytest.mark.parametrize(
    ("limit", "size", "verdict", "share", "said"),
    [
        (BORE, 14.010, "good", -0.25, "keeps the limit 14.05"),
        (BORE, 14.034, "good", 0.5, "keeps the limit 14.05"),
        (BORE, 14.049, "measure again", 0.96875, "reaches across the limit 14.05; nobody can tell"),
        (BORE, 14.060, "bad", 1.3125, "lies beyond the limit 14.05"),
        (BORE, 13.990, "measure again", -0.875, "lies below every new part (14), and wear makes it grow"),
        (PLATE, 1.90, "good", 1 / 3, "keeps the limit 1.8"),
        (PLATE, 1.79, "bad", 16 / 15, "lies beyond the limit 1.8"),
        (PLATE, 2.10, "measure again", -1.0, "lies above every new part (2.05), and wear makes it shrink"),
    ],
)
def test_verdicts(limit: WearLimit, size: float, verdict: str, share: float, said: str) -> None:
    told = wear(size, limit, half_width=0.003)
    assert told.verdict == verdict
    assert told.share == pytest.approx(share)
    assert said in told.why


figures = st.floats(-5, 5)
widths = st.floats(0, 0.5)


@given(figures, figures, widths)
def test_more_wear_is_never_better_on_the_worn_side(one: float, other: float, half_width: float) -> None:
    less, more = (10 + abs(figure) for figure in sorted((one, other), key=abs))
    limit = WearLimit((10.0, 10.5), 12.0, "grows")
    fresh, worn = (wear(size, limit, half_width=half_width) for size in (less, more))
    assert RANK[worn.verdict] <= RANK[fresh.verdict]
    assert worn.left <= fresh.left
    assert worn.share >= fresh.share


@given(figures, st.floats(0.01, 2), st.floats(0.01, 2), widths)
def test_growing_and_shrinking_mirror_each_other(
    size: float, spread: float, room: float, half_width: float
) -> None:
    grows = wear(size, WearLimit((0.0, spread), spread + room, "grows"), half_width=half_width)
    shrinks = wear(-size, WearLimit((-spread, 0.0), -spread - room, "shrinks"), half_width=half_width)
    assert (grows.verdict, grows.left) == (shrinks.verdict, shrinks.left)
    assert grows.share == pytest.approx(shrinks.share)


@given(figures, st.floats(0.1, 2), st.floats(0, 2), widths)
def test_a_wider_limit_never_turns_good_to_bad(
    size: float, room: float, wider: float, half_width: float
) -> None:
    narrow, wide = (
        wear(size, WearLimit((0.0, 0.5), 0.5 + more, "grows"), half_width=half_width).verdict
        for more in (room, room + wider)
    )
    assert RANK[wide] >= RANK[narrow]


@given(figures, st.floats(0.1, 2), widths, widths)
def test_more_uncertainty_never_decides_more(size: float, room: float, one: float, other: float) -> None:
    """A size on the wrong side of a new part is undecided; more uncertainty may let it pass as new."""
    limit = WearLimit((-9.0, 0.5), 0.5 + room, "grows")
    fine, coarse = (wear(size, limit, half_width=half_width).verdict for half_width in sorted((one, other)))
    assert coarse in {fine, "measure again"}


@pytest.mark.parametrize(
    ("new", "limit", "direction", "said"),
    [
        ((14.0, 14.018), 14.01, "grows", "its limit 14.01 is not above the greatest new size 14.018"),
        ((1.95, 2.05), 2.2, "shrinks", "its limit 2.2 is not below the least new size 1.95"),
        ((2.05, 1.95), 2.2, "grows", "expected figures, the least new size first. Swap the two"),
        ((1.0, float("nan")), 2.2, "grows", "expected figures"),
    ],
)
def test_limits_that_cannot_be(
    new: tuple[float, float], limit: float, direction: Direction, said: str
) -> None:
    with pytest.raises(BadInput, match=said):
        WearLimit(new, limit, direction)


def test_sizes_that_cannot_be() -> None:
    with pytest.raises(BadInput, match=r"the size is nan; expected a figure\. Measure it again"):
        wear(float("nan"), BORE)
    with pytest.raises(OutOfRange, match=r"uncertainty of the size is -1; expected zero or more"):
        wear(14.0, BORE, half_width=-1)
