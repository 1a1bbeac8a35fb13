"""What a scanned text is when it is no tag of ours: said in words, so that nobody wonders whether the scanner works.

Trade article numbers: GS1 General Specifications, "Check digit calculations" (weights 3 and 1 from the right, to the
next ten).  The look of a vehicle identification number: ISO 3779 (17 characters, never I, O or Q), from memory.
"""

from __future__ import annotations

import re
from typing import Final
from urllib.parse import urlsplit

__all__ = ["article_digit", "foreign"]

#: Trade article numbers by how many digits they have.
_ARTICLE: Final = {8: "EAN-8", 12: "UPC-A", 13: "EAN-13", 14: "GTIN-14"}
_VIN: Final = re.compile(r"[A-HJ-NPR-Z0-9]{17}", re.IGNORECASE)
_ADDRESS: Final = re.compile(r"https?://", re.IGNORECASE)

#: What other codes begin with, in small letters.
_BEGINS: Final = (
    ("wifi:", "the key to a wireless network"),
    ("mailto:", "an e-mail address"),
    ("matmsg:", "an e-mail address"),
    ("tel:", "a telephone number"),
    ("smsto:", "a telephone number"),
    ("begin:vcard", "a visiting card"),
    ("mecard:", "a visiting card"),
    ("begin:vevent", "a date for a calendar"),
    ("geo:", "a place on the map"),
)
_SHOWN: Final = 60


def article_digit(digits: str) -> str:
    """The check digit of a trade article number, from all its other digits.

    Examples
    --------
    The worked example of GS1 Sweden, "Så beräknas kontrollsiffran":

    >>> article_digit("730001100001")
    '7'
    """
    total = sum(int(digit) * (1 if place % 2 else 3) for place, digit in enumerate(reversed(digits)))
    return str(-total % 10)


def foreign(text: str) -> str:
    """What a text is that is no tag: half a sentence that goes on from "This is "."""
    small = text.lower()
    begins = next((words for start, words in _BEGINS if small.startswith(start)), None)
    if begins is not None:
        return begins
    if _ADDRESS.match(text):
        return f"the web address of a page at {_host(text)}"
    if re.fullmatch(r"[0-9]+", text):
        return _digits(text)
    if _VIN.fullmatch(text):
        return "17 characters, as long as a vehicle identification number (ISO 3779)"
    shown = text if len(text) <= _SHOWN else f"{text[:_SHOWN]}…"
    return f"another text, {_many(len(text), 'character')} long: {shown}"


def _digits(text: str) -> str:
    name = _ARTICLE.get(len(text))
    if name is None:
        return f"a number of {_many(len(text), 'digit')}"
    if article_digit(text[:-1]) != text[-1]:
        return f"{len(text)} digits as in {name}, but the check digit is wrong"
    if name == "EAN-13" and text.startswith(("978", "979")):
        return "the number of a book (ISBN; its check digit is right)"
    return f"a trade article number ({name}; its check digit is right)"


def _host(text: str) -> str:
    try:
        return (urlsplit(text).hostname or "an unknown host")[:_SHOWN]
    except ValueError:
        return "an unknown host"


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
