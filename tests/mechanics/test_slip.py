"""Slip from two measured speeds.

Expected values: slip planted into the train's own equations by another route (both speeds given to `solve_speeds`),
factors by hand, and one figure of an invented road test that was computed by another program (consistency only).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.gear_sets import Ravigneaux, SinglePinion
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch, OneWayToGround, Sleeve
from countershaft.mechanics.slip import SpeedExplanation, SpeedVerdict, explain_speeds, slip_factors
from countershaft.mechanics.speeds import solve_speeds
from countershaft.mechanics.states import StateKind, solve_state
from tests.strategies import TrainInState, trains

#: The invented six-speed of the shipped demonstration file.
DEMO = Network(
    "in",
    "out",
    sets=(
        SinglePinion("P1", "S1", "K1", "in", 47, 77),
        Ravigneaux("P2", "Ss", "Sl", "K2", "out", 30, 42, 84),
    ),
    grounded=("S1",),
    elements=(
        Clutch("A", "K1", "Ss"),
        Clutch("B", "K1", "Sl"),
        Brake("C", "Sl"),
        Brake("D", "K2"),
        Clutch("E", "in", "K2"),
        OneWayToGround("F", "K2", "+"),
    ),
)
CHART = {
    "N": [],
    "R": ["B", "D"],
    "1": ["A", "F"],
    "2": ["A", "C"],
    "3": ["A", "B"],
    "4": ["A", "E"],
    "5": ["B", "E"],
    "6": ["C", "E"],
}


def said(gear: str, turbine: float, output: float, *, drive: bool | None = None) -> SpeedExplanation:
    return explain_speeds(
        DEMO,
        CHART,
        gear,
        input_speed=turbine,
        output_speed=output,
        input_resolution=1,
        output_resolution=1,
        drive=drive,
    )


def slips(found: SpeedExplanation) -> dict[str, float]:
    return {one.element: one.slip for one in found.candidates}


def test_the_invented_hill_in_sixth() -> None:
    """At 100 km/h the turbine should turn 1821 and turns 2341 (invented road test): 520 at the input, 1560 at C."""
    found = said("6", 2341, 2731.5)
    assert found.expected == pytest.approx(1821)
    assert found.excess == pytest.approx(520)
    assert found.verdict == SpeedVerdict.SLIP
    assert slips(found) == pytest.approx({"C": 1560, "E": 520})
    assert found.candidates[0].working == "C: Sl = 3 · 520 = 1560"
    assert found.candidates[0].half_width == pytest.approx(3 * found.half_width if found.half_width else 0)


def test_factors_of_sixth_by_hand() -> None:
    """Output held at 0: carrier 1 turns the large sun 1 + 84/42 = 3 times; carrier driven past E slips by itself."""
    assert {one.element: one.factor for one in slip_factors(DEMO, ["C", "E"])} == {"C": 3, "E": 1}


def test_factors_of_first_by_hand() -> None:
    """Output held, small sun at K1 = 77/124: the carrier goes back by 30/(84 − 30) of it."""
    by = {one.element: (one.factor, one.free) for one in slip_factors(DEMO, ["A", "F"])}
    assert by["F"] == (-Fraction(77, 124) * Fraction(30, 54), 1)
    assert by["A"] == (Fraction(77, 124), 0)


def test_speeds_that_fit_are_in_gear() -> None:
    found = said("6", 1821, 2731.5)
    assert (found.verdict, found.fits, found.candidates) == (SpeedVerdict.IN_GEAR, ("6",), ())


def test_the_resolution_decides_what_fits() -> None:
    """Half a step of the turbine and 2/3 of half a step of the output: 0.83 is the bound."""
    assert said("6", 1821.8, 2731.5).verdict == SpeedVerdict.IN_GEAR
    assert said("6", 1821.9, 2731.5).verdict == SpeedVerdict.SLIP


def test_speeds_of_another_gear_are_told_first() -> None:
    found = said("6", round(2731.5 * 1736 / 1501), 2731.5)
    assert (found.verdict, found.fits) == (SpeedVerdict.OTHER_GEAR, ("4",))
    assert set(slips(found)) == {"C", "E"}


def test_on_coast_a_one_way_clutch_overruns_and_nothing_is_wrong() -> None:
    found = said("1", 1000, 500)
    assert found.verdict == SpeedVerdict.OVERRUN
    assert next(one for one in found.candidates if one.element == "F").overruns
    assert said("1", 1000, 500, drive=False).verdict == SpeedVerdict.OVERRUN


def test_a_one_way_clutch_that_gives_way_under_drive_is_a_fault() -> None:
    found = said("1", 3000, 500, drive=True)
    assert found.verdict == SpeedVerdict.SLIP
    assert not any(one.overruns for one in found.candidates)


def test_no_element_slips_against_the_sense_of_torque() -> None:
    """Under drive a slipping element lets the turbine run ahead, never behind; a sensor is wrong, or the gear."""
    assert said("6", 1500, 2731.5, drive=True).verdict == SpeedVerdict.NONE
    assert said("6", 2341, 2731.5, drive=False).verdict == SpeedVerdict.NONE
    assert said("6", 1500, 2731.5).verdict == SpeedVerdict.SLIP


def test_reverse_carries_its_sign() -> None:
    """At −500 of the output the turbine should turn 248/77 of 500."""
    found = said("R", 2000, -500)
    assert found.expected == pytest.approx(500 * 248 / 77)
    assert set(slips(found)) == {"B", "D"}
    assert said("R", round(500 * 248 / 77), -500).verdict == SpeedVerdict.IN_GEAR


def test_neutral_has_nothing_to_slip() -> None:
    found = said("N", 1234, 321)
    assert (found.verdict, found.candidates) == (SpeedVerdict.NONE, ())
    assert found.working == ("gear N has no ratio: it is neutral",)
    assert said("N", 1821, 2731.5).fits == ("6",)


def test_wrong_questions_are_refused() -> None:
    with pytest.raises(OutOfRange, match="gear '7' is not in the chart"):
        said("7", 1, 1)
    with pytest.raises(OutOfRange, match="a resolution is not above zero"):
        explain_speeds(
            DEMO, CHART, "1", input_speed=1, output_speed=1, input_resolution=0, output_resolution=1
        )


def written(case: TrainInState) -> list[str]:
    sleeves = {element.id for element in case.network.elements if isinstance(element, Sleeve)}
    return [f"{name}:near" if name in sleeves else name for name in case.applied]


@settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)
@given(trains(one_ways=False), st.integers(-5000, 5000), st.integers(-5000, 5000))
def test_planted_slip_is_found(case: TrainInState, turbine: int, output: int) -> None:
    """Both speeds are imposed on the train without one element; what `solve_speeds` makes of it is found again."""
    applied = written(case)
    state = solve_state(case.network, applied)
    assume(state.kind == StateKind.DEFINITE and state.ratio is not None)
    assert state.ratio is not None
    excess = turbine - state.ratio * output
    assume(abs(excess) > (1 + abs(state.ratio)) / 2)
    found = explain_speeds(
        case.network,
        {"g": applied},
        "g",
        input_speed=turbine,
        output_speed=output,
        input_resolution=1,
        output_resolution=1,
    )
    explained = slips(found)
    assert (found.verdict == SpeedVerdict.SLIP) == bool(explained)
    for name in applied:
        others = [other for other in applied if other != name]
        row = case.network.held(name)
        freed = solve_state(case.network, others)
        if freed.kind == StateKind.DEFINITE and freed.ratio == state.ratio:
            assert name not in explained
            continue
        speeds = solve_speeds(case.network, given={"in": turbine, "out": output}, applied=others).values
        if all(member in speeds for member in row.members):
            planted = sum((value * speeds[member] for member, value in row.coefficients), Fraction(0))
            assert explained[name] == pytest.approx(float(planted), rel=1e-9, abs=1e-9)


def test_a_redundant_element_explains_nothing() -> None:
    """Brake and one-way clutch hold the same carrier; either alone keeps the gear."""
    assert {one.element for one in slip_factors(DEMO, ["A", "D", "F"])} == {"A"}


def test_a_tie_up_has_nothing_to_slip() -> None:
    """Turned round, the one-way clutch catches the carrier that second gear turns forward."""
    network = replace(DEMO, elements=(*DEMO.elements[:-1], OneWayToGround("F", "K2", "-")))
    assert slip_factors(network, ["A", "C"]) == ()


def test_an_unlisted_one_way_clutch_is_no_hold() -> None:
    """With nothing applied the ring floats, and speeds alone make no clutch catch."""
    set_ = SinglePinion("P", "in", "out", "R", 30, 72)
    network = Network("in", "out", sets=(set_,), elements=(OneWayToGround("W", "R", "-"), Brake("B", "out")))
    assert slip_factors(network, []) == ()
    assert [one.element for one in slip_factors(replace(network, elements=network.elements[:1]), ["W"])] == [
        "W"
    ]
