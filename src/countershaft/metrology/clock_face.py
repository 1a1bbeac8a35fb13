"""Directions round a crankshaft told as on a clock face, and lengths told in millimetres or inches."""

from __future__ import annotations

import math
from typing import Final, Literal

from countershaft.errors import OutOfRange

__all__ = [
    "METRES",
    "LengthUnit",
    "clock_angle",
    "clock_hours",
    "clock_words",
    "degree_words",
    "length_words",
]

#: The two units that lengths are told in; equals.
LengthUnit = Literal["mm", "in"]

#: Metres in each of them, exact.
METRES: Final[dict[LengthUnit, float]] = {"mm": 1e-3, "in": 25.4e-3}
DIGITS: Final[dict[LengthUnit, int]] = {"mm": 2, "in": 3}


def clock_angle(hours: float) -> float:
    """Angle of a place on the clock face, clockwise from 12.

    Parameters
    ----------
    hours : float [-]
        Hours, 0 to 12; 4.5 lies halfway between 4 and 5.

    Returns
    -------
    float [rad]
        The angle, 0 up to 2π.

    Raises
    ------
    OutOfRange
        Hours below 0 or above 12.

    Examples
    --------
    >>> round(math.degrees(clock_angle(3)))
    90
    """
    if not 0 <= hours <= 12:
        raise OutOfRange(f"{hours:g} o'clock is given; a clock face has 12 hours.")
    return math.radians(hours % 12 * 30)


def clock_hours(angle: float) -> float:
    """Hours on the clock face of an angle.

    Parameters
    ----------
    angle : float [rad]
        Clockwise from 12.

    Returns
    -------
    float [-]
        Hours, from 0 up to 12.

    Examples
    --------
    >>> round(clock_hours(math.radians(-30)), 6)
    11.0
    """
    return math.degrees(angle) % 360 / 30


def clock_words(angle: float) -> str:
    """The hour that lies nearest to an angle, in words.

    Parameters
    ----------
    angle : float [rad]
        Clockwise from 12.

    Returns
    -------
    str
        As in "5 o'clock".

    Examples
    --------
    >>> clock_words(math.radians(357))
    "12 o'clock"
    """
    return f"{round(clock_hours(angle)) % 12 or 12} o'clock"


def degree_words(angle: float) -> str:
    """An angle in whole degrees, from 0 up to 359.

    Parameters
    ----------
    angle : float [rad]
        The angle.

    Returns
    -------
    str
        As in "307°".

    Examples
    --------
    >>> degree_words(math.radians(359.8)), degree_words(math.radians(-53))
    ('0°', '307°')
    """
    return f"{round(math.degrees(angle)) % 360}°"


def length_words(length: float, unit: LengthUnit = "mm", *, extra: int = 0) -> str:
    """A length with its unit, to a hundredth of a millimetre or a thousandth of an inch, or finer.

    Parameters
    ----------
    length : float [m]
        The length.
    unit : LengthUnit
        "mm" or "in".
    extra : int [-]
        Digits more than that, for a working.

    Returns
    -------
    str
        As in "0.29 mm" or "0.011 in".

    Examples
    --------
    >>> length_words(0.29e-3), length_words(0.29e-3, "in")
    ('0.29 mm', '0.011 in')
    """
    digits = DIGITS[unit] + extra
    return f"{round(length / METRES[unit], digits) + 0.0:.{digits}f} {unit}"  # no minus before a nought
