"""Whether two people, or two instruments, that measured the same thing agree within what they claim to know."""

from __future__ import annotations

import math
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.metrology.readings import Estimate

__all__ = ["Agreement", "compare", "normalised_error"]


@dataclass(frozen=True, slots=True)
class Agreement:
    """Two results beside each other; they agree where `e_n` is within plus or minus 1."""

    difference: float
    expanded: float
    e_n: float
    agree: bool
    why: str


def normalised_error(first: float, expanded_first: float, second: float, expanded_second: float) -> float:
    """The difference of two results in units of the uncertainty of that difference.

    Parameters
    ----------
    first, expanded_first : float [any]
        The first result and its expanded uncertainty.
    second, expanded_second : float [any]
        The second result and its expanded uncertainty, of the same coverage and independent of the first.

    Returns
    -------
    float [-]
        E_n; within plus or minus 1 the two agree.

    Raises
    ------
    OutOfRange
        An uncertainty is negative, or both are zero.

    References
    ----------
    ISO 13528:2022, 9.7; ISO/IEC 17043:2023, annex B (E_n scores).

    Examples
    --------
    >>> round(normalised_error(0.36, 0.03, 0.31, 0.04), 6)
    1.0
    """
    if not (expanded_first >= 0 and expanded_second >= 0 and expanded_first + expanded_second > 0):
        raise OutOfRange(
            f"expanded uncertainties {expanded_first:g} and {expanded_second:g}: none may be negative, nor both zero."
        )
    return (first - second) / math.hypot(expanded_first, expanded_second)


def compare(
    first: Estimate, second: Estimate, *, unit: str, digits: int = 2, same_instrument: bool = False
) -> Agreement:
    """Judge two blind measurements of one thing by their uncertainties.

    Parameters
    ----------
    first, second : Estimate [any]
        What each person found, in one unit.
    unit : str
        The unit, for the sentence.
    digits : int [-]
        Digits behind the point, for the sentence.
    same_instrument : bool
        Both used the same instrument: its own error moves both alike and cannot explain a difference.

    Returns
    -------
    Agreement
        The difference, its expanded uncertainty, E_n and a sentence.

    References
    ----------
    ISO 13528:2022, 9.7; JCGM 100:2008, F.1.2.3 (an error common to both drops out of a difference).

    Examples
    --------
    >>> from countershaft.metrology.readings import estimate
    >>> one = estimate([0.36, 0.37, 0.36], resolution=0.01, permitted_error=0.03)
    >>> two = estimate([0.40, 0.40, 0.41], resolution=0.01, permitted_error=0.03)
    >>> print(compare(one, two, unit="mm").why)
    0.36 and 0.40 mm agree: they differ by 0.040 mm, and 0.051 mm is explained (E_n = -0.78).
    >>> print(compare(one, two, unit="mm", same_instrument=True).why)
    0.36 and 0.40 mm do not agree: they differ by 0.040 mm, and 0.016 mm is explained (E_n = -2.55). Measure together.
    """
    if same_instrument:
        first, second = (one.foreseen(permitted_error=0.0) for one in (first, second))
    e_n = normalised_error(first.mean, first.expanded, second.mean, second.expanded)
    difference, expanded = first.mean - second.mean, math.hypot(first.expanded, second.expanded)
    agree = abs(e_n) <= 1
    # Means of several readings may lie between two digits; both must show the difference that is told.
    between = any(abs(one.mean - round(one.mean, digits)) > 0.05 * 10.0**-digits for one in (first, second))
    shown = digits + 1 if between else digits
    places = digits + 1
    why = (
        f"{first.mean:.{shown}f} and {second.mean:.{shown}f} {unit} {'agree' if agree else 'do not agree'}: "
        f"they differ by {abs(difference):.{places}f} {unit}, and {expanded:.{places}f} {unit} is explained "
        f"(E_n = {e_n:.2f}).{'' if agree else ' Measure together.'}"
    )
    return Agreement(difference, expanded, e_n, agree, why)
