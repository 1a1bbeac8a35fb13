"""Fasteners by size as a person says them at the bench: M8x25, M8x1.25x25, 1/4-20 x 1, or 7.9 x 25 as measured.

Of a metric thread the pitch may be left out; by the standard's own rule that is the coarse one.  A single figure
after the diameter is a pitch where it is at most the coarse one, else a length: M8x1 is a fine thread, M8x25 a bolt
25 mm long.  What is measured without a thread stays without one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.thread import Thread, parse_thread
from countershaft.model.fasteners import THREAD_PATTERN

__all__ = ["Size", "read_size"]

_HAND: Final = re.compile(r"[\s-]*\b(LH|left(?:[\s-]hand)?)$", re.IGNORECASE)
_TIMES: Final = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
_METRIC: Final = re.compile(r"^M\s*\d", re.IGNORECASE)
_UNIFIED: Final = re.compile(r"^(?:#|No\.?\s*)?[\d./ -]+-\s*\d+", re.IGNORECASE)
_LENGTH: Final = re.compile(r"^((?:\d+\s+)?\d+/\d+|\d+(?:\.\d+)?|\.\d+)\s*(mm|in|\"|”)?$", re.IGNORECASE)
_INCH: Final = Fraction(254, 10)
_LONGEST_MM: Final = 1000
_HOW: Final = "Type it as M8x25, as M8x1.25x25, as 1/4-20 x 1, or as measured: diameter x length, 7.9 x 25"


@dataclass(frozen=True, slots=True)
class Size:
    """What is known of a fastener: its thread, or only a diameter, and its length; None where it is not known."""

    thread: str | None
    hand: Literal["right", "left"]
    diameter_mm: Decimal | None
    length_mm: Decimal | None

    def __str__(self) -> str:
        named = self.thread or f"diameter {self.diameter_mm} mm"
        length = f", {self.length_mm} mm long" if self.length_mm is not None else ""
        return f"{named}{length}{', left-hand' if self.hand == 'left' else ''}"


@lru_cache(maxsize=1024)
def read_size(text: str) -> Size:
    """The size of a fastener; raises BadInput with the ways to write it."""
    clean = " ".join(text.replace(",", ".").split())
    left = _HAND.search(clean)
    hand: Literal["right", "left"] = "left" if left else "right"
    parts = _TIMES.split(clean[: left.start()] if left else clean)
    try:
        if _METRIC.match(parts[0]) and len(parts) <= 3:
            return _metric(parts, hand)
        if _UNIFIED.match(parts[0]) and len(parts) <= 2:
            length = _length(parts[1], inches=True) if len(parts) == 2 else None
            return Size(_unified(parts[0], hand), hand, None, length)
        if len(parts) <= 2:
            length = _length(parts[1]) if len(parts) == 2 else None
            return Size(None, hand, _length(parts[0]), length)
    except (BadInput, OutOfRange) as cause:
        raise BadInput(f"{text!r} is no size of a fastener: {str(cause).rstrip('.')}. {_HOW}.") from cause
    raise BadInput(f"{text!r} is no size of a fastener. {_HOW}.")


def _metric(parts: list[str], hand: Literal["right", "left"]) -> Size:
    name = parts[0].replace(" ", "")
    coarse = parse_thread(name, hand=hand) if len(parts) < 3 else None
    if coarse is not None and len(parts) == 2:
        figure = _length(parts[1])
        if Fraction(figure) <= coarse.pitch_mm:
            return Size(_named(parse_thread(f"{name}x{figure}", hand=hand)), hand, None, None)
        return Size(_named(coarse), hand, None, figure)
    if coarse is not None:
        return Size(_named(coarse), hand, None, None)
    fine = parse_thread(f"{name}x{_length(parts[1])}", hand=hand)
    return Size(_named(fine), hand, None, _length(parts[2]))


def _unified(text: str, hand: Literal["right", "left"]) -> str:
    """A Unified thread as a file writes it; raises BadInput where more than thread and series was typed."""
    named = parse_thread(text, hand=hand).designation
    if not re.fullmatch(THREAD_PATTERN, named):
        raise BadInput(f"write the thread without more than its series, not {named!r}")
    return named


def _named(thread: Thread) -> str:
    """A metric thread with its pitch."""
    return f"M{_decimal(thread.diameter_mm)}x{_decimal(thread.pitch_mm)}"


def _length(text: str, *, inches: bool = False) -> Decimal:
    """A length in millimetres; a bare figure is in millimetres, or in inches where that is meant."""
    found = _LENGTH.match(text.strip())
    if found is None:
        raise BadInput(f"{text.strip()!r} is no length")
    try:
        value = sum((Fraction(part) for part in found[1].split()), Fraction())
    except ZeroDivisionError as cause:
        raise BadInput(f"{text.strip()!r} divides by zero") from cause
    unit = (found[2] or ("in" if inches else "mm")).lower()
    value = value if unit == "mm" else value * _INCH
    if not 0 < value <= _LONGEST_MM:
        raise BadInput(f"{text.strip()!r} is no length between 0 and {_LONGEST_MM} mm")
    return _decimal(value)


def _decimal(value: Fraction) -> Decimal:
    """Four places are under a thousandth of what a ruler tells."""
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return Decimal(f"{exact.quantize(Decimal('0.0001')).normalize():f}")
