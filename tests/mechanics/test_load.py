"""Trains with several inputs or outputs: differentials, transfer sets, two axes, layshafts with a common final drive.

Expected values: worked by hand, beside each; published trains are judged in `tests/published/test_gear_trains.py`.
Random trains with one-way clutches are held to equations written afresh and solved by sympy (`statics_by_sympy.py`,
`willis_by_sympy.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings

from countershaft.errors import TrainError
from countershaft.mechanics.gear_sets import (
    BasicRatio,
    CompoundPlanet,
    Differential,
    DoublePinion,
    GearPair,
    SinglePinion,
    Wheel,
)
from countershaft.mechanics.gears import load_gear, solve_gears
from countershaft.mechanics.load import Load, load_state, solve_load
from countershaft.mechanics.losses import MeshLosses
from countershaft.mechanics.meshes import MeshKind
from countershaft.mechanics.network import Network
from countershaft.mechanics.powerflow import power_flow
from countershaft.mechanics.shift_elements import Brake, Clutch, OneWayBetween, OneWayToGround, Sleeve
from countershaft.mechanics.speeds import solve_speeds
from countershaft.mechanics.states import StateKind, TrainState, solve_state
from tests.mechanics.random_trains import one_way_trains
from tests.mechanics.statics_by_sympy import reactions
from tests.mechanics.willis_by_sympy import speeds
from tests.strategies import TrainInState, trains


def axle(*, spur: bool, apart: int, efficiency: str | None = None) -> Load:
    """A final drive 15 to 60 with 100 N·m at 400 rpm on the pinion, and the wheels `apart` rpm apart."""
    train = Network(
        "pinion",
        "case",
        sets=(Differential("D", "case", "left", "right", spur=spur),),
        pairs=(GearPair("final", "pinion", "case", 15, 60, internal=True),),
    )
    turning = solve_speeds(train, given={"pinion": 400}, apart={("left", "right"): apart})
    losses = None if efficiency is None else MeshLosses(1, bevel=efficiency, special={"final": 1})
    if spur and efficiency is not None:
        losses = MeshLosses(efficiency, special={"final": 1})
    return solve_load(train, turning, torques={"pinion": 100}, reacting=["left", "right"], losses=losses)


@pytest.mark.parametrize("spur", [False, True])
def test_wheels_of_one_axle_share_evenly_at_any_speed(spur: bool) -> None:
    """The case turns at 100; 30 apart the wheels turn at 115 and 85, and each takes half of 400 N·m."""
    found = axle(spur=spur, apart=30)
    assert (found.speeds["left"], found.speeds["right"]) == (115, 85)
    assert found.torques is not None
    assert found.torques.external == {"pinion": 100, "left": -200, "right": -200}


@pytest.mark.parametrize(("spur", "meshes"), [(False, 2), (True, 3)])
def test_the_slower_wheel_gets_more_where_the_pinions_lose(spur: bool, meshes: int) -> None:
    """Against the case, the faster wheel gives power to the slower through two bevel or three spur meshes.

    So the torques are as 1 to 1 / e, with e for all meshes: the faster takes 400 · e / (1 + e).
    """
    found = axle(spur=spur, apart=30, efficiency="0.95").with_losses
    e = 0.95**meshes
    assert found is not None
    assert found.torques.external["left"] == pytest.approx(-400 * e / (1 + e))
    assert found.torques.external["right"] == pytest.approx(-400 / (1 + e))
    assert len(found.meshes) == meshes + 1
    assert found.torque_ratio is None
    assert found.lost == pytest.approx(100 * 400 - 400 * (115 * e + 85) / (1 + e))


def test_straight_ahead_the_pinions_lose_nothing() -> None:
    found = axle(spur=False, apart=0, efficiency="0.95").with_losses
    assert found is not None
    assert found.torques.external["left"] == found.torques.external["right"] == -200
    assert found.efficiency == 1
    assert {mesh.mesh.kind for mesh in found.meshes} == {MeshKind.INTERNAL, MeshKind.BEVEL}


def test_one_wheel_on_ice_takes_as_little_as_the_other() -> None:
    """The left wheel gets no hold: nothing can be held at all, since its side gear must take half."""
    train = Network("case", "left", sets=(Differential("D", "case", "left", "right"),))
    turning = solve_speeds(train, given={"case": 100, "right": 0})
    found = solve_load(train, turning, torques={"case": 100}, reacting=["right"])
    assert found.torques is None
    with pytest.raises(TrainError, match="nothing holds this load, so that no power flows"):
        power_flow(train, found)


# A transfer set: a planetary centre differential (sun to the front by a chain, ring to the rear), a reduction set that
# a sleeve engages, and a lock of the centre differential.
TRANSFER = Network(
    "gearbox",
    "rear",
    sets=(
        SinglePinion("low", "gearbox", "slow", "held", 40, 80),
        SinglePinion("centre", "sun", "carrier", "rear", 30, 60),
    ),
    pairs=(GearPair("chain", "sun", "front", 36, 36, chain=True),),
    grounded=("held",),
    elements=(
        Sleeve("range", (("high", ("gearbox", "carrier")), ("low", ("slow", "carrier")))),
        Clutch("lock", "sun", "rear"),
    ),
)


@pytest.mark.parametrize(("position", "ratio"), [("high", 1), ("low", 3)])
def test_a_transfer_set_shares_one_to_two(position: str, ratio: int) -> None:
    """Low: 1 + 80 / 40 = 3.  Sun 30 and ring 60 take one third and two thirds, whatever their speeds."""
    turning = solve_speeds(
        TRANSFER,
        given={"gearbox": 900},
        applied=[f"range:{position}"],
        apart={("front", "rear"): 60},
    )
    found = solve_load(TRANSFER, turning, torques={"gearbox": 30}, reacting=["front", "rear"])
    assert found.speeds["carrier"] == Fraction(900, ratio)
    assert found.speeds["front"] - found.speeds["rear"] == 60
    assert found.torques is not None
    assert found.torques.external["front"] == -10 * ratio
    assert found.torques.external["rear"] == -20 * ratio
    assert found.torques.external["held"] == 30 * (ratio - 1)


def test_a_locked_transfer_set_leaves_the_shares_to_the_tyres() -> None:
    """With the lock in, front and rear turn as one; how they share is not the gears' to say."""
    turning = solve_speeds(TRANSFER, given={"gearbox": 900}, applied=["range:high", "lock"])
    found = solve_load(TRANSFER, turning, torques={"gearbox": 30}, reacting=["front", "rear"])
    assert found.speeds["front"] == found.speeds["rear"] == 900
    assert found.torques is not None
    assert set(found.torques.indeterminate) == {"lock", "front", "rear", "chain"}
    assert found.torques.sets["centre"] == {"sun": -10, "rear": -20, "carrier": 30}
    assert found.torques.ground is None
    assert found.torques.elements == {"range:high": 30}


