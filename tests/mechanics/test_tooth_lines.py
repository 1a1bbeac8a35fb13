"""What repeats where teeth meet.

Expected values: teeth marked and turned one by one (a second route), and the sum of planets that pass a sensor
(a second route).  Published values stand in tests/published/test_noise.py.
"""

from __future__ import annotations

from cmath import exp, pi
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.gear_sets import (
    BasicRatio,
    CompoundPlanet,
    Differential,
    DoublePinion,
    GearPair,
    Ravigneaux,
    SinglePinion,
    Wheel,
)
from countershaft.mechanics.tooth_lines import planet_phasing, tooth_meshes, tooth_pair


@given(st.integers(1, 60), st.integers(1, 60))
def test_teeth_turned_one_by_one(first: int, second: int) -> None:
    """Tooth after tooth until the marked pair meets again; the partners of one tooth on the way are one phase."""
    meshes = next(count for count in range(1, first * second + 1) if count % first == 0 == count % second)
    partners = {count % second for count in range(0, meshes, first)}
    pair = tooth_pair(first, second)
    assert pair.meshes_to_repeat == meshes
    assert pair.phases == second // len(partners)


def test_rates_of_a_pair() -> None:
    """30 on 45: common factor 15, the same teeth after 90 meshes."""
    pair = tooth_pair(30, 45)
    assert (pair.phases, pair.meshes_to_repeat) == (15, 90)
    assert pair.assembly_phase(900) == 60
    assert pair.hunting_tooth(900) == 10


@pytest.mark.parametrize(("ring", "planets"), [(95, 3), (96, 3), (99, 4), (100, 4), (71, 5), (62, 4)])
def test_what_a_sensor_hears_of_the_planets(ring: int, planets: int) -> None:
    """Each planet rings at ring-teeth times the carrier, loud as it passes: the lines of all planets add up or cancel.

    A planet at the angle a of the carrier sounds exp(i·ring·a) times an envelope that repeats once a turn; planets
    stand 1/planets of a turn apart.  Order k of the carrier is the envelope's line k − ring times the sum over
    planets of exp(2·pi·i·place·k/planets), up to sign.
    """
    heard = {
        order
        for order in range(ring - planets, ring + planets + 1)
        if abs(sum(exp(2j * pi * place * order / planets) for place in range(planets))) > 1e-6
    }
    found = planet_phasing(ring, planets)
    assert set(found.orders) <= heard
    assert all(order not in heard for order in range(min(found.orders) + 1, max(found.orders)))
    assert found.mesh_heard == (ring in heard) == (ring % planets == 0) == found.in_phase


def test_phases_are_shares_of_a_tooth() -> None:
    assert planet_phasing(62, 4).phases == (0, Fraction(1, 2), 0, Fraction(1, 2))
    assert planet_phasing(96, 3).phases == (0, 0, 0)


def test_meshes_of_every_kind() -> None:
    double = DoublePinion("D", "S", "C", "R", 30, 78, "i", 18, "o", 20)
    assert [(mesh.first, mesh.first_teeth, mesh.second, mesh.second_teeth) for mesh in tooth_meshes(double)] == [
        ("S", 30, "i", 18), ("i", 18, "o", 20), ("o", 20, "R", 78),
    ]  # fmt: skip
    plain = DoublePinion("D", "S", "C", "R", 30, 78)
    assert tooth_meshes(plain)[1].first == "inner planet of D"
    ravigneaux = Ravigneaux(
        "V", "Ss", "Sl", "C", "R", 30, 42, 84, short_planet_teeth=20, long_planet_teeth=21
    )
    assert [(mesh.first, mesh.second, mesh.second_teeth) for mesh in tooth_meshes(ravigneaux)] == [
        ("Ss", "short planet of V", 20),
        ("short planet of V", "long planet of V", 21),
        ("Sl", "long planet of V", 21),
        ("long planet of V", "R", 84),
    ]
    stepped = CompoundPlanet("P", "arm", "p", (Wheel("C", 50, 20), Wheel("G", 105, 35, internal=True)))
    assert [(mesh.counted, mesh.second_teeth, mesh.carrier) for mesh in tooth_meshes(stepped)] == [
        ("C", 20, "arm"), ("G", 35, "arm"),
    ]  # fmt: skip
    assert tooth_meshes(GearPair("Z", "a", "b", 20, 40))[0].carrier is None


def test_where_no_teeth_are_known_nothing_is_made_up() -> None:
    unknown = [
        SinglePinion("P", "S", "C", "R", 1, Fraction(13, 5)),
        DoublePinion("P", "S", "C", "R", 1, Fraction(13, 5)),
        Ravigneaux("P", "Ss", "Sl", "C", "R", Fraction(2, 5), Fraction(1, 2), 1),
        CompoundPlanet("P", "arm", "p", (Wheel("C", Fraction(5, 2), 1),)),
        Differential("P", "C", "L", "R"),
        BasicRatio("P", "C", "b", (("o", Fraction(-1, 4)),)),
        GearPair("P", "a", "b", 1, Fraction(13, 5)),
        GearPair("P", "a", "b", 30, 30, chain=True),
    ]
    assert [tooth_meshes(part) for part in unknown] == [()] * len(unknown)
    assert tooth_meshes(SinglePinion("P", "S", "C", "R", 30, 72))[0].second_teeth is None


def test_what_has_no_teeth_or_planets_is_refused() -> None:
    with pytest.raises(OutOfRange, match="a wheel with 0 teeth"):
        tooth_pair(0, 30)
    with pytest.raises(OutOfRange, match="0 planets in a ring of 72 teeth"):
        planet_phasing(72, 0)
