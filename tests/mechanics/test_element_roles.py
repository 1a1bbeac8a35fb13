"""What each shift element is for.

Expected values: the application chart of a six-speed read by hand, speeds by Willis' relation beside each, and
`solve_state` with the element taken away or added (a second route of ours).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings

from countershaft.mechanics.element_roles import ElementRole, element_roles
from countershaft.mechanics.gear_sets import GearPair
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch, Element, OneWayToGround, Sleeve
from countershaft.mechanics.states import StateKind, solve_state
from tests.mechanics.test_abilities import SIX_SPEED
from tests.strategies import TrainInState, trains

SLOW = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)

CHART = {
    "N": [],
    "R": ["B", "D"],
    "1": ["A", "W"],
    "1 manual": ["A", "D"],
    "2": ["A", "F"],
    "3": ["A", "B"],
    "4": ["A", "E"],
    "5": ["B", "E"],
    "6": ["E", "F"],
}


@pytest.fixture(scope="module")
def roles() -> dict[str, ElementRole]:
    return {role.element: role for role in element_roles(SIX_SPEED, CHART)}


def test_gears_of_the_chart_are_lost_with_their_element(roles: dict[str, ElementRole]) -> None:
    assert roles["A"].lost == ("1", "1 manual", "2", "3", "4")
    assert roles["B"].lost == ("R", "3", "5")
    assert roles["E"].lost == ("4", "5", "6")
    assert roles["F"].holds_in == roles["F"].lost == ("2", "6")
    assert roles["W"].lost == ("1",)


def test_the_brake_beside_a_one_way_clutch_costs_only_engine_braking_forward(
    roles: dict[str, ElementRole],
) -> None:
    """In first the reaction pushes the carrier back, onto the one-way clutch; in reverse it pushes it forward."""
    assert roles["D"].holds_in == ("R", "1 manual")
    assert roles["D"].lost == ("R",)
    assert {change.gear: change.kept_by for change in roles["D"].without} == {"R": (), "1 manual": ("W",)}


def test_what_a_stuck_element_does(roles: dict[str, ElementRole]) -> None:
    """F stuck: first starts in second, since the one-way clutch gives way; all others tie up but those that use it."""
    stuck = {change.gear: (change.kind, change.like) for change in roles["F"].stuck}
    assert stuck == {
        "R": (StateKind.TIE_UP, ()),
        "1": (StateKind.DEFINITE, ("2",)),
        "1 manual": (StateKind.TIE_UP, ()),
        "3": (StateKind.TIE_UP, ()),
        "4": (StateKind.TIE_UP, ()),
        "5": (StateKind.TIE_UP, ()),
    }
    assert roles["F"].tied == ("R", "1 manual", "3", "4", "5")


def test_a_seized_one_way_clutch_ties_up_the_gears_in_which_it_overruns(
    roles: dict[str, ElementRole],
) -> None:
    assert roles["W"].tied == ("2", "3", "4", "5", "6")
    assert [change.gear for change in roles["W"].stuck] == ["2", "3", "4", "5", "6"]


def test_drag_speeds_by_hand(roles: dict[str, ElementRole]) -> None:
    """K = 2/3.  Fourth: carrier and input at 1, small sun at 2/3, so ring (30·(2/3−1))/78 + 1 = 34/39 and the large
    sun 1 − (78/36)·(34/39 − 1) = 23/18.  Sixth: large sun 0, so ring 1 + 36/78 and small sun 1 + (78/30)·36/78 = 11/5.
    """
    brake = {drag.gear: drag.per_turn for drag in roles["F"].drags}
    assert brake["4"] == Fraction(23, 18)
    assert brake["R"] == brake["3"] == brake["5"] == Fraction(2, 3)
    assert brake["N"] is None
    clutch = {drag.gear: drag.per_turn for drag in roles["A"].drags}
    assert clutch["6"] == Fraction(2, 3) - Fraction(11, 5)
    assert roles["A"].fastest is not None
    assert roles["A"].fastest.gear == "6"
    assert roles["A"].fastest.working == "6: K − Ss = −23/15 = −1.53333 per input turn"
    assert roles["A"].drags[0].working == "N: K − Ss floats"


def test_an_element_that_no_gear_settles_has_no_fastest() -> None:
    network = replace(
        SIX_SPEED, elements=(*SIX_SPEED.elements, Clutch("L", "engine", "in")), further=("engine",)
    )
    lockup = element_roles(network, CHART)[-1]
    assert (lockup.holds_in, lockup.without, lockup.stuck, lockup.fastest) == ((), (), (), None)
    assert all(drag.per_turn is None for drag in lockup.drags)


def test_a_sleeve_that_does_not_leave_its_place_keeps_its_gear() -> None:
    """Stuck in third, the sleeve cannot reach fourth: fourth comes out as third."""
    pairs = (
        GearPair("3", "in", "w3", 20, 40, internal=True),
        GearPair("4", "in", "w4", 30, 30, internal=True),
    )
    sleeve = Sleeve("S", (("3", ("w3", "out")), ("4", ("w4", "out"))))
    third = element_roles(
        Network("in", "out", pairs=pairs, elements=(sleeve,)), {"3": ["S:3"], "4": ["S:4"]}
    )[0]
    assert third.element == "S:3"
    assert [(change.gear, change.like) for change in third.stuck] == [("4", ("3",))]
    assert [(drag.gear, drag.per_turn) for drag in third.drags] == [("4", Fraction(1, 2) - 1)]


def solid(element: Element) -> Element:
    """A one-way clutch that has seized."""
    return Brake(element.id, element.member) if isinstance(element, OneWayToGround) else element


@SLOW
@given(trains(one_ways=False))
def test_lost_and_stuck_equal_the_states_solved_alone(case: TrainInState) -> None:
    applied = [f"{name}:near" if isinstance(element, Sleeve) else name
               for element in case.network.elements for name in [element.id] if name in case.applied]  # fmt: skip
    before = solve_state(case.network, applied)
    for role in element_roles(case.network, {"g": applied}):
        if role.element in applied:
            after = solve_state(case.network, [name for name in applied if name != role.element])
            lost = before.kind == StateKind.DEFINITE and (after.kind, after.ratio) != (
                before.kind,
                before.ratio,
            )
            assert role.lost == (("g",) if lost else ())
            assert role.drags == ()
        else:
            after = solve_state(case.network, [*applied, role.element])
            assert bool(role.stuck) == ((after.kind, after.ratio) != (before.kind, before.ratio))
            assert bool(role.tied) == (after.kind == StateKind.TIE_UP != before.kind)


@SLOW
@given(trains(one_ways=False))
def test_drag_is_the_difference_of_the_speeds(case: TrainInState) -> None:
    state = solve_state(case.network, case.applied)
    for role in element_roles(case.network, {"g": case.applied}):
        row = case.network.held(role.element)
        if state.kind == StateKind.TIE_UP or not role.drags:
            continue
        if all(member in state.speeds for member in row.members):
            expected = sum((value * state.speeds[member] for member, value in row.coefficients), Fraction(0))
            assert role.drags[0].per_turn == expected
