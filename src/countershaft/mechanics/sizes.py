"""Figures that a formula accepts: finite, above zero, between two bounds; others are refused in one form of words."""

from __future__ import annotations

import math

from countershaft.errors import OutOfRange

__all__ = ["above_zero", "between", "not_below_zero"]


def above_zero(what: str, value: float, unit: str, cure: str = "Measure it, or look it up.") -> None:
    """Refuse a figure that is not finite and above zero.

    Parameters
    ----------
    what : str
        What the figure is, for the message.
    value : float [SI]
        The figure.
    unit : str
        Its unit, for the message; empty where it has none.
    cure : str, optional
        What to do about it.

    Raises
    ------
    OutOfRange
        The figure is zero, negative, infinite or not a number.

    Examples
    --------
    >>> above_zero("wire diameter", 0.0, "m")
    Traceback (most recent call last):
        ...
    countershaft.errors.OutOfRange: the wire diameter is 0 m; expected more than zero. Measure it, or look it up.
    """
    if not (math.isfinite(value) and value > 0):
        raise OutOfRange(f"the {what} is {_figure(value, unit)}; expected more than zero. {cure}")


def not_below_zero(what: str, value: float, unit: str, cure: str = "Look at its sign.") -> None:
    """Refuse a figure that is not finite, or is below zero.

    Parameters
    ----------
    what : str
        What the figure is, for the message.
    value : float [SI]
        The figure.
    unit : str
        Its unit, for the message; empty where it has none.
    cure : str, optional
        What to do about it.

    Raises
    ------
    OutOfRange
        The figure is negative, infinite or not a number.

    Examples
    --------
    >>> not_below_zero("pressure drop", -1.0, "Pa")
    Traceback (most recent call last):
        ...
    countershaft.errors.OutOfRange: the pressure drop is -1 Pa; expected zero or more. Look at its sign.
    """
    if not (math.isfinite(value) and value >= 0):
        raise OutOfRange(f"the {what} is {_figure(value, unit)}; expected zero or more. {cure}")


def between(what: str, value: float, low: float, high: float, unit: str, cure: str) -> None:
    """Refuse a figure that lies outside the range of a formula.

    Parameters
    ----------
    what : str
        What the figure is, for the message.
    value, low, high : float [SI]
        The figure and its bounds, which belong to the range.
    unit : str
        Their unit, for the message; empty where they have none.
    cure : str
        Why the range ends there, or what to do.

    Raises
    ------
    OutOfRange
        The figure lies outside, or is not a number.

    Examples
    --------
    >>> between("spring index", 3.0, 4.0, 20.0, "", "The formula holds for wound wire of that range only.")
    Traceback (most recent call last):
        ...
    countershaft.errors.OutOfRange: the spring index is 3; expected 4 to 20. The formula holds for wound wire of \
that range only.
    """
    slack = 1e-12 * max(abs(low), abs(high))
    if not low - slack <= value <= high + slack:
        wanted = f"{low:g} to {_figure(high, unit)}"
        raise OutOfRange(f"the {what} is {_figure(value, unit)}; expected {wanted}. {cure}")


def _figure(value: float, unit: str) -> str:
    return f"{value:.6g} {unit}".rstrip()
