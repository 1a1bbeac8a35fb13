"""Engagement, bottom reserve and stripping.

Where the expected values come from: length − grip by hand; relations that must hold for shear areas; rules of thumb
are common practice, no source.  The published example is judged in tests/published/test_fasteners.py.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.engagement import (
    bolt_thread_factor,
    engagement,
    hole_thread_factor,
    needed_engagement,
    nut_wall_factor,
    shear_areas,
    stripping,
)
from countershaft.mechanics.tapped_material import MATERIALS, tapped_material
from countershaft.mechanics.thread import Thread, parse_thread
from countershaft.mechanics.thread_limits import limits_of_size
from tests.strategies_fasteners import listed_threads

M8 = parse_thread("M8x1.25")


@pytest.mark.parametrize(
    ("length", "grip", "depth", "reach", "held", "reserve", "said"),
    [
        (40, 22, 22, 18, 18, 4, None),
        (40, 22, 19.25, 18, 18, 1.25, None),
        (40, 22, 19, 18, 18, 1, "only 1 mm is left at the bottom, less than one pitch (1.25 mm)"),
        (40, 22, 18, 18, 18, 0, "meets the bottom just as its head comes down: nothing is clamped"),
        (40, 22, 15, 18, 15, -3, "meets the bottom with its head 3 mm off the part: nothing is clamped"),
        (20, 22, 15, -2, 0, 17, "the bolt is 2 mm too short to reach the thread"),
    ],
)
def test_reach_and_reserve(
    length: float, grip: float, depth: float, reach: float, held: float, reserve: float, said: str | None
) -> None:
    found = engagement(M8, length=length * 1e-3, grip=grip * 1e-3, thread_depth=depth * 1e-3)
    got = [value * 1e3 for value in (found.reach, found.held, found.reserve)]
    assert got == pytest.approx([reach, held, reserve], abs=1e-9)
    assert [said in caution for caution in found.cautions] == ([True] if said else [])
    assert found.bottoms == (reserve <= 0)


@given(listed_threads(), st.floats(1e-3, 60e-3))
def test_shear_areas_grow_with_the_engaged_length(thread: Thread, held: float) -> None:
    limits = limits_of_size(thread)
    one, two = shear_areas(thread, held, limits), shear_areas(thread, 2 * held, limits)
    assert two.hole == pytest.approx(2 * one.hole)
    assert two.bolt == pytest.approx(2 * one.bolt)
    assert one.bolt < one.hole, "the bolt shears on the smaller diameter"


@given(listed_threads(), st.sampled_from(sorted(MATERIALS)), st.sampled_from([500e6, 800e6, 1040e6]))
def test_the_needed_length_just_holds(thread: Thread, material: str, tensile: float) -> None:
    limits, shear = limits_of_size(thread), MATERIALS[material].shear_strength
    load = tensile * thread.stress_area
    needed = needed_engagement(thread, load, limits, bolt_tensile=tensile, hole_shear=shear)
    just = stripping(thread, needed * 1.0001, limits, bolt_tensile=tensile, hole_shear=shear)
    less = stripping(thread, needed * 0.99, limits, bolt_tensile=tensile, hole_shear=shear)
    assert just.weakest == "bolt breaks"
    assert less.weakest != "bolt breaks"


def test_softer_metal_needs_more_thread() -> None:
    """In line with the rule of thumb (steel 1 d, cast iron 1.5 d, aluminium 2 d: common practice, no source)."""
    limits = limits_of_size(M8)
    needed = {
        name: needed_engagement(M8, 29.3e3, limits, bolt_tensile=800e6, hole_shear=row.shear_strength)
        / M8.diameter
        for name, row in MATERIALS.items()
    }
    assert needed["cast iron"] < needed["steel"] < needed["aluminium"] < needed["magnesium"]
    for name, diameters in needed.items():
        assert diameters < MATERIALS[name].usual_engagement * 1.25, name
    assert [MATERIALS[name].usual_engagement for name in ("steel", "cast iron", "aluminium")] == [1, 1.5, 2]


def test_a_thin_wall_holds_less() -> None:
    limits = limits_of_size(M8)
    solid, nut = (
        stripping(M8, 6e-3, limits, bolt_tensile=800e6, hole_shear=250e6, wall=wall) for wall in (None, 12e-3)
    )
    assert nut.hole == pytest.approx(0.84 * solid.hole)
    assert nut_wall_factor(1.9) == 1.0
    assert nut_wall_factor(1.9 - 1e-9) == pytest.approx(1.0, abs=1e-6), (
        "the polynomial runs into the solid part"
    )
    with pytest.raises(OutOfRange, match=r"thinner than 1.4 diameters were not tested, got 1.3"):
        nut_wall_factor(1.3)


def test_outside_the_range_of_the_factors_a_caution_says_so() -> None:
    factor, said = hole_thread_factor(0.35)
    assert factor == 1.0
    assert said == "no factor C3 is known at a strength ratio of 0.35 (0.4 and less); none is applied"
    factor, said = bolt_thread_factor(2.5)
    assert factor == 1.0
    assert said == "no factor C2 is known at a strength ratio of 2.5 (2.2 and more); none is applied"
    assert hole_thread_factor(0.41)[0] > 1.0, "none applied is the safe side"
    assert bolt_thread_factor(2.19)[0] > 1.0, "none applied is the safe side"


def test_the_bolts_thread_strips_in_a_strong_hole() -> None:
    found = stripping(M8, 3e-3, limits_of_size(M8), bolt_tensile=420e6, hole_shear=700e6)
    assert found.weakest == "bolt's thread strips"
    assert found.strength_ratio > 1


@pytest.mark.parametrize(
    ("work", "said"),
    [
        (
            lambda: engagement(M8, length=0, grip=0, thread_depth=1),
            "length and thread depth must be more than 0",
        ),
        (lambda: shear_areas(M8, -1e-3, limits_of_size(M8)), "an engaged length is not negative, got -1 mm"),
        (
            lambda: stripping(M8, 0, limits_of_size(M8), bolt_tensile=1, hole_shear=1),
            "engaged length and strengths must be more than 0",
        ),
        (
            lambda: needed_engagement(M8, 0, limits_of_size(M8), bolt_tensile=1, hole_shear=1),
            "a load must be more than 0 N",
        ),
    ],
)
def test_nonsense_is_refused(work: object, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        work()  # type: ignore[operator]  # each is a function without arguments


def test_an_unknown_material_is_told_with_the_known_ones() -> None:
    with pytest.raises(
        BadInput, match="'brass' is not known; known are steel, cast iron, aluminium, magnesium"
    ):
        tapped_material("brass")
