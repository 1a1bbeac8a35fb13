"""Gears under torque.

Expected values: balances of torque and power, taken from the published figures of each answer alone, on 10 000 random
trains; a second route that writes every mesh out and tries every side of each (`balance_by_hand.py`); a symbolic
solution by sympy; and single trains worked by hand, beside each.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from random import Random
from typing import Any

import pytest

from countershaft.errors import OutOfRange, TrainError
from countershaft.mechanics import rolling
from countershaft.mechanics.gear_sets import (
    BasicRatio,
    CompoundPlanet,
    DoublePinion,
    GearPair,
    SinglePinion,
    Wheel,
)
from countershaft.mechanics.gears import GearLoad, load_gear, solve_gears
from countershaft.mechanics.load import Load
from countershaft.mechanics.losses import MeshLosses, SetLosses
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch
from countershaft.mechanics.states import StateKind
from tests.mechanics.balance_by_hand import all_balances
from tests.mechanics.random_trains import driving_trains
from tests.mechanics.statics_by_sympy import reactions
from tests.mechanics.test_states import renamed
from tests.mechanics.willis_by_sympy import speeds

RELATIVE = 1e-9


def at_members(network: Network, torques: Any) -> dict[str, Any]:
    """What sets ask for at each member, less what acts there from outside and what elements between two hand on."""
    left: dict[str, Any] = dict.fromkeys(network.members, 0)
    for at in torques.sets.values():
        for member, torque in at.items():
            left[member] = left.get(member, 0) + torque
    for member, torque in torques.external.items():
        left[member] -= torque
    for name, torque in torques.elements.items():
        members = network.held(name).members
        if len(members) > 1:
            left[members[0]] += torque
            left[members[1]] -= torque
    return left


def check_exact(network: Network, load: Load) -> None:
    torques = load.torques
    assert torques is not None
    if not torques.indeterminate:
        assert torques.bearings is not None
        assert sum(torques.external.values()) + torques.bearings == 0
        assert set(at_members(network, torques).values()) <= {0}
    assert torques.ground == -sum(torques.external[member] for member in (*load.given, *load.reacting))
    assert sum(torque * load.speeds.get(member, 0) for member, torque in torques.external.items()) == 0
    carriers = {part.id: part.carrier for part in network.sets}
    for origin, at in torques.sets.items():
        # Seen from its carrier a set is an ordinary train: what rolls in rolls out.
        if origin in carriers:
            assert sum(at.values()) == 0


def check_lossy(network: Network, load: Load) -> None:
    balance = load.with_losses
    assert balance is not None
    torques, turning = balance.torques, load.speeds
    largest = max(abs(torque) for torque in torques.external.values())
    powers = [torque * float(turning.get(member, 0)) for member, torque in torques.external.items()]
    if not torques.indeterminate:
        assert torques.bearings is not None
        total = sum(torques.external.values()) + torques.bearings
        assert abs(total) <= RELATIVE * max(largest, abs(torques.bearings))
        most = max([abs(torque) for at in torques.sets.values() for torque in at.values()], default=largest)
        assert max(abs(torque) for torque in at_members(network, torques).values()) <= RELATIVE * most
    most = max(abs(power) for power in powers)
    lost = sum(mesh.loss for mesh in balance.meshes)
    # The meshes roll with more power than passes the train where it goes round in circles.
    rolling = max([abs(mesh.power) for mesh in balance.meshes], default=most)
    assert abs(sum(powers) - balance.lost) <= RELATIVE * most
    assert abs(lost - balance.lost) <= RELATIVE * max(most, rolling)
    assert all(mesh.loss >= 0 for mesh in balance.meshes)
    assert balance.efficiency is not None and 0 < balance.efficiency <= 1
    assert balance.efficiency == pytest.approx(1 - balance.lost / max(powers), rel=RELATIVE)


def losses_of(random: Random, network: Network) -> MeshLosses | SetLosses:
    """Mesh by mesh, or, for one train in five of those where that says anything, set by set."""
    outer, inner = (Fraction(random.randint(900, 1000), 1000) for _ in range(2))
    if random.random() < 0.2 and all(spokes.star.whole for spokes in network.layout.spokes):
        return SetLosses(outer, pair=inner)
    return MeshLosses(outer, inner, bevel=inner)


@pytest.mark.parametrize("seed", range(8))
def test_torques_add_up_and_power_balances(seed: int) -> None:
    """1250 random trains for each of eight seeds, up to five sets and six pairs, each on drive and on coast.

    Without losses both sums are zero to the last digit; with losses to a part in a thousand million.
    """
    seen = dict.fromkeys(StateKind, 0)
    for random, network, applied in driving_trains(seed, 1250):
        losses = losses_of(random, network)
        torque = Fraction(random.randint(1, 400), random.randint(1, 9))
        for sense in (1, -1):
            gear = load_gear(network, applied, input_torque=sense * torque, losses=losses)
            seen[gear.kind] += 1
            assert gear.load is not None and gear.load.torques is not None
            check_exact(network, gear.load)
            if gear.kind is StateKind.DEFINITE and not gear.load.unsaid:
                check_lossy(network, gear.load)
    assert seen[StateKind.DEFINITE] + seen[StateKind.SELF_LOCKING] == 2500
    assert seen[StateKind.DEFINITE] > 2000
    assert seen[StateKind.SELF_LOCKING] > 10


def test_every_way_of_rolling_is_known() -> None:
    """Small trains with poor meshes: driving answers, self-locking and wedging are those of trying every side."""
    outcomes = dict.fromkeys((0, 1, 2), 0)
    for random, network, applied in driving_trains(77, 150, most_sets=2, most_pairs=1):
        outer, inner = Fraction(random.randint(50, 95), 100), Fraction(random.randint(60, 99), 100)
        torque = Fraction(random.choice((1, -1)))
        gear = load_gear(
            network,
            applied,
            input_torque=torque,
            losses=MeshLosses(outer, inner, bevel=outer, chain=outer),
        )
        assert gear.load is not None
        if gear.load.unsaid or gear.load.torques is None or gear.load.torques.indeterminate:
            continue
        every = all_balances(network, applied, gear.state.speeds, torque, (outer, inner))
        out = gear.state.speeds[network.output]
        driving = [each for each in every if each.output * out * torque < 0]
        assert (gear.kind is StateKind.SELF_LOCKING) == (not driving)
        outcomes[min(len(driving), 2)] += 1
        if driving:
            balance = gear.load.with_losses
            assert balance is not None and balance.ways == len(driving)
            best = min(driving, key=lambda each: each.lost)
            assert balance.torques.external[network.output] == pytest.approx(float(best.output), rel=1e-12)
            assert balance.lost == pytest.approx(float(best.lost), rel=1e-12, abs=1e-15)
            for name, held in best.elements.items():
                assert balance.torques.elements[name] == pytest.approx(float(held), rel=1e-12, abs=1e-15)
    assert outcomes[0] > 5
    assert outcomes[1] > 50


def test_speeds_and_torques_agree_with_a_symbolic_solution() -> None:
    """Sixty trains by sympy, up to five sets and six pairs, from equations and torque proportions written afresh."""
    told = 0
    for _, network, applied in driving_trains(11, 60):
        gear = load_gear(network, applied)
        assert gear.load is not None and gear.load.torques is not None
        turning = speeds(network, applied)
        assert turning is not None
        assert all(turning[member] == speed for member, speed in gear.state.speeds.items())
        if gear.load.torques.indeterminate:
            continue
        expected = reactions(network, applied)
        torques = gear.load.torques
        assert torques.external[network.output] == expected[network.output]
        assert dict(torques.elements) == {name: expected[name] for name in applied}
        told += 1
    assert told > 50


def test_names_and_order_change_nothing() -> None:
    """Members under other names, and sets, pairs and elements in another order, come to the same torques."""
    for random, network, applied in driving_trains(23, 150, most_sets=4, most_pairs=3):
        names = {member: f"x{member}" for member in network.members}
        moved: Network = renamed(network, names)
        other = replace(
            moved,
            sets=tuple(random.sample(moved.sets, len(moved.sets))),
            pairs=tuple(random.sample(moved.pairs, len(moved.pairs))),
            elements=tuple(random.sample(moved.elements, len(moved.elements))),
        )
        losses = MeshLosses("0.97", internal="0.985")
        one = load_gear(network, applied, losses=losses)
        two = load_gear(other, random.sample(applied, len(applied)), losses=losses)
        assert outcome(one, names) == outcome(two, {})


def outcome(gear: GearLoad, names: dict[str, str]) -> object:
    """What an answer says, under new names; its figures are exact until they are rounded, so they are the same."""
    assert gear.load is not None and gear.load.torques is not None
    exact, lossy = gear.load.torques, gear.load.with_losses

    def named(torques: Mapping[str, Any]) -> dict[str, Any]:
        return {names.get(name, name): torque for name, torque in torques.items()}

    return (
        gear.kind,
        gear.ratio,
        named(exact.external),
        dict(exact.elements),
        {origin: named(at) for origin, at in exact.sets.items()},
        set(exact.indeterminate),
        lossy and (named(lossy.torques.external), lossy.ways, lossy.efficiency),
        lossy
        and {
            (one.mesh.origin, names.get(one.mesh.first, one.mesh.first)): (one.torque, one.power, one.loss)
            for one in lossy.meshes
        },
    )


# A stepped planet between a held ring and a ring that turns: with k = (z_E / p_E) / (z_D / p_D) the ring D makes
# 1 − k turns per turn of the arm.
def wolfrom(held: int, turning: int = 100, *, driven: str) -> Network:
    wheels = (Wheel("E", held, 20, internal=True), Wheel("D", turning, 20, internal=True))
    ends = ("arm", "D") if driven == "D" else ("D", "arm")
    return Network(*ends, sets=(CompoundPlanet("P", "arm", "p", wheels),), grounded=("E",))


@pytest.mark.parametrize("held", [z for z in range(70, 131) if z != 100])
def test_a_train_locks_itself_near_reversal(held: int) -> None:
    """By hand, with e for both meshes: driven at D, the arm gets (1 − k / e) or (1 − k · e) of the torque at D.

    Below k = 1 the power rolls from E to D, above from D to E; the arm must give power, so the train locks itself for
    every k from e to 1 / e.  Driven at the arm it turns, however close k is to 1.
    """
    mesh = Fraction(95, 100)
    k, e = Fraction(held, 100), mesh**2
    back = load_gear(wolfrom(held, driven="arm"), [], losses=MeshLosses(mesh))
    assert (back.kind is StateKind.SELF_LOCKING) == (e <= k <= 1 / e)
    if back.kind is StateKind.DEFINITE:
        assert back.efficiency == pytest.approx(
            float((1 - k / e) / (1 - k) if k < 1 else (1 - k * e) / (1 - k))
        )
    forward = load_gear(wolfrom(held, driven="D"), [], losses=MeshLosses(mesh))
    assert forward.kind is StateKind.DEFINITE
    expected = (1 - k) / (1 - k * e) if k < 1 else (1 - k) / (1 - k / e)
    assert forward.efficiency == pytest.approx(float(expected))
    coast = load_gear(wolfrom(held, driven="D"), [], input_torque=-1, losses=MeshLosses(mesh))
    assert coast.kind is back.kind
    assert coast.efficiency == pytest.approx(back.efficiency) if coast.efficiency else back.efficiency is None


def test_the_limit_of_self_locking_is_met_exactly() -> None:
    """With every mesh at 9/10 and k = 81/100 nothing at all comes out; one part in a million more, and it turns."""
    at_limit, above = MeshLosses("0.9"), MeshLosses("0.9", special={"P E-planet": "0.900001"})
    train = wolfrom(81, driven="arm")
    locked = load_gear(train, [], losses=at_limit)
    assert locked.kind is StateKind.SELF_LOCKING
    assert locked.load is not None and locked.load.self_locking and locked.load.with_losses is None
    assert locked.load.torques is not None and locked.load.torques.external["arm"] == -Fraction(19, 100)
    turning = load_gear(train, [], losses=above)
    assert turning.kind is StateKind.DEFINITE
    assert turning.efficiency == pytest.approx((1 - 0.81 / (0.9 * 0.900001)) / 0.19, rel=1e-9)


def test_a_second_balance_with_a_load_that_helps_is_not_taken() -> None:
    """Driven at the arm with k above e two balances agree with their sides; in one the load would drive as well.

    k = 99/100 and e = 95/100 squared: the load takes 1 / (1 − k · e) times the torque, or helps with 1 / (k / e − 1).
    """
    found = load_gear(wolfrom(99, driven="D"), [], losses=MeshLosses("0.95"))
    assert found.load is not None and found.load.with_losses is not None
    assert found.load.with_losses.ways == 1
    assert found.load.with_losses.torque_ratio == pytest.approx(1 / (1 - 0.99 * 0.95**2))
    both = all_balances(
        wolfrom(99, driven="D"), [], found.state.speeds, Fraction(1), (Fraction(95, 100), Fraction(95, 100))
    )
    assert sorted(float(each.output) for each in both) == pytest.approx(
        [-1 / (1 - 0.99 * 0.95**2), 1 / (0.99 / 0.95**2 - 1)]
    )


def test_a_train_that_can_wedge_says_so() -> None:
    """A set and a pair side by side, all of it at 0.85: two balances drive, by the second route; the better counts."""
    part = BasicRatio("P", "out", "m", (("in", Fraction(53, 57)),))
    train = Network("in", "out", sets=(part,), pairs=(GearPair("Z", "in", "m", 30, 28, internal=True),))
    found = load_gear(train, [], losses=MeshLosses("0.85"))
    assert found.load is not None and found.load.with_losses is not None
    assert found.load.with_losses.ways == 2
    every = all_balances(train, [], found.state.speeds, Fraction(1), (Fraction(85, 100), Fraction(85, 100)))
    lost = sorted(float(each.lost) for each in every if each.output * found.state.speeds["out"] < 0)
    assert len(lost) == 2
    assert found.load.with_losses.lost == pytest.approx(lost[0])


SET = SinglePinion("P", "in", "out", "R", 30, 72)


def test_losses_by_hand() -> None:
    """Sun 30 drives, ring 72 is held, sun mesh 0.98, ring mesh 0.99.

    Against the carrier the sun brings 12/17 of the power to the planet; 0.98 · 0.99 of it arrives at the ring.
    """
    train = Network("in", "out", sets=(SET,), grounded=("R",))
    gear = load_gear(train, [], input_torque=100, losses=MeshLosses("0.98", internal="0.99"))
    assert gear.load is not None and gear.load.with_losses is not None
    balance = gear.load.with_losses
    sun, ring = balance.meshes
    assert [sun.mesh.id, ring.mesh.id] == ["P sun-planet", "P ring-planet"]
    rolling = 100 * 12 / 17
    assert (sun.torque, sun.power, sun.loss) == pytest.approx((100, rolling, rolling * 0.02))
    assert (ring.torque, ring.power, ring.loss) == pytest.approx(
        (240 * 0.98 * 0.99, -rolling * 0.98, rolling * 0.98 * 0.01)
    )
    assert balance.torques.external == pytest.approx(
        {"in": 100, "out": -100 - 240 * 0.98 * 0.99, "R": 240 * 0.98 * 0.99}
    )
    assert balance.efficiency == pytest.approx((1 + 2.4 * 0.98 * 0.99) / 3.4)
    assert balance.torque_ratio == pytest.approx(1 + 2.4 * 0.98 * 0.99)


def test_coast_loses_the_other_way_round() -> None:
    """The same set dragged along: the ring's mesh gives, so that the output needs more than the input gets."""
    train = Network("in", "out", sets=(SET,), grounded=("R",))
    gear = load_gear(train, [], input_torque=-100, losses=MeshLosses("0.98", internal="0.99"))
    assert gear.load is not None and gear.load.with_losses is not None
    assert gear.load.with_losses.torques.external["out"] == pytest.approx(100 + 240 / (0.98 * 0.99))
    assert gear.efficiency == pytest.approx(3.4 / (1 + 2.4 / (0.98 * 0.99)))