def test_a_chain_turns_its_wheels_the_same_way_and_pulls_on_the_case() -> None:
    """Wheels 20 and 40: 2 N·m out, both the same way, so that the bearings take only 1."""
    train = Network("in", "out", pairs=(GearPair("C", "in", "out", 20, 40, chain=True),))
    found = load_gear(train, [], losses=MeshLosses(1, chain="0.98"))
    assert found.ratio == 2
    assert found.load is not None and found.load.torques is not None
    assert found.load.torques.external == {"in": 1, "out": -2}
    assert found.load.torques.bearings == 1
    assert found.efficiency == pytest.approx(0.98)
    with pytest.raises(
        TrainError, match="C: a chain has no wheel with inner teeth; leave out internal or chain"
    ):
        GearPair("C", "in", "out", 20, 40, internal=True, chain=True)


# Two clutches, two layshafts, one final drive (invented tooth counts): odd gears on K1, even gears on K2, all on free
# wheels that sleeves take hold of; reverse over an idler.
TWIN = Network(
    "engine",
    "crown",
    pairs=(
        GearPair("g1", "s1", "w1", 13, 46),
        GearPair("g2", "s2", "w2", 18, 43),
        GearPair("g3", "s1", "w3", 27, 41),
        GearPair("g4", "s2", "w4", 33, 34),
        GearPair("ri", "s2", "idler", 14, 25),
        GearPair("gr", "idler", "wr", 25, 41),
        GearPair("f1", "lay1", "crown", 17, 71),
        GearPair("f2", "lay2", "crown", 20, 71),
    ),
    elements=(
        Clutch("K1", "engine", "s1"),
        Clutch("K2", "engine", "s2"),
        Sleeve("D13", (("1", ("w1", "lay1")), ("3", ("w3", "lay1")))),
        Sleeve("D24", (("2", ("w2", "lay1")), ("4", ("w4", "lay2")))),
        Sleeve("DR", (("r", ("wr", "lay2")),)),
    ),
    further=("engine",),
)
CHART = {
    "1": ["K1", "D13:1"],
    "1, second ready": ["K1", "D13:1", "D24:4"],
    "3": ["K1", "D13:3"],
    "4": ["K2", "D24:4"],
    "R": ["K2", "DR:r"],
}


