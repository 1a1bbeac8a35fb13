"""Equations of torque balance.  Expected values: torque proportions of plain sets, by hand."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from countershaft.mechanics.forces import Loading, equations, loss_ports
from countershaft.mechanics.gear_sets import CompoundPlanet, GearPair, Ravigneaux, SinglePinion, Wheel
from countershaft.mechanics.layout import Layout, Tie, merge
from countershaft.mechanics.losses import MeshLosses

SET = SinglePinion("P", "S", "C", "R", 30, 72)


def loading(
    layout: Layout,
    ties: Sequence[tuple[str, Tie]],
    loads: dict[int, Fraction],
    reacting: list[int],
    speeds: Sequence[int | None],
) -> Loading:
    label = merge(len(layout.members), [tie for _, tie in ties])
    return Loading(layout, label, ties, loads, reacting, speeds)


def plain(loads: dict[int, Fraction], reacting: list[int]) -> Loading:
    """Sun, carrier and ring, the ring braked, turning at 17 : 5 : 0."""
    layout = Layout.of(("S", "C", "R"), [SET], ())
    return loading(layout, [("B", (2, -1))], loads, reacting, (17, 5, 0, 0))


def test_forces_of_a_plain_set() -> None:
    """5 : 12 : −17, for an input torque of 1 in fifths."""
    found = equations(plain({0: Fraction(1)}, [1]))
    assert found.balanced
    forces = found.lossless()
    assert forces.ports == [[5, 12]]
    assert (forces.acting, forces.open, forces.shared) == ({0: 5, 1: -17}, (), 5)


def test_a_torque_in_fractions_stays_exact() -> None:
    forces = equations(plain({0: Fraction(7, 3)}, [1])).lossless()
    assert Fraction(forces.acting[1], forces.shared) == -Fraction(17, 5) * Fraction(7, 3)
    assert Fraction(forces.acting[0], forces.shared) == Fraction(7, 3)


def test_loads_that_nothing_holds_are_out_of_balance() -> None:
    """Sun and carrier loaded as −17 / 5 are in balance by themselves; any other pair of loads is not."""
    assert equations(plain({0: Fraction(1), 1: -Fraction(17, 5)}, [])).balanced
    assert not equations(plain({0: Fraction(1), 1: Fraction(-3)}, [])).balanced


def test_what_stiffness_shares_is_open() -> None:
    """Two pairs side by side with one ratio: no force of either follows, the output's torque does."""
    pairs = [GearPair("Z1", "a", "b", 20, 40), GearPair("Z2", "a", "b", 10, 20)]
    layout = Layout.of(("a", "b"), pairs, ())
    ports = loss_ports(layout, MeshLosses("0.98"))
    found = equations(loading(layout, [], {0: Fraction(1)}, [1], (2, -1, 0)), ports)
    assert found.lossless().ports == [[None, None], [None, None]]
    assert found.lossless().acting == {0: 1, 1: 2}
    assert [one.meshes[0].mesh.id for one in found.open_kinks] == ["Z1", "Z2"]


def test_only_what_rolls_against_its_carrier_loses() -> None:
    """A set that turns as one has no place that loses, nor has a planet with a single wheel, nor an efficiency of 1."""
    layout = Layout.of(("S", "C", "R"), [SET], ())
    ports = loss_ports(layout, MeshLosses("0.98"))
    locked = loading(layout, [("K", (0, 2))], {0: Fraction(1)}, [1], (1, 1, 1, 0))
    assert equations(locked, ports).kinks == []
    assert len(equations(plain({0: Fraction(1)}, [1]), ports).kinks) == 1
    assert equations(plain({0: Fraction(1)}, [1]), loss_ports(layout, MeshLosses(1))).kinks == []
    single = Layout.of(("S", "C", "p"), [CompoundPlanet("Q", "C", "p", (Wheel("S", 20, 20),))], ())
    turning = loading(single, [("B", (1, -1))], {}, [], (1, 0, -1, 0))
    assert equations(turning, loss_ports(single, MeshLosses("0.98"))).kinks == []


def test_a_place_without_load_is_left_aside() -> None:
    """A Ravigneaux set with its large sun idle: the mesh of that sun rolls and carries nothing."""
    part = Ravigneaux("V", "a", "b", "C", "R", 30, 36, 78)
    layout = Layout.of(("a", "b", "C", "R"), [part], ())
    # Carrier held, small sun at 78, large sun at −65, ring at 30.
    held = loading(layout, [("B", (2, -1))], {0: Fraction(1)}, [3], (78, -65, 0, 30, 0))
    found = equations(held, loss_ports(layout, MeshLosses("0.98")))
    members = [layout.spokes[kink.port.star].names[kink.port.port] for kink in found.kinks]
    assert members == ["a", "b", "R"]
    assert [members[place] for place in found.loaded_kinks()] == ["a", "R"]
