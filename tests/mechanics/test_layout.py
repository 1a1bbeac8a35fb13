"""A train made ready for solving.  Expected values: places, nodes and speeds by hand, beside each."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.mechanics.gear_sets import CompoundPlanet, DoublePinion, GearPair, SinglePinion, Wheel
from countershaft.mechanics.layout import CASE, Layout, merge

SET = SinglePinion("P", "S", "C", "R", 30, 72)


def test_places_and_whole_sizes() -> None:
    """72 and 30 share 6; a planet that only idles is no member."""
    layout = Layout.of(("S", "C", "R"), [SET], ())
    (spokes,) = layout.spokes
    assert layout.place == {"S": 0, "C": 1, "R": 2}
    assert (spokes.places, spokes.carrier, spokes.sizes, spokes.scale) == (
        (0, 2),
        1,
        (5, -12),
        Fraction(1, 6),
    )
    assert spokes.names == ("S", "R", "C")
    assert spokes.ends == (0, 2, 1)


def test_sizes_in_proportion_become_whole() -> None:
    layout = Layout.of(("S", "C", "R"), [SinglePinion("P", "S", "C", "R", 1, Fraction(13, 5))], ())
    assert layout.spokes[0].sizes == (5, -13)


def test_a_pair_rides_on_the_case() -> None:
    layout = Layout.of(("a", "b"), [GearPair("Z", "a", "b", 20, 40)], ())
    (spokes,) = layout.spokes
    assert (spokes.carrier, spokes.sizes, spokes.names) == (CASE, (1, -2), ("a", "b"))
    assert layout.tie(("a", "b")) == (0, 1)
    assert layout.tie(("b",)) == (1, CASE)


def test_a_planet_is_a_member_where_something_touches_it() -> None:
    part = SinglePinion("P", "S", "C", "R", 30, 72, "p", 21)
    members = ("S", "C", "R", "p")
    assert Layout.of(members, [part], ()).members == ("S", "C", "R")
    assert Layout.of(members, [part], {"p"}).members == members
    meshing = [part, GearPair("Z", "p", "w", 20, 30)]
    assert Layout.of((*members, "w"), meshing, ()).members == (*members, "w")


def test_unknown_forces_are_counted_by_ports() -> None:
    """Two ports share one force; three have one each and a balance; a planet with one wheel has none."""
    parts = [
        CompoundPlanet("A", "c", "p", (Wheel("a", 20, 30), Wheel("b", 25, 25), Wheel("d", 30, 20))),
        CompoundPlanet("B", "c", "q", (Wheel("a", 20, 30),)),
        DoublePinion("D", "a", "e", "f", 30, 72),
    ]
    assert Layout.of(("a", "b", "c", "d", "e", "f", "p", "q"), parts, ()).starts == ((0, 3, 3), 4)


def test_speeds_of_a_set_with_its_ring_held() -> None:
    """1 + 72 / 30 = 17 / 5; the planet of 21 makes −30 / 21 of the sun's turns against the carrier."""
    layout = Layout.of(("S", "C", "R"), [SET], ())
    speeds = layout.speeds([1, 2, 0, 0], 0)
    assert speeds is not None
    assert dict(speeds) == {"S": 1, "C": Fraction(5, 17), "R": 0}
    every = layout.with_idlers(speeds)
    assert every["P.planet"] == Fraction(5, 17) - Fraction(30, 21) * Fraction(12, 17)


@pytest.mark.parametrize(
    ("label", "why"),
    [
        ([0, 1, 2, 0], "the driver stands still"),
        ([1, 2, 3, 0], "a member floats"),
        ([1, 0, 0, 0], "the rest holds the driver"),
        ([1, 2, 1, 0], "nothing is left out: this one is settled"),
    ],
)
def test_speeds_are_told_only_where_every_row_counts_and_every_member_is_settled(
    label: list[int], why: str
) -> None:
    found = Layout.of(("S", "C", "R"), [SET], ()).speeds(label, 0)
    assert (found is not None) == ("settled" in why), why


def test_nodes_are_numbered_from_the_case() -> None:
    assert merge(3, []) == [1, 2, 3, 0]
    assert merge(3, [(0, 1), (1, 2)]) == [1, 1, 1, 0]
    assert merge(3, [(0, 1), (2, CASE), (1, 2)]) == [0, 0, 0, 0]


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(-1, 5)), max_size=8))
def test_what_is_tied_turns_as_one_and_nothing_else(ties: list[tuple[int, int]]) -> None:
    """Two places have one node exactly where a walk along ties leads from one to the other."""
    label = merge(6, ties)
    assert label[CASE] == 0
    assert sorted(set(label)) == list(range(max(label) + 1))
    for start in range(-1, 6):
        reached = {start}
        for _ in ties:
            reached |= {b for a, b in ties if a in reached} | {a for a, b in ties if b in reached}
        assert {place for place in range(-1, 6) if label[place] == label[start]} == reached
