"""How probable it is that a gap lies within its limits, and the most that it could be."""

from __future__ import annotations

import math
from typing import Final

from countershaft.errors import OutOfRange

__all__ = ["GRAIN", "IMPOSSIBLE", "best_loss", "loss", "within"]

#: Two probabilities whose logarithms differ by less than this count as equal: 0.01 %.
GRAIN: Final = 1e-4
#: The loss of a gap that cannot be inside: nothing that floats can tell apart is worse.
IMPOSSIBLE: Final = round(690 / GRAIN)
_ROOT_TWO: Final = math.sqrt(2.0)


def within(value: float, standard: float, *, lower: float, upper: float) -> float:
    """Probability that a normal quantity lies between two limits.

    Parameters
    ----------
    value : float [any]
        Its best value.
    standard : float [any]
        Its standard uncertainty; 0 for a value known exactly.
    lower, upper : float [any]
        The limits, included.

    Returns
    -------
    float [-]
        The probability, 0 to 1.

    Raises
    ------
    OutOfRange
        The uncertainty is negative, or the limits are the wrong way round.

    References
    ----------
    JCGM 106:2012, 7.4 (conformance probability of a normal quantity and a two-sided tolerance interval).

    Examples
    --------
    The viscosity of JCGM 106:2012, 7.4: 13.6 with u = 1.8, allowed 12.5 to 16.3.

    >>> round(within(13.6, 1.8, lower=12.5, upper=16.3), 2)
    0.66
    """
    if not standard >= 0 or not lower <= upper:
        raise OutOfRange(
            f"limits {lower:g} to {upper:g} with u = {standard:g}: expected rising limits, u of 0 or more."
        )
    return _within(lower - value, upper - value, standard)


def _within(below: float, above: float, standard: float) -> float:
    """The same from the distances to both limits; the tail on the far side keeps its digits."""
    if standard == 0:
        return 1.0 if below <= 0 <= above else 0.0
    scale = 1 / (_ROOT_TWO * standard)
    if below > 0:
        return 0.5 * (math.erfc(below * scale) - math.erfc(above * scale))
    if above < 0:
        return 0.5 * (math.erfc(-above * scale) - math.erfc(-below * scale))
    return 0.5 * (math.erf(above * scale) - math.erf(below * scale))


def loss(value: float, standard: float, *, lower: float, upper: float) -> int:
    """How improbable a gap is, as a whole number that adds up where probabilities multiply.

    Parameters
    ----------
    value, standard : float [any]
        The gap and its standard uncertainty.
    lower, upper : float [any]
        Its limits.

    Returns
    -------
    int [-]
        Minus the logarithm of the probability in steps of 0.0001; 0 is certain.

    Examples
    --------
    >>> loss(0.3, 0.02, lower=0.1, upper=0.5), loss(0.1, 0.02, lower=0.1, upper=0.5)
    (0, 6931)
    """
    return _loss(lower - value, upper - value, standard)


def _loss(below: float, above: float, standard: float) -> int:
    chance = _within(below, above, standard)
    return min(IMPOSSIBLE, round(-math.log(chance) / GRAIN)) if chance > 0 else IMPOSSIBLE


def best_loss(
    values: tuple[float, float], standards: tuple[float, float], *, lower: float, upper: float
) -> int:
    """The least loss of any gap whose value and uncertainty lie in two ranges.

    Parameters
    ----------
    values : tuple[float, float] [any]
        Smallest and largest value that the gap can take.
    standards : tuple[float, float] [any]
        Smallest and largest standard uncertainty.
    lower, upper : float [any]
        Its limits.

    Returns
    -------
    int [-]
        A loss that no such gap is below.

    Notes
    -----
    For one uncertainty the probability falls with the distance from the middle of the limits.
    Inside the limits it falls with the uncertainty; outside, at distances a < b from them, it is greatest where
    u² = (b² - a²) / (2 ln(b / a)), and rises and falls once.

    Examples
    --------
    >>> best_loss((0.0, 0.2), (0.02, 0.03), lower=0.1, upper=0.5) <= loss(0.2, 0.02, lower=0.1, upper=0.5)
    True
    """
    nearest = min(max((lower + upper) / 2, values[0]), values[1])
    below, above = lower - nearest, upper - nearest
    if below <= 0 <= above:
        return max(0, _loss(below, above, standards[0]) - 1)  # a step of grace for the rounding of floats
    near, far = sorted((abs(below), abs(above)))
    best = math.sqrt((far * far - near * near) / (2 * math.log(far / near)))
    return max(0, _loss(below, above, min(max(best, standards[0]), standards[1])) - 1)
