"""Tooth meshes of sets and pairs, and their efficiencies.  Expected values: which wheels touch, by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from countershaft.mechanics.gear_sets import (
    BasicRatio,
    CompoundPlanet,
    Differential,
    DoublePinion,
    GearPair,
    GearSet,
    Ravigneaux,
    SinglePinion,
    Wheel,
)
from countershaft.mechanics.gears import load_gear
from countershaft.mechanics.losses import MeshLosses, SetLosses
from countershaft.mechanics.meshes import planets_of, stars_of
from countershaft.mechanics.network import Network

PARTS: list[tuple[GearSet | GearPair, list[tuple[str, str, str]]]] = [
    (
        SinglePinion("P", "S", "C", "R", 30, 72),
        [("S", "P.planet", "external"), ("R", "P.planet", "internal")],
    ),
    (
        DoublePinion("P", "S", "C", "R", 30, 72, "i", 20),
        [
            ("S", "i", "external"),
            ("i", "P.outer planet", "external"),
            ("R", "P.outer planet", "internal"),
        ],
    ),
    (
        Ravigneaux("P", "Ss", "Sl", "C", "R", 30, 36, 78),
        [
            ("Ss", "P.short planet", "external"),
            ("P.short planet", "P.long planet", "external"),
            ("Sl", "P.long planet", "external"),
            ("R", "P.long planet", "internal"),
        ],
    ),
    (
        CompoundPlanet("P", "arm", "p", (Wheel("A", 12, 30), Wheel("E", 72, 30, internal=True))),
        [("A", "p", "external"), ("E", "p", "internal")],
    ),
    (Differential("P", "c", "l", "r"), [("l", "P.pinion", "bevel"), ("r", "P.pinion", "bevel")]),
    (
        Differential("P", "c", "l", "r", spur=True),
        [
            ("l", "P.first pinion", "external"),
            ("P.first pinion", "P.second pinion", "external"),
            ("r", "P.second pinion", "external"),
        ],
    ),
    (BasicRatio("P", "c", "b", (("e", Fraction(-1, 4)),)), [("e", "b", "unknown")]),
    (GearPair("P", "a", "b", 20, 30), [("a", "b", "external")]),
    (GearPair("P", "a", "b", 20, 30, internal=True), [("a", "b", "internal")]),
    (GearPair("P", "a", "b", 20, 30, chain=True), [("a", "b", "chain")]),
]


@pytest.mark.parametrize(("part", "expected"), PARTS, ids=lambda value: type(value).__name__)
def test_every_mesh_of_a_set(part: GearSet | GearPair, expected: list[tuple[str, str, str]]) -> None:
    (star,) = stars_of(part)
    meshes = [mesh for port in star.ports for mesh in port.meshes]
    assert [(mesh.first, mesh.second, mesh.kind.value) for mesh in meshes] == expected
    assert len({mesh.id for mesh in meshes}) == len(meshes)


@pytest.mark.parametrize("part", [part for part, _ in PARTS], ids=lambda value: type(value).__name__)
def test_sizes_say_what_the_rows_say(part: GearSet | GearPair) -> None:
    """Equal size · (w − w_carrier) obeys every row that the set gives to the speeds; here 1, with the carrier at 7."""
    (star,) = stars_of(part)
    carrier = Fraction(0) if star.carrier is None else Fraction(7)
    speeds = {port.member: carrier + 1 / port.size for port in star.ports}
    speeds |= {planet.name: carrier + 1 / planet.size for planet in star.planets if planet.size}
    if star.carrier is not None:
        speeds[star.carrier] = carrier
    for row in part.rows():
        assert sum(value * speeds[member] for member, value in row.coefficients) == 0


def test_a_planet_gets_its_teeth_from_sun_and_ring_where_they_leave_room() -> None:
    """Ring = sun + 2 · planet; a ring with fewer teeth than the sun leaves none."""
    (planet,) = planets_of(SinglePinion("P", "S", "C", "R", 30, 73))
    assert planet.size == -Fraction(43, 2)
    assert planet.assumed
    (planet,) = planets_of(SinglePinion("P", "S", "C", "R", 73, 30))
    assert planet.size is None


def test_loaded_planets_part_a_set() -> None:
    """With the short planet loaded, small sun and short planet are one train, and the rest another."""
    part = Ravigneaux("P", "Ss", "Sl", "C", "R", 30, 36, 78, "s", 17, "l", 21)
    first, second = stars_of(part, ["s", "l"])
    assert [(port.member, port.size, len(port.meshes)) for port in first.ports] == [
        ("Ss", 30, 1),
        ("s", -17, 0),
    ]
    assert [(port.member, port.size, len(port.meshes)) for port in second.ports] == [
        ("s", -17, 1),
        ("Sl", -36, 1),
        ("R", 78, 1),
        ("l", 21, 0),
    ]


def test_each_kind_of_mesh_has_its_efficiency() -> None:
    losses = MeshLosses("0.98", internal="0.99", chain="0.97", bevel=0.96, special={"P sun-planet": 1})
    (star,) = stars_of(SinglePinion("P", "S", "C", "R", 30, 72))
    assert [charge[1] for charges in losses.charges(star) for charge in charges] == [1, Fraction(99, 100)]
    for part, expected in (
        (GearPair("Z", "a", "b", 20, 30), "0.98"),
        (GearPair("Z", "a", "b", 20, 30, chain=True), "0.97"),
        (BasicRatio("Z", "c", "b", (("e", Fraction(2)),)), "0.9702"),
    ):
        (star,) = stars_of(part)
        assert [charge[1] for charges in losses.charges(star) for charge in charges] == [Fraction(expected)]
    (star,) = stars_of(Differential("D", "c", "l", "r"))
    assert [[charge[1] for charge in charges] for charges in losses.charges(star)] == [[Fraction("0.96")]] * 2


def test_any_two_wheels_of_one_planet_shaft_have_the_efficiency_of_the_set() -> None:
    """Three wheels on one planet shaft, the arm held: whichever two are used, 0.9 comes through."""
    wheels = (Wheel("A", 20, 30), Wheel("B", 70, 20, internal=True), Wheel("D", 25, 25))
    part = CompoundPlanet("P", "arm", "p", wheels)
    for ends in (("A", "B"), ("B", "D"), ("D", "A")):
        train = Network(*ends, sets=(part,), grounded=("arm",))
        assert load_gear(train, [], losses=SetLosses("0.9")).efficiency == pytest.approx(0.9, abs=1e-6)
