"""Limits of size: relations that must hold for every thread, and what is refused.

Where the expected values come from: the order of the limits by definition; values are judged in
tests/published/test_fasteners.py.
"""

from __future__ import annotations

import pytest
from hypothesis import given

from countershaft.errors import OutOfRange
from countershaft.mechanics.thread import Thread, parse_thread
from countershaft.mechanics.thread_limits import limits_of_size
from tests.strategies_fasteners import listed_threads


@given(listed_threads())
def test_a_bolt_is_thinner_than_its_hole(thread: Thread) -> None:
    limits = limits_of_size(thread)
    assert limits.bolt_major_min < limits.bolt_major_max <= thread.diameter
    assert limits.bolt_pitch_min < limits.bolt_pitch_max < thread.pitch_diameter < limits.hole_pitch_max
    assert thread.minor_diameter < limits.hole_minor_max < limits.bolt_pitch_min, "they overlap in any case"


def test_a_unef_thread_engages_over_nine_pitches() -> None:
    """ASME B1.1: its tolerance is smaller than that of UNC of the same diameter."""
    fine, coarse = (limits_of_size(parse_thread(text)) for text in ("1/2-28 UNEF", "1/2-13 UNC"))
    assert fine.bolt_pitch_max - fine.bolt_pitch_min < coarse.bolt_pitch_max - coarse.bolt_pitch_min


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("M8x1.25-4g6g", "limits are known for 6g, 6H, 6H/6g, not for 4g6g"),
        ("1/4-20 UNC-3A", "limits are known for 2A, 2B, not for 3A"),
        ("M8x1.1", "no tolerances are kept for this diameter with this pitch"),
        ("M64x6", "no tolerances are kept"),
        ("#10-32 UNF", "from 1/4 in"),
        ("3/8-20 UN", "kept for UNC, UNF and UNEF"),
    ],
)
def test_no_limits_are_guessed(text: str, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        limits_of_size(parse_thread(text))
