"""States of gear trains.

Expected values: a second route through a general algebra library (`willis_by_sympy.py`) on random trains;
ratios by Willis' relation by hand, beside each; and invented trains whose outcome follows from what is
held.
"""

from __future__ import annotations

from dataclasses import fields, replace
from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from countershaft.errors import TrainError
from countershaft.mechanics.constraints import RowKind
from countershaft.mechanics.gear_sets import (
    BasicRatio,
    Differential,
    GearPair,
    GearSet,
    SinglePinion,
)
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import (
    Brake,
    Clutch,
    Element,
    OneWayBetween,
    OneWayToGround,
    Sleeve,
)
from countershaft.mechanics.states import StateKind, TrainState, solve_chart, solve_state
from tests.mechanics import willis_by_sympy
from tests.mechanics.six_speed import SIX_SPEED
from tests.strategies import MEMBERS, TrainInState, trains

SLOW = settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


def ratio(*applied: str) -> Fraction | None:
    return solve_state(SIX_SPEED, applied).ratio


def test_gears_of_a_six_speed_by_hand() -> None:
    """K = 80/120 of the input; carrier held: out = Ss·30/78 = −Sl·36/78; the other gears by the lever."""
    assert ratio("A", "D") == Fraction(3, 2) * Fraction(78, 30)
    assert ratio("A", "B") == Fraction(3, 2)
    assert ratio("B", "D") == -Fraction(3, 2) * Fraction(78, 36)
    # Large sun held, carrier at the input's speed: 78·(out − 1) = −36·(0 − 1).
    assert ratio("E", "F") == Fraction(78, 78 + 36)


def test_a_one_way_clutch_holds_as_listed() -> None:
    assert solve_state(SIX_SPEED, ["A", "W"]).ratio == ratio("A", "D")


def test_too_few_elements_leave_members_afloat() -> None:
    """The front set turns with the input, the four members of the rear set have two rows between them."""
    state = solve_state(SIX_SPEED, [])
    assert state.kind == StateKind.NEUTRAL
    assert state.floating == ("Ss", "Sl", "C", "out")
    assert state.output_floats
    assert state.missing == 2
    assert state.speeds == {"in": 1, "gnd": 0, "K": Fraction(2, 3)}
    assert solve_state(SIX_SPEED, ["A"]).missing == 1


def test_too_many_elements_fight() -> None:
    """Small sun driven and both other members held: any of the three lets go, and the train turns."""
    state = solve_state(SIX_SPEED, ["A", "F", "D"])
    assert state.kind == StateKind.TIE_UP
    assert state.fighting == (("A", "F", "D"),)
    assert state.frees == (("A",), ("F",), ("D",))
    assert not state.speeds
    assert state.ratio is None


def test_an_innocent_element_is_not_blamed() -> None:
    """B drives what F holds; A has no part in that fight."""
    state = solve_state(SIX_SPEED, ["A", "B", "F"])
    assert state.fighting == (("B", "F"),)
    assert state.frees == (("B",), ("F",))


def test_two_fights_at_once_need_two_elements_let_go() -> None:
    """B fights F over the large sun, E fights D over the carrier."""
    state = solve_state(SIX_SPEED, ["B", "F", "E", "D"])
    assert ("B", "F") in state.fighting
    assert ("E", "D") in state.fighting
    assert state.frees == (("B", "E"), ("B", "D"), ("F", "E"), ("F", "D"))


def test_an_element_that_agrees_with_the_motion_is_redundant() -> None:
    """Brake and one-way clutch hold the same carrier."""
    state = solve_state(SIX_SPEED, ["A", "D", "W"])
    assert state.kind == StateKind.DEFINITE
    assert state.redundant == ("D", "W")


def test_a_listed_one_way_clutch_overruns_rather_than_ties_up() -> None:
    """In second the carrier turns forward, which is free."""
    state = solve_state(SIX_SPEED, ["A", "F", "W"])
    assert state.ratio == ratio("A", "F")
    assert state.overrunning == ("W",)
    assert state.applied == ("A", "F", "W")


