"""The distributions that uncertainty is judged by: normal, Student's t and Fisher's F, to ten digits or better."""

from __future__ import annotations

import math

from countershaft.errors import OutOfRange

__all__ = ["f_tail", "t_probability", "t_quantile"]

_TINY = 1e-300
#: From here on Student's distribution is the normal one with a correction, better than ten digits.
_NEARLY_NORMAL = 1e5


def t_probability(value: float, *, degrees_of_freedom: float) -> float:
    """Probability that a variable of Student's distribution is at most a value.

    Parameters
    ----------
    value : float [-]
        The value, in standard uncertainties from the middle.
    degrees_of_freedom : float [-]
        Degrees of freedom, above zero; infinity is the normal distribution.

    Returns
    -------
    float [-]
        The probability, 0 to 1.

    Raises
    ------
    OutOfRange
        The degrees of freedom are not above zero.

    References
    ----------
    JCGM 100:2008, G.3.2; NIST Digital Library of Mathematical Functions, 8.17 (incomplete beta function); Abramowitz
    and Stegun, 26.7.8 (many degrees of freedom).

    Examples
    --------
    >>> round(t_probability(1.0, degrees_of_freedom=1), 12), round(t_probability(0.0, degrees_of_freedom=7), 12)
    (0.75, 0.5)
    """
    if not degrees_of_freedom > 0:
        raise OutOfRange(f"degrees of freedom {degrees_of_freedom:g} are not above zero.")
    if math.isinf(degrees_of_freedom):
        return _normal(value)
    if math.isinf(value):
        return 1.0 if value > 0 else 0.0
    if degrees_of_freedom >= _NEARLY_NORMAL:
        shrunk = 1 - 0.25 / degrees_of_freedom
        return _normal(value * shrunk / math.sqrt(1 + value * value / (2 * degrees_of_freedom)))
    square, half = value * value, 0.5 * degrees_of_freedom
    if square < degrees_of_freedom:
        # Near the middle the tail's argument would round to 1 and lose the value: the middle is computed instead.
        middle = 0.5 * _beta(square / (degrees_of_freedom + square), 0.5, half)
        return 0.5 + math.copysign(middle, value)
    tail = 0.5 * _beta(degrees_of_freedom / (degrees_of_freedom + square), half, 0.5)
    return 1.0 - tail if value > 0 else tail


def t_quantile(probability: float, *, degrees_of_freedom: float) -> float:
    """Value that a variable of Student's distribution stays below with a probability.

    Parameters
    ----------
    probability : float [-]
        The probability, above 0 and below 1.
    degrees_of_freedom : float [-]
        Degrees of freedom, above zero; infinity is the normal distribution.

    Returns
    -------
    float [-]
        The value, in standard uncertainties from the middle.

    Raises
    ------
    OutOfRange
        The probability is not inside 0 to 1.

    References
    ----------
    JCGM 100:2008, G.3.2.

    Examples
    --------
    The 95 % two-sided factor for four degrees of freedom, printed as 2.78 in JCGM 100, Table G.2:

    >>> round(t_quantile(0.975, degrees_of_freedom=4), 2)
    2.78
    """
    if not 0 < probability < 1:
        raise OutOfRange(f"the probability {probability:g} is not inside 0 to 1.")
    if probability < 0.5:
        return -t_quantile(1.0 - probability, degrees_of_freedom=degrees_of_freedom)
    low, high = 0.0, 1.0
    while t_probability(high, degrees_of_freedom=degrees_of_freedom) < probability and high < 1e150:
        low, high = high, 2 * high
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if t_probability(middle, degrees_of_freedom=degrees_of_freedom) < probability:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def f_tail(value: float, *, above: float, below: float) -> float:
    """Probability that a ratio of two equal variances comes out larger than a value by chance.

    Parameters
    ----------
    value : float [-]
        The ratio of the mean squares, zero or above.
    above, below : float [-]
        Degrees of freedom of the numerator and of the denominator, above zero.

    Returns
    -------
    float [-]
        The probability, 0 to 1.

    Raises
    ------
    OutOfRange
        The ratio is negative, or degrees of freedom are not above zero.

    References
    ----------
    NIST Digital Library of Mathematical Functions, 8.17; NIST/SEMATECH e-Handbook, 1.3.6.6.5 (F distribution).

    Examples
    --------
    >>> round(f_tail(1.0, above=5, below=5), 12)
    0.5
    """
    if value < 0 or not above > 0 or not below > 0:
        raise OutOfRange(
            f"the ratio {value:g} with {above:g} and {below:g} degrees of freedom is no F statistic."
        )
    if math.isinf(value):
        return 0.0
    if above * value < below:
        return 1.0 - _beta(above * value / (below + above * value), 0.5 * above, 0.5 * below)
    return _beta(below / (below + above * value), 0.5 * below, 0.5 * above)


def _normal(value: float) -> float:
    return 0.5 * math.erfc(-value / math.sqrt(2))


def _beta(x: float, a: float, b: float) -> float:
    """The regularised incomplete beta function, on the side where its fraction converges fast."""
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    scale = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    if x < (a + 1) / (a + b + 2):
        return scale * _fraction(x, a, b) / a
    return 1.0 - scale * _fraction(1 - x, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    """The continued fraction of the incomplete beta function (DLMF 8.17.22), by Lentz's method."""
    upper, lower = 1.0, 1.0 / _away(1.0 - (a + b) * x / (a + 1))
    found = lower
    for m in range(1, 10_000):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for step in (even, odd):
            lower = 1.0 / _away(1.0 + step * lower)
            upper = _away(1.0 + step / upper)
            found *= upper * lower
        if abs(upper * lower - 1.0) < 1e-15:
            break
    return found


def _away(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
