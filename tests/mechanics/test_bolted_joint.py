"""Stiffness and angle tightening: springs in series, and what stays beyond yield.

Where the expected values come from: springs in series and a prism, by hand where shown; a second way of integration
(slices) for the cones; book examples are judged in tests/published/test_fasteners.py.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.bolted_joint import (
    Layer,
    angle_tightening,
    bolt_stiffness,
    joint_constant,
    member_stiffness,
    turn_for_preload,
)
from countershaft.mechanics.thread import parse_thread

LAYERS = st.lists(
    st.builds(Layer, st.floats(1e-3, 40e-3), st.sampled_from([45e9, 70e9, 110e9, 205e9])),
    min_size=1,
    max_size=5,
)
SPRINGS = {"pitch": 1.25e-3, "bolt": 300e6, "members": 900e6, "yield_preload": 25e3, "free_length": 20e-3}


@given(LAYERS)
def test_cones_agree_with_thin_slices(layers: list[Layer]) -> None:
    """Sum of dz/(E·A(z)) over 4,000 slices, with the ring of the nearer cone at each depth."""
    hole, face = 10e-3, 18e-3
    total = sum(layer.thickness for layer in layers)
    give = 0.0
    top = 0.0
    for layer in layers:
        count = 4000
        for number in range(count):
            depth = top + layer.thickness * (number + 0.5) / count
            wide = face + 2 * min(depth, total - depth) * math.tan(math.radians(30))
            give += layer.thickness / count / (layer.modulus * math.pi / 4 * (wide**2 - hole**2))
        top += layer.thickness
    assert member_stiffness(layers, diameter=hole, face_diameter=face) == pytest.approx(1 / give, rel=1e-3)


@given(LAYERS, st.integers(0, 4), st.floats(0.05, 0.95))
def test_cutting_a_layer_in_two_changes_nothing(layers: list[Layer], which: int, share: float) -> None:
    index = which % len(layers)
    cut = layers[index]
    parts = [Layer(cut.thickness * part, cut.modulus) for part in (share, 1 - share)]
    whole, divided = (
        member_stiffness(each, diameter=8e-3, face_diameter=13e-3)
        for each in (layers, [*layers[:index], *parts, *layers[index + 1 :]])
    )
    assert divided == pytest.approx(whole)
    assert member_stiffness(layers[::-1], diameter=8e-3, face_diameter=13e-3) == pytest.approx(whole)


def test_a_plain_shank_by_hand() -> None:
    """205 GPa · π/4 · 8² mm² / 20 mm = 515.2 N/µm."""
    found = bolt_stiffness(parse_thread("M8"), plain_length=20e-3, threaded_length=0)
    assert found / 1e6 == pytest.approx(515.2, abs=0.1)


def test_turn_and_angle_tightening_agree_while_elastic() -> None:
    found = angle_tightening(5e3, math.radians(20), **SPRINGS)
    turn = turn_for_preload(found.preload - 5e3, pitch=1.25e-3, bolt=300e6, members=900e6)
    assert not found.yields
    assert found.cautions == ()
    assert math.degrees(turn) == pytest.approx(20)


def test_beyond_yield_by_hand() -> None:
    """Advance 1.25·90/360 = 0.3125 mm; (25 − 10) kN over 225 N/µm = 0.0667 mm is elastic; 0.2458 mm stays."""
    found = angle_tightening(10e3, math.radians(90), **SPRINGS)
    assert found.yields
    assert found.preload == 25e3
    assert found.advance * 1e3 == pytest.approx(0.3125)
    assert found.plastic * 1e3 == pytest.approx(0.2458, abs=1e-4)
    assert found.strain == pytest.approx(0.01229, abs=1e-5)
    assert math.degrees(found.angle_to_yield) == pytest.approx(19.2)
    assert len(found.cautions) == 1
    assert "stays 0.25 mm longer; use a new one unless the maker allows a length check" in found.cautions[0]


def test_far_beyond_yield_asks_to_read_again() -> None:
    found = angle_tightening(10e3, math.radians(180), **SPRINGS)
    assert (
        "2.8 mm on each 100 mm of free thread, far beyond yield: read angle, pitch and stages again"
        in found.cautions[1]
    )


@pytest.mark.parametrize(
    ("work", "said"),
    [
        (lambda: angle_tightening(26e3, 1.0, **SPRINGS), "stage alone gives 26 kN, and the bolt yields at 25 kN"),
        (lambda: angle_tightening(1e3, 0.0, **SPRINGS), "must all be more than 0"),
        (lambda: bolt_stiffness(parse_thread("M8"), plain_length=0, threaded_length=0), "a length that can stretch"),
        (lambda: member_stiffness([], diameter=8e-3, face_diameter=13e-3), "need a thickness and a modulus"),
        (lambda: member_stiffness([Layer(0, 1e9)], diameter=8e-3, face_diameter=13e-3), "need a thickness"),
        (lambda: member_stiffness([Layer(1e-3, 1e9)], diameter=8e-3, face_diameter=8e-3), "be wider than the hole"),
        (lambda: joint_constant(0, 1), "stiffnesses must be more than 0"),
        (lambda: turn_for_preload(0, pitch=1, bolt=1, members=1), "must be more than 0"),
    ],
)  # fmt: skip
def test_nonsense_is_refused(work: object, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        work()  # type: ignore[operator]  # each is a function without arguments