def with_one_way(sense: str) -> Network:
    element: Element = OneWayToGround("W", "C", sense)  # type: ignore[arg-type]
    return replace(SIX_SPEED, elements=(*SIX_SPEED.elements[:-1], element))


def test_a_one_way_clutch_against_the_motion_ties_up() -> None:
    """Turned round, the clutch stops the carrier that second gear turns forward, listed or not."""
    for applied in (["A", "F", "W"], ["A", "F"]):
        state = solve_state(with_one_way("-"), applied)
        assert state.kind == StateKind.TIE_UP
        assert state.fighting == (("A", "F", "W"),)
    assert state.catching == ("W",)


def test_a_one_way_clutch_that_the_teeth_turn_wrongly_catches() -> None:
    """The wheel may only run ahead of the input, but its teeth make it lag: the clutch catches."""
    pairs = (GearPair("1", "in", "w1", 20, 40, internal=True),)
    ahead = OneWayBetween("W", "w1", "in", "+")
    state = solve_state(Network("in", "w1", pairs=pairs, elements=(ahead,)), [])
    assert state.kind == StateKind.TIE_UP
    assert state.fighting == (("W",),)
    assert state.catching == ("W",)


def test_one_way_between_members_overruns_when_the_second_gear_is_engaged() -> None:
    """First drives the output through a one-way clutch; second makes the output run away from it."""
    network = Network(
        "in",
        "out",
        pairs=(
            GearPair("1", "in", "w1", 20, 40, internal=True),
            GearPair("2", "in", "w2", 30, 30, internal=True),
        ),
        elements=(OneWayBetween("W", "out", "w1", "+"), Clutch("K2", "w2", "out")),
    )
    states = solve_chart(network, {"1": ["W"], "2": ["W", "K2"], "2 as usual": ["K2"]})
    assert [state.ratio for state in states.values()] == [2, 1, 1]
    assert states["2"].overrunning == ("W",)
    assert states["2 as usual"].overrunning == ()


def test_a_caught_clutch_may_let_another_overrun() -> None:
    """Holding X would turn Y backwards; the clutch there is not listed, catches, and the first lets go.

    Lever: in = 1, X and Y with in = 2·X − Y, so X = 0 gives Y = −1, and Y = 0 gives X = 1/2.
    """
    network = Network(
        "in",
        "out",
        sets=(BasicRatio("L", "X", "in", (("Y", Fraction(-1)),)),),
        pairs=(GearPair("f", "X", "out", 10, 10, internal=True),),
        elements=(OneWayToGround("W1", "X", "+"), OneWayToGround("W2", "Y", "+")),
    )
    state = solve_state(network, ["W1"])
    assert state.kind == StateKind.DEFINITE
    assert state.ratio == 2
    assert state.overrunning == ("W1",)
    assert state.catching == ("W2",)


def test_idle_members_do_not_make_a_neutral() -> None:
    """Direct drive past a set that nothing holds: the set floats, the output does not."""
    network = Network(
        "in",
        "out",
        sets=(SinglePinion("P", "S", "C", "R", 30, 72),),
        elements=(Clutch("K", "in", "out"), Clutch("D", "drum", "S")),
        further=("drum",),
    )
    state = solve_state(network, ["K"])
    assert state.kind == StateKind.DEFINITE
    assert state.ratio == 1
    assert state.floating == ("S", "C", "R", "drum")
    assert state.missing == 0


def test_a_loose_shaft_is_not_counted_as_missing() -> None:
    """Two of three members float with one row; the drum that nothing touches asks for no element."""
    network = Network(
        "S",
        "C",
        sets=(SinglePinion("P", "S", "C", "R", 30, 72),),
        elements=(Clutch("K", "R", "drum"),),
        further=("drum",),
    )
    state = solve_state(network, [])
    assert state.floating == ("C", "R", "drum")
    assert state.loose == ("drum",)
    assert state.idle == ("C", "R")
    assert state.missing == 1


def test_power_through_floating_members_is_no_gear() -> None:
    """Two equal differentials back to back: their cases turn as one, but the side shafts may run apart."""
    network = Network(
        "in", "out", sets=(Differential("first", "in", "f", "g"), Differential("second", "out", "f", "g"))
    )
    state = solve_state(network, [])
    assert state.speeds == {"in": 1, "out": 1}
    assert state.kind == StateKind.NEUTRAL
    assert state.floating == ("f", "g")
    assert not state.output_floats
    assert state.missing == 1


