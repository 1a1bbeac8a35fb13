"""Where the expected values come from: lengths added by hand; proof loads of ISO 898-1:2013, Table 5."""

from __future__ import annotations

from typing import Any

import pytest

from countershaft.model.doubts import doubts
from countershaft.model.finding import Finding
from countershaft.model.transmission import Transmission

BASE: dict[str, Any] = {
    "id": "F01",
    "name": "cover",
    "thread": "M8x1.25",
    "strength": "8.8",
    "head": "hex flange",
    "into": "aluminium",
    "under_head": "aluminium",
    "length_mm": "40",
    "grip_mm": "22",
    "thread_depth_mm": "22",
    "count": 2,
    "stages": [{"torque": "24 N·m"}],
}


def found(**changed: Any) -> list[Finding]:
    tree = {"format": 1, "name": "x", "fasteners": [{**BASE, **changed}]}
    return list(doubts(Transmission.model_validate(tree)))


def test_a_plain_bolt_earns_no_doubt() -> None:
    assert found() == []


@pytest.mark.parametrize(
    ("changed", "key", "words"),
    [
        # 50 - 22 = 28 mm reach into 22 mm of thread: 6 mm too long.
        ({"length_mm": "50"}, "length_mm", "bottom reserve"),
        ({"length_mm": "20"}, "length_mm", "2 mm too short to reach the thread"),
        # 60 N·m on M8 8.8: about 2.5 times the usual torque.
        ({"stages": [{"torque": "60 N·m"}]}, "stages", "above it whatever the friction"),
        ({"strength": "8.9"}, "strength", "class '8.9' is not known for M8x1.25; known are 4.6"),
        ({"strength": "grade 5"}, "strength", "class 'grade 5' is not known"),
        ({"thread": "M8x1.1"}, "thread", "is not in ISO 261"),
        ({"into": "aluminum"}, "into", "'aluminum' is in no table"),
        ({"under_head": "resin"}, "under_head", "'resin' is in no table"),
        ({"head": "round"}, "head", "no head 'round'"),
        ({"thread": "M9x1.25"}, "head", "no hex flange head of M9x1.25"),
    ],
)
def test_what_can_hardly_be_is_told_at_its_key(changed: dict[str, Any], key: str, words: str) -> None:
    told = {finding.loc: finding.message for finding in found(**changed)}
    assert words in told["fasteners", 0, key]


def test_a_near_word_is_offered() -> None:
    (finding,) = [one for one in found(into="aluminum") if one.loc[-1] == "into"]
    assert finding.cure == "Did you mean 'aluminium'?"


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"grip_mm": None}, "grip_mm is not given"),
        ({"length_mm": None, "grip_mm": None}, "length_mm and grip_mm are"),
    ],
)
def test_what_is_missing_is_told_at_the_joint(changed: dict[str, Any], words: str) -> None:
    (finding,) = found(**changed)
    assert finding.loc == ("fasteners", 0)
    assert words in finding.message and "stay unknown" in finding.message


def test_nuts_and_plugs_need_no_grip() -> None:
    assert found(kind="nut", strength="8 (nut)", length_mm=None, grip_mm=None) == []
    assert found(kind="plug", grip_mm=None) == []


def test_a_through_hole_has_nothing_to_bottom_on() -> None:
    assert [one for one in found(length_mm="50", hole="through") if "bottom" in one.message] == []


def test_one_long_bolt_of_many_is_told_at_its_place() -> None:
    places = [{"id": "a"}, {"id": "b", "length_mm": "50"}, {"id": "c"}, {"id": "d", "length_mm": "50"}]
    (finding,) = found(count=None, places=places)
    assert finding.loc == ("fasteners", 0, "places", 1, "length_mm")
    assert finding.message.startswith("cover b, d, bottom reserve:")


def test_an_impossible_torque_is_told_once_for_all_its_places() -> None:
    places = [{"id": "a"}, {"id": "b", "length_mm": "45", "grip_mm": "27"}]
    told = [
        one
        for one in found(count=None, places=places, stages=[{"torque": "60 N·m"}])
        if "proof" in one.message
    ]
    assert len(told) == 1


def test_the_friction_of_the_file_decides() -> None:
    """At 0.08 to 0.16, 35 N·m may be borne; with the 0.05 of a wax it cannot."""
    torque = [{"torque": "35 N·m"}]
    assert [one for one in found(stages=torque) if "proof" in one.message] == []
    waxed = found(stages=torque, friction={"thread": "0.05", "head": "0.05"})
    assert [one.loc[-1] for one in waxed if "proof" in one.message] == ["stages"]