def test_layshafts_with_a_common_final_drive() -> None:
    """Ratios by the wheels in mesh; losses by their number, two for a forward gear and three for reverse."""
    gears = solve_gears(TWIN, CHART, losses=MeshLosses("0.99"))
    assert {gear: found.ratio for gear, found in gears.items()} == {
        "1": Fraction(46 * 71, 13 * 17),
        "1, second ready": Fraction(46 * 71, 13 * 17),
        "3": Fraction(41 * 71, 27 * 17),
        "4": Fraction(34 * 71, 33 * 20),
        "R": -Fraction(41 * 71, 14 * 20),
    }
    assert [found.efficiency for found in gears.values()] == pytest.approx(
        [0.99**2, 0.99**2, 0.99**2, 0.99**2, 0.99**3]
    )


def test_what_only_turns_along_carries_nothing() -> None:
    """With fourth made ready in first, the other input shaft, its wheels and the second layshaft run idle."""
    first = load_gear(TWIN, CHART["1, second ready"])
    assert first.kind is StateKind.DEFINITE
    assert first.load is not None
    flow = power_flow(TWIN, first.load)
    assert flow.elements == {"K1": 1, "D13:1": 1, "D24:4": 0}
    assert set(flow.idle) == {"s2", "w2", "w3", "w4", "idler", "wr", "lay2"}
    assert flow.floating == ()
    # The crown drives the second layshaft, which spins the clutch that is let go.
    assert first.state.speeds["s2"] == first.state.speeds["lay2"] * -Fraction(34, 33)
    plain = load_gear(TWIN, CHART["1"])
    assert set(plain.state.floating) == {"s2", "w2", "w4", "idler", "wr"}


def test_two_axes_and_a_set_between_them() -> None:
    """A pair to the second axis, a set there with its ring braked: 2 · 3.4, turned back by the pair."""
    train = Network(
        "in",
        "out",
        sets=(SinglePinion("P", "S", "out", "R", 30, 72),),
        pairs=(GearPair("Z", "in", "S", 20, 40),),
        elements=(Brake("B", "R"),),
    )
    found = load_gear(train, ["B"])
    assert found.ratio == -Fraction(34, 5)
    assert found.load is not None and found.load.torques is not None
    torques = found.load.torques
    assert torques.external == {"in": 1, "out": Fraction(34, 5), "R": -Fraction(24, 5)}
    assert torques.bearings == -3
    assert torques.ground == -Fraction(39, 5)


