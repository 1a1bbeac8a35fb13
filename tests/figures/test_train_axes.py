"""Which member lies on which axis, and what is left out: expected from the networks, by hand."""

from __future__ import annotations

import pytest

from countershaft.figures.train_axes import Boxed, Plane, arrange, members_of, planets_of
from countershaft.mechanics.gear_sets import DoublePinion, GearPair, SinglePinion
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch

from .trains import DEMO_A, NETWORKS, demo


def test_what_a_clutch_or_a_sleeve_joins_lies_on_one_axis_and_gears_lead_to_the_next() -> None:
    axes = [set(axis) for axis in arrange(DEMO_A).axes]
    assert sorted(axes, key=sorted) == sorted(
        ({"IS", "g1", "g2"}, {"L1", "d4", "d5"}, {"L2", "d2", "d3", "dR"}, {"D"}, {"RI"}), key=sorted
    )


def test_axes_that_mesh_lie_beside_each_other_where_they_can() -> None:
    found = arrange(DEMO_A)
    meshes = [abs(found.axis_of[pair.a] - found.axis_of[pair.b]) for pair in DEMO_A.pairs]
    # Input, two layshafts, differential and idler close a ring, and the axes lie in a row: two meshes reach over.
    assert sum(distance > 1 for distance in meshes) == 2


def test_a_planetary_train_has_one_axis() -> None:
    for name in ("GT-19", "GT-24", "GT-29", "demo B", "demo C"):
        assert len(arrange(NETWORKS[name]).axes) == 1, name


def test_an_idler_and_its_two_gears_share_a_plane() -> None:
    planes = [column for column in arrange(NETWORKS["GT-11"]).columns if isinstance(column, Plane)]
    assert [len(plane.pairs) for plane in planes if len(plane.pairs) > 1] == [2]
    assert {wheel.member for plane in planes for wheel in plane.wheels if len(plane.pairs) > 1} == {
        "lay",
        "idler",
        "wr",
    }


def test_a_pair_on_one_axis_is_a_box_with_its_ratio() -> None:
    network = Network("a", "b", pairs=(GearPair("Z", "a", "b", 20, 50),), elements=(Clutch("K", "a", "b"),))
    (box,) = arrange(network).columns
    assert isinstance(box, Boxed)
    assert box.lines == ("b/a = −20/50",)
    assert members_of(box) == ("a", "b")


def test_the_wheel_with_inner_teeth_is_the_larger_one() -> None:
    plane = Plane((GearPair("Z", "a", "b", 20, 50, internal=True),))
    assert plane.ring is not None
    assert plane.ring.member == "b"
    assert Plane((GearPair("Z", "a", "b", 20, 50),)).ring is None


@pytest.mark.parametrize(
    ("part", "names"),
    [
        (SinglePinion("P", "s", "c", "r", 20, 70), ()),
        (SinglePinion("P", "s", "c", "r", 20, 70, "p", 25), ("p",)),
        (DoublePinion("P", "s", "c", "r", 20, 70, "i", 12, "o", 12), ("i", "o")),
    ],
)
def test_planets_are_members_only_by_name(part: SinglePinion | DoublePinion, names: tuple[str, ...]) -> None:
    assert planets_of(part) == names


def test_what_sits_on_a_planet_or_touches_nothing_is_left_out_by_name() -> None:
    part = SinglePinion("P", "s", "c", "r", 20, 70, "p", 25)
    pair = GearPair("Z", "p", "x", 10, 20)
    network = Network("s", "c", sets=(part,), pairs=(pair,), elements=(Brake("B", "p"),), further=("u", "v"))
    assert arrange(network).left_out == (
        "B, on a planet",
        "pair Z, on a planet",
        "x, u, v: nothing here touches them",
    )


def test_the_demos_of_the_library_leave_nothing_out() -> None:
    for name in ("demo-b", "demo-c"):
        assert arrange(demo(name).network()).left_out == ()
