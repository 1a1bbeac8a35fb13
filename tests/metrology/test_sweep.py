"""Sweeps and their closure.

Expected: the sum of opposite readings (common practice), JCGM 100:2008, 5.1.2 for its uncertainty, and a count over
many simulated honest sweeps.
"""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.sweep import sweep, without_sag

QUARTERS = [math.radians(turn) for turn in (0, 90, 180, 270)]
EIGHTHS = [math.radians(turn) for turn in range(0, 360, 45)]
readings4 = st.lists(st.integers(-60, 60), min_size=4, max_size=4)


@given(readings4)
def test_closure_of_the_quarters_is_the_difference_of_opposite_sums(steps: list[int]) -> None:
    r12, r3, r6, r9 = (step / 100 for step in steps)
    found = sweep(QUARTERS, [r12, r3, r6, r9], standard=0.003)
    assert found.closure == pytest.approx((r12 + r6) - (r3 + r9), abs=1e-12)
    assert found.closure_limit == pytest.approx(2 * math.sqrt(4) * 0.003, rel=1e-3)


@pytest.mark.parametrize("places", [4, 5, 6, 8, 12])
def test_an_honest_sweep_closes_most_of_the_time(places: int) -> None:
    """Coverage 95.45 %; the bounds are over four standard deviations of 2000 trials away."""
    chance = random.Random(places)
    turns = [2 * math.pi * place / places for place in range(places)]
    closed = sum(
        sweep(
            turns, [0.1 * math.cos(turn - 1) + chance.gauss(0, 0.003) for turn in turns], standard=0.003
        ).closes
        for _ in range(2000)
    )
    assert 0.935 < closed / 2000 < 0.974


def test_one_wrong_reading_does_not_close() -> None:
    right = [0.1 * math.cos(turn) for turn in EIGHTHS]
    for wrong in range(8):
        read = [value + 0.05 * (place == wrong) for place, value in enumerate(right)]
        found = sweep(EIGHTHS, read, standard=0.003)
        assert not found.closes
        assert "does not close" in found.closure_words()
        assert "Sweep again" in found.closure_words()


def test_an_oval_bore_can_hide_from_four_places_but_not_from_eight() -> None:
    def oval(turn: float) -> float:
        return 0.05 * math.sin(2 * turn)

    assert sweep(QUARTERS, [oval(turn) for turn in QUARTERS], standard=0.003).closes
    assert not sweep(EIGHTHS, [oval(turn) for turn in EIGHTHS], standard=0.003).closes


def test_the_shop_may_set_its_own_limit() -> None:
    read = [0.0, 0.0, 0.025, 0.0]
    assert not sweep(QUARTERS, read, standard=0.003).closes
    assert sweep(QUARTERS, read, standard=0.003, closure_limit=0.03).closes


def test_sag_reads_in_full_at_six_and_by_half_at_three() -> None:
    assert without_sag(QUARTERS, [0.0, 0.02, 0.04, 0.02], 0.04) == pytest.approx([0, 0, 0, 0])


@pytest.mark.parametrize(
    ("turns", "read", "standard", "said"),
    [
        (QUARTERS[:3], [0, 0, 0], 0.003, "3 different places are given; a sweep needs at least four"),
        ([*QUARTERS[:3], 2 * math.pi], [0, 0, 0, 0], 0.003, "3 different places"),
        (QUARTERS, [0, 0, 0, 0], 0.0, "must be above zero"),
        (QUARTERS, [0, 0, 0], 0.003, "4 angles but 3 readings"),
    ],
)
def test_what_nothing_checks_is_refused(
    turns: list[float], read: list[float], standard: float, said: str
) -> None:
    with pytest.raises(OutOfRange, match=said):
        sweep(turns, read, standard=standard)


def test_sag_must_be_a_number() -> None:
    with pytest.raises(OutOfRange, match="type what the indicator reads at 6 o'clock"):
        without_sag([0.0], [0.0], float("nan"))
