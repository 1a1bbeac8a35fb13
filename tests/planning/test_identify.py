"""Identify: a shuffled pile goes back up to true ambiguity; what is one too many or missing is named.

Where the expected values come from: the pile is made from the places, so the truth is known; true ambiguity by trying
every other sort with networkx's largest matching.
"""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput
from countershaft.planning.identify import Loose, Tolerances, identify
from countershaft.planning.places import Bolt, Place
from tests.strategies_fasteners import piles_of_places

ALLOWED = Tolerances()


def fits(loose: Loose, bolt: Bolt) -> bool:
    """Whether a measurement allows a sort, written out a second time."""
    marks = ((loose.hand, bolt.hand), (loose.head, bolt.head), (loose.strength, bolt.strength))
    if any(a is not None and b is not None and a != b for a, b in marks):
        return False
    if (
        loose.length is not None
        and bolt.length is not None
        and abs(loose.length - bolt.length) > ALLOWED.length
    ):
        return False
    if (
        loose.diameter is not None
        and not -ALLOWED.thinner <= loose.diameter - bolt.diameter <= ALLOWED.thicker
    ):
        return False
    return loose.pitch is None or abs(loose.pitch - bolt.pitch) <= ALLOWED.pitch


def most(pile: list[Loose], places: list[Place], forced: tuple[str, Bolt] | None = None) -> int:
    """How many bolts can be placed, one of them forced into a sort."""
    graph = nx.Graph()
    names = [("loose", one.id) for one in pile]
    graph.add_nodes_from(names)
    for loose in pile:
        for place in places:
            allowed = fits(loose, place.bolt) and (
                forced is None or loose.id != forced[0] or place.bolt == forced[1]
            )
            if allowed:
                graph.add_edge(("loose", loose.id), ("place", place.id))
    return len(nx.bipartite.maximum_matching(graph, top_nodes=names)) // 2


@st.composite
def shuffled(draw: st.DrawFn) -> tuple[list[Loose], list[Place], dict[str, Place]]:
    """Loose bolts measured with small errors and gaps, some lost, and the truth."""
    places = draw(piles_of_places(most=8, sorts=4))
    order = draw(st.permutations(places))
    kept = order[: draw(st.integers(1, len(order)))]
    pile, truth = [], {}
    for number, place in enumerate(kept):
        off = Fraction(draw(st.integers(-4, 4)), 10)
        bolt = place.bolt
        loose = Loose(
            f"x{number}",
            None if bolt.length is None else bolt.length + off,
            bolt.diameter - Fraction(draw(st.integers(0, 30)), 100),
            draw(st.sampled_from([None, bolt.pitch])),
            draw(st.sampled_from([None, bolt.hand])),
            draw(st.sampled_from([None, bolt.head])),
            draw(st.sampled_from([None, bolt.strength])),
        )
        pile.append(loose)
        truth[loose.id] = place
    return pile, places, truth


@given(shuffled())
def test_a_shuffled_pile_goes_back_up_to_true_ambiguity(
    made: tuple[list[Loose], list[Place], dict[str, Place]],
) -> None:
    pile, places, truth = made
    found = identify(pile, places)
    bolt_of = {place.id: place.bolt for place in places}
    assert found.too_many == (), "the truth places all of them"
    assert len({match.place for match in found.matches}) == len(pile), "no place twice"
    whole = most(pile, places)
    for match, loose in zip(found.matches, pile, strict=True):
        own, right = bolt_of[match.place], truth[loose.id].bolt
        others = {bolt_of[names[0]] for names in match.also}
        assert fits(loose, own)
        assert right == own or right in others, "the truth is never left out"
        possible = {
            bolt for bolt in bolt_of.values() if bolt != own and most(pile, places, (loose.id, bolt)) == whole
        }
        assert others == possible, "exactly what is truly possible is named"


@given(shuffled())
def test_what_is_missing_is_what_was_lost(made: tuple[list[Loose], list[Place], dict[str, Place]]) -> None:
    pile, places, _ = made
    found = identify(pile, places)
    filled = {match.place for match in found.matches}
    assert sorted(name for names in found.missing for name in names) == sorted(
        place.id for place in places if place.id not in filled
    )
    assert identify(pile, places, whole=False).missing == ()


def bolt(length: int, diameter: str = "6", **rest: object) -> Bolt:
    return replace(Bolt(Fraction(diameter), Fraction(1), Fraction(length)), **rest)


ROW = [Place("V1", "cover", bolt(30)), Place("V2", "cover", bolt(30)), Place("V3", "cover", bolt(45))]


def loose(name: str, length: str, **rest: object) -> Loose:
    return replace(Loose(name, Fraction(length), Fraction("5.9"), Fraction(1)), **rest)


def test_one_too_many() -> None:
    found = identify([loose("x", "30.1"), loose("y", "29.9"), loose("z", "30.3"), loose("w", "45")], ROW)
    assert [match.loose for match in found.matches] == ["x", "y", "w"]
    assert found.too_many == (
        ("z", "z is one too many: the places that take such a bolt (V1, V2) are all filled."),
    )
    assert found.missing == ()


def test_a_stranger() -> None:
    found = identify([loose("x", "38")], ROW)
    assert found.too_many[0][1] == "x fits no place; nearest is V3 (6 × 1, 45 mm), 7 mm longer."
    assert identify([loose("x", "30", diameter=Fraction("7.9"))], ROW).too_many[0][1] == (
        "x fits no place: no open place takes its thread."
    )


def test_what_measuring_cannot_settle_is_named() -> None:
    """Equal in every measure, but of another class: only the mark on the head tells."""
    places = [Place("A", "x", bolt(30, strength="8.8")), Place("B", "y", bolt(30, strength="10.9"))]
    found = identify([loose("x", "30"), loose("y", "30")], places)
    assert [match.also for match in found.matches] == [(("B",),), (("A",),)]
    assert found.words[0] == (
        "x goes to A, but the measurement fits B as well: look at length, head mark and coating again."
    )
    marked = identify([loose("x", "30", strength="10.9"), loose("y", "30")], places)
    assert [(match.place, match.ambiguous) for match in marked.matches] == [("B", False), ("A", False)]


def test_equal_bolts_are_no_ambiguity() -> None:
    found = identify([loose("x", "30")], ROW, whole=False)
    assert found.ambiguous == ()
    assert found.words == ("x goes to V1 or any of its equals (V2).",)


def test_missing_ones_are_counted_by_sort() -> None:
    found = identify([loose("x", "45")], ROW)
    assert found.missing == (("V1", "V2"),)
    assert found.words[-1] == "Missing: 2 × 6 × 1, 30 mm, for V1, V2."


def test_names_must_be_told_apart() -> None:
    with pytest.raises(BadInput, match="loose bolt x is named twice"):
        identify([loose("x", "30"), loose("x", "45")], ROW)
    with pytest.raises(BadInput, match="place V1 is named twice"):
        identify([], [ROW[0], ROW[0]])


def test_a_pile_of_a_hundred_and_twenty_is_put_to_its_places() -> None:
    chance = random.Random(4)
    places = [
        Place(f"p{n}", "x", bolt(chance.randint(12, 40), chance.choice(["6", "8"]))) for n in range(120)
    ]
    pile = [
        Loose(
            f"x{n}",
            (place.bolt.length or 0) + Fraction(chance.randint(-3, 3), 10),
            place.bolt.diameter - Fraction(1, 10),
        )
        for n, place in enumerate(chance.sample(places, 120))
    ]
    found = identify(pile, places)
    assert len(found.matches) == 120
    assert found.ambiguous == ()
