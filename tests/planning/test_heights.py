"""Which bolt stands in a hole.  Expected values: by hand; length = standing height + grip."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput, OutOfRange
from countershaft.planning.heights import RULER_MM, who_stands
from countershaft.planning.places import Bolt, Place

SHORT, LONG = (Bolt(Fraction(6), Fraction(1), Fraction(length)) for length in (45, 60))
A = Place("A", "body", SHORT, Fraction(33), Fraction(15), Fraction(9))
B = Place("B", "body", LONG, Fraction(48), Fraction(15), Fraction(9))
C = Place("C", "cover", LONG, Fraction(48), Fraction(15), Fraction(9))
ALL = (A, B, C)


def test_swapped_bolts_name_each_other() -> None:
    """60 in A stands 27 instead of 12 and would bottom at 15; 45 in B falls in, 48 is clamped."""
    high = who_stands(A, ALL, height=Fraction(27), also=["B"])
    assert (high.length, high.off, high.result) == (60, 15, "dangerous")
    assert high.belongs == (("B", "C"),)
    assert high.words == (
        "A holds a bolt of about 60 mm, 15 mm too long. It is probably that of B, which stands out too. "
        "If it stays in A: run in by hand, its head stays 12 mm off the part."
    )
    low = who_stands(B, ALL, height=Fraction(0), also=["A"])
    assert (low.length, low.at_most, low.result) == (48, True, "dangerous")
    assert "B holds a bolt of 48 mm at most, at least 12 mm too short. It is probably that of A" in low.words


def test_a_length_in_hand_needs_no_grip() -> None:
    """60 mm measured with a calliper, in a place whose grip nobody knows."""
    place = Place("D", "body", SHORT)
    assert who_stands(place, (*ALL, place), length=Fraction("59.8")).belongs == (("B", "C"),)
    assert who_stands(place, (*ALL, place), height=Fraction(27)).words == (
        "D: which bolt that is cannot be told, since the grip is not given."
    )


def test_its_own_length_is_right_within_a_ruler() -> None:
    """11.2 to 12.8 mm is 12 mm to a rule; one and a half is not."""
    assert who_stands(A, ALL, height=Fraction("11.2")).result == "right"
    assert who_stands(A, ALL, height=Fraction("13.5")).result != "right"


def test_a_foreign_bolt_is_called_so() -> None:
    """40 mm belongs nowhere: it would hold by 7 mm, 9 are needed."""
    found = who_stands(A, ALL, height=Fraction(7))
    assert found.belongs == () and found.result == "dangerous"
    assert "No other place of the unit takes such a bolt: it is a foreign one." in found.words
    assert "holds by 7 mm of thread, 9 mm are needed: strips" in found.words


def test_two_millimetres_that_hold_are_harmless() -> None:
    """47 in A reaches 14 of 15 mm: one pitch is left, so it holds and does not bottom."""
    assert who_stands(A, ALL, height=Fraction(14)).result == "harmless"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({}, "A: type either how high the head stands or how long the bolt is."),
        ({"height": Fraction(1), "length": Fraction(1)}, "type either"),
    ],
)
def test_one_figure_is_wanted(given: dict[str, Fraction], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        who_stands(A, ALL, **given)


def test_figures_make_sense() -> None:
    with pytest.raises(OutOfRange, match="a head stands 0 mm or more above the part, got -1 mm"):
        who_stands(A, ALL, height=Fraction(-1))
    with pytest.raises(OutOfRange, match="a bolt is longer than 0 mm, got 0 mm"):
        who_stands(A, ALL, length=Fraction(0))


@given(st.fractions(1, 100, max_denominator=20))
def test_any_height_gives_the_length_back(height: Fraction) -> None:
    """Length is height plus grip, and what stands within a ruler of its own height is never called dangerous."""
    found = who_stands(A, ALL, height=height)
    assert found.length == height + 33
    assert (found.result == "right") == (abs(height - 12) <= RULER_MM)
