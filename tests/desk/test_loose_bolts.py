"""Loose bolts as they are typed.  Expected values: by hand on demo B; an inch is 25.4 mm, 20 to the inch 1.27 mm."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.loose_bolts import read_pile, sort_pile
from countershaft.errors import Unknown
from countershaft.model.bolting import holes

DEMO_B = read_transmission(library_text("demo-b"), "demo-b.yaml")
PLACES = holes(DEMO_B.fasteners)


@pytest.mark.parametrize(
    ("line", "count", "length", "diameter", "pitch"),
    [
        ("25 6 1.0", 1, "25", "6", "1"),
        ("24,9 5,9", 1, "24.9", "5.9", None),
        ("M6 25", 1, "25", "6", None),
        ("M6x1.0 25", 1, "25", "6", "1"),
        ("M6 25 1.0", 1, "25", "6", "1"),
        ("4x M6 25", 4, "25", "6", None),
        ("M6 25 x4", 4, "25", "6", None),
        ("4× M6 25", 4, "25", "6", None),
        ("- 8", 1, None, "8", None),
        ("1.5in 0.25in 20tpi", 1, "38.1", "6.35", "1.27"),
        ("1-1/2in 1/4in", 1, "38.1", "6.35", None),
        ("1.5 0.25 in", 1, "38.1", "6.35", None),
        ("1/4-20 1.5in", 1, "38.1", "6.35", "1.27"),
    ],
)
def test_lines_are_read(
    line: str, count: int, length: str | None, diameter: str | None, pitch: str | None
) -> None:
    (one,), faults = read_pile(line)
    assert not faults
    wanted = tuple(None if text is None else Fraction(text) for text in (length, diameter, pitch))
    assert (one.count, one.bolt.length, one.bolt.diameter, one.bolt.pitch) == (count, *wanted)


def test_words_of_a_line() -> None:
    (one,), _ = read_pile("M6 25 left class 8.8 hex flange", {"hex flange"})
    assert (one.bolt.hand, one.bolt.strength, one.bolt.head) == ("left", "8.8", "hex flange")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("M6 foo", "'foo' is no figure; type length, diameter and pitch in that order"),
        ("25 6 1 3", "4 figures, expected at most 3: length, diameter, pitch"),
        ("M6 25 1 3", "3 figures, expected at most 2: length, pitch"),
        ("0 6", "a length of 0 mm makes no sense"),
        ("left", "neither length, diameter nor pitch is typed"),
        ("0x M6 25", "0 of them? Type a count from 1 to 400."),
        ("1/0 6", "'1/0' is no number"),
        ("999x M6 25", "999 of them?"),
    ],
)
def test_a_line_that_cannot_be_read_is_named(line: str, words: str) -> None:
    pile = sort_pile(DEMO_B, f"25 6 1.0\n\n{line}\n")
    (fault,) = pile.faults
    assert (fault.line, fault.text) == (3, line) and words in fault.words
    assert not pile.lines


def test_an_empty_pile_is_asked_for() -> None:
    assert sort_pile(DEMO_B, " \n").faults[0].words.startswith("type at least one bolt")


def test_too_many_bolts() -> None:
    pile = sort_pile(DEMO_B, "300x M6 25\n300x M6 25")
    assert [(fault.line, fault.words) for fault in pile.faults] == [
        (2, "more than 400 bolts; sort them joint by joint.")
    ]


def test_a_pile_of_the_valve_body() -> None:
    """Six of 45 mm have six places; nine of 60 are five too many; M6 x 1 without a length may be anything."""
    pile = sort_pile(DEMO_B, "6x M6 45\n60.2 5.9 x9\nM6x1 -", joints=("V",), whole=True)
    six, nine, any_of = pile.lines
    assert (six.placed, six.equal, six.also, six.left) == (
        6,
        ("V03", "V04", "V07", "V08", "V16", "V17"),
        (),
        (),
    )
    assert (nine.placed, nine.equal) == (4, ("V06", "V09", "V12", "V13"))
    assert nine.left == (
        "5 are too many: the places that take such a bolt (V06, V09, V12, V13) are all filled.",
    )
    assert any_of.placed == 1 and any_of.also
    assert sum(int(words.split()[0]) for words in pile.missing) == 17 - 11


def test_what_fits_nowhere_is_told_the_nearest() -> None:
    (line,) = sort_pile(DEMO_B, "47 6", joints=("V",)).lines
    assert line.placed == 0
    assert line.left[0].startswith("fits no place; nearest is V03") and "2 mm shorter" in line.left[0]


def test_a_joint_that_is_not_there() -> None:
    with pytest.raises(Unknown):
        sort_pile(DEMO_B, "25 6", joints=("X",))


@settings(deadline=None, max_examples=15)
@given(st.integers(0, 10**6), st.integers(1, 40))
def test_any_shuffled_pile_is_put_back(seed: int, count: int) -> None:
    """Bolts of the unit, measured as they are and typed in any order: every one is placed, in a place like its own."""
    drawn = random.Random(seed).sample(PLACES, count)
    typed = []
    for place in drawn:
        bolt = place.bolt
        assert bolt.length is not None
        typed.append(
            f"{float(bolt.length):g} {float(bolt.diameter):g} {float(bolt.pitch):g} class {bolt.strength} {bolt.head}"
        )
    pile = sort_pile(DEMO_B, "\n".join(typed))
    assert [line.placed for line in pile.lines] == [1] * count
    for place, line in zip(drawn, pile.lines, strict=True):
        assert place.id in line.equal or any(place.id in names for names in line.also)
