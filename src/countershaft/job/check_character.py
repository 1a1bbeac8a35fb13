"""The check character at the end of a tag's code: ISO/IEC 7064, system MOD 37-2.

The system weighs the characters of a text with the powers of two and makes the sum, check character and all, leave 1
when it is divided by 37.  37 is a prime, so one wrong character, and two neighbours that changed places, always show.

The standard gives each of 37 characters a value: 0 to 9, A to Z, and * for the check character alone.  Our dash has
the value of *, so that a dash that was typed in the wrong place shows as well; without a dash the result is the
standard's.
"""

from __future__ import annotations

from typing import Final

from countershaft.errors import OutOfRange

__all__ = ["ALPHABET", "check_character", "is_checked"]

#: The characters in the order of their values; the last one is only ever a check character.
ALPHABET: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
_MODULUS: Final = len(ALPHABET)


def check_character(text: str) -> str:
    """The character that makes a text a checked one; raises OutOfRange on a character that the system has no value for.

    Examples
    --------
    A donation number with its check character, as printed in the Guidelines for the Blood Transfusion Services in the
    UK, annex 2:

    >>> check_character("G123498654321")
    'H'
    """
    return ALPHABET[(1 - _weighed(text) * 2) % _MODULUS]


def is_checked(text: str) -> bool:
    """Whether a text ends in its own check character."""
    return len(text) > 1 and text[-1] in ALPHABET and check_character(text[:-1]) == text[-1]


def _weighed(text: str) -> int:
    """The sum of a text, its last character with weight 1."""
    total = 0
    for character in text:
        value = ALPHABET.find("*" if character == "-" else character)
        if value < 0 or character == "*":
            raise OutOfRange(
                f"{text!r}: {character!r} cannot stand in a checked text; expected 0 to 9, A to Z and dashes. "
                "Write the text without it."
            )
        total = (total * 2 + value) % _MODULUS
    return total
