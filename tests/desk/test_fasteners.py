"""What the desk answers about fasteners.

Expected values: proof loads of ISO 898-1:2013 and settings of NAVEDTRA 14315 from tests/published/fasteners.json;
torques side by side by NIST SP 811; the rest by hand.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from countershaft.definitions.library import library, library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.bolt_question import ask_bolt
from countershaft.desk.bolt_working import bolt_working
from countershaft.desk.fasteners import JointSheet, joint_sheet, torque_of, unit_sheet
from countershaft.desk.place_names import places_words
from countershaft.desk.torque_setting import read_tool, setting, three_digits
from countershaft.errors import BadInput, FormError, OutOfRange, Unknown
from countershaft.mechanics.bolt_check import BoltedPlace
from countershaft.mechanics.thread import parse_thread
from countershaft.model.fasteners import Stage
from countershaft.units import read
from tests.odd_bolts import ODD_BOLTS

PUBLISHED = {
    case["id"]: case
    for case in json.loads((Path(__file__).parents[1] / "published" / "fasteners.json").read_text("utf-8"))
}
DEMO_A = read_transmission(library_text("demo-a"), "demo-a.yaml")
DEMO_B = read_transmission(library_text("demo-b"), "demo-b.yaml")
ODD = read_transmission(ODD_BOLTS, "odd.yaml")


def told(sheet: JointSheet, place: str, name: str) -> tuple[str, str]:
    """Verdict and words of one line of the check of a place."""
    check = next(one for one in sheet.checks if place in one.places)
    answer = next(answer for answer in check.answers if answer.name == name)
    return answer.verdict, answer.words


@pytest.mark.parametrize("name", library())
def test_every_place_of_every_demo_is_checked_once(name: str) -> None:
    """Nothing is left out, nothing counted twice, and every line says something."""
    unit = read_transmission(library_text(name), f"{name}.yaml")
    for sheet in unit_sheet(unit).joints:
        places = [place for check in sheet.checks for place in check.places]
        assert sorted(places) == sorted(sheet.joint.place_ids)
        assert all(answer.words for check in sheet.checks for answer in check.answers)
        assert sheet.loosening[0].places == sheet.rounds[0].places[::-1]


def test_a_joint_of_demo_b_by_hand() -> None:
    """45 − 33 = 12 mm reach, 15 − 12 = 3 mm below, 2 d in aluminium; heads 12 mm; 10 N·m is 7.38 lbf·ft."""
    sheet = joint_sheet(DEMO_B, "V")
    assert told(sheet, "V03", "reach") == (
        "good",
        "reaches 12 mm into the hole; dropped in, its head stands that high",
    )
    assert told(sheet, "V03", "bottom reserve") == ("good", "3 mm is left below the bolt")
    assert told(sheet, "V03", "engagement")[1].startswith("12 mm is 2 d in aluminium")
    assert [group.words for group in sheet.heights] == [
        "valve body to case: dropped in without turning, 17 stand 12 mm high."
    ]
    assert [torque.side.words for torque in sheet.torques if torque.side] == [
        "5 N·m = 3.69 lbf·ft = 44.3 lbf·in",
        "10 N·m = 7.38 lbf·ft = 88.5 lbf·in",
    ]
    assert sheet.order.sequence == DEMO_B.joint("V").order
    assert {check.length_mm for check in sheet.checks} == {30, 45, 60, 75}


def test_the_working_shows_the_proof_load_of_the_standard() -> None:
    """ISO 898-1:2013 prints 11.6 kN for M6 and 21.2 kN for M8, class 8.8 (case T01-06), to three figures."""
    printed = PUBLISHED["T01-06"]["expected"]
    for thread in ("M6", "M8", "M10", "M12"):
        place = BoltedPlace(parse_thread(thread), "8.8", "hex flange", torque=10.0)
        (line,) = (line for line in bolt_working(place, (0.08, 0.16)) if "proof load" in line)
        found = float(re.search(r"= ([\d.]+) kN$", line)[1])  # type: ignore[index]
        assert found == pytest.approx(printed[thread][0] / 1e3, rel=0.01)


def test_what_is_wrong_in_a_file_is_said_and_never_guessed() -> None:
    """A bolt longer than its hole, a torque above proof, a class nobody knows, a missing grip."""
    sheets = {sheet.joint.id: sheet for sheet in unit_sheet(ODD).joints}
    assert told(sheets["long"], "1", "bottom reserve")[0] == "bad"
    assert told(sheets["tight"], "1", "share of proof load")[0] == "bad"
    assert (
        "above it whatever the friction; torque or class is wrong"
        in told(sheets["tight"], "1", "share of proof load")[1]
    )
    verdict, words = told(sheets["nameless"], "1", "share of proof load")
    assert verdict == "unknown" and "88" in words
    assert told(sheets["nogrip"], "1", "engagement") == ("unknown", "unknown: grip is not given")
    assert sheets["nogrip"].worst == "caution" or sheets["nogrip"].worst == "unknown"
    assert (
        sheets["nogrip"].heights[0].words
        == "grip missing: no standing height is known; length or grip is missing."
    )
    assert (sheets["long"].worst, sheets["tight"].worst) == ("bad", "bad")
    assert "reach" in sheets["nogrip"].unknown and sheets["turned"].worst == "unknown"


def test_the_left_hand_turns_the_other_way() -> None:
    sheet = joint_sheet(ODD, "turned")
    assert (sheet.tighten.word, sheet.loosen.word) == ("anticlockwise", "clockwise")
    assert str(sheet.tighten).startswith("LEFT-HAND THREAD")


def test_an_order_is_computed_with_its_reason() -> None:
    sheet = joint_sheet(ODD, "ring")
    assert sheet.order.pattern == "circle" and sheet.order.sequence is not None
    assert sheet.order.sequence[:2] == ("a", "c")
    assert [(one.number, one.action) for one in sheet.loosening] == [(1, "half a turn"), (2, "out")]


def test_dangers_across_joints_are_shown_at_both() -> None:
    """Demo A: the park pawl stop is class 10.9 and longer; many 8.8 bolts strip or are weaker in its hole."""
    stop, cover = joint_sheet(DEMO_A, "F13"), joint_sheet(DEMO_A, "E")
    assert all(pairing.holes == ("F13/1",) for pairing in stop.others)
    assert [pairing.holes for pairing in cover.others] == [("F13/1",)]
    assert set(cover.others[0].bolts) <= set(cover.joint.place_ids)
    mix = unit_sheet(DEMO_A).mix
    assert mix is not None and mix.proven and mix.words.startswith("Bag these 2 apart: F07/1")


def test_a_joint_that_is_not_there() -> None:
    with pytest.raises(Unknown, match="has no joint 'X'"):
        joint_sheet(DEMO_B, "X")


def test_a_round_without_a_torque_has_no_units() -> None:
    assert torque_of(Stage(by_hand="snug all")).side is None
    assert (
        torque_of(Stage.model_validate({"torque": "18 lbf·ft"})).side.words
        == "18 lbf·ft = 24.4 N·m = 216 lbf·in"
    )  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("names", "words"),
    [
        (("F01/1", "F01/2", "F01/3", "V03"), "F01/1 to 3, V03"),
        (("F01/1", "F01/3"), "F01/1, F01/3"),
        (("F01/1", "F02/2"), "F01/1, F02/2"),
        (("V01", "V02"), "V01, V02"),
        (tuple("abcdefghij"), "a, b, c, d, e, f, g, h and 2 more"),
    ],
)
def test_places_are_named_in_short(names: tuple[str, ...], words: str) -> None:
    assert places_words(names) == words


# --- the torque wrench ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("case", "torque", "typed", "unit", "key"),
    [
        ("T04-01", "100 lbf·in", {"wrench": "12 in", "adapter": "6 in"}, "lbf·in", "setting_lbfin"),
        ("T04-03", "30 lbf·ft", {"wrench": "12 in", "adapter": "3 in"}, "lbf·ft", "setting_lbfft"),
        ("T04-05", "80 N·m", {"wrench": "400", "adapter": "50"}, "N·m", "deg0"),
        ("T04-05", "80 N·m", {"wrench": "400", "adapter": "50", "angle": "90"}, "N·m", "deg90"),
    ],
)
def test_settings_with_an_adapter(case: str, torque: str, typed: dict[str, str], unit: str, key: str) -> None:
    """As the sources print them."""
    asked = read_tool(typed)
    assert asked is not None
    found = setting(read(torque), asked)
    printed = PUBLISHED[case]["printed"][key]
    digits = len(printed.partition(".")[2])
    shown = {
        "N·m": found.set_to.newton_metre,
        "lbf·ft": found.set_to.pound_foot,
        "lbf·in": found.set_to.pound_inch,
    }
    assert shown[unit] == pytest.approx(float(printed), abs=0.5 * 10**-digits)


def test_a_tool_below_its_checked_range_is_refused() -> None:
    """ISO 6789: a tool of 100 N·m is checked from 20 N·m on (case T04-07)."""
    asked = read_tool({"kind": "II A", "most": "100"})
    assert asked is not None
    found = setting(read("10 N·m"), asked)
    assert found.fits is not None and not found.fits.good
    assert found.checked_at == tuple(PUBLISHED["T04-07"]["expected"]["points_100"])
    good = setting(read("60 N·m"), asked)
    assert good.fits is not None and good.fits.good
    assert [good.fits.least, good.fits.most] == pytest.approx(
        PUBLISHED["T04-07"]["expected"]["limits_100Nm_at_60"]
    )


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"wrench": "400"}, "adapter", "type both lengths, or neither"),
        ({"wrench": "long", "adapter": "5"}, "wrench", "'long' is no figure"),
        ({"wrench": "0", "adapter": "5"}, "wrench", "type more than 0"),
        ({"kind": "II A"}, "most", "the largest torque of the scale is needed"),
        ({"most": "100"}, "kind", "choose what kind of tool it is"),
        ({"most": "100", "kind": "X Y"}, "kind", "no type and class"),
        ({"most": "100", "kind": "II Z"}, "most", "knows no tool of type II, class Z"),
        ({"most": "20", "least": "50", "kind": "II A"}, "most", "a scale from 50 to 20"),
        ({"most": "20 mm", "kind": "II A"}, "most", "measures length"),
    ],
)
def test_slips_at_the_torque_wrench(typed: dict[str, str], field: str, words: str) -> None:
    with pytest.raises(FormError) as caught:
        read_tool(typed)
    assert words in caught.value.fields[field]


def test_nothing_typed_is_nothing_asked() -> None:
    assert read_tool({"wrench": " ", "angle": "30"}) is None


def test_an_adapter_that_reaches_back_is_refused() -> None:
    asked = read_tool({"wrench": "400", "adapter": "300", "angle": "180"})
    assert asked is not None
    with pytest.raises(OutOfRange, match="reaches back"):
        setting(read("80 N·m"), asked)


@pytest.mark.parametrize(
    ("figure", "words"), [(21.333, "21.3"), (16.0, "16.0"), (100.0, "100"), (1234.5, "1234"), (8.885, "8.88")]
)
def test_three_digits(figure: float, words: str) -> None:
    assert str(three_digits(figure)) == words


# --- one bolt ---------------------------------------------------------------------------------------------------


def test_torque_and_preload_are_each_others_answer() -> None:
    """VDI 2230 in figures (docs of `tightening_torque`): 24.47 N·m gives M8 18.6 kN at 0.12, and back."""
    place = BoltedPlace(parse_thread("M8"), "8.8", "hex flange")
    (wanted,) = ask_bolt(place, preload=18.6e3, friction=(0.12, 0.12)).torques
    assert 0.15 < wanted.nut_factor < 0.2
    back = BoltedPlace(parse_thread("M8"), "8.8", "hex flange", torque=wanted.torque)
    preload = next(
        answer for answer in ask_bolt(back, friction=(0.12, 0.12)).answers if answer.name == "preload"
    )
    assert preload.least == pytest.approx(18.6e3, rel=1e-9)


def test_a_preload_needs_the_kind_of_head() -> None:
    with pytest.raises(BadInput, match="name it with --head"):
        ask_bolt(BoltedPlace(parse_thread("M8")), preload=1e4)