def test_two_given_torques_and_one_that_reacts() -> None:
    """Sun 30 and ring 72 both drive: 30 and 72 balance each other in the teeth, and the carrier takes 102."""
    part = SinglePinion("P", "S", "C", "R", 30, 72)
    train = Network("S", "C", sets=(part,))
    turning = solve_speeds(train, given={"S": 3, "R": 1})
    found = solve_load(train, turning, torques={"S": 30, "R": 72}, reacting=["C"])
    assert found.torques is not None
    assert found.torques.external["C"] == -102
    assert solve_load(train, turning, torques={"S": 30, "R": 70}, reacting=["C"]).torques is None
    with pytest.raises(
        TrainError, match="with losses the given torques do not balance; name one more member"
    ):
        solve_load(train, turning, torques={"S": 30, "R": 72}, reacting=["C"], losses=MeshLosses("0.9"))


def test_what_is_asked_wrongly_is_refused() -> None:
    train = Network("S", "C", sets=(BasicRatio("P", "C", "S", (("R", Fraction(-2)),)),))
    turning = solve_speeds(train, given={"S": 1, "R": 0})
    with pytest.raises(TrainError, match=r"the train has no member 'c'; did you mean 'C'\?"):
        solve_load(train, turning, torques={"S": 1}, reacting=["c"])
    with pytest.raises(TrainError, match="S has a given torque and is to react as well; leave it out of one"):
        solve_load(train, turning, torques={"S": 1}, reacting=["S"])
    with pytest.raises(TrainError, match="S cannot turn apart from itself; name two different members"):
        solve_speeds(train, given={"S": 1}, apart={("S", "S"): 3})
    with pytest.raises(TrainError, match="the train has no member 'Q'; known are S, R, C"):
        solve_speeds(train, given={"S": 1}, apart={("S", "Q"): 3})


# In both trains one listed one-way clutch overruns, and one that nobody listed catches and carries the load.
CAUGHT = {
    "basic ratio": (
        Network(
            "in",
            "out",
            sets=(
                CompoundPlanet("P0", "in", "P0p", (Wheel("M3", 119, 24), Wheel("out", 35, 71))),
                CompoundPlanet("P1", "in", "P1p", (Wheel("M2", 98, 85, True),)),
                BasicRatio("P2", "M2", "in", (("out", Fraction(-114, 49)),)),
            ),
            pairs=(GearPair("Z", "M4", "in", 49, 23, True),),
            grounded=("M1",),
            elements=(
                OneWayBetween("E0", "M3", "out", "+"),
                OneWayToGround("E1", "M2", "-"),
                OneWayBetween("E2", "M4", "M3", "+"),
            ),
            further=("M1", "M2", "M3", "M4"),
        ),
        ("E0",),
    ),
    "double pinion": (
        Network(
            "in",
            "out",
            sets=(
                DoublePinion("P0", "M5", "in", "M4", 101, 59),
                CompoundPlanet("P1", "M2", "P1p", (Wheel("M5", 89, 81), Wheel("M1", 101, 61))),
                BasicRatio("P2", "out", "M1", (("M4", Fraction(62, 43)),)),
            ),
            elements=(
                Sleeve("E0", (("near", ("M2", "M5")),)),
                OneWayToGround("E1", "M2", "+"),
                OneWayBetween("E2", "in", "M1", "-"),
                OneWayBetween("E3", "out", "M5", "+"),
            ),
            further=("M3",),
        ),
        ("E1", "E3"),
    ),
}


def check_by_sympy(network: Network, state: TrainState, load: Load, torque: int = 1) -> None:
    """What holds gives the speeds of the state, and carries the torques of the load."""
    turning = speeds(network, state.holding)
    assert turning is not None
    assert all(turning[member] == speed for member, speed in state.speeds.items())
    torques, expected = load.torques, reactions(network, state.holding)
    assert torques is not None
    assert dict(torques.elements) == {
        name: torque * expected[name] for name in state.holding if name in expected
    }
    assert {name for name in state.holding if name not in expected} <= set(torques.indeterminate)
    shared = {*network.grounded, *(each for name in state.holding for each in network.held(name).members)}
    if network.output in expected and network.output not in shared:
        assert torques.external[network.output] == torque * expected[network.output]


