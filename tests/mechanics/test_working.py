"""The working as text.  Expected values: written by hand from small invented trains."""

from __future__ import annotations

from dataclasses import replace

from countershaft.mechanics.gear_sets import Differential, GearPair, SinglePinion
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch, OneWayToGround
from countershaft.mechanics.states import solve_state
from countershaft.mechanics.working import explain, show_working

TRAIN = Network(
    "in",
    "out",
    sets=(SinglePinion("P", "in", "out", "R", 30, 72),),
    elements=(Brake("B", "R"), Clutch("K", "in", "out"), Brake("H", "out"), OneWayToGround("W", "R", "+")),
)


def test_a_gear_shows_rows_speeds_and_ratio() -> None:
    working = show_working(solve_state(TRAIN, ["B"]))
    assert working.constraints == ("P: 30·(in − out) = −72·(R − out)", "B: R = 0", "input: in = 1")
    assert working.speeds == ("in = 1", "out = 5/17 = 0.294118", "R = 0")
    assert working.result == "in : out = 3.4"


def test_a_neutral_names_what_floats() -> None:
    assert explain(solve_state(TRAIN, [])) == "out and R float; 1 more element is needed."


def test_a_standing_output_is_an_infinite_ratio() -> None:
    spare = replace(TRAIN, sets=(*TRAIN.sets, Differential("D", "a", "b", "c")), elements=TRAIN.elements[:-1])
    assert explain(solve_state(spare, ["H"])) == (
        "out stands still while in turns; the ratio is infinite. Idle: a, b and c."
    )


def test_loose_shafts_are_not_spoken_of() -> None:
    """A shaft that nothing touches in a state floats, and no one at the bench needs to hear it in every gear."""
    train = replace(TRAIN, elements=(*TRAIN.elements, Clutch("L", "engine", "in")), further=("engine",))
    assert explain(solve_state(train, [])) == "out and R float; 1 more element is needed."
    assert explain(solve_state(train, ["B"])) == "in : out = 3.4"


def test_a_tie_up_names_who_fights_and_what_frees() -> None:
    state = solve_state(TRAIN, ["B", "K"])
    assert explain(state) == "in cannot turn: B and K fight. Let go of B, or K to free it."


def test_a_tie_up_of_the_train_itself_says_where_to_look() -> None:
    locked = Network("in", "out", pairs=(GearPair("Z", "in", "out", 20, 40),), grounded=("out",))
    assert explain(solve_state(locked, [])) == (
        "in cannot turn even with nothing applied; look at sets, pairs and grounded members."
    )


def test_one_element_may_hold_the_input_alone() -> None:
    train = replace(TRAIN, elements=(*TRAIN.elements, Brake("X", "in")))
    assert explain(solve_state(train, ["X"])) == "in cannot turn: X alone holds it. Let go of X to free it."


def test_one_way_clutches_and_spare_elements_are_remarked() -> None:
    assert explain(solve_state(TRAIN, ["K", "W"])) == "in : out = 1. Overrunning: W."
    assert explain(solve_state(TRAIN, ["B", "W"])) == "in : out = 3.4. Changes nothing: B or W."
    reverse = replace(TRAIN, elements=(Brake("H", "out"), OneWayToGround("W", "R", "+")))
    assert explain(solve_state(reverse, ["H"])) == (
        "in cannot turn: H and W fight. Let go of H, or W to free it. Not listed, but held by the motion: W."
    )


def test_long_lists_are_cut_and_counted() -> None:
    brakes = tuple(Brake(f"B{index}", "in") for index in range(6))
    state = solve_state(replace(TRAIN, elements=brakes), [brake.id for brake in brakes])
    assert explain(state).startswith(
        "in cannot turn: B0 alone holds it; B1 alone holds it; B2 alone holds it; B3 alone holds it; 2 more. "
        "Let go of B0, B1, B2, B3, B4 and B5 to free it."
    )


def test_a_held_output_with_nothing_driven() -> None:
    held = Network(
        "in",
        "C",
        sets=(SinglePinion("P", "S", "C", "R", 30, 60),),
        elements=(Clutch("K", "in", "S"), Brake("BS", "S"), Brake("BR", "R"), Brake("BC", "C")),
    )
    assert explain(solve_state(held, ["BS", "BR"])) == "C is held, and in drives nothing."
    assert explain(solve_state(held, ["BC"])) == "C is held; S and R float; 1 more element is needed."
