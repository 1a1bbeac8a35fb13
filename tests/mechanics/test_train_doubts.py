"""What is doubted about a train.

Expected values: the concentric condition, ring = sun + 2 · planet, and the assembly condition, (sun + ring) / planets
whole, by hand; trains of handbooks that meet them (sun 20, planet 30, ring 80, GT-05 of `gear_trains.json`) and
published trains that are known to break them (GT-06, GT-22, GT-23, GT-29 there), none of which may be refused.
"""

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
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch, Sleeve
from countershaft.mechanics.states import StateKind, solve_state
from countershaft.mechanics.train_doubts import Doubt, DoubtKind, train_doubts
from tests.published.test_gear_trains import CASES, train_of


def alone(part: GearSet | GearPair, planets: int | None = None) -> list[Doubt]:
    """Doubts about one set or pair with all of its members in use."""
    first, second, *others = part.members
    holds = tuple(Brake(f"B{number}", member) for number, member in enumerate(others))
    sets, pairs = ((), (part,)) if isinstance(part, GearPair) else ((part,), ())
    train = Network(first, second, sets=sets, pairs=pairs, elements=holds)
    return list(train_doubts(train, planets=None if planets is None else {part.id: planets}))


def texts(part: GearSet | GearPair, planets: int | None = None) -> list[str]:
    return [doubt.text for doubt in alone(part, planets)]


@pytest.mark.parametrize(
    ("part", "planets"),
    [
        (SinglePinion("P", "S", "C", "R", 20, 80, "p", 30), 4),
        (SinglePinion("P", "S", "C", "R", 30, 72), 3),
        (SinglePinion("P", "S", "C", "R", 1, Fraction(13, 5)), 4),
        (DoublePinion("P", "S", "C", "R", 36, 84), 4),
        (DoublePinion("P", "S", "C", "R", 36, 84, "i", 19, "o", 17), 3),
        (Ravigneaux("P", "a", "b", "C", "R", 30, 36, 78), 3),
        (Ravigneaux("P", "a", "b", "C", "R", 30, 36, 78, "s", 17, "l", 21), 3),
        (CompoundPlanet("P", "C", "p", (Wheel("a", 50, 20), Wheel("b", 105, 35, internal=True))), 3),
        (Differential("P", "C", "l", "r"), 2),
        (BasicRatio("P", "C", "b", (("e", Fraction(-2)),)), 3),
        (GearPair("P", "a", "b", 20, 40, internal=True), None),
        (GearPair("P", "a", "b", 30, 30), None),
        (GearPair("P", "a", "b", 30, 30, chain=True), None),
    ],
    ids=lambda value: type(value).__name__,
)
def test_what_meshes_is_not_doubted(part: GearSet | GearPair, planets: int | None) -> None:
    assert texts(part, planets) == []


