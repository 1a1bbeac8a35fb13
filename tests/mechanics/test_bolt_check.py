"""The check of one bolt: each line stands or falls alone, and says why.

Where the expected values come from: the computations that are judged elsewhere; verdicts on the bottom, engagement and
friction are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from countershaft.errors import OutOfRange
from countershaft.mechanics.bearing_face import BearingFace
from countershaft.mechanics.bolt_check import Answer, BoltedPlace, check_bolt
from countershaft.mechanics.thread import parse_thread

FULL = BoltedPlace(
    parse_thread("M8x1.25"), "8.8", "hex flange", None, "aluminium", "aluminium", 40e-3, 22e-3, 22e-3, 24.0
)


def lines(place: BoltedPlace) -> dict[str, Answer]:
    return {answer.name: answer for answer in check_bolt(place)}


def test_a_full_place_is_told_in_full() -> None:
    found = lines(FULL)
    assert {name: answer.verdict for name, answer in found.items()} == {
        "reach": "good",
        "bottom reserve": "good",
        "engagement": "good",
        "stripping": "good",
        "joint stiffness": "good",
        "preload": "good",
        "share of proof load": "caution",
        "equivalent stress": "caution",
        "pressure under the head": "good",
    }
    assert found["reach"].words == "reaches 18 mm into the hole; dropped in, its head stands that high"
    assert found["preload"].words == "12.9 to 23.4 kN from 24 N·m for friction 0.16 to 0.08"
    assert all(answer.least is not None and answer.most is not None for answer in found.values())


@pytest.mark.parametrize(
    ("lost", "unknown", "why"),
    [
        (
            "grip",
            ("reach", "bottom reserve", "engagement", "stripping", "joint stiffness"),
            "unknown: grip is",
        ),
        (
            "property_class",
            ("stripping", "share of proof load", "equivalent stress"),
            "unknown: the class on the head",
        ),
        ("into", ("engagement", "stripping", "joint stiffness"), "unknown: the tapped material is not given"),
        (
            "under_head",
            ("joint stiffness", "pressure under the head"),
            "unknown: the material under the head is",
        ),
        (
            "torque",
            ("preload", "share of proof load", "equivalent stress", "pressure under the head"),
            "unknown: no torque is given",
        ),
        (
            "head",
            (
                "joint stiffness",
                "preload",
                "share of proof load",
                "equivalent stress",
                "pressure under the head",
            ),
            "unknown: the kind of head is not given",
        ),
    ],
)
def test_what_is_missing_leaves_the_rest_standing(lost: str, unknown: tuple[str, ...], why: str) -> None:
    found = lines(replace(FULL, **{lost: None}))
    assert tuple(name for name, answer in found.items() if answer.verdict == "unknown") == unknown
    for name in unknown:
        assert found[name].words.startswith(why)
        assert found[name].least is None
        assert found[name].most is None


def test_an_unknown_class_is_named() -> None:
    found = lines(replace(FULL, property_class="A2-70"))["share of proof load"]
    assert found.verdict == "unknown"
    assert "class 'A2-70' is not known for M8x1.25" in found.words


def test_a_head_that_was_measured_stands_for_an_unknown_one() -> None:
    found = lines(replace(FULL, head=None, face=BearingFace(15.8e-3, 9e-3)))
    assert found["preload"] == lines(FULL)["preload"]


def test_a_bolt_that_meets_the_bottom() -> None:
    found = lines(replace(FULL, thread_depth=15e-3))
    assert found["bottom reserve"].verdict == "bad"
    assert (
        found["bottom reserve"].words
        == "the bolt meets the bottom with its head 3 mm off the part: nothing is clamped"
    )
    assert found["engagement"].verdict == "caution"
    assert found["engagement"].words == "15 mm is 1.9 d in aluminium; 2 d is usual (common practice)"


def test_a_bolt_that_is_too_short() -> None:
    found = lines(replace(FULL, length=20e-3))
    assert (found["reach"].verdict, found["reach"].words) == ("bad", "2 mm too short to reach the thread")
    assert found["bottom reserve"].verdict == "good"
    assert found["stripping"].verdict == "unknown"


def test_a_torque_above_proof_whatever_the_friction() -> None:
    found = lines(replace(FULL, torque=60.0))
    assert found["share of proof load"].verdict == "bad"
    assert found["share of proof load"].words.endswith(
        "above it whatever the friction; torque or class is wrong"
    )
    assert found["equivalent stress"].verdict == "bad"
    assert found["pressure under the head"].verdict == "caution"


def test_a_hole_that_strips_before_the_torque_is_reached() -> None:
    found = lines(replace(FULL, length=27e-3))["stripping"]
    assert found.verdict == "bad"
    assert found.words.startswith("hole strips at 10.6 kN (AlSi9Cu3, gravity cast taken for aluminium)")
    assert "the torque pulls up to 23.4 kN" in found.words


TURNED = BoltedPlace(
    parse_thread("M10x1.25"),
    "10.9",
    "hex flange",
    None,
    "steel",
    "steel",
    length=24e-3,
    grip=9e-3,
    thread_depth=19e-3,
    torque=32.0,
    angle=math.radians(55),
)


def test_stiffness_of_a_bolt_in_its_hole() -> None:
    """By hand: 61.2 mm² over 9 + 5 mm, or 78.5 mm² over 9 and 61.2 over 5; two frusta of 7 mm from 19.6 mm, d = 10."""
    found = lines(TURNED)["joint stiffness"]
    assert (found.least, found.most) == pytest.approx((896.1e6, 1044.4e6), rel=1e-3)
    assert "what it clamps 5033 kN/mm if all of it is steel" in found.words
    assert "the bolt takes 0.15 to 0.17" in found.words


def test_an_angle_beyond_yield_tells_preload_and_elongation() -> None:
    """By hand: 1.25 mm · 55/360 = 0.191 mm less (F_yield − F_snug)·(1/k_b + 1/k_m); F_yield with the twist of VDI."""
    found = lines(TURNED)
    assert (found["torque and angle"].least, found["torque and angle"].most) == pytest.approx(
        (0.1451e-3, 0.1585e-3), rel=3e-3
    )
    assert found["torque and angle"].verdict == "caution"
    assert (
        "14.1 to 25.9 kN before the angle; 55° more draws 0.19 mm together" in found["torque and angle"].words
    )
    assert "use a new one" in found["torque and angle"].words
    assert found["preload"].words == "49 to 54 kN from 32 N·m and 55° for friction 0.16 to 0.08"
    assert found["share of proof load"].words.endswith(
        "the angle takes it past proof, so it is never used twice"
    )
    assert found["equivalent stress"].verdict == "caution"


def test_an_angle_that_stays_elastic_is_good() -> None:
    found = lines(replace(TURNED, torque=10.0, angle=math.radians(3)))["torque and angle"]
    assert (found.verdict, found.most) == ("good", 0.0)
    assert "stays below yield" in found.words


def test_an_angle_that_is_far_too_much_is_said() -> None:
    assert "far beyond yield" in lines(replace(TURNED, angle=math.radians(180)))["torque and angle"].words


def test_a_torque_beyond_yield_before_the_angle_is_bad() -> None:
    found = lines(replace(TURNED, torque=150.0))["torque and angle"]
    assert found.verdict == "bad"
    assert "the torque stage alone gives" in found.words


def test_an_angle_needs_grip_and_class() -> None:
    assert lines(replace(TURNED, grip=None))["torque and angle"].words == "unknown: grip is not given"
    assert "class" in lines(replace(TURNED, property_class=None))["torque and angle"].words
    assert lines(replace(TURNED, torque=None))["torque and angle"].words.endswith(
        "no torque is given before the angle"
    )
    assert "torque and angle" not in lines(FULL)


def test_a_friction_band_goes_upward() -> None:
    with pytest.raises(OutOfRange, match="friction goes from least to most"):
        check_bolt(FULL, friction=(0.2, 0.1))