def test_an_output_at_rest_while_gears_turn_is_an_infinite_ratio() -> None:
    """Sun 30 at −1 and ring 60 at 1/2 leave the carrier at rest: (30·(−1) + 60·1/2) / 90 = 0."""
    network = Network(
        "in",
        "out",
        sets=(SinglePinion("P", "S", "out", "R", 30, 60),),
        pairs=(GearPair("s", "in", "S", 20, 20), GearPair("r", "in", "R", 20, 40, internal=True)),
    )
    state = solve_state(network, [])
    assert state.kind == StateKind.DEFINITE
    assert state.output_at_rest
    assert state.ratio is None


def test_a_held_output_is_no_gear() -> None:
    """A pawl on the output with no clutch applied: the input turns, and drives nothing."""
    network = replace(SIX_SPEED, elements=(*SIX_SPEED.elements, Brake("pawl", "out")))
    parked = solve_state(network, ["pawl"])
    assert parked.kind == StateKind.NEUTRAL
    assert parked.output_at_rest
    assert not parked.output_floats
    assert parked.ratio is None
    assert solve_state(network, ["A", "W", "pawl"]).fighting == (("A", "W", "pawl"),)
    held = Network(
        "in",
        "C",
        sets=(SinglePinion("P", "S", "C", "R", 30, 60),),
        elements=(Clutch("K", "in", "S"), Brake("BS", "S"), Brake("BR", "R")),
    )
    assert solve_state(held, ["BS", "BR"]).kind == StateKind.NEUTRAL
    assert solve_state(held, ["BS", "BR"]).missing == 0


def test_a_train_that_locks_itself_blames_no_element() -> None:
    network = Network("in", "out", pairs=(GearPair("Z", "in", "out", 20, 40),), grounded=("out",))
    state = solve_state(network, [])
    assert state.kind == StateKind.TIE_UP
    assert state.fighting == ()
    assert state.frees == ()


def test_sleeve_positions_are_states() -> None:
    network = Network(
        "in",
        "out",
        pairs=(
            GearPair("3", "in", "w3", 20, 40),
            GearPair("a", "in", "idler", 20, 17),
            GearPair("b", "idler", "wr", 17, 50),
        ),
        elements=(Sleeve("D", (("forward", ("w3", "out")), ("reverse", ("wr", "out")))),),
    )
    states = solve_chart(network, {"3": ["D:forward"], "R": ["D:reverse"], "N": []})
    assert [state.ratio for state in states.values()] == [-2, Fraction(5, 2), None]
    assert states["N"].missing == 1


def test_unknown_elements_are_refused() -> None:
    with pytest.raises(TrainError, match="there is no shift element 'G'; "):
        solve_state(SIX_SPEED, ["G"])


def test_the_matrix_says_what_decided() -> None:
    """Rows: three of the sets, the ground, the applied elements, and the input's turn last."""
    rows = solve_state(SIX_SPEED, ["A", "D"]).matrix.rows
    assert [row.kind.value for row in rows] == ["set"] * 3 + ["ground", "element", "element", "given"]
    assert [row.origin for row in rows if row.kind == RowKind.ELEMENT] == ["A", "D"]


@SLOW
@given(trains(one_ways=False))
def test_speeds_agree_with_a_second_route(case: TrainInState) -> None:
    """The library finds the same determined speeds, and no solution exactly where there is a tie-up."""
    state = solve_state(case.network, case.applied)
    other = willis_by_sympy.speeds(case.network, case.applied)
    assert (other is None) == (state.kind == StateKind.TIE_UP)
    assert dict(state.speeds) == (other or {})
    if state.ratio is not None:
        assert other is not None
        assert state.ratio == 1 / other["out"]


