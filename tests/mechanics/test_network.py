"""Networks, gear sets and shift elements refuse what is no train.  Expected values: messages, by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from countershaft.errors import TrainError
from countershaft.mechanics.gear_sets import (
    BasicRatio,
    CompoundPlanet,
    Differential,
    DoublePinion,
    GearPair,
    Ravigneaux,
    SinglePinion,
    Wheel,
)
from countershaft.mechanics.network import Network, nearest
from countershaft.mechanics.shift_elements import Brake, Clutch, OneWayBetween, OneWayToGround, Sleeve

SET = SinglePinion("P", "S", "C", "R", 30, 72)


def test_a_member_stands_in_one_place_of_a_set() -> None:
    with pytest.raises(TrainError, match=r"P: member 'S' stands in two places; give each its own name\."):
        SinglePinion("P", "S", "C", "S", 30, 72)
    with pytest.raises(TrainError, match="D: member 'c' stands in two places"):
        Differential("D", "c", "c", "Q")


def test_tooth_counts_are_above_zero() -> None:
    with pytest.raises(TrainError, match="P: a tooth count is 0; expected a number above zero"):
        DoublePinion("P", "S", "C", "R", 0, 72)
    with pytest.raises(TrainError, match="Z: a tooth count is -5"):
        GearPair("Z", "a", "b", 12, -5)


def test_a_named_planet_needs_teeth() -> None:
    with pytest.raises(
        TrainError, match=r"P: planet 'p' has a name but no tooth count; give its teeth too\."
    ):
        Ravigneaux("P", "Ss", "Sl", "C", "R", 30, 36, 78, long_planet="p")


def test_sets_need_something_to_mesh_with() -> None:
    with pytest.raises(TrainError, match="P: a compound planet without wheels"):
        CompoundPlanet("P", "arm", "p", ())
    with pytest.raises(TrainError, match="P: a basic ratio without a second member"):
        BasicRatio("P", "arm", "b", ())
    with pytest.raises(TrainError, match="the basic ratio of 'c' is 0"):
        BasicRatio("P", "arm", "b", (("c", Fraction(0)),))


def test_elements_tie_two_members() -> None:
    with pytest.raises(TrainError, match="K ties 'S' to itself; name two different members"):
        Clutch("K", "S", "S")
    with pytest.raises(TrainError, match="W ties 'S' to itself"):
        OneWayBetween("W", "S", "S", "+")
    with pytest.raises(TrainError, match="D:up ties 'S' to itself"):
        Sleeve("D", (("up", ("S", "S")),))
    with pytest.raises(TrainError, match="sleeve D has no position; give at least one"):
        Sleeve("D", ())


def test_input_and_output_differ() -> None:
    with pytest.raises(TrainError, match="input and output are both 'S'"):
        Network("S", "S", sets=(SET,))


def test_ids_are_used_once() -> None:
    with pytest.raises(TrainError, match="id 'P' is used twice"):
        Network("S", "R", sets=(SET, Differential("P", "a", "b", "c")))
    with pytest.raises(TrainError, match="id 'B' is used twice"):
        Network("S", "R", sets=(SET,), elements=(Brake("B", "C"), Brake("B", "R")))


def test_unknown_members_are_named_with_the_nearest() -> None:
    with pytest.raises(TrainError, match=r"B: no set or pair has a member 'c'; did you mean 'C'\?"):
        Network("S", "R", sets=(SET,), elements=(Brake("B", "c"),))
    with pytest.raises(TrainError, match="grounded: no set or pair has a member 'xyz'; known are S, C, R"):
        Network("S", "R", sets=(SET,), grounded=("xyz",))


def test_members_without_gears_may_be_named() -> None:
    drum = Network("S", "R", sets=(SET,), elements=(Clutch("K", "C", "drum"),), further=("drum",))
    assert drum.members == ("S", "C", "R", "drum")


def test_applied_elements_are_checked() -> None:
    sleeve = Sleeve("D", (("up", ("S", "R")), ("down", ("C", "R"))))
    network = Network("S", "R", sets=(SET,), elements=(Brake("B", "C"), sleeve))
    with pytest.raises(TrainError, match=r"there is no shift element 'BB'; did you mean 'B'\?"):
        network.held("BB")
    with pytest.raises(TrainError, match="sleeve D has no position 'left'; write one of D:up, D:down"):
        network.held("D:left")
    with pytest.raises(TrainError, match="sleeve D has no position ''"):
        network.held("D")
    with pytest.raises(TrainError, match="B is no sleeve and has no position 'up'; write B alone"):
        network.held("B:up")
    with pytest.raises(TrainError, match="D is applied twice in one state"):
        network.holds(["D:up", "D:down"])
    assert network.held("D:down").text() == "D:down: C = R"


def test_a_sleeve_with_one_position_goes_by_its_id() -> None:
    network = Network("S", "R", sets=(SET,), elements=(Sleeve("D", (("in", ("S", "R")),)),))
    assert network.held("D") == network.held("D:in")


def test_rows_know_where_they_come_from() -> None:
    wheels = (Wheel("A", 12, 30), Wheel("E", 72, 30, internal=True))
    network = Network(
        "A",
        "E",
        sets=(CompoundPlanet("P", "arm", "p", wheels),),
        pairs=(GearPair("Z", "arm", "B", 50, 80),),
        grounded=("B",),
        elements=(OneWayToGround("W", "arm", "-"),),
    )
    rows = [*network.structure.rows, network.held("W")]
    assert [(row.kind.value, row.origin, row.text()) for row in rows] == [
        ("set", "P", "P A: 12·(A − arm) = −30·(p − arm)"),
        ("set", "P", "P E: 72·(E − arm) = 30·(p − arm)"),
        ("pair", "Z", "Z: 50·arm = −80·B"),
        ("ground", "B", "ground: B = 0"),
        ("element", "W", "W: arm = 0"),
    ]
    assert network.structure.rows[0].coefficients == (("A", 12), ("p", 30), ("arm", -42))
    assert network.structure.dense(network.structure.rows[0]) == (12, 0, -42, 30, 0)


def test_every_set_row_lets_the_set_turn_as_one() -> None:
    """Coefficients of Willis' rows add up to zero, so equal speeds obey them."""
    sets = (
        SET,
        DoublePinion("Q", "S", "C", "R", 30, 72, "i", 20, "o", 22),
        Ravigneaux("V", "a", "b", "c", "d", 30, 36, 78, "s", 17, "l", 21),
        Differential("D", "c", "p", "q"),
        BasicRatio("X", "c", "b", (("e", Fraction(-1, 4)),)),
    )
    assert [sum(value for _, value in row.coefficients) for part in sets for row in part.rows()] == [0] * 10


def test_planets_mesh_with_their_neighbours() -> None:
    """Planet rows of the double-pinion and Ravigneaux sets, from the teeth that touch (by hand)."""
    double = DoublePinion("Q", "S", "C", "R", 30, 72, "i", 20, "o", 22)
    assert [row.equation for row in double.rows()[1:]] == [
        "30·(S − C) = −20·(i − C)",
        "72·(R − C) = 22·(o − C)",
    ]
    two_suns = Ravigneaux("V", "a", "b", "c", "d", 30, 36, 78, "s", 17, "l", 21)
    assert [row.equation for row in two_suns.rows()[2:]] == [
        "30·(a − c) = −17·(s − c)",
        "36·(b − c) = −21·(l − c)",
    ]


def test_nearest_says_when_nothing_is_known() -> None:
    assert nearest("x", []) == "none is known."
