"""The flow of power.

Expected values: worked by hand, beside each; rolling powers, clutch powers and the power that circulates in published
trains are judged in `tests/published/test_gear_trains.py`; on random trains the flow is held to its own balance.
"""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction

from countershaft.mechanics.gear_sets import CompoundPlanet, DoublePinion, Ravigneaux, SinglePinion, Wheel
from countershaft.mechanics.gears import load_gear
from countershaft.mechanics.network import Network
from countershaft.mechanics.powerflow import PowerFlow, power_flow
from countershaft.mechanics.shift_elements import Brake, Clutch
from tests.mechanics.random_trains import driving_trains


def flow_of(network: Network, *applied: str) -> PowerFlow:
    load = load_gear(network, applied).load
    assert load is not None
    return power_flow(network, load)


def test_a_plain_set() -> None:
    """Sun 30 drives, carrier drives out, ring 72 held: 12/17 of the power rolls through both meshes, the rest couples.

    The planet of 21 makes −30/21 of the sun's turns against the carrier: −(1 − 5/17) · 30/21 = −120/119.
    """
    part = SinglePinion("P", "S", "C", "R", 30, 72)
    flow = flow_of(Network("S", "C", sets=(part,), elements=(Brake("B", "R"),)), "B")
    (of_set,) = flow.sets
    assert of_set.into == {"S": 1, "C": -1, "R": 0}
    assert of_set.rolling == {"S": Fraction(12, 17), "R": -Fraction(12, 17)}
    assert of_set.meshes == {"P sun-planet": Fraction(12, 17), "P ring-planet": -Fraction(12, 17)}
    assert flow.elements == {"B": 0}
    assert flow.entering == 1
    assert flow.at_rest == ("R",)
    assert flow.idle == flow.floating == ()
    (planet,) = flow.planets
    assert (planet.name, planet.against_carrier, planet.assumed) == ("P.planet", -Fraction(120, 119), True)
    assert planet.speed == Fraction(5, 17) - Fraction(120, 119)


def test_planets_of_every_kind() -> None:
    """At standing carrier: pinions turn with their neighbours' teeth; those without tooth counts are left out."""
    double = DoublePinion("D", "a", "held", "b", 30, 72, "i", 20, "o", 22)
    suns = Ravigneaux("V", "a", "c", "held", "d", 30, 36, 78, long_planet="l", long_planet_teeth=21)
    stepped = CompoundPlanet("Q", "held", "q", (Wheel("a", 30, 15), Wheel("e", 20, 25)))
    flow = flow_of(Network("a", "b", sets=(double, suns, stepped), grounded=("held",)))
    assert {planet.name: planet.against_carrier for planet in flow.planets} == {
        "i": -Fraction(30, 20),
        "o": Fraction(30, 22),
        "l": Fraction(30, 21),
        "q": -2,
    }
    assert not any(planet.assumed for planet in flow.planets)
    assert set(flow.idle) == {"c", "d", "e"}


def test_on_coast_power_enters_at_the_output() -> None:
    part = SinglePinion("P", "S", "C", "R", 30, 72)
    train = Network("S", "C", sets=(part,), grounded=("R",))
    load = load_gear(train, [], input_torque=-2).load
    assert load is not None
    flow = power_flow(train, load)
    assert flow.entering == 2
    assert flow.sets[0].into == {"S": -2, "C": 2, "R": 0}


def test_a_locked_set_passes_all_without_rolling() -> None:
    part = SinglePinion("P", "S", "C", "R", 30, 72)
    flow = flow_of(Network("S", "C", sets=(part,), elements=(Clutch("K", "S", "R"),)), "K")
    assert flow.elements == {"K": Fraction(12, 17)}
    assert set(flow.sets[0].rolling.values()) == {0}
    assert flow.loops == ()
    assert flow.planets[0].against_carrier == 0


def test_power_that_goes_round_is_named_with_its_way() -> None:
    """Two sets side by side: sun and carrier driven and tied across, so that the ring's torque exceeds the input's.

    Sun 20 and ring 60 of P: R = (4·C − S) / 3.  Q turns its carrier by its sun, 20, with the ring 40 held: C' = S'/3.
    in = P's carrier, out = P's ring, P's sun = Q's carrier, Q's sun = out: out = 4/3 − out/9, so out = 6/5.
    """
    sets = (SinglePinion("P", "x", "in", "out", 20, 60), SinglePinion("Q", "out", "x", "g", 20, 40))
    train = Network("in", "out", sets=sets, grounded=("g",))
    flow = flow_of(train)
    assert load_gear(train, []).ratio == Fraction(5, 6)
    # P's ring carries 3/4 of its carrier's torque 1 at 6/5, its sun 1/4 at 2/5: 9/10 forward and 1/10 by way of Q.
    by_set = {each.origin: each.into for each in flow.sets}
    assert by_set["P"] == {"x": -Fraction(1, 10), "in": 1, "out": -Fraction(9, 10)}
    assert by_set["Q"] == {"out": -Fraction(1, 10), "x": Fraction(1, 10), "g": 0}
    assert flow.loops == ()
    # Turned round, Q feeds back: the same ties with P's sun driving Q's sun and the output on Q's carrier.
    sets = (SinglePinion("P", "x", "out", "in", 20, 60), SinglePinion("Q", "x", "out", "g", 20, 40))
    back = flow_of(Network("in", "out", sets=sets, grounded=("g",)))
    (loop,) = back.loops
    assert loop.power == back.circulating > 0
    assert set(loop.through) == {"P", "Q"}


def test_flow_balances_at_every_member() -> None:
    """Random trains: what sets and elements take and give adds up to what comes from outside."""
    circulating = 0
    for _, network, applied in driving_trains(5, 200, most_sets=4, most_pairs=3):
        load = load_gear(network, applied).load
        assert load is not None and load.torques is not None
        if load.torques.indeterminate:
            continue
        flow = power_flow(network, load)
        at: dict[str, Fraction] = defaultdict(Fraction)
        for of_set in flow.sets:
            carrier_free = sum(of_set.rolling.values())
            assert carrier_free == 0
            for member, power in of_set.into.items():
                at[member] += power
        for name, power in flow.elements.items():
            first, *second = network.held(name).members
            at[first] += power
            for member in second:
                at[member] -= power
        for member, torque in load.torques.external.items():
            at[member] -= torque * load.speeds[member]
        assert set(at.values()) <= {0}
        assert flow.entering == 1
        assert all(loop.power > 0 for loop in flow.loops)
        circulating += bool(flow.loops)
    assert circulating > 20