@pytest.mark.parametrize(
    ("part", "text"),
    [
        (
            SinglePinion("P", "S", "C", "R", 30, 73),
            "P: no planet fits between a sun of 30 and a ring of 73 teeth, since 73 − 30 is odd",
        ),
        (
            SinglePinion("P", "S", "C", "R", 20, 80, "p", 29),
            "P: sun 20, planet 29 and ring 80 do not stand on one centre: 20 + 2 · 29 = 78",
        ),
        (
            SinglePinion("P", "S", "C", "R", 72, 30),
            "P: a ring of 30 teeth does not fit round a sun of 72",
        ),
        (
            DoublePinion("P", "S", "C", "R", 72, 30),
            "P: a ring of 30 teeth does not fit round a sun of 72",
        ),
        # Half modules: the inner planet stands at 36 + 10, the outer at 84 − 12: 26 apart, and they reach 10 + 12.
        (
            DoublePinion("P", "S", "C", "R", 36, 84, "i", 10, "o", 12),
            (
                "P: sun 36, inner planet 10, outer planet 12 and ring 84 do not reach each other, "
                "wherever the planets stand"
            ),
        ),
        (
            Ravigneaux("P", "a", "b", "C", "R", 30, 35, 78),
            "P: no long planet fits between a large sun of 35 and a ring of 78 teeth, since 78 − 35 is odd",
        ),
        (
            Ravigneaux("P", "a", "b", "C", "R", 80, 36, 78),
            "P: a ring of 78 teeth does not fit round a small sun of 80",
        ),
        # Half modules: the short planet stands at 10 + 12, the long one at 78 − 21: 35 apart, and they reach 12 + 21.
        (
            Ravigneaux("P", "a", "b", "C", "R", 10, 36, 78, "s", 12),
            (
                "P: small sun 10, short planet 12, long planet 21 and ring 78 do not reach each other, "
                "wherever the planets stand"
            ),
        ),
        (
            CompoundPlanet("P", "C", "p", (Wheel("a", 100, 20), Wheel("b", 101, 20))),
            "P: a 100, b 101 mesh with one planet of 20 and do not stand on one centre",
        ),
        (
            CompoundPlanet("P", "C", "p", (Wheel("a", 20, 20, internal=True), Wheel("b", 30, 22))),
            "P: a planet of 20 teeth does not fit into a, a ring of 20",
        ),
        (
            GearPair("P", "a", "b", 30, 30, internal=True),
            "P: a pinion of 30 teeth does not fit into a ring of 30",
        ),
    ],
    ids=lambda value: type(value).__name__,
)
def test_teeth_that_cannot_mesh_are_doubted_and_not_refused(part: GearSet | GearPair, text: str) -> None:
    (doubt,) = alone(part)
    assert doubt == Doubt(
        DoubtKind.TEETH,
        "P",
        text,
        "Count the teeth again; where they are so, the wheels run with profile shift.",
    )


@pytest.mark.parametrize(
    ("part", "planets", "words"),
    [
        (SinglePinion("P", "S", "C", "R", 30, 72), 4, "sun + ring = 102, which 4 does not divide"),
        (DoublePinion("P", "S", "C", "R", 36, 84), 5, "ring − sun = 48, which 5 does not divide"),
        (
            Ravigneaux("P", "a", "b", "C", "R", 30, 36, 78),
            4,
            "large sun + ring = 114, which 4 does not divide",
        ),
    ],
    ids=lambda value: type(value).__name__,
)
def test_planets_that_do_not_go_in_at_equal_angles(part: GearSet, planets: int, words: str) -> None:
    (doubt,) = alone(part, planets)
    assert doubt.kind is DoubtKind.ASSEMBLY
    assert doubt.text == f"P: {planets} planets do not go in at equal angles: {words}"


def test_published_trains_that_break_the_rules_are_solved_all_the_same() -> None:
    doubted = {
        case["id"]: doubt.text
        for case in CASES
        for state in case["inputs"]["states"]
        for doubt in train_doubts(train_of(case, state).network())
        if doubt.kind is DoubtKind.TEETH
    }
    assert doubted == {
        "GT-06": "P: A 100, C 101, D 99 mesh with one planet of 20 and do not stand on one centre",
        "GT-22": "P: no long planet fits between a large sun of 29 and a ring of 82 teeth, since 82 − 29 is odd",
        "GT-23": "rear: no long planet fits between a large sun of 38 and a ring of 85 teeth, since 85 − 38 is odd",
        "GT-29": "P4: no planet fits between a sun of 25 and a ring of 50 teeth, since 50 − 25 is odd",
        "GT-36": "P: no long planet fits between a large sun of 38 and a ring of 85 teeth, since 85 − 38 is odd",
    }


SET = SinglePinion("P", "S", "C", "R", 30, 72)


def test_a_member_that_nothing_ties_is_named() -> None:
    """Ring of the only set: neither held nor driven, so that the set carries nothing."""
    (doubt,) = train_doubts(Network("S", "C", sets=(SET,)))
    assert doubt == Doubt(
        DoubtKind.UNTIED,
        "R",
        "P: nothing holds, drives or takes 'R'; unless it is one more output, it carries nothing in any gear",
        "Give it the name of what it turns with, ground it, or tie it by a shift element.",
        ("P",),
    )
    assert solve_state(Network("S", "C", sets=(SET,)), []).kind is StateKind.NEUTRAL
    held = Network("S", "C", sets=(SET,), elements=(Brake("B", "R"),))
    assert train_doubts(held) == ()


