"""Lines of a train in a gear.

Expected values: the invented five-speed with two layshafts at 60 km/h in fourth, computed by another program
(consistency only); meshes counted from both ends of a set (a second route); the rest by hand, beside it.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings

from countershaft.errors import OutOfRange
from countershaft.mechanics.bearing_lines import BearingGeometry, bearing_lines
from countershaft.mechanics.frequencies import (
    Bearing,
    Line,
    LineKind,
    SpeedSensor,
    TrainLines,
    train_lines,
)
from countershaft.mechanics.gear_sets import GearPair, Ravigneaux, SinglePinion
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake
from countershaft.mechanics.states import StateKind, solve_state
from tests.mechanics.test_slip import CHART, DEMO
from tests.strategies import TrainInState, trains

PLANETARY = replace(
    DEMO,
    sets=(
        SinglePinion("P1", "S1", "K1", "in", 47, 77, planet="p1", planet_teeth=15),
        Ravigneaux("P2", "Ss", "Sl", "K2", "out", 30, 42, 84, short_planet_teeth=20, long_planet_teeth=21),
    ),
)


def lines(gear: str, speed: float = 30.0, **more: object) -> TrainLines:
    state = solve_state(PLANETARY, CHART[gear])
    return train_lines(PLANETARY, state, input_speed=speed, **more)  # type: ignore[arg-type]


def orders(found: TrainLines, kind: LineKind) -> dict[str, Fraction | float]:
    return {line.label: line.order for line in found.of(kind)}


def test_shafts_of_first_by_hand() -> None:
    """K1 = 77/124, carrier of the rear set held: out = K1 · 30/84, large sun = −K1 · 30/42."""
    found = orders(lines("1"), LineKind.SHAFT)
    front = Fraction(77, 124)
    assert found["out"] == front * Fraction(30, 84)
    assert found["Sl"] == front * Fraction(30, 42)
    assert "K2" not in found


def test_each_set_meshes_at_one_frequency() -> None:
    """From sun and from ring: 47 · |0 − K1| = 77 · |1 − K1|; in sixth 42 · |0 − 1| = 84 · |3/2 − 1|."""
    first, second = (line.order for line in lines("6").of(LineKind.MESH))
    assert first == 47 * Fraction(77, 124) == 77 * (1 - Fraction(77, 124))
    assert second == 42 == 84 * Fraction(1, 2)


def test_sidebands_of_a_set_turn_with_its_wheels() -> None:
    """Planet against carrier: 47/15 · K1, at 30 turns a second; the carrier itself at 30 · K1."""
    beside = dict(lines("6").of(LineKind.MESH)[0].modulations)
    assert beside["p1"] == pytest.approx(47 / 15 * 77 / 124 * 30)
    assert beside["K1"] == pytest.approx(77 / 124 * 30)
    assert beside["S1"] == pytest.approx(77 / 124 * 30)
    assert beside["in"] == pytest.approx((1 - 77 / 124) * 30)


def test_planets_that_pass_and_bad_teeth() -> None:
    """Four planets; the short pinions of the rear set mesh twice, the long ones three times."""
    found = lines("6", planets={"P1": 4, "P2": 3})
    assert orders(found, LineKind.PLANET_PASS) == {
        "planets of P1 pass the case": 4 * Fraction(77, 124),
        "planets of P2 pass the case": 3,
    }
    bad = orders(found, LineKind.BAD_TOOTH)
    assert bad["tooth of S1"] == 4 * Fraction(77, 124)
    assert bad["tooth of p1"] == 2 * Fraction(47, 15) * Fraction(77, 124)
    assert bad["tooth of short planet of P2"] == 2 * Fraction(42, 20)
    assert bad["tooth of long planet of P2"] == 3 * Fraction(42, 21)
    assert bad["tooth of Sl"] == 3
    assert "tooth of Sl" not in orders(lines("6"), LineKind.BAD_TOOTH)


def test_hunting_teeth_and_assembly_phases() -> None:
    """47 on 15 share nothing; 42 on 21 share 21, so the same teeth meet every 42 meshes."""
    found = lines("6")
    hunting = orders(found, LineKind.HUNTING_TOOTH)
    assert hunting["S1 47 on p1 15"] == 47 * Fraction(77, 124) / (47 * 15)
    assert hunting["Sl 42 on long planet of P2 21"] == 1
    assert orders(found, LineKind.ASSEMBLY_PHASE)["Sl 42 on long planet of P2 21"] == 2


def test_a_set_that_turns_as_one_has_no_mesh() -> None:
    """Both clutches of third tie the rear set to the front carrier."""
    found = lines("3")
    assert [line.origin for line in found.of(LineKind.MESH)] == ["P1"]
    assert "P2 turns as one piece, so its teeth do not mesh" in found.silent


def test_what_floats_is_silent_and_said() -> None:
    found = lines("N", sensors=[SpeedSensor("out", "out", 40)])
    assert "P2 floats, so its mesh is not known" in found.silent
    assert "sensor out: out floats" in found.silent
    assert {"Ss floats", "Sl floats", "K2 floats", "out floats"} <= set(found.silent)


def test_a_tie_up_sounds_nothing() -> None:
    found = train_lines(PLANETARY, solve_state(PLANETARY, ["B", "C"]), input_speed=30)
    assert (found.lines, found.silent) == ((), ("nothing turns: the train is tied up",))


def test_a_negative_input_speed_is_refused() -> None:
    with pytest.raises(OutOfRange, match="an input speed of -1 turns per second is below zero"):
        lines("1", speed=-1)


GEOMETRY = BearingGeometry(9, 7.94, 39.04)


def test_a_bearing_between_two_members() -> None:
    """In sixth the carrier turns with the input and the output half as fast again."""
    bearing = Bearing("mid", GEOMETRY, inner="in", outer="out")
    found = lines("6", speed=20, bearings=[bearing]).of(LineKind.BEARING)
    expected = bearing_lines(GEOMETRY, inner_speed=20, outer_speed=30)
    assert [line.frequency for line in found] == pytest.approx(
        [expected.outer_pass, expected.inner_pass, expected.element_strikes, expected.cage]
    )
    assert dict(found[0].modulations) == pytest.approx({"through the load": 30})
    assert found[0].label == "mid outer ring"
    assert found[0].working.endswith("/s = 35.8478 Hz")


def test_the_bearing_of_a_planet() -> None:
    """Pin with the carrier, bore with the planet, load with the carrier: what passes is the planet's own turning."""
    bearing = Bearing("planet", GEOMETRY, inner="K1", outer="p1", load="K1")
    found = lines("6", speed=20, bearings=[bearing]).of(LineKind.BEARING)
    turning = 47 / 15 * 77 / 124 * 20
    assert found[0].frequency == pytest.approx(9 / 2 * turning * (1 - GEOMETRY.gamma))
    assert dict(found[0].modulations) == pytest.approx({"through the load": turning})
    assert found[1].modulations == ()


