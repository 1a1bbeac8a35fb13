"""Mix-ups: each class by a case, tags that rule out every danger, proven fewest, 120 places.

Where the expected values come from: length − grip and depth − reach by hand; what the eye sees is common practice, no
source; the fewest tags by trying all groupings of small sets.
"""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given

from countershaft.errors import BadInput, OutOfRange, Unknown
from countershaft.planning.mix_verdict import judge
from countershaft.planning.mixup import mix_ups
from countershaft.planning.places import Bolt, Place, describe, standing_heights
from tests.planning.test_tags import fewest
from tests.strategies_fasteners import piles_of_places

OWN = Bolt(Fraction(8), Fraction("1.25"), Fraction(40), strength="8.8", proof=Fraction(580), head="hex")
PLACE = Place("P1", "pump", OWN, grip=Fraction(22), depth=Fraction(22), needed=Fraction(12))


def mm(text: str) -> Fraction:
    return Fraction(text)


@pytest.mark.parametrize(
    ("bolt", "result", "by_mm", "how"),
    [
        (OWN, "right", None, "its own place"),
        (replace(OWN, diameter=mm("10")), "shows", "2", "does not enter: 2 mm too thick"),
        (replace(OWN, diameter=mm("7.9375"), pitch=Fraction("25.4") / 18), "shows", None, "jams when"),
        (replace(OWN, diameter=mm("8.2"), pitch=mm("1.5")), "shows", "0.2", "not run in by hand: 0.2 mm"),
        (replace(OWN, diameter=mm("6"), pitch=mm("1")), "shows", "2", "without touching the thread: 2 mm"),
        (replace(OWN, pitch=mm("1")), "shows", None, r"jams .* \(pitch 1 in a thread of 1.25\)"),
        (replace(OWN, hand="left"), "shows", None, "does not start: the thread is right-hand, the bolt left-hand"),
        (replace(OWN, diameter=mm("7")), "dangerous", None, "holds by 0.18 mm of each flank only: strips"),
        (replace(OWN, length=mm("45")), "shows", "5", "stands 5 mm higher than its neighbours"),
        (replace(OWN, length=mm("35")), "shows", "5", "stands 5 mm lower than its neighbours"),
        (replace(OWN, length=mm("41")), "harmless", None, "1 mm longer, and it holds and does not bottom"),
        (replace(OWN, head="socket"), "shows", None, "its head is socket, its neighbours' are hex"),
        (replace(OWN, strength="6.8", proof=mm("440")), "dangerous", None, "weaker: class 6.8 for 8.8"),
        (replace(OWN, strength="10.9", proof=mm("830")), "harmless", None, "class 10.9 for 8.8, not weaker"),
        (replace(OWN, strength="A2-70", proof=None), "unknown", None, "class A2-70 for 8.8 cannot be ranked"),
        (replace(OWN, special="hollow"), "dangerous", None, "hollow where a plain bolt belongs"),
        (replace(OWN, coating="patch"), "dangerous", None, "patch for no coating: another friction"),
        (replace(OWN, one_use=True), "dangerous", None, "a bolt that was stretched or locked once"),
        (replace(OWN, length=None), "unknown", None, "the length of the bolt is not given"),
    ],
)  # fmt: skip
def test_what_happens_beside_neighbours(bolt: Bolt, result: str, by_mm: str | None, how: str) -> None:
    found = judge(bolt, PLACE, [OWN, OWN])
    assert found[0] == result
    assert found[1] == (None if by_mm is None else Fraction(by_mm))
    with pytest.raises(AssertionError, match=how):
        raise AssertionError(found[2])


@pytest.mark.parametrize(
    ("length", "result", "by_mm", "how"),
    [
        ("45", "dangerous", None, "meets the bottom with its head 1 mm off the part: nothing is clamped"),
        ("44", "dangerous", None, "meets the bottom with its head just down: nothing is clamped"),
        ("43", "dangerous", None, "leaves 1 mm at the bottom, less than one pitch"),
        ("42", "harmless", None, "2 mm longer, and it holds and does not bottom"),
        ("46", "shows", "2", "run in by hand, its head stays 2 mm off the part"),
        ("34", "harmless", None, "6 mm shorter, and it holds and does not bottom"),
        ("33", "dangerous", None, "holds by 11 mm of thread, 12 mm are needed: strips"),
        ("22", "shows", "0", "does not reach the thread"),
    ],
)
def test_alone_nothing_shows_by_its_height(length: str, result: str, by_mm: str | None, how: str) -> None:
    """A place without neighbours: grip 22, thread 22 deep, 12 needed, its own bolt 40 long."""
    found = judge(replace(OWN, length=Fraction(length)), PLACE)
    assert found == (result, None if by_mm is None else Fraction(by_mm), how)