def test_sets_are_charged_as_wholes() -> None:
    train = Network("in", "out", sets=(SET,), pairs=(GearPair("Z", "a", "in", 20, 30),), grounded=("R",))
    train = replace(train, input="a")
    whole = load_gear(train, [], losses=SetLosses("0.97", pair="0.99"))
    assert whole.efficiency == pytest.approx(0.99 * (1 + 2.4 * 0.97) / 3.4)
    single = load_gear(train, [], losses=SetLosses("0.97", special={"Z": 1}))
    assert single.efficiency == pytest.approx((1 + 2.4 * 0.97) / 3.4)


def test_a_planet_with_one_wheel_only_turns_along() -> None:
    """A second planet that meshes with the sun alone carries nothing, and loses nothing of what others carry."""
    idle = CompoundPlanet("Q", "out", "q", (Wheel("in", 20, 20),))
    holds = (Brake("B", "R"),)
    plain, beside = (Network("in", "out", sets=sets, elements=holds) for sets in ((SET,), (idle, SET)))
    losses = MeshLosses("0.98", internal="0.99")
    one, two = (load_gear(train, ["B"], losses=losses) for train in (plain, beside))
    assert one.load is not None and two.load is not None
    assert one.load.with_losses is not None and two.load.with_losses is not None
    assert two.efficiency == one.efficiency == pytest.approx((1 + 2.4 * 0.98 * 0.99) / 3.4)
    assert two.load.with_losses.torques.external == one.load.with_losses.torques.external
    powers = {mesh.mesh.id: (mesh.power, mesh.loss) for mesh in two.load.with_losses.meshes}
    assert powers.pop("Q in-planet") == (0, 0)
    assert powers == {mesh.mesh.id: (mesh.power, mesh.loss) for mesh in one.load.with_losses.meshes}


