"""Slings: forces are in balance, and flat legs are refused.

Where the expected values come from: statics (forces and moments sum to zero), checked apart from the formulas; tables
are judged in tests/published/test_rigging.py.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.rigging import FLATTEST, leg_tension, pull_on_leg, sling_factor, two_legs

LENGTHS = st.floats(0.05, 2.0)


@given(st.floats(1, 1e5), LENGTHS, LENGTHS, LENGTHS)
def test_two_legs_hold_the_load_in_balance(weight: float, left: float, right: float, height: float) -> None:
    assume(math.atan2(height, max(left, right)) > FLATTEST)
    found = two_legs(weight, left=left, right=right, height=height)
    up = found.left * math.sin(found.left_angle) + found.right * math.sin(found.right_angle)
    level = found.left * math.cos(found.left_angle) - found.right * math.cos(found.right_angle)
    turning = (
        found.left * math.sin(found.left_angle) * left - found.right * math.sin(found.right_angle) * right
    )
    assert up == pytest.approx(weight)
    assert level == pytest.approx(0, abs=1e-9 * weight)
    assert turning == pytest.approx(0, abs=1e-9 * weight)
    assert found.squeeze == pytest.approx(found.left * math.cos(found.left_angle))


def test_equal_legs_agree_with_the_plain_form() -> None:
    found = two_legs(900, left=0.4, right=0.4, height=0.4)
    assert found.left == pytest.approx(leg_tension(900, legs=2, angle=math.radians(45)))


def test_four_legs_count_as_two() -> None:
    """Common practice, no source: a rigid load hangs on two of its legs."""
    two, four = (leg_tension(900, legs=legs, angle=math.radians(60)) for legs in (2, 4))
    assert two == four


@pytest.mark.parametrize(
    ("work", "said"),
    [
        (lambda: sling_factor(math.radians(29.9)), r"must stand 30° to 90° above the horizontal, got 29.9°"),
        (lambda: sling_factor(math.radians(91)), "got 91.0°"),
        (lambda: leg_tension(0, legs=2, angle=1), "a weight must be more than 0 N"),
        (lambda: leg_tension(900, legs=5, angle=1), "a sling has 1 to 4 legs, got 5"),
        (lambda: leg_tension(900, legs=1, angle=1), "a single leg hangs upright"),
        (lambda: two_legs(900, left=0.3, right=1.0, height=0.4), r"30° to 90° .* got 21.8°. Use longer legs"),
        (lambda: two_legs(900, left=0, right=1.0, height=0.4), "both distances and the height must be more than 0"),
        (lambda: pull_on_leg(10, 0), "a sling without a tag is not used"),
    ],
)  # fmt: skip
def test_outside_its_range_nothing_is_answered(work: object, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        work()  # type: ignore[operator]  # each is a function without arguments


def test_the_tag_decides() -> None:
    assert pull_on_leg(500, 500).words == "500 N of 500 N. Never stand under a hanging load."
    assert pull_on_leg(500, 500).good
    assert not pull_on_leg(501, 500).good
    assert pull_on_leg(501, 500).words.startswith(
        "DANGER: 501 N in a leg that is marked for 500 N. Do not lift"
    )