@pytest.mark.parametrize(
    ("change", "length", "how"),
    [
        ({"depth": None}, 41, "longer than the right one, and grip or thread depth is not given"),
        (
            {"grip": None},
            39,
            "shorter than the right one, and grip or the thread that is needed is not given",
        ),
        (
            {"needed": None},
            39,
            "shorter than the right one, and grip or the thread that is needed is not given",
        ),
    ],
)
def test_a_missing_figure_is_never_guessed(change: dict[str, None], length: int, how: str) -> None:
    found = judge(replace(OWN, length=Fraction(length)), replace(PLACE, **change))
    assert found == ("unknown", None, f"cannot be judged: {how}")


def test_a_plain_bolt_where_a_one_use_bolt_belongs() -> None:
    place = replace(PLACE, bolt=replace(OWN, one_use=True))
    assert judge(OWN, place, [OWN])[2] == "a plain bolt where one for one use belongs"


def test_neighbours_that_stand_uneven_show_nothing() -> None:
    """With no neighbour that stands level with the right bolt, a wrong height does not show."""
    other = replace(PLACE, id="P2", bolt=replace(OWN, length=Fraction(50)))
    wrong = replace(PLACE, id="P3", joint="cover", bolt=replace(OWN, length=Fraction(37)))
    alone = mix_ups([PLACE, other, wrong]).of("P3", "P1")
    level = mix_ups([PLACE, replace(PLACE, id="P2"), wrong]).of("P3", "P1")
    assert (alone.result, level.result, level.by_mm) == ("harmless", "shows", 3)


def same(name: str, joint: str, bolt: Bolt, **rest: Fraction) -> Place:
    figures = {"grip": Fraction(22), "depth": Fraction(22), "needed": Fraction(12), **rest}
    return Place(name, joint, bolt, **figures)


def test_the_advice_in_words() -> None:
    """Sixteen plain bolts, and four of one use that look the same."""
    places = [same(f"a{n}", "cover", OWN) for n in range(16)]
    places += [same(f"b{n}", "drum", replace(OWN, one_use=True)) for n in range(4)]
    found = mix_ups(places)
    assert found.proven
    assert found.words == (
        "Bag these 4 apart: b0, b1, b2, b3 (8 × 1.25, 40 mm, class 8.8, hex, one use). The other 16 may share one tray."
    )
    assert found.count("right") == 16 * 16 + 4 * 4
    assert found.count("dangerous") == 2 * 16 * 4
    assert found.of("b2", "a7").how == "a bolt that was stretched or locked once"


def test_nothing_to_keep_apart() -> None:
    assert mix_ups([same("a", "x", OWN), same("b", "x", OWN)]).words == (
        "All 2 may share one tray: no mix-up hides and is dangerous."
    )
    assert mix_ups([same("a", "x", OWN)]).words == "One bolt."
    assert mix_ups([]).words == "There is nothing to tag."


@given(piles_of_places())
def test_no_tray_holds_a_dangerous_pair_and_no_fewer_trays_would_do(places: list[Place]) -> None:
    found = mix_ups(places)
    tag_of = {name: number for number, tag in enumerate(found.tags) for name in tag}
    assert sorted(tag_of) == sorted(place.id for place in places)
    pairs = set()
    for one in places:
        for other in places:
            pairing = found.of(one.id, other.id)
            if one.bolt == other.bolt:
                assert pairing.result == "right"
            if pairing.result in ("dangerous", "unknown"):
                assert tag_of[one.id] != tag_of[other.id]
                pairs.add((one.bolt, other.bolt))
    bolts = list(dict.fromkeys(place.bolt for place in places))
    conflicts = [(bolts.index(a), bolts.index(b)) for a, b in pairs]
    assert found.proven
    assert len(found.tags) == fewest(len(bolts), conflicts)


