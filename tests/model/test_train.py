"""The gear train section of a transmission file.

Expected values: the ratios of two trains that were invented for demonstration, computed once by another
program from the same tooth counts (consistency only, no outside evidence); places and texts of faults, by
hand.
"""

from __future__ import annotations

import copy
from fractions import Fraction
from typing import Any

import jsonschema
import pytest
from pydantic import ValidationError

from countershaft.mechanics.shift_elements import OneWayBetween, OneWayToGround
from countershaft.mechanics.states import StateKind
from countershaft.model.train import Train

# Numbers and switches stand as text, as the reader of a file hands them over.
SIX: dict[str, Any] = {
    "input": "in",
    "output": "out",
    "sets": [
        {
            "id": "P1", "kind": "single_pinion", "name": "front set", "sun": "gnd", "carrier": "K",
            "ring": "in",
            "planet": "pinion", "teeth": {"sun": "47", "ring": "77", "planet": "15"},
        },
        {
            "id": "P2", "kind": "ravigneaux", "small_sun": "Ss", "large_sun": "Sl", "carrier": "C",
            "ring": "out",
            "teeth": {"small_sun": "30", "large_sun": "42", "ring": "84", "short_planet": "20",
                "long_planet": "21"},
        },
    ],
    "grounded": ["gnd"],
    "elements": {
        "A": {"kind": "clutch", "name": "clutch A: front carrier to small sun", "members": ["K", "Ss"]},
        "B": {"kind": "clutch", "members": ["K", "Sl"]},
        "C": {"kind": "brake", "member": "Sl"},
        "D": {"kind": "brake", "member": "C"},
        "E": {"kind": "clutch", "members": ["in", "C"]},
        "F": {"kind": "one_way_to_ground", "member": "C", "free_direction": "+"},
    },
    "chart": {
        "P": [], "N": [], "R": ["B", "D"], "1": ["A", "F"], "1 manual": ["A", "D"], "2": ["A", "C"],
        "3": ["A", "B"], "4": ["A", "E"], "5": ["B", "E"], "6": ["C", "E"],
    },
}  # fmt: skip

FOUR: dict[str, Any] = {
    "input": "in",
    "output": "Y",
    "sets": [
        {
            "id": "PF", "kind": "single_pinion", "sun": "Sf", "carrier": "X", "ring": "Y",
            "teeth": {"sun": 41, "ring": 73, "planet": 16},
        },
        {
            "id": "PR", "kind": "single_pinion", "sun": "Sr", "carrier": "Y", "ring": "X",
            "teeth": {"sun": 35, "ring": 73, "planet": 19},
        },
    ],
    "elements": {
        "U": {"kind": "clutch", "members": ["in", "Sr"]},
        "O": {"kind": "clutch", "members": ["in", "X"]},
        "V": {"kind": "clutch", "members": ["in", "Sf"]},
        "L": {"kind": "brake", "member": "X"},
        "G": {"kind": "band", "member": "Sf"},
        "Q": {"kind": "one_way_to_ground", "member": "X", "free_direction": "+"},
    },
    "chart": {
        "P": [], "N": [], "R": ["V", "L"], "1": ["U", "Q"], "1 manual": ["U", "L"], "2": ["U", "G"],
        "3": ["U", "O"], "4": ["O", "G"],
    },
}  # fmt: skip

EVERY_KIND: dict[str, Any] = {
    "input": "in",
    "output": "out",
    "members": ["drum"],
    "sets": [
        {"id": "a", "kind": "single_pinion", "sun": "in", "carrier": "k", "ring": "r", "ring_over_sun":
        "2.6"}, {
            "id": "b", "kind": "double_pinion", "sun": "s", "carrier": "k", "ring": "r", "inner_planet": "i",
            "teeth": {"sun": "30", "ring": "72", "inner_planet": "20"},
        },
        {
            "id": "c", "kind": "ravigneaux", "small_sun": "e", "large_sun": "f", "carrier": "k", "ring": "g",
            "ring_over_small_sun": 2.5, "ring_over_large_sun": "7/3",
        },
        {
            "id": "d", "kind": "compound_planet", "carrier": "k",
            "wheels": [
                {"member": "h", "teeth": "40", "planet_teeth": "20", "internal": "false"},
                {"member": "l", "teeth": "90", "planet_teeth": "30", "internal": "true"},
            ],
        },
        {"id": "e", "kind": "differential", "carrier": "m", "sides": ["n", "o"]},
        {"id": "f", "kind": "basic_ratio", "carrier": "m", "b": "p", "others": {"q": "-1/4", "t": "0.5"}},
    ],
    "pairs": [
        {"id": "idle", "a": "lay", "b": "idler", "teeth": ["18", "25"], "internal": "false"},
        {"a": "idler", "b": "out", "teeth": [25, 50]},
    ],
    "grounded": ["q"],
    "elements": {
        "K": {"kind": "clutch", "members": ["in", "drum"]},
        "B": {"kind": "brake", "member": "r"},
        "N": {"kind": "band", "member": "s"},
        "W": {"kind": "one_way_to_ground", "member": "k", "free_direction": "-"},
        "V": {"kind": "one_way", "members": ["drum", "lay"], "free_direction": "+"},
        "D": {"kind": "sleeve", "name": "range sleeve", "positions": {"low": ["k", "lay"], "high": ["in",
            "lay"]}},
    },
    "chart": {"low": ["B", "D:low"], "high": ["D:high"]},
}  # fmt: skip


