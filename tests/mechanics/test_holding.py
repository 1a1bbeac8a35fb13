"""Combinations of shift elements as bits.

Expected values: a six-speed whose speeds are worked by hand beside each (front set: K makes 2/3 of the input); and, on
random trains, torques of `countershaft.mechanics.gears` that must pair with speeds to no power (a second route of ours:
nothing of the one is used in the other).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings

from countershaft.errors import TrainError
from countershaft.mechanics.gear_sets import GearPair, SinglePinion
from countershaft.mechanics.gears import load_gear
from countershaft.mechanics.holding import HoldingTable
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch, OneWayBetween, OneWayToGround, Sleeve
from countershaft.mechanics.slip import slip_factors
from countershaft.mechanics.states import StateKind
from tests.mechanics.random_trains import driving_trains
from tests.mechanics.test_abilities import SIX_SPEED
from tests.strategies import TrainInState, trains

SLEEVES = Network(
    "in",
    "out",
    pairs=(
        GearPair("1", "in", "w1", 20, 40, internal=True),
        GearPair("2", "in", "w2", 30, 30, internal=True),
        GearPair("3", "in", "w3", 40, 20, internal=True),
    ),
    elements=(
        Sleeve("S", (("1", ("w1", "out")), ("2", ("w2", "out")))),
        Sleeve("T", (("3", ("w3", "out")),)),
        Brake("B", "out"),
    ),
)


def test_every_position_of_a_sleeve_is_a_hold() -> None:
    table = HoldingTable(SLEEVES)
    assert [hold.name for hold in table.holds] == ["S:1", "S:2", "T:3", "B"]
    assert [hold.element for hold in table.holds] == ["S", "S", "T", "B"]
    assert table.mask(["S:2", "B"]) == 0b1010
    assert table.mask(["T"]) == table.mask(["T:3"]) == 0b0100
    assert table.names(0b1010) == ("S:2", "B")


def test_positions_of_one_sleeve_give_way_to_each_other() -> None:
    """Three choices of S, two of T, two of B; never both positions of S."""
    table = HoldingTable(SLEEVES)
    masks = list(table.masks())
    assert len(masks) == len(set(masks)) == 12
    assert not any(mask & 0b11 == 0b11 for mask in masks)
    assert table.swapped(0b1001, 1) == 0b1010
    assert table.swapped(0b1001, 2) == 0b1101


def test_names_are_checked() -> None:
    table = HoldingTable(SLEEVES)
    with pytest.raises(TrainError, match=r"there is no shift element 'S:3'; did you mean 'S:1'\?"):
        table.mask(["S:3"])
    with pytest.raises(TrainError, match="S is applied twice in one state; name it once"):
        table.mask(["S:1", "S:2"])


def test_outcomes_by_hand() -> None:
    """First 40/20; first and second at once fight; a brake on the output alone is neutral, with a gear a tie-up."""
    table = HoldingTable(SLEEVES)
    first = table.outcome(table.mask(["S:1"]))
    assert (first.kind, first.speed, first.ratio) == (StateKind.DEFINITE, Fraction(1, 2), 2)
    assert table.outcome(table.mask(["S:1", "T"])).kind is StateKind.TIE_UP
    assert table.outcome(table.mask(["S:1", "B"])).kind is StateKind.TIE_UP
    neutral = table.outcome(table.mask(["B"]))
    assert (neutral.kind, neutral.speed, neutral.ratio) == (StateKind.NEUTRAL, None, None)
    assert table.form(table.mask(["S:1", "T"])) is None


def test_one_way_clutches_overrun_catch_seize_and_break() -> None:
    """Second overruns W, on a carrier that turns forward; first needs it.  A wheel driven backwards makes one catch."""
    table = HoldingTable(SIX_SPEED)
    second = table.outcome(table.mask(["A", "F", "W"]))
    assert second.kind is StateKind.DEFINITE
    assert table.names(second.overrunning) == ("W",)
    assert table.outcome(table.mask(["A", "W"])).ratio == Fraction(39, 10)
    assert table.outcome(table.mask(["A"])).kind is StateKind.NEUTRAL
    backwards = Network(
        "in", "w", pairs=(GearPair("Z", "in", "w", 20, 40),), elements=(OneWayToGround("W", "w", "+"),)
    )
    caught = HoldingTable(backwards).outcome(0)
    assert (caught.kind, caught.catching, caught.held) == (StateKind.TIE_UP, 1, 1)
    w, bits = table.mask(["W"]), table.mask(["A", "F"])
    assert table.outcome(bits, seized=w).kind is StateKind.TIE_UP
    broken = table.outcome(table.mask(["A", "W"]), broken=w)
    assert (broken.kind, broken.catching) == (StateKind.NEUTRAL, 0)


def test_speed_across_what_is_off() -> None:
    """Third turns all of the rear set at 2/3: every brake of it drags at 2/3, E at 1/3; in neutral nothing is known."""
    table = HoldingTable(SIX_SPEED)
    place = {hold.name: index for index, hold in enumerate(table.holds)}
    third = table.mask(["A", "B"])
    assert table.speed_across(third, place["F"]) == table.speed_across(third, place["D"]) == Fraction(2, 3)
    assert table.speed_across(third, place["E"]) == Fraction(1, 3)
    assert table.speed_across(third, place["A"]) == 0
    assert table.speed_across(0, place["F"]) is None
    assert table.speed_across(table.mask(["A", "B", "D"]), place["E"]) is None


def test_speed_across_from_two_speeds() -> None:
    """With A alone, small sun at K and both speeds given: carrier = (78·out − 30·K) / 48, so 78/48 out − 20/48 in."""
    table = HoldingTable(SIX_SPEED)
    place = {hold.name: index for index, hold in enumerate(table.holds)}
    assert table.across_per_speeds(table.mask(["A"]), place["D"]) == (-Fraction(20, 48), Fraction(78, 48))
    # With a gear engaged the two speeds hang together; with nothing engaged the carrier floats.
    assert table.across_per_speeds(table.mask(["A", "F"]), place["D"]) is None
    assert table.across_per_speeds(0, place["D"]) is None
    assert table.across_per_speeds(table.mask(["A", "B", "D"]), place["D"]) is None


def test_a_one_way_clutch_that_drive_makes_overrun() -> None:
    """In first drive pushes the carrier back, onto the clutch; in reverse forward, off it."""
    table = HoldingTable(SIX_SPEED)
    assert table.overrun_on_drive(table.mask(["A", "W"])) == 0
    assert table.names(table.overrun_on_drive(table.mask(["B", "W"]))) == ("W",)
    assert table.free_sense(table.mask(["W"]).bit_length() - 1) == 1
    assert table.free_sense(0) == 0
    turned = Network("a", "b", elements=(OneWayBetween("W", "a", "b", "-"),))
    assert HoldingTable(turned).free_sense(0) == -1


def test_slip_and_torque_of_an_element_make_the_power_of_the_excess() -> None:
    """Random trains: hold the output, let one element slip, and turn the input once; the power it takes is the input's.

    So the torque on a brake is −1 / slip and that of a clutch 1 / slip, for an input torque of 1.
    """
    judged = 0
    for _, network, applied in driving_trains(41, 350, most_sets=4, most_pairs=3):
        load = load_gear(network, applied).load
        assert load is not None and load.torques is not None
        if load.torques.indeterminate:
            continue
        factors = {one.element: one.factor for one in slip_factors(network, applied)}
        for name, torque in load.torques.elements.items():
            sign = -1 if isinstance(network.elements[applied.index(name)], Brake) else 1
            if torque:
                assert factors[name] * torque == sign
                judged += 1
            else:
                assert name not in factors
    assert judged > 100


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
@given(trains())
def test_outcomes_do_not_depend_on_the_order_of_asking(case: TrainInState) -> None:
    """A table that has answered everything else before gives the same answer as a new one."""
    used = HoldingTable(case.network)
    masks = list(used.masks())
    told = {mask: used.outcome(mask) for mask in reversed(masks)}
    assert all(HoldingTable(case.network).outcome(mask) == told[mask] for mask in masks[-8:])


def test_an_element_that_ties_nothing_new_is_held_all_the_same() -> None:
    """Two clutches side by side: both hold, the second says nothing more."""
    part = SinglePinion("P", "in", "out", "R", 30, 72)
    train = Network("in", "out", sets=(part,), elements=(Clutch("K1", "in", "R"), Clutch("K2", "R", "in")))
    table = HoldingTable(train)
    both = table.outcome(0b11)
    assert (both.kind, both.ratio, both.held) == (StateKind.DEFINITE, 1, 0b11)