@given(piles_of_places())
def test_every_pair_is_judged_once(places: list[Place]) -> None:
    found = mix_ups(places)
    total = sum(len(pairing.bolts) * len(pairing.holes) for pairing in found.pairings)
    assert total == len(places) ** 2


def test_a_hundred_and_twenty_places_are_proven() -> None:
    """Every place its own sort of bolt or hole, in twelve joints: the hardest that a unit asks."""
    chance = random.Random(3)
    places = []
    for number in range(120):
        diameter, pitch = chance.choice([(6, "1"), (8, "1.25"), (10, "1.25"), (11, "1.25")])
        bolt = Bolt(
            Fraction(diameter),
            Fraction(pitch),
            Fraction(chance.randint(12, 70)),
            strength=(strength := chance.choice(["8.8", "10.9"])),
            proof=Fraction(580 if strength == "8.8" else 830),
            one_use=chance.random() < 0.1,
        )
        grip = max(Fraction(1), (bolt.length or 0) - Fraction(chance.randint(8, 24)))
        places.append(Place(f"p{number}", f"j{number % 12}", bolt, grip, Fraction(24), Fraction(9)))
    assert len({place.bolt for place in places}) > 100
    found = mix_ups(places)
    assert found.proven
    assert len(found.tags) > 2


def test_bad_sets_are_refused() -> None:
    with pytest.raises(BadInput, match="place P1 is named twice"):
        mix_ups([PLACE, PLACE])
    with pytest.raises(OutOfRange, match="a glance sees more than 0 mm, got 0 mm"):
        mix_ups([PLACE], glance=Fraction(0))
    with pytest.raises(Unknown, match="no pairing of the bolt of P1 with the hole P9"):
        mix_ups([PLACE]).of("P1", "P9")


# --- the standing-height rule -------------------------------------------------------------------------------


def test_two_swapped_bolts_stand_out_before_torque() -> None:
    """Lengths 45 and 30 over grips 33 and 18: all stand 12 mm; swapped, one stands 27, the other −3."""
    long, short = (replace(OWN, length=Fraction(length)) for length in (45, 30))
    right = [same("V1", "V", long, grip=Fraction(33)), same("V2", "V", short, grip=Fraction(18))]
    right += [same(f"V{n}", "V", long, grip=Fraction(33)) for n in (3, 4, 5)]
    (level,) = standing_heights(right)
    assert level.words == "V: dropped in without turning, 5 stand 12 mm high."
    swapped = [replace(right[0], bolt=short), replace(right[1], bolt=long), *right[2:]]
    (found,) = standing_heights(swapped)
    assert found.odd == (("V1", -3), ("V2", 27))
    assert found.words == (
        "V: dropped in without turning, 3 stand 12 mm high. Not so: V1 stands -3 mm; V2 stands 27 mm."
    )


def test_special_and_unknown_bolts_are_named_apart() -> None:
    places = [
        same("a", "V", OWN),
        same("b", "V", replace(OWN, special="hollow")),
        replace(PLACE, id="c", joint="V", grip=None),
    ]
    (found,) = standing_heights(places)
    assert (found.level, found.special, found.unknown) == (("a",), ("b",), ("c",))
    assert found.words.endswith("Not so: b is special and stands apart; c is not known.")
    (none,) = standing_heights([replace(PLACE, grip=None)])
    assert none.words == "pump: no standing height is known; length or grip is missing."


def test_diameters_of_one_joint_are_looked_at_apart() -> None:
    thin = replace(OWN, diameter=Fraction(6), pitch=Fraction(1))
    assert [group.diameter for group in standing_heights([same("a", "V", OWN), same("b", "V", thin)])] == [
        8,
        6,
    ]


def test_a_bolt_in_words() -> None:
    assert describe(replace(OWN, hand="left", coating="patch", one_use=True)) == (
        "8 × 1.25 LEFT-HAND, 40 mm, class 8.8, hex, patch, one use"
    )
    assert describe(Bolt(Fraction(8), Fraction("25.4") / 18, None)) == "8 × 1.411, length not known"
