"""Threads: reading designations, refusing what contradicts itself, and which way they turn.

Where the expected values come from: ISO 261 and ASME B1.1 (common knowledge of sizes), by hand where shown; dimensions
are judged in tests/published/test_fasteners.py.
"""

from __future__ import annotations

import math
from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput, CountershaftError, OutOfRange
from countershaft.mechanics.thread import parse_thread, turning
from countershaft.mechanics.thread_series import METRIC_COARSE, METRIC_FINE, UNIFIED_SERIES


@pytest.mark.parametrize(
    ("text", "diameter_mm", "pitch_mm", "series", "fit", "hand"),
    [
        ("M8x1.25", "8", "1.25", "coarse", None, "right"),
        ("M8", "8", "1.25", "coarse", None, "right"),
        ("m8 × 1", "8", "1", "fine", None, "right"),
        ("M10x1,25-6g", "10", "1.25", "fine", "6g", "right"),
        ("M16x1.5-6H/6g-LH", "16", "1.5", "fine", "6H/6g", "left"),
        ("M20x1.5 left-hand", "20", "1.5", "fine", None, "left"),
        ("M8x1.1", "8", "1.1", "unlisted", None, "right"),
        ("1/4-20 UNC", "6.35", "1.27", "UNC", None, "right"),
        ("1/4-28 UNF-2A", "6.35", Fraction("25.4") / 28, "UNF", "2A", "right"),
        (".250-20 UNC-2b", "6.35", "1.27", "UNC", "2B", "right"),
        ("5/16-18", Fraction("25.4") * 5 / 16, Fraction("25.4") / 18, "UNC", None, "right"),
        ("10-32 UNF", "4.826", "0.79375", "UNF", None, "right"),
        ("#10-24", "4.826", Fraction("25.4") / 24, "UNC", None, "right"),
        ("No. 12-28 UNF", "5.4864", Fraction("25.4") / 28, "UNF", None, "right"),
        ("1-8 UNC", "25.4", "3.175", "UNC", None, "right"),
        ("1 1/2-6 UNC-2B-LH", "38.1", Fraction("25.4") / 6, "UNC", "2B", "left"),
        ("1-1/2-6 UNRC", "38.1", Fraction("25.4") / 6, "UNC", None, "right"),
        ('3/8"-16', "9.525", "1.5875", "UNC", None, "right"),
        ("3/8-20 UN", "9.525", "1.27", "unlisted", None, "right"),
    ],
)
def test_designations(
    text: str, diameter_mm: str, pitch_mm: str, series: str, fit: str | None, hand: str
) -> None:
    thread = parse_thread(text)
    assert (thread.diameter_mm, thread.pitch_mm) == (Fraction(diameter_mm), Fraction(pitch_mm))
    assert (thread.series, thread.fit, thread.hand) == (series, fit, hand)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1/4-28 UNC", r"28 threads per inch is UNF, not UNC \(UNC of this size has 20\)"),
        ("1 1/8-12 UNC", r"12 threads per inch is UNF, not UNC"),
        ("3/8-20 UNF", r"is unlisted, not UNF \(UNF of this size has 24\)"),
        ("8-28", r"can be a number size or inches; write #8-28 or 8 in-28"),
        ("#14-20", "number sizes go from 0 to 12"),
        ("M9", "names no pitch, and no coarse pitch is listed for M9"),
        ("1/0-20", "divided by 0"),
        ("1/4-0", "threads per inch must be more than 0"),
        ("NPT 1/4", "is no thread that is known here"),
        ("M16xPh3P1.5", "Pipe, multi-start and UNJ threads are not covered"),
        ("3/8-24 UNJF", "is no thread that is known here"),
        ("", "is no thread that is known here"),
    ],
)
def test_what_cannot_be_read_is_said(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        parse_thread(text)


@pytest.mark.parametrize("text", ["M8x9", "M0x1", "M8x0"])
def test_a_thread_without_a_core_is_refused(text: str) -> None:
    with pytest.raises(OutOfRange, match="leaves no core"):
        parse_thread(text)


@given(st.text(alphabet="Mx0123456789.,/-# UNCFLHg×", max_size=14))
def test_no_text_brings_another_error(text: str) -> None:
    with suppress(CountershaftError):
        assert parse_thread(text).diameter > 0


def test_an_unlisted_pitch_is_named() -> None:
    assert parse_thread("M8x1.25").caution is None
    assert "M8x1.75 is not in ISO 261" in (parse_thread("M8x1.75").caution or "")
    assert "ASME B1.1" in (parse_thread("3/8-20 UN").caution or "")


@pytest.mark.parametrize("size", sorted(METRIC_COARSE))
def test_coarse_is_the_coarsest(size: Fraction) -> None:
    assert all(pitch < METRIC_COARSE[size] for pitch in METRIC_FINE.get(size, ()))


@pytest.mark.parametrize("name", ["UNC", "UNF"])
def test_finer_series_have_more_threads(name: str) -> None:
    finer = {"UNC": "UNF", "UNF": "UNEF"}[name]
    both = set(UNIFIED_SERIES[name]) & set(UNIFIED_SERIES[finer])
    assert len(both) > 8
    assert all(UNIFIED_SERIES[finer][size] > UNIFIED_SERIES[name][size] for size in both)


def test_the_unified_stress_diameter_is_the_printed_formula() -> None:
    """ASME B1.1 prints D − 0.9743/n."""
    thread = parse_thread("1/2-13 UNC")
    assert thread.stress_diameter / 25.4e-3 == pytest.approx(0.5 - 0.9743 / 13, abs=2e-6)
    assert thread.stress_area == pytest.approx(math.pi / 4 * thread.stress_diameter**2)


@pytest.mark.parametrize(
    ("hand", "doing", "word", "arrow"),
    [
        ("right", "tighten", "clockwise", "↻"),
        ("right", "loosen", "anticlockwise", "↺"),
        ("left", "tighten", "anticlockwise", "↺"),
        ("left", "loosen", "clockwise", "↻"),
    ],
)
def test_which_way_it_turns(hand: str, doing: str, word: str, arrow: str) -> None:
    """Common practice, no source."""
    found = turning(hand, doing)  # type: ignore[arg-type]  # the table is plain text
    assert (found.word, found.arrow) == (word, arrow)
    assert str(found).startswith("LEFT-HAND THREAD: ") == (hand == "left")
