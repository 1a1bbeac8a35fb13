"""Expected values: the worked example of the Guidelines for the Blood Transfusion Services in the UK, annex 2 (ISBT 128
donation numbers use ISO/IEC 7064 MOD 37-2): G123 498 654 321 has the sum 148354, checksum 17, check character H; read.

That no slip of one character and no swap of neighbours passes is the promise of the standard's system; it is tried
here on every place and every character, the dash included.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.job.check_character import ALPHABET, check_character, is_checked

SIGNS = ALPHABET.replace("*", "-")
TEXTS = st.text(SIGNS, min_size=1, max_size=40)
DONATION = "G123498654321"


def test_the_published_example() -> None:
    assert check_character(DONATION) == "H"
    assert is_checked(DONATION + "H")
    assert [last for last in ALPHABET if is_checked(DONATION + last)] == ["H"]


def test_the_table_of_values_is_the_published_one() -> None:
    assert (ALPHABET.index("0"), ALPHABET.index("9"), ALPHABET.index("A")) == (0, 9, 10)
    assert (ALPHABET.index("Z"), ALPHABET.index("*")) == (35, 36)


@given(TEXTS)
def test_a_text_with_its_check_character_is_checked_and_with_no_other(text: str) -> None:
    assert [last for last in ALPHABET if is_checked(text + last)] == [check_character(text)]


@given(TEXTS, st.data())
def test_one_wrong_character_always_shows(text: str, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(text) - 1))
    right = text + check_character(text)
    for sign in set(SIGNS) - {text[place]}:
        assert not is_checked(right[:place] + sign + right[place + 1 :])


@given(TEXTS)
def test_two_neighbours_that_changed_places_always_show(text: str) -> None:
    right = text + check_character(text)
    for place in range(len(text) - 1):
        if text[place] != text[place + 1]:
            swapped = right[:place] + right[place + 1] + right[place] + right[place + 2 :]
            assert not is_checked(swapped)


@pytest.mark.parametrize("text", ["a", "0412.7", "Ä", "12*3"])
def test_a_character_without_a_value_is_refused(text: str) -> None:
    with pytest.raises(OutOfRange, match="expected 0 to 9, A to Z and dashes"):
        check_character(text)


def test_nothing_and_a_check_character_alone_are_not_checked() -> None:
    assert not is_checked("")
    assert not is_checked("1")