def faults(data: Any) -> list[tuple[str, str]]:
    """Dotted place and text of every fault."""
    with pytest.raises(ValidationError) as caught:
        Train.model_validate(data)
    return [(".".join(str(key) for key in fault["loc"]), fault["msg"]) for fault in caught.value.errors()]


def changed(data: dict[str, Any], **paths: Any) -> dict[str, Any]:
    """A copy with values changed, by path with double underscores for steps."""
    copied = copy.deepcopy(data)
    for path, value in paths.items():
        *steps, last = [int(step) if step.isdigit() else step for step in path.split("__")]
        below: Any = copied
        for step in steps:
            below = below[step]
        below[last] = value
    return copied


def test_ratios_of_the_invented_six_speed() -> None:
    states = Train.model_validate(SIX).states()
    ratios = {gear: round(float(state.ratio), 4) for gear, state in states.items() if state.ratio is not None}
    assert ratios == {
        "R": -3.2208, "1": 4.5091, "1 manual": 4.5091, "2": 2.5766, "3": 1.6104, "4": 1.1566, "5": 0.8407,
        "6": 0.6667,
    }  # fmt: skip
    assert states["P"].kind == states["N"].kind == StateKind.NEUTRAL


def test_ratios_of_the_invented_four_speed() -> None:
    states = Train.model_validate(FOUR).states()
    ratios = {gear: round(float(state.ratio), 4) for gear, state in states.items() if state.ratio is not None}
    assert ratios == {"R": -1.7805, "1": 3.0857, "1 manual": 3.0857, "2": 1.7501, "3": 1.0, "4": 0.6404}


@pytest.mark.parametrize("data", [SIX, FOUR, EVERY_KIND])
def test_dumping_and_building_again_is_the_same(data: dict[str, Any]) -> None:
    train = Train.model_validate(data)
    again = Train.model_validate(train.model_dump(mode="json"))
    assert again == train
    assert again.network() == train.network()


def test_text_and_numbers_read_alike() -> None:
    """Every figure of the file as text or as a number gives the same train."""
    as_numbers = changed(SIX, sets__0__teeth={"sun": 47, "ring": 77, "planet": 15})
    assert Train.model_validate(as_numbers) == Train.model_validate(SIX)
    for ratio in ("2.6", 2.6, "13/5", "2,6", Fraction(13, 5)):
        found = Train.model_validate(changed(EVERY_KIND, sets__0__ring_over_sun=ratio))
        assert found == Train.model_validate(EVERY_KIND)


def test_every_kind_reaches_the_mechanics() -> None:
    train = Train.model_validate(EVERY_KIND)
    network = train.network()
    assert [type(part).__name__ for part in network.sets] == [
        "SinglePinion", "DoublePinion", "Ravigneaux", "CompoundPlanet", "Differential", "BasicRatio",
    ]  # fmt: skip
    assert [type(element).__name__ for element in network.elements] == [
        "Clutch", "Brake", "Brake", "OneWayToGround", "OneWayBetween", "Sleeve",
    ]  # fmt: skip
    assert network.elements[4] == OneWayBetween("V", "drum", "lay", "+")
    assert network.elements[3] == OneWayToGround("W", "k", "-")
    assert [pair.id for pair in network.pairs] == ["idle", "idler-out"]
    assert "d.planet" in network.members
    assert "drum" in network.members
    assert train.states()["high"].ratio == Fraction(50, 18)