@SLOW
@given(trains(one_ways=False))
def test_fights_are_minimal_and_frees_are_smallest(case: TrainInState) -> None:
    """By trying every subset: which of them tie up, which of those are minimal, and what letting go frees."""
    state = solve_state(case.network, case.applied)
    subsets = [frozenset(c) for n in range(len(case.applied) + 1) for c in combinations(case.applied, n)]
    ties = {s for s in subsets if willis_by_sympy.speeds(case.network, s) is None}
    assert (state.kind == StateKind.TIE_UP) == (frozenset(case.applied) in ties)
    minimal = {s for s in ties if s and not any(t < s for t in ties)}
    if state.kind == StateKind.TIE_UP:
        assert {frozenset(names) for names in state.fighting} == minimal
        freeing = [s for s in subsets if frozenset(case.applied) - s not in ties]
        least = min((len(s) for s in freeing), default=0)
        assert {frozenset(names) for names in state.frees} == {s for s in freeing if len(s) == least}


@SLOW
@given(trains())
def test_one_way_clutches_end_up_where_they_may(case: TrainInState) -> None:
    """Outside a tie-up no one-way clutch turns against its free direction."""
    state = solve_state(case.network, case.applied)
    if state.kind == StateKind.TIE_UP:
        return
    for clutch in case.network.one_ways:
        if all(member in state.speeds for member in clutch.members):
            along = sum(state.speeds[member] * weight for member, weight in clutch.weights().items())
            assert along >= 0
            assert clutch.id not in state.overrunning or along > 0
            assert clutch.id not in state.catching or along == 0


@SLOW
@given(trains())
def test_redundant_elements_change_nothing(case: TrainInState) -> None:
    state = solve_state(case.network, case.applied)
    for name in state.redundant:
        less = solve_state(case.network, [other for other in case.applied if other != name])
        assert (less.kind, less.speeds, less.ratio) == (state.kind, state.speeds, state.ratio)


def renamed(part: Any, names: dict[str, str]) -> Any:
    """A record with every member (and every part inside it) under its new name; ids and numbers stay."""
    if isinstance(part, str):
        return names.get(part, part)
    if isinstance(part, tuple):
        return tuple(renamed(each, names) for each in part)
    if hasattr(part, "__dataclass_fields__"):
        changed = {
            field.name: renamed(getattr(part, field.name), names)
            for field in fields(part)
            if field.name != "id"
        }
        return replace(part, **changed)
    return part


def outcome(state: TrainState, names: dict[str, str]) -> object:
    return (
        state.kind,
        state.ratio,
        {names.get(member, member): speed for member, speed in state.speeds.items()},
        {names.get(member, member) for member in state.floating},
        state.missing,
        {frozenset(elements) for elements in state.fighting},
        {frozenset(elements) for elements in state.frees},
        set(state.redundant),
    )


@SLOW
@given(trains(one_ways=False), st.permutations(MEMBERS), st.randoms(use_true_random=False))
def test_names_and_order_change_nothing(case: TrainInState, order: list[str], random: Any) -> None:
    """Members under other names, and sets, pairs and elements in another order, come to the same answer."""
    names = dict(zip(MEMBERS, (f"x{name}" for name in order), strict=True))
    network: Network = renamed(case.network, names)
    sets: list[GearSet] = random.sample(network.sets, len(network.sets))
    elements: list[Element] = random.sample(network.elements, len(network.elements))
    other = replace(network, sets=tuple(sets), elements=tuple(elements))
    applied = random.sample(case.applied, len(case.applied))
    assert outcome(solve_state(other, applied), {}) == outcome(solve_state(case.network, case.applied), names)


@SLOW
@given(trains(one_ways=False), st.integers(2, 9))
def test_teeth_in_proportion_change_nothing(case: TrainInState, factor: int) -> None:
    """Only ratios of tooth counts matter."""

    def larger(part: Any) -> Any:
        changed = {
            field.name: getattr(part, field.name) * factor
            for field in fields(part)
            if field.name.endswith("teeth") and getattr(part, field.name) is not None
        }
        return replace(part, **changed)

    other = replace(
        case.network,
        sets=tuple(larger(part) for part in case.network.sets),
        pairs=tuple(larger(part) for part in case.network.pairs),
    )
    same = solve_state(other, case.applied)
    assert outcome(same, {}) == outcome(solve_state(case.network, case.applied), {})