@pytest.mark.parametrize("name", CAUGHT)
def test_a_one_way_clutch_that_catches_holds_the_load(name: str) -> None:
    """Against the equations of sympy, with the clutches that really hold: 1 at the input, the ratio at the output."""
    network, applied = CAUGHT[name]
    state = solve_state(network, applied)
    assert state.holding == {"basic ratio": ("E2",), "double pinion": ("E3", "E2")}[name]
    load = load_state(network, state, Fraction(1))
    check_by_sympy(network, state, load)
    assert load.torques is not None
    assert set(load.torques.elements) == set(state.holding)
    assert {m: t for m, t in load.torques.external.items() if t} == {"in": 1, "out": -(state.ratio or 0)}
    assert power_flow(network, load).entering == 1


def test_what_really_holds_is_what_carries() -> None:
    """Low and high through one-way clutches, both listed: low is overrun, and high hands on all of it."""
    train = Network(
        "in",
        "out",
        pairs=(
            GearPair("1", "in", "w1", 20, 40, internal=True),
            GearPair("2", "in", "w2", 30, 30, internal=True),
        ),
        elements=(OneWayBetween("W1", "out", "w1", "+"), OneWayBetween("W2", "out", "w2", "+")),
    )
    for applied in (["W1", "W2"], ["W1"]):
        state = solve_state(train, applied)
        assert (state.holding, state.overrunning) == (("W2",), ("W1",))
        torques = load_state(train, state, Fraction(6)).torques
        assert torques is not None
        assert torques.elements == {"W2": -6}
        assert torques.external == {"in": 6, "out": -6}


def test_random_trains_with_one_way_clutches_agree_with_a_symbolic_solution() -> None:
    """By speeds alone, on drive and on coast; many with clutches that overrun, some with ones that catch."""
    overrun = caught = told = 0
    for _, network, applied in one_way_trains(17, 60, most_sets=3, most_pairs=2):
        state = solve_state(network, applied)
        check_by_sympy(network, state, load_state(network, state, Fraction(1)))
        overrun += bool(state.overrunning)
        caught += bool(state.catching)
        for torque in (1, -1):
            gear = load_gear(network, applied, input_torque=torque)
            if gear.load is not None:
                check_by_sympy(network, gear.state, gear.load, torque)
                told += 1
    assert overrun > 15
    assert caught > 1
    assert told > 80


def check_in_balance(network: Network, applied: Sequence[str]) -> None:
    """Every load of a train: by speeds alone, on drive and on coast, without losses and with them."""
    state = solve_state(network, applied)
    for losses in (None, MeshLosses("0.97")):
        loads = [] if state.ratio is None else [load_state(network, state, Fraction(1), losses=losses)]
        for torque in (1, -1):
            gear = load_gear(network, applied, input_torque=torque, losses=losses)
            assert (gear.load is None) == (gear.state.ratio is None)
            if gear.load is not None and gear.load.torques is not None:
                again = load_state(network, gear.state, Fraction(torque), losses=losses)
                assert again.torques is not None
                assert again.torques.external == gear.load.torques.external
                assert again.torques.elements == gear.load.torques.elements
                loads.append(gear.load)
        for load in loads:
            if load.torques is not None:
                powers = [load.speeds.get(name, 0) * each for name, each in load.torques.external.items()]
                assert sum(powers) == 0
                assert power_flow(network, load).entering == sum(power for power in powers if power > 0)


@settings(max_examples=100, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(trains())
def test_any_state_that_drives_has_a_load_in_balance(case: TrainInState) -> None:
    check_in_balance(case.network, case.applied)


def test_trains_with_one_way_clutches_have_loads_in_balance() -> None:
    for _, network, applied in one_way_trains(29, 100, most_sets=3, most_pairs=2):
        check_in_balance(network, applied)