def test_bearings_that_do_not_turn_or_float_say_so() -> None:
    pilot = Bearing("pilot", GEOMETRY, inner="in", outer="K2")
    assert "bearing pilot turns as one piece" in lines("6", bearings=[pilot]).silent
    rear = Bearing("rear", GEOMETRY, inner="out", outer=None)
    assert "bearing rear: out floats" in lines("N", bearings=[rear]).silent


def test_a_speed_sensor_counts_teeth() -> None:
    """47 teeth on the output, which in sixth turns 3/2 of 20 a second."""
    line = lines("6", speed=20, sensors=[SpeedSensor("OSS", "out", 47)]).of(LineKind.SENSOR)[0]
    assert line.frequency == pytest.approx(47 * 30)
    assert line.working == "47 · |out| = 70.5 · 20 /s = 1410 Hz"


def test_a_chain_sounds_at_its_links() -> None:
    chain = GearPair("chain", "in", "out", 35, 37, chain=True)
    network = Network("in", "out", pairs=(chain,))
    found = train_lines(network, solve_state(network, []), input_speed=10)
    assert [line.frequency for line in found.of(LineKind.CHAIN)] == [350]
    assert found.of(LineKind.MESH) == ()


def test_a_pair_that_stands_still_sounds_nothing() -> None:
    """The output is braked while the input turns its own pair."""
    network = Network(
        "in",
        "out",
        pairs=(GearPair("a", "in", "w", 20, 30), GearPair("b", "out", "v", 20, 30)),
        elements=(Brake("P", "out"),),
    )
    found = train_lines(network, solve_state(network, ["P"]), input_speed=10)
    assert [line.origin for line in found.of(LineKind.MESH)] == ["a"]
    floating = train_lines(network, solve_state(network, []), input_speed=10)
    assert "b floats, so its mesh is not known" in floating.silent


# Fourth of an invented five-speed with two layshafts that share one ring gear, by another program at 60 km/h.
LAYSHAFTS = Network(
    "IS",
    "D",
    pairs=(
        GearPair("final L1", "L1", "D", 16, 71),
        GearPair("final L2", "L2", "D", 19, 71),
        GearPair("4th", "IS", "L1", 38, 33),
    ),
)


def test_meshes_of_the_invented_five_speed() -> None:
    """Layshaft 1 at 35.561 Hz: final 568.98 from both pinions, fourth 1173.53; layshaft 2 at 29.946."""
    found = train_lines(LAYSHAFTS, solve_state(LAYSHAFTS, []), input_speed=30.882)
    shafts = {line.origin: line.frequency for line in found.of(LineKind.SHAFT)}
    assert shafts == pytest.approx({"IS": 30.882, "L1": 35.561, "L2": 29.946, "D": 8.014}, abs=2e-3)
    meshes = {line.origin: line.frequency for line in found.of(LineKind.MESH)}
    assert meshes == pytest.approx({"final L1": 568.98, "final L2": 568.98, "4th": 1173.53}, abs=0.03)


def both_ways(line: Line, network: Network, speeds: dict[str, Fraction]) -> set[Fraction]:
    """Mesh order of a set from each of its central wheels."""
    part = next(part for part in (*network.sets, *network.pairs) if part.id == line.origin)
    if isinstance(part, GearPair):
        return {abs(part.a_teeth * speeds[part.a]), abs(part.b_teeth * speeds[part.b])}
    if isinstance(part, SinglePinion):
        ends = ((part.sun, part.sun_teeth), (part.ring, part.ring_teeth))
        return {
            abs(teeth * (speeds[member] - speeds[part.carrier]))
            for member, teeth in ends
            if member in speeds and part.carrier in speeds
        }
    return {Fraction(line.order)}


@settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
@given(trains())
def test_a_mesh_has_one_order_from_both_its_wheels(case: TrainInState) -> None:
    state = solve_state(case.network, case.applied)
    found = train_lines(case.network, state, input_speed=25)
    for line in found.lines:
        assert line.order > 0 or line.kind == LineKind.BEARING
        assert line.frequency == pytest.approx(float(line.order) * 25)
        if line.kind == LineKind.MESH:
            assert both_ways(line, case.network, dict(state.speeds)) == {line.order}
    if state.kind != StateKind.TIE_UP:
        turning = [member for member, speed in state.speeds.items() if speed]
        assert [line.origin for line in found.of(LineKind.SHAFT)] == [
            member for member in case.network.members if member in turning
        ]
