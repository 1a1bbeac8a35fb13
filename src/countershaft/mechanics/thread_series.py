"""Diameters and pitches that the thread standards list: ISO 261 metric, ASME B1.1 Unified.  Constants only.

From memory; the coarse metric pitches, UNC and UNF are common knowledge, the fine metric pitches are those of the
first and second choice up to 64 mm, UNEF up to 1 11/16 in.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

__all__ = ["METRIC_COARSE", "METRIC_FINE", "NUMBER_SIZES", "UNIFIED_SERIES", "metric_series", "number_size"]


def _metric(text: str) -> dict[Fraction, tuple[Fraction, ...]]:
    """Read "8:1 .75; 10:1.25 1 .75" as diameter to pitches, in millimetres."""
    rows = (row.split(":") for row in text.split(";"))
    return {Fraction(size.strip()): tuple(map(Fraction, pitches.split())) for size, pitches in rows}


def _unified(text: str) -> dict[Fraction, Fraction]:
    """Read "1/4:20 5/16:18" as diameter in inches to threads per inch; "#8" is a number size."""
    pairs = (pair.split(":") for pair in text.split())
    return {_inches(size): Fraction(count) for size, count in pairs}


def _inches(text: str) -> Fraction:
    if text.startswith("#"):
        return number_size(int(text[1:]))
    whole, _, rest = text.rpartition("+")
    return Fraction(whole or 0) + Fraction(rest)


def number_size(number: int) -> Fraction:
    """Basic diameter of a Unified number size.

    Parameters
    ----------
    number : int [-]
        The number, 0 to 12.

    Returns
    -------
    Fraction [in]
        0.060 in + 0.013 in for each number.

    References
    ----------
    ASME B1.1, number sizes (from memory).

    Examples
    --------
    >>> float(number_size(10))
    0.19
    """
    return Fraction(60 + 13 * number, 1000)


#: Diameter to coarse pitch [mm], ISO 261.
METRIC_COARSE: Final = {
    size: pitches[0]
    for size, pitches in _metric(
        "1.6:.35; 2:.4; 2.5:.45; 3:.5; 3.5:.6; 4:.7; 5:.8; 6:1; 7:1; 8:1.25; 10:1.5; 12:1.75; 14:2; 16:2; 18:2.5;"
        "20:2.5; 22:2.5; 24:3; 27:3; 30:3.5; 33:3.5; 36:4; 39:4; 42:4.5; 45:4.5; 48:5; 52:5; 56:5.5; 60:5.5; 64:6"
    ).items()
}

#: Diameter to fine pitches [mm], ISO 261.
METRIC_FINE: Final = _metric(
    "1.6:.2; 2:.25; 2.5:.35; 3:.35; 3.5:.35; 4:.5; 5:.5; 6:.75 .5; 7:.75 .5; 8:1 .75 .5; 10:1.25 1 .75;"
    "12:1.5 1.25 1; 14:1.5 1.25 1; 16:1.5 1; 18:2 1.5 1; 20:2 1.5 1; 22:2 1.5 1; 24:2 1.5 1; 27:2 1.5 1;"
    "30:3 2 1.5 1; 33:3 2 1.5; 36:3 2 1.5; 39:3 2 1.5; 42:4 3 2 1.5; 45:4 3 2 1.5; 48:4 3 2 1.5; 52:4 3 2 1.5;"
    "56:4 3 2 1.5; 60:4 3 2 1.5; 64:4 3 2 1.5"
)

#: Name of a Unified series to its diameters [in] and threads per inch, ASME B1.1.
UNIFIED_SERIES: Final = {
    "UNC": _unified(
        "#1:64 #2:56 #3:48 #4:40 #5:40 #6:32 #8:32 #10:24 #12:24 1/4:20 5/16:18 3/8:16 7/16:14 1/2:13 9/16:12 "
        "5/8:11 3/4:10 7/8:9 1:8 1+1/8:7 1+1/4:7 1+3/8:6 1+1/2:6 1+3/4:5 2:4.5 2+1/4:4.5 2+1/2:4 2+3/4:4 3:4"
    ),
    "UNF": _unified(
        "#0:80 #1:72 #2:64 #3:56 #4:48 #5:44 #6:40 #8:36 #10:32 #12:28 1/4:28 5/16:24 3/8:24 7/16:20 1/2:20 "
        "9/16:18 5/8:18 3/4:16 7/8:14 1:12 1+1/8:12 1+1/4:12 1+3/8:12 1+1/2:12"
    ),
    "UNEF": _unified(
        "#12:32 1/4:32 5/16:32 3/8:32 7/16:28 1/2:28 9/16:24 5/8:24 11/16:24 3/4:20 13/16:20 7/8:20 15/16:20 1:20 "
        "1+1/16:18 1+1/8:18 1+3/16:18 1+1/4:18 1+5/16:18 1+3/8:18 1+7/16:18 1+1/2:18 1+9/16:18 1+5/8:18 1+11/16:18"
    ),
}

#: Number sizes with their threads per inch: what "10-32" means without a sign before the 10.
NUMBER_SIZES: Final = {
    (number, count)
    for number in range(13)
    for listed in UNIFIED_SERIES.values()
    if (count := listed.get(number_size(number))) is not None
}


def metric_series(diameter_mm: Fraction, pitch_mm: Fraction) -> str:
    """Where a metric thread stands in the standard's list.

    Parameters
    ----------
    diameter_mm : Fraction [mm]
        Nominal diameter.
    pitch_mm : Fraction [mm]
        Pitch.

    Returns
    -------
    str
        "coarse", "fine" or "unlisted".

    References
    ----------
    ISO 261 (from memory).

    Examples
    --------
    >>> metric_series(Fraction(8), Fraction("1.25")), metric_series(Fraction(8), Fraction("1.75"))
    ('coarse', 'unlisted')
    """
    if METRIC_COARSE.get(diameter_mm) == pitch_mm:
        return "coarse"
    return "fine" if pitch_mm in METRIC_FINE.get(diameter_mm, ()) else "unlisted"
