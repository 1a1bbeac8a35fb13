"""Expected values: GS1 Sweden, "Så beräknas kontrollsiffran" (GTIN-13 7300011000017; read); ISBN 978-0-306-40615-7, the
example of the ISBN Users' Manual (from memory).

The shorter and longer numbers are the first one cut and filled up by hand, their digits worked out with the weights 3
and 1 from the right: 7300011 has 3·(1+0+0+7) + (1+0+3) = 28, so 2; 30001100001 has 3·(1+1+3) + 1 = 16, so 4; a leading
nought changes nothing.  The vehicle numbers are invented; that I, O and Q are in none: ISO 3779, from memory.
"""

from __future__ import annotations

import pytest

from countershaft.job.foreign_codes import article_digit, foreign


def test_the_check_digit_of_the_published_example() -> None:
    assert article_digit("730001100001") == "7"
    assert article_digit("978030640615") == "7"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("7300011000017", "a trade article number (EAN-13; its check digit is right)"),
        ("7300011000018", "13 digits as in EAN-13, but the check digit is wrong"),
        ("07300011000017", "a trade article number (GTIN-14; its check digit is right)"),
        ("73000112", "a trade article number (EAN-8; its check digit is right)"),
        ("73000113", "8 digits as in EAN-8, but the check digit is wrong"),
        ("300011000014", "a trade article number (UPC-A; its check digit is right)"),
        ("9780306406157", "the number of a book (ISBN; its check digit is right)"),
        ("4711", "a number of 4 digits"),
        ("7", "a number of 1 digit"),
        ("ZZ9ABC12X4Y567890", "17 characters, as long as a vehicle identification number (ISO 3779)"),
        ("ZZ9ABC12I4Y567890", "another text, 17 characters long: ZZ9ABC12I4Y567890"),
        ("https://example.org/p?q=1", "the web address of a page at example.org"),
        ("HTTP://EXAMPLE.ORG", "the web address of a page at example.org"),
        ("http://[::1", "the web address of a page at an unknown host"),
        ("http:///t/x", "the web address of a page at an unknown host"),
        ("WIFI:S:shop;T:WPA;P:x;;", "the key to a wireless network"),
        ("mailto:a@example.org", "an e-mail address"),
        ("tel:123", "a telephone number"),
        ("BEGIN:VCARD", "a visiting card"),
        ("geo:1,2", "a place on the map"),
        ("pan gasket", "another text, 10 characters long: pan gasket"),
    ],
)
def test_what_a_foreign_code_is(text: str, words: str) -> None:
    assert foreign(text) == words


def test_a_long_text_is_shown_by_its_beginning() -> None:
    assert foreign("x" * 4000) == f"another text, 4000 characters long: {'x' * 60}…"
