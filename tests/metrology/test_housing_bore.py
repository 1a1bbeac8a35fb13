"""Offset of a housing bore.

Expected: readings made from a bore at a known place (distance from the crank axis to the wall, computed exactly),
with bar sag and crank drop put in by geometry; TM 9-4940-568-34 for the crank lift; differences for uncertainty.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.housing_bore import BoreOffset, bore_offset

QUARTERS = [math.radians(turn) for turn in (0, 90, 180, 270)]
UNEQUAL = [math.radians(turn) for turn in (0, 55, 100, 170, 235, 300)]
RADIUS = 0.15


def wall(turn: float, bore: tuple[float, float], crank: tuple[float, float] = (0.0, 0.0)) -> float:
    """Distance from the crank axis to the bore's wall in one direction (ray and circle)."""
    way = (math.sin(turn), math.cos(turn))
    off = (bore[0] - crank[0], bore[1] - crank[1])
    along = off[0] * way[0] + off[1] * way[1]
    across = off[0] * way[1] - off[1] * way[0]
    return along + math.sqrt(RADIUS**2 - across**2)


def read(
    turns: list[float], bore: tuple[float, float], crank: tuple[float, float] = (0.0, 0.0)
) -> list[float]:
    """What the indicator shows, zeroed at the first place: + where the wall is nearer."""
    far = [wall(turn, bore, crank) for turn in turns]
    return [far[0] - value for value in far]


@pytest.mark.parametrize("turns", [QUARTERS, UNEQUAL])
@pytest.mark.parametrize("bore", [(0.2e-3, -0.1e-3), (-0.3e-3, 0.25e-3), (0.0, 0.4e-3)])
def test_the_housing_moves_back_to_the_crank(turns: list[float], bore: tuple[float, float]) -> None:
    found = bore_offset(turns, read(turns, bore), standard=3e-6)
    assert (found.move_x, found.move_y) == pytest.approx((-bore[0], -bore[1]), abs=2e-6)
    assert found.total == 2 * found.offset
    assert found.sweep.closes


def test_a_bar_that_sags_is_corrected() -> None:
    """The whole indicator hangs 0.02 mm below where it should be, in the housing as in the true ring."""
    hang, bore = (0.0, -0.02e-3), (0.1e-3, 0.05e-3)
    ring = read(QUARTERS, (0.0, 0.0), hang)
    assert ring[2] == pytest.approx(0.04e-3, rel=1e-3)
    bent = read(QUARTERS, bore, hang)
    raw = bore_offset(QUARTERS, bent, standard=3e-6)
    found = bore_offset(QUARTERS, bent, standard=3e-6, sag=ring[2])
    assert raw.move_y == pytest.approx(-0.07e-3, abs=1e-6)
    assert (found.move_x, found.move_y) == pytest.approx((-0.1e-3, -0.05e-3), abs=1e-6)


def test_a_crank_that_lies_low_is_raised() -> None:
    """Swept with the crank 0.03 mm below where it runs; the bore is true to the running axis."""
    low = read(QUARTERS, (0.0, 0.0), (0.0, -0.03e-3))
    assert bore_offset(QUARTERS, low, standard=3e-6).move_y == pytest.approx(-0.03e-3, abs=1e-7)
    assert bore_offset(QUARTERS, low, standard=3e-6, crank_rise=0.03e-3).offset < 1e-7


def test_five_o_clock_in_words() -> None:
    """0.29 mm toward 5 o'clock, in both units."""
    turn = math.radians(150)
    bore = (-0.29e-3 * math.sin(turn), -0.29e-3 * math.cos(turn))
    found = bore_offset(QUARTERS, read(QUARTERS, bore), standard=3e-6)
    assert found.words() == "move the housing 0.29 mm toward 5 o'clock"
    assert found.words("in") == "move the housing 0.011 in toward 5 o'clock"
    assert found.working()[-1] == "direction = 150° from 12 o'clock, clockwise"


def test_too_little_has_no_direction() -> None:
    found = bore_offset(QUARTERS, [0.0, 0.004e-3, 0.0, 0.0], standard=3e-6)
    assert not found.has_direction
    assert (
        found.words() == "the bore is off by 0.00 mm, 0.01 mm at most; that is too little to tell a direction"
    )
    assert found.direction_standard == pytest.approx(math.pi)


@given(st.floats(0.05e-3, 0.5e-3), st.floats(0, 2 * math.pi))
def test_uncertainty_by_differences(size: float, turn: float) -> None:
    """JCGM 100:2008, 5.1.2: every input moved by its standard uncertainty, squares added."""
    read_ = read(QUARTERS, (size * math.sin(turn), size * math.cos(turn)))

    def offset(readings: list[float], sag: float, rise: float) -> BoreOffset:
        return bore_offset(QUARTERS, readings, standard=3e-6, sag=sag, sag_standard=4e-6, crank_rise=rise,
                           crank_rise_standard=5e-6)  # fmt: skip

    here = offset(read_, 0.02e-3, 0.01e-3)
    if here.offset < 0.03e-3:
        return  # linear propagation does not hold there
    moved = [
        offset([r + 3e-8 * (k == place) for k, r in enumerate(read_)], 0.02e-3, 0.01e-3) for place in range(4)
    ]
    moved += [offset(read_, 0.02e-3 + 4e-8, 0.01e-3), offset(read_, 0.02e-3, 0.01e-3 + 5e-8)]
    assert here.offset_standard == pytest.approx(
        100 * math.hypot(*(other.offset - here.offset for other in moved)), rel=0.02
    )
    turned = [math.remainder(other.direction - here.direction, 2 * math.pi) for other in moved]
    assert here.direction_standard == pytest.approx(100 * math.hypot(*turned), rel=0.02)


def test_scatter_of_simulated_sweeps() -> None:
    chance = np.random.default_rng(7)
    true = np.array(read(QUARTERS, (0.2e-3, 0.1e-3)))
    found = [
        bore_offset(QUARTERS, list(true + chance.normal(0, 3e-6, 4)), standard=3e-6) for _ in range(3000)
    ]
    assert np.std([one.offset for one in found]) == pytest.approx(found[0].offset_standard, rel=0.05)
    assert np.std([one.direction for one in found]) == pytest.approx(found[0].direction_standard, rel=0.05)


def test_corrections_must_be_sound() -> None:
    with pytest.raises(OutOfRange, match="not below zero"):
        bore_offset(QUARTERS, [0.0] * 4, standard=3e-6, crank_rise=-1e-5)
    with pytest.raises(OutOfRange, match="must be numbers"):
        bore_offset(QUARTERS, [0.0] * 4, standard=3e-6, sag=float("inf"))
