"""Fasteners by size as typed.

Expected values: coarse pitches of ISO 261 (M3 0.5, M8 1.25, M10 1.5, M24 3), the metric designation without a pitch
being the coarse one (ISO 965-1), 1 inch = 25.4 mm exactly; the rest are readings by hand.
"""

from __future__ import annotations

from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput
from countershaft.job.sizes import read_size


@pytest.mark.parametrize(
    ("typed", "thread", "length"),
    [
        ("M8x25", "M8x1.25", "25"),
        ("m8 × 25", "M8x1.25", "25"),
        ("M8 x 1 x 25", "M8x1", "25"),
        ("M8x1", "M8x1", None),
        ("M8x1.25", "M8x1.25", None),
        ("M24x3", "M24x3", None),
        ("M3x4", "M3x0.5", "4"),
        ("M10", "M10x1.5", None),
        ("M8x25,5", "M8x1.25", "25.5"),
        ("1/4-20 x 1", "1/4-20", "25.4"),
        ("1/4-20 UNC x 1 1/4", "1/4-20 UNC", "31.75"),
        ("#10-32 x 3/4", "#10-32", "19.05"),
        ("1/4-20 x 25 mm", "1/4-20", "25"),
        ("M8x1in", "M8x1.25", "25.4"),
    ],
)
def test_a_size_with_a_thread(typed: str, thread: str, length: str | None) -> None:
    found = read_size(typed)
    assert (found.thread, found.length_mm) == (thread, None if length is None else Decimal(length))
    assert found.hand == "right"


def test_a_left_hand_thread_is_told() -> None:
    assert read_size("M14x1.5 LH").hand == "left"
    assert str(read_size("M14x1.5x20 left-hand")) == "M14x1.5, 20 mm long, left-hand"


def test_what_is_measured_without_a_thread_stays_without_one() -> None:
    found = read_size("7.9 x 25")
    assert (found.thread, found.diameter_mm, found.length_mm) == (None, Decimal("7.9"), Decimal(25))
    assert str(found) == "diameter 7.9 mm, 25 mm long"


@pytest.mark.parametrize(
    "typed",
    ["", "bolt", "M8x0", "M8xx", "M8x25x1", "0x4", "1/0 x 3", "5 x 9999", "M8x1x2x3", "1/4-20 UNC-2A x 1"],
)
def test_what_is_no_size_is_refused_with_the_way_to_write_it(typed: str) -> None:
    with pytest.raises(
        BadInput, match=r"is no size of a fastener: .*Type it as M8x25|is no size of a fastener\. Type"
    ):
        read_size(typed)


@given(st.sampled_from([3, 4, 5, 6, 8, 10, 12, 14, 16, 20, 24, 30]), st.integers(7, 300))
def test_a_whole_length_behind_a_diameter_is_a_length(diameter: int, length: int) -> None:
    """No coarse pitch reaches 7 mm."""
    assert read_size(f"M{diameter}x{length}").length_mm == length


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused_in_our_own_words(typed: str) -> None:
    with suppress(BadInput):
        assert read_size(typed).length_mm != 0