def test_a_carrier_that_a_strained_set_leaves_alone_is_told() -> None:
    """Sun and ring of one size are clutched together: the set may carry anything, and its carrier feels none of it."""
    part = DoublePinion("D", "in", "c", "out", 40, 40)
    train = Network("in", "out", sets=(part,), grounded=("c",), elements=(Clutch("K", "in", "out"),))
    gear = load_gear(train, ["K"])
    assert gear.load is not None and gear.load.torques is not None
    assert gear.load.torques.indeterminate == ("K", "D")
    assert gear.load.torques.external == {"in": 1, "out": -1, "c": 0}


def test_a_loaded_planet_is_a_member() -> None:
    """A brake on the planet of a set whose ring drives: planet held still, the carrier turns by the ring's mesh alone.

    72 · (R − C) = 21 · (0 − C), so C makes 72 / 51 turns for one of the ring; the sun runs idle.
    """
    part = SinglePinion("P", "S", "C", "R", 30, 72, "p", 21)
    train = Network("R", "C", sets=(part,), elements=(Brake("B", "p"),))
    gear = load_gear(train, ["B"], losses=MeshLosses("0.98"))
    assert gear.ratio == Fraction(51, 72)
    assert gear.load is not None and gear.load.torques is not None
    assert gear.load.torques.elements["B"] == -Fraction(21, 72)
    assert gear.load.torques.sets["P"]["S"] == 0
    with pytest.raises(
        TrainError, match=r"P: a planet of this set is a member too, so no single efficiency says"
    ):
        load_gear(train, ["B"], losses=SetLosses("0.98"))


