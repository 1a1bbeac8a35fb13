"""Where the expected values come from: figures of the file, divided by 1000; proof stress 580 MPa for 8.8 of ISO 898-1,
33 ksi to 120 ksi for grades of SAE J429 (1 ksi = 6.894757 MPa); twice the diameter in aluminium is common practice,
no source.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest

from countershaft.definitions.library import library, library_text
from countershaft.definitions.reader import read_transmission
from countershaft.mechanics.bolt_check import USUAL_FRICTION, check_bolt
from countershaft.model.bolting import bolted_place, friction_band, hole_names, holes
from countershaft.model.fasteners import Joint
from countershaft.planning.mixup import mix_ups
from countershaft.planning.places import standing_heights

BASE: dict[str, Any] = {
    "id": "F01",
    "name": "cover",
    "thread": "M8x1.25",
    "strength": "8.8",
    "head": "hex flange",
    "into": "aluminium",
    "under_head": "steel",
    "length_mm": "40",
    "grip_mm": "22",
    "thread_depth_mm": "22",
    "count": 2,
    "stages": [{"torque": "12 N·m"}, {"torque": "24 N·m"}],
}


def joint(**changed: Any) -> Joint:
    return Joint.model_validate({**BASE, **changed})


def test_a_bolt_goes_to_the_mechanics_in_metres() -> None:
    place = bolted_place(joint(), "1")
    assert (place.length, place.grip, place.thread_depth) == pytest.approx((0.040, 0.022, 0.022))
    assert (place.torque, place.angle) == (24.0, None)
    assert (place.property_class, place.head, place.into, place.under_head) == (
        "8.8",
        "hex flange",
        "aluminium",
        "steel",
    )


def test_every_line_of_a_whole_bolt_is_known() -> None:
    assert [
        answer.name for answer in check_bolt(bolted_place(joint(), "1")) if answer.verdict == "unknown"
    ] == []


def test_what_is_not_in_the_file_stays_unknown() -> None:
    bare = joint(length_mm=None, grip_mm=None, into=None, strength=None, head=None)
    unknown = {one.name for one in check_bolt(bolted_place(bare, "1")) if one.verdict == "unknown"}
    assert {"reach", "engagement", "preload", "share of proof load"} <= unknown


def test_an_angle_after_the_torque_is_told() -> None:
    place = bolted_place(joint(stages=[{"torque": "40 N·m"}, {"angle_deg": "90"}]), "1")
    assert (place.torque, place.angle) == (40.0, math.radians(90))


def test_a_torque_in_feet_and_pounds_is_converted() -> None:
    # 1 lbf·ft = 0.3048 m x 4.4482216152605 N
    assert bolted_place(joint(stages=[{"torque": "18 lbf·ft"}]), "1").torque == pytest.approx(
        24.4048, abs=1e-3
    )


@pytest.mark.parametrize("changed", [{"kind": "nut", "strength": "8 (nut)"}, {"special": "hollow"}])
def test_a_class_that_says_nothing_about_the_bolt_is_not_handed_on(changed: dict[str, Any]) -> None:
    assert bolted_place(joint(**changed), "1").property_class is None


def test_a_measured_face_takes_the_place_of_the_head() -> None:
    place = bolted_place(joint(head="round", bearing_mm="16", hole_mm="9"), "1")
    assert place.face is not None and place.head is None
    assert (place.face.outer, place.face.inner) == pytest.approx((0.016, 0.009))


def test_the_hole_of_the_medium_series_is_taken_for_a_metric_head_only() -> None:
    face = bolted_place(joint(bearing_mm="16"), "1").face
    assert face is not None and face.inner == pytest.approx(0.009)  # ISO 273, medium, M8
    assert bolted_place(joint(thread="5/16-18 UNC", bearing_mm="16"), "1").face is None


def test_friction_of_the_file_goes_before_the_usual_band() -> None:
    assert friction_band(joint()) == USUAL_FRICTION
    assert friction_band(joint(friction={"thread": "0.12", "head": "0.10"})) == (0.10, 0.12)


def test_places_are_named_by_their_own_id_or_by_their_joint() -> None:
    listed = joint(id="V", count=None, places=[{"id": "V01"}, {"id": "x"}])
    other = joint(id="W", count=None, places=[{"id": "x"}])
    counted = joint(id="F01", count=2)
    assert list(hole_names([listed, other, counted])) == ["V01", "V/x", "W/x", "F01/1", "F01/2"]
    assert hole_names([listed, other, counted])["W/x"] == ("W", "x")


def test_a_hole_knows_its_bolt_and_what_it_needs() -> None:
    (first, _) = holes([joint(coating="zinc flake", special="shouldered", reuse="always new")])
    assert (first.bolt.diameter, first.bolt.length, first.grip, first.depth) == (8, 40, 22, 22)
    assert (first.bolt.proof, first.needed) == (Fraction(580), Fraction(16))
    assert (first.bolt.coating, first.bolt.special, first.bolt.one_use) == ("zinc flake", "shouldered", True)
    assert first.height == 18


def test_a_grade_of_sae_is_ranked_too() -> None:
    (first,) = holes([joint(thread="5/16-18 UNC", strength="grade 8", count=1)])
    assert first.bolt.proof == round(120 * 6.894757)
    assert first.bolt.diameter == Fraction(5, 16) * Fraction(254, 10)


def test_a_through_hole_has_no_bottom_and_a_plug_no_place() -> None:
    assert holes([joint(hole="through", count=1)])[0].depth is None
    long = bolted_place(joint(length_mm="60", hole="through"), "1")
    (answer,) = [one for one in check_bolt(long) if one.name == "bottom reserve"]
    assert (answer.verdict, answer.least) == ("good", None)
    assert holes([joint(kind="plug")]) == ()


def test_an_unknown_class_or_material_is_none_and_never_guessed() -> None:
    (first,) = holes([joint(strength="A2-70", into="resin", count=1)])
    assert (first.bolt.proof, first.needed) == (None, None)


@pytest.mark.parametrize("name", library())
def test_every_shipped_unit_can_be_looked_through_for_mix_ups(name: str) -> None:
    transmission = read_transmission(library_text(name), name)
    places = holes(transmission.fasteners)
    assert len({place.id for place in places}) == len(places)
    found = mix_ups([place for place in places if place.joint == places[0].joint])
    assert found.proven
    assert all(not heights.odd for heights in standing_heights(places))


def test_the_two_bolts_of_the_split_case_that_were_changed_round_show_by_5_mm() -> None:
    """Invented history of the demo: the 55 mm bolt of H06 met the bottom of H07 and cracked the case beside it."""
    transmission = read_transmission(library_text("demo-a"), "demo-a")
    found = mix_ups(holes([transmission.joint("H")]))
    assert found.of("H06", "H07").result == "shows"
    assert found.of("H06", "H07").by_mm == 5