def test_a_ratio_alone_gives_the_same_speeds_as_teeth() -> None:
    """The large and the small sun by ratio: 84/30 and 84/42."""
    by_ratio = changed(
        SIX,
        sets__1={
            "id": "P2", "kind": "ravigneaux", "small_sun": "Ss", "large_sun": "Sl", "carrier": "C",
            "ring": "out",
            "ring_over_small_sun": "2.8", "ring_over_large_sun": "2",
        },
    )  # fmt: skip
    ratios = [state.ratio for state in Train.model_validate(by_ratio).states().values()]
    assert ratios == [state.ratio for state in Train.model_validate(SIX).states().values()]


def test_elements_are_called_as_the_file_calls_them() -> None:
    train = Train.model_validate(EVERY_KIND)
    assert train.element_name("D:low") == "range sleeve (low)"
    assert train.element_name("K") == "K"


def test_a_train_that_is_not_concentric_is_no_fault() -> None:
    """Ring minus sun is odd: published trains are so."""
    Train.model_validate(changed(FOUR, sets__0__teeth={"sun": 38, "ring": 85}))


def test_unknown_members_are_found_at_their_place() -> None:
    bad = changed(SIX, elements__A__members=["K", "SS"], elements__F__member="Cc", grounded=["ground"])
    assert faults(bad) == [
        ("grounded.0", ("Value error, no set or pair has a member 'ground'; did you mean 'gnd'? "
         "A shaft without gears is listed under members")),
        ("elements.A.members.1", ("Value error, no set or pair has a member 'SS'; did you mean 'Ss'? "
         "A shaft without gears is listed under members")),
        ("elements.F.member", ("Value error, no set or pair has a member 'Cc'; did you mean 'C'? "
         "A shaft without gears is listed under members")),
    ]  # fmt: skip


def test_unknown_members_of_a_sleeve_are_found_at_their_position() -> None:
    bad = changed(EVERY_KIND, elements__D__positions__low=["kk", "lay"])
    assert [place for place, _ in faults(bad)] == ["elements.D.positions.low.0"]


@pytest.mark.parametrize(
    ("gear", "place", "text"),
    [
        (["B", "DD:low"], "chart.low.1", "there is no shift element 'DD'; did you mean 'D'?"),
        (["D"], "chart.low.0", "D is a sleeve; write its position too: D:low, D:high"),
        (["D:mid"], "chart.low.0", "D has no position 'mid'; write D:low, D:high"),
        (["B:low"], "chart.low.0", "B is no sleeve and has no position 'low'; write B alone"),
        (["B", "D:low", "D:high"], "chart.low.2", "D is applied twice in gear low; name it once"),
        (["Q"], "chart.low.0", "there is no shift element 'Q'; known are K, B, N, W, V, D."),
    ],
)
def test_chart_faults_are_found_at_their_entry(gear: list[str], place: str, text: str) -> None:
    assert faults(changed(EVERY_KIND, chart__low=gear)) == [(place, f"Value error, {text}")]


def test_a_misspelt_input_is_found_at_the_input_alone() -> None:
    """Its true name is then unknown everywhere else, which would only repeat the fault."""
    assert faults(changed(SIX, input="inn")) == [
        ("input", "Value error, no set, pair or element names 'inn'; did you mean 'in'?")
    ]


def test_input_and_output_differ() -> None:
    assert faults(changed(SIX, output="in"))[0] == (
        "output",
        "Value error, input and output are the same member; name two",
    )


def test_kinds_are_checked_with_the_nearest() -> None:
    bad = changed(SIX, sets__1__kind="ravignaux", elements__A__kind="cluch", elements__C={"member": "Sl"})
    assert faults(bad) == [
        ("sets.1.kind", "Value error, there is no kind 'ravignaux'; did you mean 'ravigneaux'?"),
        ("elements.A.kind", "Value error, there is no kind 'cluch'; did you mean 'clutch'?"),
        (
            "elements.C",
            (
                "Value error, the key kind is missing; "
                "it is one of clutch, brake, band, one_way_to_ground, one_way, sleeve"
            ),
        ),
    ]
    assert faults(changed(SIX, elements__A="clutch")) == [
        ("elements.A", "Value error, 'clutch' is no table of keys; expected one with the key kind")
    ]


def test_tooth_counts_are_whole_and_above_zero() -> None:
    bad = changed(SIX, sets__0__teeth={"sun": "0", "ring": "77.5", "planet": "x"})
    assert [place for place, _ in faults(bad)] == [
        "sets.0.teeth.sun",
        "sets.0.teeth.ring",
        "sets.0.teeth.planet",
    ]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("0", "0 is not above zero; give it without a sign"),
        ("-2.6", "-2.6 is not above zero; give it without a sign"),
        ("1/0", "'1/0' is no ratio; expected a decimal such as 2.6 or a fraction such as -1/4"),
        ("two", "'two' is no ratio; expected a decimal such as 2.6 or a fraction such as -1/4"),
    ],
)
def test_ratios_are_above_zero(value: str, text: str) -> None:
    bad = changed(EVERY_KIND, sets__0__ring_over_sun=value)
    assert faults(bad) == [("sets.0.ring_over_sun", f"Value error, {text}")]