def test_a_planet_between_two_others_may_be_loaded_too() -> None:
    """The inner planet of a double-pinion set is braked: sun and carrier, ring and carrier are two plain trains.

    30 · (S − C) = −20 · (0 − C), so S = 1 gives C = 3/5; 72 · (R − C) = 30 · (S − C) gives R = 3/5 + 1/6.
    """
    part = DoublePinion("P", "S", "C", "R", 30, 72, "i", 20, "o", 22)
    train = Network("S", "C", sets=(part,), elements=(Brake("B", "i"),))
    gear = load_gear(train, ["B"], losses=MeshLosses("0.98"))
    assert gear.state.speeds["C"] == Fraction(3, 5)
    assert gear.state.speeds["R"] == Fraction(23, 30)
    assert gear.load is not None and gear.load.torques is not None
    assert gear.load.torques.external == {"S": 1, "C": -Fraction(5, 3), "i": Fraction(2, 3)}
    check_exact(train, gear.load)
    check_lossy(train, gear.load)


def test_what_statics_does_not_say_is_named() -> None:
    """Two layshafts carry one load; which takes how much depends on their stiffness alone."""
    pairs = tuple(
        GearPair(f"{shaft}{number}", *ends, *teeth)
        for shaft in "ab"
        for number, ends, teeth in ((1, ("in", shaft), (20, 40)), (2, (shaft, "out"), (25, 35)))
    )
    gear = load_gear(Network("in", "out", pairs=pairs), [], losses=MeshLosses("0.99"))
    assert gear.kind is StateKind.DEFINITE
    assert gear.load is not None and gear.load.torques is not None
    assert gear.load.torques.external == {"in": 1, "out": -Fraction(14, 5)}
    assert gear.load.torques.indeterminate == ("a1", "a2", "b1", "b2")
    assert gear.load.torques.bearings is None
    assert gear.load.torques.ground == Fraction(9, 5)
    assert gear.load.unsaid == ("a1", "a2", "b1", "b2")
    assert gear.load.with_losses is None
    assert not gear.load.self_locking


