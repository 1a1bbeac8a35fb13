"""Speeds from given speeds.

Expected values: Willis' relation by hand, beside each; a general algebra library in `test_states.py`.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from countershaft.errors import TrainError
from countershaft.mechanics.gear_sets import DoublePinion, SinglePinion
from countershaft.mechanics.network import Network
from countershaft.mechanics.speeds import solve_speeds

TRAIN = Network("S", "C", sets=(SinglePinion("P", "S", "C", "R", 30, 72),))


def test_two_inputs_settle_the_third_member() -> None:
    """30·S + 72·R = 102·C, so S = 1 and R = 1/2 give C = 66/102."""
    found = solve_speeds(TRAIN, given={"S": 1, "R": Fraction(1, 2)})
    assert found.values["C"] == Fraction(66, 102)
    assert found.freedom == 0
    assert found.ratio("S", "C") == Fraction(102, 66)


def test_locking_two_members_locks_the_set() -> None:
    found = solve_speeds(TRAIN, given={"R": -7}, locked=[("S", "C")])
    assert set(found.values.values()) == {-7}


def test_one_input_alone_leaves_two_members_afloat() -> None:
    found = solve_speeds(TRAIN, given={"S": 1})
    assert found.floating == ("C", "R")
    assert found.freedom == 1
    assert found.ratio("S", "C") is None


def test_a_ratio_to_a_member_at_rest_is_none() -> None:
    assert solve_speeds(TRAIN, given={"S": 1}, held=["C"]).ratio("S", "C") is None


def test_speeds_scale_with_what_is_given() -> None:
    one = solve_speeds(TRAIN, given={"S": 1}, held=["R"]).values["C"]
    assert solve_speeds(TRAIN, given={"S": 1000}, held=["R"]).values["C"] == 1000 * one


def test_contradicting_speeds_are_refused() -> None:
    with pytest.raises(TrainError, match=r"the given speeds contradict the train: S = 1, R = 1, C = 0\.5\."):
        solve_speeds(TRAIN, given={"S": 1, "R": 1, "C": Fraction(1, 2)})


def test_unknown_members_are_refused() -> None:
    with pytest.raises(TrainError, match="the train has no member 'Z'; known are S, C, R"):
        solve_speeds(TRAIN, given={"Z": 1})


def test_planets_of_a_double_pinion_set() -> None:
    """Sun 30, pinions 20 and 22, ring 72, carrier held: −30/20, +30/22 and +30/72 of the sun."""
    part = DoublePinion("P", "S", "C", "R", 30, 72, "i", 20, "o", 22)
    found = solve_speeds(Network("S", "R", sets=(part,)), given={"S": 1}, held=["C"]).values
    assert (found["i"], found["o"], found["R"]) == (Fraction(-30, 20), Fraction(30, 22), Fraction(30, 72))
