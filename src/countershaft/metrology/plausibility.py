"""Second thoughts about a typed reading: the wrong unit, a lost decimal point, a stray reading.

Nothing here refuses or changes a reading: it asks, and names the figure that was perhaps meant.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from countershaft.errors import OutOfRange
from countershaft.units import KINDS, UNITS, convert

__all__ = ["Doubt", "Stray", "plausible_units", "second_thoughts", "stray_reading"]


@dataclass(frozen=True, slots=True)
class Doubt:
    """What was perhaps meant: a short question and the figure, in the unit that was asked for."""

    question: str
    candidate: float


@dataclass(frozen=True, slots=True)
class Stray:
    """Readings of one place that differ by more than the instrument explains."""

    place: int
    difference: float
    explained: float
    why: str


def second_thoughts(
    figure: float, unit: str, *, lower: float | None = None, upper: float | None = None, reach: float = 3.0
) -> tuple[Doubt, ...]:
    """Ask about a figure far outside the expected window that another unit or another decimal point would explain.

    Parameters
    ----------
    figure : float [any]
        The figure as typed, taken to be in `unit`.
    unit : str
        The unit that was asked for, as in `UNITS`.
    lower, upper : float, optional [any]
        The expected window in that unit; with one limit only, zero stands for a missing lower one.
    reach : float [-]
        How many times outside the window a worn part may still read; common practice, no source.

    Returns
    -------
    tuple[Doubt, ...]
        Nothing where the figure is plausible or nothing explains it; else the likeliest first.

    Raises
    ------
    OutOfRange
        No limit is given, the limits are in the wrong order, the reach is below 1 or the unit is not known.

    References
    ----------
    Exact factors between units (NIST SP 811, appendix B): the inch is 25.4 mm, so a slip of unit is off by 25.4.

    Examples
    --------
    >>> [(doubt.question, round(doubt.candidate, 4)) for doubt in second_thoughts(0.014, "mm", lower=0.3, upper=0.4)]
    [('inch?', 0.3556)]
    >>> [(doubt.question, doubt.candidate) for doubt in second_thoughts(36.0, "mm", lower=0.3, upper=0.4)]
    [('decimal point?', 0.36)]
    >>> second_thoughts(0.45, "mm", lower=0.3, upper=0.4)
    ()
    """
    low, high = _window(unit, lower, upper, reach)
    if figure == 0 or not math.isfinite(figure) or low <= figure <= high:
        return ()
    named = [(f"{_spoken(other)}?", convert(figure, other, unit)) for other in KINDS[UNITS[unit][0]]]
    shifted = [
        ("decimal point?", float(Decimal(repr(figure)).scaleb(power))) for power in (-1, 1, -2, 2, -3, 3)
    ]
    # A whole power of ten between two metric units is one question, not two: the unit is asked first.
    found: dict[str, Doubt] = {}
    near, far = _meant(lower, upper)
    for question, candidate in [*named, *shifted]:
        if question != f"{_spoken(unit)}?" and near <= candidate <= far:
            found.setdefault(f"{candidate:.12g}", Doubt(question, candidate))
    middle = _middle(lower, upper)
    return tuple(sorted(found.values(), key=lambda one: abs(one.candidate - middle)))


def plausible_units(
    figure: float, unit: str, *, lower: float | None = None, upper: float | None = None
) -> tuple[str, ...]:
    """In which units a bare figure would fall near the expected window; more than one must be asked.

    Parameters
    ----------
    figure : float [any]
        The figure as typed, without a unit.
    unit : str
        The unit of the limits, as in `UNITS`.
    lower, upper : float, optional [any]
        The expected window in that unit, at least one limit.

    Returns
    -------
    tuple[str, ...]
        Units of the same kind, in the order of `KINDS`.

    Raises
    ------
    OutOfRange
        No limit is given, the limits are in the wrong order, or the unit is not known.

    References
    ----------
    Exact factors between units (NIST SP 811, appendix B); "near" is the window and its own width beside it.

    Examples
    --------
    >>> plausible_units(14, "mm", lower=0.3, upper=0.4), plausible_units(6.2, "bar", lower=5, upper=90)
    (('thou',), ('MPa', 'bar'))
    """
    _window(unit, lower, upper, 1.0)
    near, far = _meant(lower, upper)
    return tuple(other for other in KINDS[UNITS[unit][0]] if near <= convert(figure, other, unit) <= far)


def stray_reading(readings: Sequence[float], *, resolution: float, permitted_error: float) -> Stray | None:
    """Ask about readings of one place that scatter beyond what the instrument itself can do.

    Parameters
    ----------
    readings : Sequence[float] [any]
        Readings of one place, in one unit.
    resolution, permitted_error : float [any]
        One step of the instrument's scale, above zero, and how far it may be off either way.

    Returns
    -------
    Stray, optional
        The reading that lies farthest from the middle one, and why; None where the instrument explains all.

    Raises
    ------
    OutOfRange
        The step is not above zero or the permitted error is negative.

    Notes
    -----
    Two readings of one length each lie within the permitted error and half a step, so they differ by at most
    2·error + step.

    References
    ----------
    ISO 14978:2018 (limits of the error of an instrument); the sum is worst case, without statistics.

    Examples
    --------
    >>> stray_reading([0.36, 0.37, 0.36], resolution=0.01, permitted_error=0.01) is None
    True
    >>> print(stray_reading([0.36, 0.46, 0.36], resolution=0.01, permitted_error=0.01).why)
    reading 2 (0.46) is 0.1 away from another of one place; this instrument explains 0.03. Wipe, seat, measure again.
    """
    if not resolution > 0 or not permitted_error >= 0:
        raise OutOfRange(
            f"a step of {resolution:g} and a permitted error of {permitted_error:g} are no instrument's."
        )
    if len(readings) < 2:
        return None
    difference = max(readings) - min(readings)
    explained = 2 * permitted_error + resolution
    if difference <= explained * (1 + 1e-9):
        return None
    middle = statistics.median(readings)
    place = max(range(len(readings)), key=lambda index: abs(readings[index] - middle))
    why = (
        f"reading {place + 1} ({readings[place]:g}) is {difference:.3g} away from another of one place; "
        f"this instrument explains {explained:.3g}. Wipe, seat, measure again."
    )
    return Stray(place, difference, explained, why)


def _window(unit: str, lower: float | None, upper: float | None, reach: float) -> tuple[float, float]:
    """The expected window, widened to all that a worn part may still read."""
    if lower is None and upper is None:
        raise OutOfRange("neither a lower nor an upper limit is given; nothing says what to expect.")
    if lower is not None and upper is not None and lower > upper:
        raise OutOfRange(f"the lower limit {lower:g} is above the upper limit {upper:g}.")
    if unit not in UNITS or not reach >= 1:
        raise OutOfRange(
            f"{unit!r} with a reach of {reach:g}: expected a known unit and a reach of 1 or more."
        )
    low = min(0.0, upper or 0.0) if lower is None else lower
    high = max(10 * low, 0.0) if upper is None else upper
    return (low / reach if low > 0 else low * reach), (high * reach if high > 0 else high / reach)


def _meant(lower: float | None, upper: float | None) -> tuple[float, float]:
    """Where a figure must lie to be offered as the one that was meant.

    The window and its own width beside it, but no nearer to zero than a third of its limit.
    """
    if lower is not None and upper is not None:
        width = upper - lower
        near, far = lower - width, upper + width
        return (max(near, lower / 3) if lower > 0 else near), (min(far, upper / 3) if upper < 0 else far)
    limit = upper if lower is None else lower
    assert limit is not None, "one of the two is there"
    if lower is None:
        return min(0.0, 1.5 * limit), max(1.5 * limit, 0.0)
    return min(0.5 * limit, 1.5 * limit), max(10 * limit, 0.0)


def _middle(lower: float | None, upper: float | None) -> float:
    known = [limit for limit in (lower, upper) if limit is not None]
    return math.fsum(known) / len(known)


def _spoken(unit: str) -> str:
    return {"in": "inch"}.get(unit, unit)
