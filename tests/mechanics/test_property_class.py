"""Strength classes: what is read, and what is refused.

Where the expected values come from: ISO 898-1 and SAE J429 by name; figures are judged in
tests/published/test_fasteners.py.
"""

from __future__ import annotations

import pytest

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.property_class import proof_load, strength, tensile_load
from countershaft.mechanics.thread import parse_thread


@pytest.mark.parametrize(
    ("text", "thread", "name", "standard"),
    [
        ("8.8", "M8", "8.8", "ISO 898-1:2013"),
        ("8,8", "M8", "8.8", "ISO 898-1:2013"),
        (" class 10.9 ", "M8", "10.9", "ISO 898-1:2013"),
        ("grade 5", "3/8-16", "grade 5", "SAE J429"),
        ("SAE J429 grade 8", "3/8-16", "grade 8", "SAE J429"),
        ("8.2", "3/8-16", "grade 8.2", "SAE J429"),
    ],
)
def test_names(text: str, thread: str, name: str, standard: str) -> None:
    row = strength(text, parse_thread(thread))
    assert (row.name, row.standard) == (name, standard)


@pytest.mark.parametrize(
    ("text", "thread"),
    [
        ("A2-70", "M8"),
        ("8", "M8"),
        ("grade 8.8", "M8"),
        ("class 8.2", "3/8-16"),
        ("10.9", "3/8-16"),
        ("", "M8"),
    ],
)
def test_an_unknown_class_is_named_with_what_is_known(text: str, thread: str) -> None:
    with pytest.raises(
        BadInput, match=r"is not known for .*; known are .*neither proof load nor preload share"
    ):
        strength(text, parse_thread(thread))


@pytest.mark.parametrize(
    ("text", "thread", "said"),
    [
        ("9.8", "M20", r"9.8 of ISO 898-1:2013 is not defined for M20 \(up to 16 mm\)"),
        ("8.8", "M42x4.5", "not defined for M42x4.5"),
        ("grade 5.2", "1 1/4-7", "not defined for 1 1/4-7"),
        ("grade 5", "#10-24", "not defined for #10-24"),
    ],
)
def test_a_size_beyond_the_table_is_refused(text: str, thread: str, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        strength(text, parse_thread(thread))


def test_the_step_of_8_8_lies_above_16_mm() -> None:
    below, above = (strength("8.8", parse_thread(size)) for size in ("M16", "M18"))
    assert below.proof_stress < above.proof_stress
    assert proof_load("8.8", parse_thread("M16")) < tensile_load("8.8", parse_thread("M16"))
