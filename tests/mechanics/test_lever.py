"""Expected places: the lever analogy, H.L. Benford and M.B. Leising, SAE paper 810102, 1981 (from memory).

There the carrier of a simple set stands between sun and ring, its distances to them as ring teeth to sun teeth; the
ring of a double-pinion set stands between sun and carrier.  Places of longer trains are worked by hand beside them.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given

from countershaft.mechanics.gear_sets import (
    Differential,
    DoublePinion,
    GearPair,
    Ravigneaux,
    SinglePinion,
)
from countershaft.mechanics.lever import levers
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch
from countershaft.mechanics.states import solve_state
from tests.strategies import TrainInState, trains


@pytest.mark.parametrize(("sun", "ring"), [(30, 70), (24, 96), (37, 71)])
def test_a_simple_set_has_the_published_lever(sun: int, ring: int) -> None:
    """Sun to carrier is to carrier to ring as ring teeth to sun teeth."""
    network = Network("S", "R", sets=(SinglePinion("P", "S", "C", "R", sun, ring),))
    (lever,) = levers(network)
    places = lever.positions
    assert (places["C"] - places["S"]) * sun == (places["R"] - places["C"]) * ring
    assert (places["S"], places["R"]) == (0, 1)


def test_the_ring_of_a_double_pinion_set_stands_between_sun_and_carrier() -> None:
    """Sun 30, ring 70: the ring from the carrier by 30 of 70, since 30 (S - C) = 70 (R - C)."""
    network = Network("S", "C", sets=(DoublePinion("P", "S", "C", "R", 30, 70),))
    assert levers(network)[0].positions == {"S": 0, "R": Fraction(4, 7), "C": 1}


def test_two_sets_with_two_common_members_stand_on_one_lever() -> None:
    """Common sun, the front carrier on the rear ring.

    Front 30 and 60: its carrier 2/3 of the way from sun to ring.
    Rear 30 and 60 on sun at 0 and ring at 2/3: its carrier at 4/9.
    """
    sets = (SinglePinion("front", "S", "out", "Rf", 30, 60), SinglePinion("rear", "S", "Cr", "out", 30, 60))
    (lever,) = levers(Network("Rf", "S", sets=sets))
    assert lever.sets == ("front", "rear")
    assert lever.positions == {"Rf": 0, "out": Fraction(1, 3), "Cr": Fraction(5, 9), "S": 1}


def test_a_ravigneaux_set_has_four_places_on_one_lever() -> None:
    """Small sun 30, large sun 36, ring 78: from the carrier +78/30, +1 and -78/36 of the ring's distance."""
    network = Network("Ss", "R", sets=(Ravigneaux("P", "Ss", "Sl", "C", "R", 30, 36, 78),))
    places = levers(network)[0].positions
    ring = places["R"] - places["C"]
    assert (places["Ss"] - places["C"]) / ring == Fraction(78, 30)
    assert (places["Sl"] - places["C"]) / ring == -Fraction(78, 36)


def test_the_case_of_a_differential_stands_half_way() -> None:
    network = Network("case", "left", sets=(Differential("D", "case", "left", "right"),))
    assert levers(network)[0].positions["case"] == Fraction(1, 2)


def test_sets_with_one_common_member_have_no_common_lever() -> None:
    """Two sets, five members, two equations: three speeds are free, and a straight line has two."""
    sets = (SinglePinion("P1", "in", "X", "R1", 30, 70), SinglePinion("P2", "X", "out", "R2", 30, 70))
    assert levers(Network("in", "out", sets=sets)) == ()


def test_sets_apart_have_a_lever_each_and_pairs_have_none() -> None:
    sets = (SinglePinion("P1", "in", "X", "R1", 30, 70), SinglePinion("P2", "Y", "out", "R2", 30, 70))
    network = Network(
        "in", "out", sets, (GearPair("Z", "X", "lay", 20, 30),), elements=(Clutch("K", "X", "Y"),)
    )
    assert [lever.sets for lever in levers(network)] == [("P1",), ("P2",)]
    assert all("lay" not in lever.positions for lever in levers(network))


def test_ground_and_brakes_hold_points_and_do_not_move_them() -> None:
    free = Network(
        "in", "out", sets=(SinglePinion("P", "in", "out", "R", 30, 70),), elements=(Brake("B", "R"),)
    )
    fixed = Network("in", "out", sets=free.sets, grounded=("R",))
    assert levers(free)[0].positions == levers(fixed)[0].positions


@given(trains())
def test_on_a_lever_every_state_is_a_straight_line(train: TrainInState) -> None:
    """Speeds from the solver of states; three points lie on a line when the area between them is nothing."""
    state = solve_state(train.network, train.applied)
    for lever in levers(train.network):
        known = [(place, state.speeds[m]) for m, place in lever.positions.items() if m in state.speeds]
        for (x1, y1), (x2, y2), (x3, y3) in zip(known, known[1:], known[2:], strict=False):
            assert (x2 - x1) * (y3 - y1) == (x3 - x1) * (y2 - y1)
        assert {0} <= set(lever.positions.values()) <= {p for p in lever.positions.values() if 0 <= p <= 1}
