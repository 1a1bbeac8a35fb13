"""One-way clutches on drive and on coast.

Expected values: the Simpson train of `gear_trains.json` (GT-20) is judged there; here trains are worked by hand, and on
random trains every answer is held to what defines it: no clutch turns or pulls the wrong way, and none does both.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from countershaft.mechanics.gear_sets import GearPair
from countershaft.mechanics.gears import engine_braking, load_gear
from countershaft.mechanics.losses import MeshLosses
from countershaft.mechanics.network import Network
from countershaft.mechanics.oneways import OneWayDoes
from countershaft.mechanics.shift_elements import (
    OneWayBetween,
    OneWayToGround,
    Sense,
    Sleeve,
)
from countershaft.mechanics.states import StateKind
from tests.mechanics.six_speed import SIX_SPEED
from tests.strategies import TrainInState, trains

HOLDS, OVERRUNS, SLACK = OneWayDoes.HOLDS, OneWayDoes.OVERRUNS, OneWayDoes.SLACK


def test_a_one_way_clutch_holds_on_drive_and_lets_go_on_coast() -> None:
    """First: the front set makes 3/2, the rear 78/30; the carrier is held against 3/2 · 78/30 − 3/2 = 12/5."""
    drive = load_gear(SIX_SPEED, ["A", "W"], input_torque=100)
    action = drive.one_ways["W"]
    assert (action.does, action.torque, action.speed) == (HOLDS, 240, 0)
    assert drive.ratio == Fraction(39, 10)
    assert drive.state.overrunning == ()
    coast = load_gear(SIX_SPEED, ["A", "W"], input_torque=-100)
    assert coast.kind is StateKind.NEUTRAL
    assert coast.load is None
    assert (coast.one_ways["W"].does, coast.one_ways["W"].torque) == (SLACK, 0)
    assert coast.state.overrunning == ("W",)


def test_a_one_way_clutch_that_the_chart_leaves_out_holds_all_the_same() -> None:
    found = load_gear(SIX_SPEED, ["A"])
    assert found.kind is StateKind.DEFINITE
    assert found.state.catching == ("W",)
    assert found.state.applied == ("A",)


def test_it_overruns_in_a_higher_gear() -> None:
    found = load_gear(SIX_SPEED, ["A", "F", "W"], losses=MeshLosses("0.99"))
    action = found.one_ways["W"]
    assert action.does is OVERRUNS
    assert action.torque == 0
    assert action.speed == found.state.speeds["C"] > 0
    assert found.state.overrunning == ("W",)


def test_engine_braking_gear_by_gear() -> None:
    chart = {
        "1": ["A", "W"],
        "1 manual": ["A", "D", "W"],
        "2": ["A", "F"],
        "3": ["A", "B"],
        "6": ["E", "F"],
        "N": [],
    }
    assert {gear: engine_braking(SIX_SPEED, applied) for gear, applied in chart.items()} == {
        "1": False,
        "1 manual": True,
        "2": True,
        "3": True,
        "6": True,
        "N": False,
    }


def test_a_brake_beside_it_takes_all_on_coast() -> None:
    """On drive both can hold, and statics does not say who does; on coast only the brake can."""
    drive = load_gear(SIX_SPEED, ["A", "D", "W"])
    assert drive.load is not None and drive.load.torques is not None
    assert drive.one_ways["W"].does is HOLDS
    assert drive.one_ways["W"].torque is None
    assert drive.load.torques.indeterminate == ("D", "W")
    assert drive.load.torques.external["C"] == Fraction(12, 5)
    coast = load_gear(SIX_SPEED, ["A", "D", "W"], input_torque=-1)
    assert coast.load is not None and coast.load.torques is not None
    assert coast.one_ways["W"].does is SLACK
    assert coast.load.torques.elements["D"] == -Fraction(12, 5)
    assert coast.load.torques.indeterminate == ()


def test_reverse_pulls_a_one_way_clutch_the_wrong_way() -> None:
    """In reverse the carrier is pushed forward: the one-way clutch alone makes no reverse, the brake does."""
    assert load_gear(SIX_SPEED, ["B", "D"]).ratio == -Fraction(13, 4)
    assert load_gear(SIX_SPEED, ["B", "W"]).kind is StateKind.NEUTRAL


@pytest.mark.parametrize("sense", ["+", "-"])
def test_between_two_members_the_sense_counts(sense: Sense) -> None:
    """First through a one-way clutch from wheel to output, which may run ahead: it hands 2 on, and never takes."""
    pair = GearPair("1", "in", "w", 20, 40, internal=True)
    train = Network("in", "out", pairs=(pair,), elements=(OneWayBetween("W", "out", "w", sense),))
    drive, coast = (load_gear(train, [], input_torque=torque) for torque in (1, -1))
    held, free = (drive, coast) if sense == "+" else (coast, drive)
    assert held.kind is StateKind.DEFINITE
    assert held.one_ways["W"].does is HOLDS
    assert held.one_ways["W"].torque == (-2 if sense == "+" else 2)
    assert free.kind is StateKind.NEUTRAL


def test_two_one_way_clutches_share_the_work_between_gears() -> None:
    """Low and high both drive through one-way clutches: with high engaged, low is overrun by the output."""
    train = Network(
        "in",
        "out",
        pairs=(
            GearPair("1", "in", "w1", 20, 40, internal=True),
            GearPair("2", "in", "w2", 30, 30, internal=True),
        ),
        elements=(
            OneWayBetween("W1", "out", "w1", "+"),
            OneWayBetween("W2", "out", "r2", "+"),
            Sleeve("D", (("high", ("w2", "r2")),)),
        ),
        further=("r2",),
    )
    low, high = load_gear(train, []), load_gear(train, ["D:high"])
    assert (low.ratio, low.one_ways["W1"].does, low.one_ways["W2"].does) == (2, HOLDS, SLACK)
    assert (high.ratio, high.one_ways["W1"].does, high.one_ways["W2"].does) == (1, OVERRUNS, HOLDS)
    assert high.one_ways["W1"].speed == Fraction(1, 2)
    assert not engine_braking(train, ["D:high"])


def test_a_clutch_against_the_motion_ties_up() -> None:
    """In second the carrier turns forward; turned round, the clutch stops it, on drive and on coast."""
    turned = (*SIX_SPEED.elements[:-1], OneWayToGround("W", "C", "-"))
    for torque in (1, -1):
        found = load_gear(replace(SIX_SPEED, elements=turned), ["A", "F"], input_torque=torque)
        assert found.kind is StateKind.TIE_UP
        assert found.load is None
        assert found.state.fighting == (("A", "F", "W"),)


SLOW = settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


@SLOW
@given(trains(), st.sampled_from([1, -1]), st.booleans())
def test_speed_and_torque_are_never_both_there_nor_wrong(
    case: TrainInState, torque: int, lossy: bool
) -> None:
    """Each clutch of a state that carries torque obeys its definition, with losses or without."""
    losses = MeshLosses("0.97") if lossy else None
    found = load_gear(case.network, case.applied, input_torque=torque, losses=losses)
    if found.load is None or found.load.torques is None:
        return
    for clutch in case.network.one_ways:
        action = found.one_ways[clutch.id]
        speeds = found.state.speeds
        if all(member in speeds for member in clutch.members):
            slip = sum(speeds[member] * weight for member, weight in clutch.weights().items())
            assert slip >= 0
            assert (action.does is OVERRUNS) == (slip > 0)
        if action.does is HOLDS and action.torque is not None:
            torques = found.load.with_losses.torques if found.load.with_losses else found.load.torques
            pull = torques.elements[clutch.id] * (1 if clutch.free_direction == "+" else -1)
            assert pull * (1 if isinstance(clutch, OneWayToGround) else -1) >= 0
        elif action.does is not HOLDS:
            assert action.torque == 0
            assert clutch.id not in found.load.torques.elements


@SLOW
@given(trains(one_ways=False))
def test_without_one_way_clutches_coast_mirrors_drive(case: TrainInState) -> None:
    """Without losses all torques turn round."""
    drive, coast = (load_gear(case.network, case.applied, input_torque=torque) for torque in (1, -1))
    assert drive.kind is coast.kind
    if drive.load is not None and drive.load.torques is not None:
        assert coast.load is not None and coast.load.torques is not None
        assert {name: -torque for name, torque in coast.load.torques.external.items()} == dict(
            drive.load.torques.external
        )