def test_a_basic_ratio_of_zero_is_refused() -> None:
    assert faults(changed(EVERY_KIND, sets__5__others={"q": "0"})) == [
        ("sets.5.others.q", "Value error, 0 is no ratio of speeds; expected any other number")
    ]


def test_teeth_or_ratio_but_not_both() -> None:
    both = changed(SIX, sets__0__ring_over_sun="1.6")
    assert faults(both)[0] == (
        "sets.0.ring_over_sun",
        "Value error, teeth and a ratio are both given; keep the teeth, they say more",
    )
    neither = copy.deepcopy(SIX)
    del neither["sets"][1]["teeth"]
    assert faults(neither) == [
        (
            "sets.1",
            "Value error, the teeth are missing; give teeth, or ring_over_small_sun and ring_over_large_sun",
        )
    ]


def test_a_named_planet_needs_its_teeth() -> None:
    bad = changed(SIX, sets__0__teeth={"sun": "47", "ring": "77"})
    assert faults(bad) == [
        ("sets.0.planet", "Value error, planet 'pinion' has a name but no tooth count; add teeth.planet")
    ]


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"sets__1__carrier": "Sl"}, "sets.1.carrier"),
        ({"elements__A__members": ["K", "K"]}, "elements.A.members.1"),
        ({"sets__1__id": "P1"}, "sets.1.id"),
        ({"sets__0__sunn": "S"}, "sets.0.sunn"),
        ({"elements__F__free_direction": "forward"}, "elements.F.free_direction"),
        ({"grounded": "gnd"}, "grounded"),
        ({"chart__P": ["A B"]}, "chart.P.0"),
    ],
)
def test_faults_lie_at_the_wrong_key(change: dict[str, Any], place: str) -> None:
    assert [found for found, _ in faults(changed(SIX, **change))] == [place]


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"sets__3__wheels__1__member": "h"}, "sets.3.wheels.1.member"),
        ({"sets__3__wheels__1__member": "k"}, "sets.3.wheels.1.member"),
        ({"sets__4__sides": ["m", "o"]}, "sets.4.sides"),
        ({"sets__5__others": {"p": "-1"}}, "sets.5.others.p"),
        ({"sets__5__b": "m"}, "sets.5.b"),
        ({"pairs__0__b": "lay"}, "pairs.0.b"),
        ({"pairs__0__id": "a"}, "pairs.0.id"),
        ({"pairs__0__teeth": ["18"]}, "pairs.0.teeth.1"),
    ],
)
def test_faults_of_every_kind_lie_at_the_wrong_key(change: dict[str, Any], place: str) -> None:
    assert faults(changed(EVERY_KIND, **change))[0][0] == place


def test_faults_of_several_parts_come_at_once() -> None:
    shapes = changed(SIX, sets__0__teeth={"sun": "x"}, elements__A__kind="clatch", chart__P="N")
    assert [place for place, _ in faults(shapes)] == [
        "sets.0.teeth.sun", "sets.0.teeth.ring", "elements.A.kind", "chart.P",
    ]  # fmt: skip
    names = changed(SIX, elements__A__members=["K", "SS"], grounded=["ground"], chart__P=["Z"])
    assert [place for place, _ in faults(names)] == ["grounded.0", "elements.A.members.1", "chart.P.0"]


def test_the_schema_accepts_what_the_model_accepts() -> None:
    """Numbers, as an editor sees them, pass the schema; an unknown kind does not."""
    schema = Train.model_json_schema()
    jsonschema.validate(FOUR, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(changed(FOUR, sets__0__kind="tripod"), schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(changed(FOUR, elements__U__membr="Y"), schema)


def test_planets_are_counted_where_the_file_says_so() -> None:
    """A set that does not tell has no count; none or a fraction of a planet is told at its key."""
    train = Train.model_validate(changed(SIX, sets__0__planets="4"))
    assert train.planet_counts() == {"P1": 4}
    with pytest.raises(ValidationError) as caught:
        Train.model_validate(changed(SIX, sets__1__planets="0"))
    assert [error["loc"] for error in caught.value.errors()] == [("sets", 1, "planets")]
