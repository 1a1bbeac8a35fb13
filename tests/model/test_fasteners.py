"""Where the expected values come from: the inch is 25.4 mm by definition (ISO 80000-3), the rest counted by hand."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from pydantic import ValidationError

from countershaft.model.fasteners import Joint

BASE: dict[str, Any] = {
    "id": "F01",
    "name": "cover",
    "thread": "M8x1.25",
    "count": 2,
    "stages": [{"torque": "20 N·m"}],
}


def joint(**changed: Any) -> Joint:
    return Joint.model_validate({**BASE, **changed})


@pytest.mark.parametrize(
    ("thread", "diameter"),
    [
        ("M8x1.25", "8"),
        ("M 8 x 1.25", None),
        ("M8×1.25", "8"),
        ("1/4-20 UNC", "6.35"),
        ("5/16-18 UNC", "7.9375"),
        ("1 1/2-6 UNC", "38.1"),
        ("10-32 UNF", "4.826"),
        ("#10-32", "4.826"),
        ("1/2-20", "12.7"),
    ],
)
def test_metric_and_unified_threads_give_their_diameter(thread: str, diameter: str | None) -> None:
    if diameter is None:
        with pytest.raises(ValidationError):
            joint(thread=thread)
    else:
        assert joint(thread=thread).diameter_mm == Decimal(diameter)


@pytest.mark.parametrize("thread", ["M8", "8x1.25", "1/4", "G1/4", "M8x1.25 LH", "1/4-20 BSW", "", "M8x9"])
def test_what_is_no_thread_is_refused(thread: str) -> None:
    with pytest.raises(ValidationError):
        joint(thread=thread)


def test_a_series_that_contradicts_its_threads_per_inch_is_told() -> None:
    with pytest.raises(ValidationError, match="20 threads per inch is UNC, not UNF"):
        joint(thread="1/4-20 UNF")


def test_a_left_hand_thread_goes_to_the_mechanics_as_one() -> None:
    assert joint(hand="left").screw_thread().hand == "left"


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"thread_depth_mm": "20", "drill_depth_mm": "18"}, "18 mm deep, but its full thread 20 mm"),
        ({"bearing_mm": "7"}, "more than the 8 mm of the thread"),
        ({"bearing_mm": "14", "hole_mm": "15"}, "smaller than the face of the head .14 mm."),
        ({"special": "gilded"}, "'hollow', 'sealing' or 'shouldered'"),
        ({"hole": "open"}, "'blind' or 'through'"),
        ({"friction": {"thread": "0.1"}}, "friction.head"),
        ({"friction": {"thread": "1.2", "head": "0.1"}}, "less than 1"),
    ],
)
def test_what_contradicts_itself_is_refused(changed: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        joint(**changed)


def test_a_place_takes_from_its_joint_what_it_does_not_say() -> None:
    places = [{"id": "a"}, {"id": "b", "hole": "through", "special": "shouldered", "drill_depth_mm": "30"}]
    made = joint(count=None, places=places, hole="blind", drill_depth_mm="24")
    assert (made.place("a").hole, made.place("a").drill_depth_mm) == ("blind", Decimal(24))
    assert (made.place("b").hole, made.place("b").special) == ("through", "shouldered")
    assert made.place("b").drill_depth_mm == Decimal(30)


def test_the_last_torque_is_none_where_an_angle_follows_it() -> None:
    assert str(joint(stages=[{"torque": "12 N·m"}, {"torque": "24 N·m"}]).last_torque) == "24 N·m"
    assert joint(stages=[{"torque": "40 N·m"}, {"angle_deg": "90"}]).last_torque is None
    assert str(joint(stages=[{"torque": "40 N·m"}, {"deed": "stake it"}]).last_torque) == "40 N·m"
    assert joint(stages=[{"deed": "fold it"}]).last_torque is None
