"""Limits of size of a bolt and its hole, as far as stripping needs them: 6g/6H (metric), 2A/2B (Unified).

The least metal that the tolerances allow decides how much thread is sheared, so basic dimensions will not do.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.mechanics.thread import Thread

__all__ = ["ThreadLimits", "limits_of_size"]

#: Pitch [µm] to: allowance of g, tolerance 6 of the bolt's major diameter, tolerance 6 of the hole's minor diameter
#: [µm].  ISO 965-1 (from memory; the bolt's figures agree with the published limits in tests/published).
_BY_PITCH: Final[dict[int, tuple[int, int, int]]] = {
    350: (19, 85, 100), 400: (19, 95, 112), 450: (20, 100, 125), 500: (20, 106, 140), 600: (21, 125, 160),
    700: (22, 140, 180), 750: (22, 140, 190), 800: (24, 150, 200), 1000: (26, 180, 236), 1250: (28, 212, 265),
    1500: (32, 236, 300), 1750: (34, 265, 335), 2000: (38, 280, 375), 2500: (42, 335, 450), 3000: (48, 375, 500),
    3500: (53, 425, 560), 4000: (60, 475, 600),
}  # fmt: skip

#: Upper end of the diameter step [mm] to pitch [µm] to tolerance 6 of the pitch diameter: bolt, hole [µm].
#: ISO 965-1 (from memory; columns of 6H up to M8 were seen in a published comparison of taps).
_PITCH_DIAMETER: Final[tuple[tuple[Fraction, dict[int, tuple[int, int]]], ...]] = (
    (Fraction("2.8"), {350: (63, 85), 400: (67, 90), 450: (71, 95)}),
    (
        Fraction("5.6"),
        {350: (67, 90), 500: (75, 100), 600: (85, 112), 700: (90, 118), 750: (90, 118), 800: (95, 125)},
    ),
    (Fraction("11.2"), {750: (100, 132), 1000: (112, 150), 1250: (118, 160), 1500: (132, 180)}),
    (
        Fraction("22.4"),
        {
            1000: (118, 160), 1250: (132, 180), 1500: (140, 190), 1750: (150, 200), 2000: (160, 212),
            2500: (170, 224),
        },
    ),
    (
        Fraction(45),
        {
            1000: (125, 170), 1500: (150, 200), 2000: (170, 224), 3000: (200, 265), 3500: (212, 280),
            4000: (224, 300),
        },
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ThreadLimits:
    """Limits of size of a bolt and of its hole [m]; `fit` names the tolerance classes."""

    fit: str
    bolt_major_max: float
    bolt_major_min: float
    bolt_pitch_max: float
    bolt_pitch_min: float
    hole_pitch_max: float
    hole_minor_max: float


def limits_of_size(thread: Thread) -> ThreadLimits:
    """Limits of size in the usual fit: 6g in 6H for metric, 2A in 2B for Unified threads.

    Parameters
    ----------
    thread : Thread
        The thread.  Its own tolerance class must be the usual one, if it names any.

    Returns
    -------
    ThreadLimits
        The limits.

    Raises
    ------
    OutOfRange
        Diameter and pitch are not in the table, or the thread names another tolerance class.

    References
    ----------
    ISO 965-1, tolerances (from memory); ASME B1.1, formulas of classes 2A and 2B (from memory).

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> limits = limits_of_size(parse_thread("M10x1.5"))
    >>> [round(value * 1e3, 3) for value in (limits.bolt_major_min, limits.bolt_pitch_min, limits.hole_pitch_max)]
    [9.732, 8.862, 9.206]
    """
    usual = ("6g", "6H", "6H/6g") if thread.system == "metric" else ("2A", "2B")
    if thread.fit is not None and thread.fit not in usual:
        raise OutOfRange(
            f"thread {thread.designation}: limits are known for {', '.join(usual)}, not for {thread.fit}."
        )
    return _metric(thread) if thread.system == "metric" else _unified(thread)


def _metric(thread: Thread) -> ThreadLimits:
    pitch_um = thread.pitch_mm * 1000
    by_pitch = _BY_PITCH.get(int(pitch_um)) if pitch_um.denominator == 1 else None
    step = next((table for upper, table in _PITCH_DIAMETER if thread.diameter_mm <= upper), {})
    of_pitch_diameter = step.get(int(pitch_um))
    if by_pitch is None or of_pitch_diameter is None or thread.diameter_mm < Fraction("1.4"):
        raise OutOfRange(
            f"thread {thread.designation}: no tolerances are kept for this diameter with this pitch "
            "(ISO 965-1, usual pitches from M1.6 to M45)."
        )
    allowance, major, minor = (value * 1e-6 for value in by_pitch)
    bolt, hole = (value * 1e-6 for value in of_pitch_diameter)
    return ThreadLimits(
        "6H/6g",
        thread.diameter - allowance,
        thread.diameter - allowance - major,
        thread.pitch_diameter - allowance,
        thread.pitch_diameter - allowance - bolt,
        thread.pitch_diameter + hole,
        thread.minor_diameter + minor,
    )


def _unified(thread: Thread) -> ThreadLimits:
    """Formulas of ASME B1.1; for UNC and UNF one diameter of engagement, for finer threads nine pitches."""
    inch = 25.4e-3
    size, pitch = thread.diameter / inch, thread.pitch / inch
    if thread.series == "unlisted" or size < 0.25:
        raise OutOfRange(
            f"thread {thread.designation}: tolerances are kept for UNC, UNF and UNEF from 1/4 in, and for no other."
        )
    engaged = 9 * pitch if thread.series == "UNEF" else size
    bolt = 0.0015 * size ** (1 / 3) + 0.0015 * engaged**0.5 + 0.015 * pitch ** (2 / 3)
    allowance = 0.3 * bolt
    return ThreadLimits(
        "2B/2A",
        thread.diameter - allowance * inch,
        thread.diameter - (allowance + 0.06 * pitch ** (2 / 3)) * inch,
        thread.pitch_diameter - allowance * inch,
        thread.pitch_diameter - (allowance + bolt) * inch,
        thread.pitch_diameter + 1.3 * bolt * inch,
        thread.minor_diameter + (0.25 * pitch - 0.4 * pitch**2) * inch,
    )