def test_elements_that_share_are_named_and_the_others_are_told() -> None:
    """Brake and band hold one ring: together they hold 2.4, and the carrier's torque is 3.4 as ever."""
    train = Network("in", "out", sets=(SET,), elements=(Brake("B", "R"), Brake("band", "R")))
    gear = load_gear(train, ["B", "band"], losses=MeshLosses("0.99"))
    assert gear.load is not None and gear.load.torques is not None
    assert gear.load.torques.indeterminate == ("B", "band")
    assert gear.load.torques.elements == {}
    assert gear.load.torques.external == {"in": 1, "out": -Fraction(17, 5), "R": Fraction(12, 5)}
    assert gear.efficiency == pytest.approx((1 + 2.4 * 0.99**2) / 3.4)


def test_a_set_locked_twice_may_be_strained() -> None:
    """Two clutches lock all of a set: it turns as one, and its teeth may carry anything or nothing."""
    holds = (Clutch("K1", "in", "out"), Clutch("K2", "out", "R"))
    gear = load_gear(
        Network("in", "out", sets=(SET,), elements=holds), ["K1", "K2"], losses=MeshLosses("0.99")
    )
    assert gear.ratio == 1
    assert gear.load is not None and gear.load.torques is not None
    assert gear.load.torques.indeterminate == ("K1", "K2", "P")
    assert gear.load.torques.external == {"in": 1, "out": -1}
    assert gear.efficiency == 1