def test_planets_and_road_wheels_need_no_tie() -> None:
    part = SinglePinion("P", "S", "C", "R", 30, 72, "p", 21)
    sets = (part, Differential("D", "C", "left", "right"))
    assert train_doubts(Network("S", "C", sets=sets, grounded=("R",))) == ()


def test_a_further_member_that_nobody_uses_is_named() -> None:
    train = Network("S", "C", sets=(SET,), grounded=("R",), further=("drum",))
    (doubt,) = train_doubts(train)
    assert (doubt.kind, doubt.about) == (DoubtKind.UNTIED, "drum")
    assert doubt.text == "no set, pair or shift element has the member 'drum'"
    assert doubt.cure == "Take it out, or name it where it belongs."


def test_parts_that_nothing_joins_are_named_once() -> None:
    """A set and a pair on their own: one doubt for both, and none for each of their members."""
    train = Network(
        "S",
        "C",
        sets=(SET, SinglePinion("Q", "a", "b", "c", 30, 72)),
        pairs=(GearPair("Z", "a", "d", 20, 30),),
        grounded=("R",),
    )
    (doubt,) = train_doubts(train)
    assert doubt.kind is DoubtKind.APART
    assert doubt.text == "Q, Z: nothing ties a, b, c, d to the rest of the train"
    assert (doubt.about, doubt.along) == ("Q", ("Z",))


def test_an_output_that_nothing_leads_to_is_named() -> None:
    """The output shaft goes by another name at the pair; with a sleeve between the two it is reached."""
    pair = GearPair("Z", "in", "wheel", 20, 40)
    apart = Network("in", "out", pairs=(pair,), elements=(Brake("B", "out"), Brake("B2", "wheel")))
    (doubt,) = train_doubts(apart)
    assert doubt.text == "no set, pair or shift element leads from the input 'in' to the output 'out'"
    assert doubt.cure == "Look for a shaft that goes by two names."
    sleeve = Sleeve("D", (("1", ("wheel", "out")),))
    assert train_doubts(Network("in", "out", pairs=(pair,), elements=(sleeve,))) == ()


def test_a_loop_that_locks_the_train_is_named_by_its_parts() -> None:
    """Three pairs round in a circle: 20/40 · 20/40 against 20/41; the set beside them is not blamed."""
    pairs = (
        GearPair("Z1", "in", "lay", 20, 40),
        GearPair("Z2", "lay", "out", 20, 40),
        GearPair("Z3", "in", "out", 20, 41, internal=True),
    )
    part = SinglePinion("P", "in", "C", "R", 30, 72)
    train = Network("in", "out", sets=(part,), pairs=pairs, elements=(Brake("B", "R"), Brake("D", "C")))
    (doubt,) = train_doubts(train)
    assert doubt.kind is DoubtKind.LOCKED
    assert doubt.text == "Z1, Z2 and Z3 hold the input 'in' still, whatever is applied"
    assert doubt.cure == "Take one of them out, or let a shift element tie what is now one member."
    assert (doubt.about, doubt.along) == ("Z1", ("Z2", "Z3"))
    tied = solve_state(train, [])
    assert tied.kind is StateKind.TIE_UP
    assert tied.fighting == ()


def test_a_loop_whose_ratios_agree_locks_nothing() -> None:
    pairs = (
        GearPair("Z1", "in", "lay", 20, 40),
        GearPair("Z2", "lay", "out", 20, 40),
        GearPair("Z3", "in", "out", 20, 80, internal=True),
    )
    assert train_doubts(Network("in", "out", pairs=pairs)) == ()


def test_an_end_that_is_grounded_is_named() -> None:
    grounded = Network("S", "C", sets=(SET,), grounded=("S", "R"))
    assert train_doubts(grounded)[0].text == "S holds the input 'S' still, whatever is applied"
    at_output = Network("S", "C", sets=(SET,), grounded=("C",), elements=(Clutch("K", "S", "R"),))
    assert [doubt.text for doubt in train_doubts(at_output)] == [
        "C holds the output 'C' still, whatever is applied"
    ]
