"""Offset dowels.

Expected: every size at hand turned to every degree, the remaining offset taken as the length of an arrow.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.housing_bore import BoreOffset, bore_offset
from countershaft.metrology.offset_dowels import choose_dowels, remaining_offset

QUARTERS = [math.radians(turn) for turn in (0, 90, 180, 270)]
AT_HAND = {0.15e-3: 2, 0.30e-3: 2, 0.45e-3: 2}


def off(size: float, turn: float) -> BoreOffset:
    """A bore whose housing must move by `size` toward `turn`."""
    x, y = size * math.sin(turn), size * math.cos(turn)
    return bore_offset(QUARTERS, [y, x, -y, -x], standard=3e-6)


@given(st.floats(0, 0.6e-3), st.integers(0, 359))
def test_no_size_turned_to_any_degree_leaves_less(size: float, degrees: int) -> None:
    bore = off(size, math.radians(degrees))
    found = choose_dowels(bore, AT_HAND, limit=0.1e-3)
    best = min(
        remaining_offset(bore, one, math.radians(turn))[0] for one in (0.0, *AT_HAND) for turn in range(360)
    )
    assert found.remains == pytest.approx(best, abs=1e-9)
    assert remaining_offset(bore, found.size, found.turn)[0] == pytest.approx(found.remains, abs=1e-12)


@given(st.floats(0.05e-3, 0.6e-3), st.integers(0, 359))
def test_within_the_slack_the_limit_is_kept_and_beyond_it_is_not(size: float, degrees: int) -> None:
    bore = off(size, math.radians(degrees))
    found = choose_dowels(bore, AT_HAND, limit=0.12e-3)
    radius = 0.06e-3 - 2 * bore.offset_standard
    if found.slack is None:
        assert found.remains > radius
        assert not found.keeps_limit
        return
    assert found.keeps_limit
    for side in (-1, 1):
        inside = remaining_offset(bore, found.size, found.turn + side * found.slack * 0.999)[0]
        outside = remaining_offset(bore, found.size, found.turn + side * found.slack * 1.001)[0]
        assert inside <= radius + 1e-12
        if found.slack < math.pi:
            assert outside >= radius - 1e-12


def test_a_single_dowel_is_no_pair() -> None:
    found = choose_dowels(off(0.3e-3, 0.0), {0.3e-3: 1, 0.15e-3: 2}, limit=0.25e-3)
    assert found.size == 0.15e-3
    assert [size for size, _ in found.others] == [0.15e-3, 0.0]


def test_the_words_say_size_turn_and_rest() -> None:
    found = choose_dowels(off(0.28e-3, math.radians(155)), AT_HAND, limit=0.25e-3)
    said = found.words()
    assert said.startswith(
        "Two dowels of 0.30 mm offset, both turned so that the offset end points to 5:10 on the clock"
    )
    assert "155° clockwise from 12" in said
    assert "leave 0.04 mm of 0.25 mm TIR" in said
    assert "sweep again" in said
    assert "0.012 in offset" in found.words("in")


def test_a_full_hour_is_not_told_as_sixty_minutes() -> None:
    found = choose_dowels(off(0.3e-3, math.radians(359)), AT_HAND, limit=0.25e-3)
    assert "points to 12:00 on the clock" in found.words()


def test_plain_dowels_stay_where_no_offset_is_better() -> None:
    found = choose_dowels(off(0.05e-3, 1.0), AT_HAND, limit=0.25e-3)
    assert found.size == 0
    assert (
        found.words()
        == "No offset dowel at hand makes it better; the plain ones leave 0.10 mm of 0.25 mm TIR."
    )


def test_too_little_at_hand_is_said() -> None:
    found = choose_dowels(off(0.9e-3, 1.0), AT_HAND, limit=0.25e-3)
    assert (found.size, found.slack, found.keeps_limit) == (0.45e-3, None, False)
    assert found.words().endswith("That is not enough.")


@pytest.mark.parametrize(
    ("at_hand", "limit", "said"),
    [
        (AT_HAND, 0.0, "must be above zero"),
        ({0.0: 2}, 0.25e-3, "offset above zero and count not below"),
        ({0.15e-3: -1}, 0.25e-3, "-1 dowels of offset"),
    ],
)
def test_what_is_no_stock_is_refused(at_hand: dict[float, int], limit: float, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        choose_dowels(off(0.3e-3, 0.0), at_hand, limit=limit)


def test_a_sweep_that_does_not_close_chooses_nothing() -> None:
    bore = bore_offset(QUARTERS, [0.0, 0.3e-3, 0.1e-3, -0.3e-3], standard=3e-6)
    with pytest.raises(OutOfRange, match="No dowel is chosen by readings that contradict each other"):
        choose_dowels(bore, AT_HAND, limit=0.25e-3)


def test_the_working_tells_every_size() -> None:
    found = choose_dowels(off(0.28e-3, 1.0), {0.3e-3: 2, 0.15e-3: 2}, limit=0.25e-3)
    assert found.working() == (
        "offset 0.30 mm: leaves 0.0200 mm, TIR 0.040 mm",
        "offset 0.15 mm: leaves 0.1300 mm, TIR 0.260 mm",
        "offset 0.00 mm: leaves 0.2800 mm, TIR 0.560 mm",
        "TIR 0.040 mm, 2u = 0.008 mm, limit 0.25 mm: kept",
    )