def test_no_torque_passes_a_neutral_or_an_output_at_rest() -> None:
    train = Network("in", "out", sets=(SET,), elements=(Brake("B", "R"),))
    neutral = load_gear(train, [])
    assert neutral.kind is StateKind.NEUTRAL
    assert neutral.load is None
    # Sun at −1 and ring at 1/2 leave the carrier at rest: (30·(−1) + 60·1/2) / 90 = 0.
    still = Network(
        "in",
        "out",
        sets=(SinglePinion("P", "S", "out", "R", 30, 60),),
        pairs=(GearPair("s", "in", "S", 20, 20), GearPair("r", "in", "R", 20, 40, internal=True)),
    )
    gear = load_gear(still, [])
    assert gear.state.output_at_rest
    assert gear.load is None


def test_no_torque_gives_no_torque() -> None:
    train = Network("in", "out", sets=(SET,), grounded=("R",))
    gear = load_gear(train, [], input_torque=0, losses=MeshLosses("0.98"))
    assert gear.kind is StateKind.DEFINITE
    assert gear.load is not None and gear.load.torques is not None and gear.load.with_losses is not None
    assert set(gear.load.torques.external.values()) == {0}
    assert gear.load.with_losses.efficiency is None
    assert gear.load.with_losses.torque_ratio is None


def test_a_chart_is_solved_gear_by_gear() -> None:
    holds = (Brake("B", "R"), Clutch("K", "in", "R"))
    train = Network("in", "out", sets=(SET,), elements=holds)
    gears = solve_gears(
        train, {"1": ["B"], "2": ["K"], "N": []}, input_torque=150.5, losses=MeshLosses("0.99")
    )
    assert [(gear, found.kind.value, found.ratio) for gear, found in gears.items()] == [
        ("1", "definite", Fraction(17, 5)),
        ("2", "definite", 1),
        ("N", "neutral", None),
    ]
    assert gears["1"].input_torque == Fraction(301, 2)
    assert gears["2"].efficiency == 1
    assert gears["1"].load == load_gear(train, ["B"], input_torque=150.5, losses=MeshLosses("0.99")).load


def test_figures_that_make_no_sense_are_refused() -> None:
    train = Network("in", "out", sets=(SET,), grounded=("R",))
    with pytest.raises(OutOfRange, match="the input torque is nan; expected a figure, negative on coast"):
        load_gear(train, [], input_torque=float("nan"))
    with pytest.raises(OutOfRange, match="efficiency of external is 98; expected above 0 and at most 1"):
        MeshLosses(98)
    with pytest.raises(OutOfRange, match=r"efficiency of pair is 'good'; expected a number such as 0\.98"):
        SetLosses("0.98", pair="good")
    with pytest.raises(
        TrainError,
        match="there is no mesh or set 'P sun-planed' to lose power; did you mean 'P sun-planet'",
    ):
        load_gear(train, [], losses=MeshLosses("0.98", special={"P sun-planed": "0.9"}))


def test_losses_that_feed_back_without_end_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the search gives up before it finds a way that drives, it does not call the train self-locking."""
    train = wolfrom(99, driven="arm")
    monkeypatch.setattr(rolling, "_MOST_PARTS", 0)
    with pytest.raises(
        OutOfRange, match="the losses feed back so strongly that the ways of rolling cannot be"
    ):
        load_gear(train, [], losses=MeshLosses("0.5"))
