"""Clock words and lengths.

Expected: a clock face (30 degrees an hour) and 25.4 mm to the inch.
"""

from __future__ import annotations

import math

import pytest

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import clock_angle, clock_hours, clock_words, length_words


@pytest.mark.parametrize("hour", range(1, 13))
def test_every_hour_comes_back(hour: int) -> None:
    for off in (-14, 0, 14):
        assert clock_words(math.radians(30 * hour + off)) == f"{hour} o'clock"
    assert clock_hours(clock_angle(hour)) == pytest.approx(hour % 12)


def test_a_thirteenth_hour_is_refused() -> None:
    with pytest.raises(OutOfRange, match="13 o'clock is given; a clock face has 12 hours"):
        clock_angle(13)


def test_both_units_tell_one_length() -> None:
    assert (length_words(25.4e-3), length_words(25.4e-3, "in")) == ("25.40 mm", "1.000 in")


def test_a_nought_has_no_minus() -> None:
    assert length_words(-1e-9) == "0.00 mm"
    assert length_words(-0.04e-3, "in", extra=2) == "-0.00157 in"
