"""Screw threads: reading a designation, basic dimensions, stress area, and which way a thread turns.

ISO metric (ISO 68-1, ISO 724, ISO 898-1) and Unified (ASME B1.1) share one basic profile; only the root that the
stress area is built on differs.  Diameter and pitch are kept exact; everything else follows from them.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.thread_series import (
    METRIC_COARSE,
    NUMBER_SIZES,
    UNIFIED_SERIES,
    metric_series,
    number_size,
)

__all__ = ["Doing", "Hand", "Thread", "Turning", "parse_thread", "turning"]

Hand = Literal["right", "left"]
Doing = Literal["tighten", "loosen"]

INCH_MM: Final = Fraction(254, 10)

_LEFT = r"(?:[\s-]*(?P<left>LH|left(?:[\s-]hand)?))?"
_FIGURE = r"\d*[.,]?\d+"
_METRIC = re.compile(
    rf"^M\s*(?P<size>{_FIGURE})(?:\s*[x×*]\s*(?P<pitch>{_FIGURE}))?"
    rf"(?:\s*-?\s*(?P<fit>\d[A-Ha-h](?:\d[A-Ha-h])?(?:/\d[A-Ha-h](?:\d[A-Ha-h])?)?))?{_LEFT}$",
    re.IGNORECASE,
)
_UNIFIED = re.compile(
    r"^(?:(?P<number>(?:#|No\.?\s*)\d+)|(?P<inches>(?:\d+[\s-]+)?\d+/\d+|\d*\.\d+|\d+)\s*(?P<mark>in|\")?)"
    r"\s*-\s*(?P<count>\d+(?:\.\d+)?)(?:\s*-?\s*(?P<series>UNR?(?:C|F|EF|S)?))?"
    rf"(?:\s*-?\s*(?P<fit>[123][AB]))?{_LEFT}$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Thread:
    """A cylindrical 60° thread of one start.

    `series` is its place in the standard's list ("coarse", "fine", "UNC", "UNF", "UNEF" or "unlisted"); `fit` is the
    tolerance class where the designation gives one.  All diameters are basic, without tolerance.
    """

    designation: str
    system: Literal["metric", "unified"]
    diameter_mm: Fraction
    pitch_mm: Fraction
    hand: Hand
    series: str
    fit: str | None = None

    def __post_init__(self) -> None:
        """Refuse a thread that has no core."""
        if self.diameter_mm <= 0 or self.pitch_mm <= 0 or self.root_diameter <= 0:
            raise OutOfRange(
                f"thread {self.designation}: a pitch of {float(self.pitch_mm):g} mm leaves no core in a diameter of "
                f"{float(self.diameter_mm):g} mm. Correct one of the two."
            )

    @property
    def diameter(self) -> float:
        """Nominal (major) diameter d [m]."""
        return float(self.diameter_mm) * 1e-3

    @property
    def pitch(self) -> float:
        """Pitch P [m]."""
        return float(self.pitch_mm) * 1e-3

    @property
    def triangle_height(self) -> float:
        """Height H of the sharp triangle, √3/2 of the pitch [m]."""
        return math.sqrt(3) / 2 * self.pitch

    @property
    def pitch_diameter(self) -> float:
        """Pitch diameter d2 = d − 3/4 H [m]."""
        return self.diameter - 0.75 * self.triangle_height

    @property
    def minor_diameter(self) -> float:
        """Minor diameter of the hole D1 = d − 5/4 H [m]."""
        return self.diameter - 1.25 * self.triangle_height

    @property
    def root_diameter(self) -> float:
        """Root diameter of the bolt d3: d − 17/12 H (metric), d − 11/8 H (Unified, rounded root) [m]."""
        share = 17 / 12 if self.system == "metric" else 11 / 8
        return self.diameter - share * self.triangle_height

    @property
    def stress_diameter(self) -> float:
        """Diameter of the stress area: (d2 + d3)/2 (metric), D − 9/8 H = D − 0.9743 P (Unified) [m]."""
        if self.system == "metric":
            return (self.pitch_diameter + self.root_diameter) / 2
        return self.diameter - 9 / 8 * self.triangle_height

    @property
    def stress_area(self) -> float:
        """Nominal stress area [m²]."""
        return math.pi / 4 * self.stress_diameter**2

    @property
    def caution(self) -> str | None:
        """What is unusual about the thread; None where it is a listed one."""
        if self.series != "unlisted":
            return None
        table = "ISO 261" if self.system == "metric" else "the UNC, UNF and UNEF columns of ASME B1.1"
        return f"{self.designation} is not in {table}; read the pitch again with a gauge."


@dataclass(frozen=True, slots=True)
class Turning:
    """Which way a fastener turns, seen on its head: in word and arrow."""

    doing: Doing
    hand: Hand
    word: Literal["clockwise", "anticlockwise"]
    arrow: Literal["↻", "↺"]

    def __str__(self) -> str:
        hand = "LEFT-HAND THREAD: " if self.hand == "left" else ""
        return f"{hand}{self.doing} {self.word} {self.arrow}"


def turning(hand: Hand, doing: Doing) -> Turning:
    """Which way to turn, seen on the head.

    Parameters
    ----------
    hand : Hand
        Hand of the thread.
    doing : Doing
        "tighten" or "loosen".

    Returns
    -------
    Turning
        Word and arrow.

    References
    ----------
    Common practice, no source: a right-hand thread tightens clockwise.

    Examples
    --------
    >>> print(turning("left", "loosen"))
    LEFT-HAND THREAD: loosen clockwise ↻
    """
    if (hand == "right") == (doing == "tighten"):
        return Turning(doing, hand, "clockwise", "↻")
    return Turning(doing, hand, "anticlockwise", "↺")


def parse_thread(text: str, *, hand: Hand = "right") -> Thread:
    """Read the designation of a thread.

    "M8x1.25", "M8" (coarse pitch by the standard's own rule), "M10x1-6g LH", "1/4-20 UNC", "10-32 UNF-2A",
    "#8-32", "1 1/2-6 UNC-2B-LH".

    Parameters
    ----------
    text : str
        The designation.
    hand : Hand, optional
        Hand where the designation does not say "LH".

    Returns
    -------
    Thread
        The thread with its basic dimensions.

    Raises
    ------
    BadInput
        The designation cannot be read, or series and threads per inch contradict each other.
    OutOfRange
        The pitch leaves no core in the diameter.

    References
    ----------
    ISO 965-1 and ASME B1.1, designations.

    Examples
    --------
    >>> thread = parse_thread("M8x1.25")
    >>> round(thread.pitch_diameter * 1e3, 3), round(thread.stress_area * 1e6, 1), thread.series
    (7.188, 36.6, 'coarse')
    >>> parse_thread("1/4-28 UNF").diameter
    0.00635
    """
    cleaned = " ".join(text.replace("”", '"').replace("–", "-").split())
    found = _METRIC.match(cleaned)
    if found:
        return _metric(cleaned, found, hand)
    found = _UNIFIED.match(cleaned)
    if found:
        return _unified(cleaned, found, hand)
    raise BadInput(
        f"{text!r} is no thread that is known here; expected ISO metric as in M8x1.25 or Unified as in 1/4-20 UNC. "
        "Pipe, multi-start and UNJ threads are not covered."
    )


def _metric(text: str, found: re.Match[str], hand: Hand) -> Thread:
    size = Fraction(found["size"].replace(",", "."))
    if found["pitch"] is not None:
        pitch = Fraction(found["pitch"].replace(",", "."))
    elif size in METRIC_COARSE:
        pitch = METRIC_COARSE[size]
    else:
        raise BadInput(
            f"{text!r} names no pitch, and no coarse pitch is listed for M{float(size):g}; write it out."
        )
    return Thread(text, "metric", size, pitch, _hand(found, hand), metric_series(size, pitch), found["fit"])


def _unified(text: str, found: re.Match[str], hand: Hand) -> Thread:
    count = Fraction(found["count"])
    if count == 0:
        raise BadInput(f"{text!r}: threads per inch must be more than 0.")
    size = _unified_size(text, found, count)
    series = next((name for name, listed in UNIFIED_SERIES.items() if listed.get(size) == count), "unlisted")
    named = (found["series"] or "").upper().replace("UNR", "UN")
    wanted = UNIFIED_SERIES.get(named, {}).get(size)
    if named in UNIFIED_SERIES and named != series:
        right = f"{named} of this size has {float(wanted):g}" if wanted else f"{named} has no such size"
        raise BadInput(
            f"{text!r}: {float(count):g} threads per inch is {series}, not {named} ({right}). Correct one of the two."
        )
    fit = found["fit"].upper() if found["fit"] else None
    return Thread(text, "unified", size * INCH_MM, INCH_MM / count, _hand(found, hand), series, fit)


def _unified_size(text: str, found: re.Match[str], count: Fraction) -> Fraction:
    """Diameter in inches; a bare whole number is a number size or inches, and never guessed."""
    if found["number"]:
        number = int(re.sub(r"\D", "", found["number"]))
        if number > 12:
            raise BadInput(f"{text!r}: number sizes go from 0 to 12.")
        return number_size(number)
    parts = re.split(r"[\s-]+", found["inches"])
    try:
        size = sum(map(Fraction, parts), Fraction(0))
    except ZeroDivisionError:
        raise BadInput(f"{text!r}: a size is divided by 0.") from None
    bare = len(parts) == 1 and parts[0].isdigit() and not found["mark"]
    if bare and (int(parts[0]), count) in NUMBER_SIZES:
        return number_size(int(parts[0]))
    if bare and (size == 0 or size > 4):
        raise BadInput(
            f"{text!r} can be a number size or inches; write #{parts[0]}-{found['count']} "
            f"or {parts[0]} in-{found['count']}."
        )
    return size


def _hand(found: re.Match[str], hand: Hand) -> Hand:
    return "left" if found["left"] else hand
