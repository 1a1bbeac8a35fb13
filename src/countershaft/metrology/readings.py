"""The best value of repeated readings and its uncertainty, after the GUM (JCGM 100)."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange

__all__ = ["Estimate", "coverage_factor", "estimate", "uncertainty_places"]

#: JCGM 100:2008, Table G.2: t factor for a coverage of 95.45 %, by effective degrees of freedom.
#: Digits from memory of the table; tests/metrology holds them against an independent t distribution.
COVERAGE_95_45: Final[tuple[tuple[int, float], ...]] = (
    (1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (6, 2.52), (7, 2.43), (8, 2.37), (9, 2.32), (10, 2.28),
    (11, 2.25), (12, 2.23), (13, 2.21), (14, 2.20), (15, 2.18), (16, 2.17), (17, 2.16), (18, 2.15), (19, 2.14),
    (20, 2.13), (25, 2.11), (30, 2.09), (35, 2.07), (40, 2.06), (45, 2.06), (50, 2.05), (100, 2.025),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Estimate:
    """The mean of some readings, how far it may be off, and the working behind both.

    All figures are in the unit of the readings.  `expanded` is the half width that covers about 95 %.
    """

    readings: tuple[float, ...]
    resolution: float
    mean: float
    spread: float
    standard: float
    degrees_of_freedom: float
    factor: float
    expanded: float

    @property
    def interval(self) -> tuple[float, float]:
        """The mean less and plus its expanded uncertainty."""
        return self.mean - self.expanded, self.mean + self.expanded

    def stated(self, unit: str, *, digits: int) -> str:
        """Value and uncertainty as they are printed.

        At most two significant digits of U (JCGM 100, 7.2.6), and at most one digit more than the readings have.
        """
        places = uncertainty_places(self.expanded, digits=digits)
        return f"{self.mean:.{min(digits, places)}f} ± {self.expanded:.{places}f} {unit}".rstrip()

    def working(self, unit: str, *, digits: int = 3) -> tuple[str, ...]:
        """The formula with its numbers, line by line."""
        count = len(self.readings)
        values = " + ".join(f"{reading:.{digits}f}" for reading in self.readings)
        lines = [f"mean = ({values}) / {count} = {self.mean:.{digits + 1}f} {unit}"]
        scale = f"step of the scale {self.resolution:g} {unit}: u = {self.resolution:g} / √12"
        if count > 1:
            lines.append(
                f"scatter of {count} readings s = {self.spread:.{digits + 1}f} {unit}: u = s / √{count}"
            )
        lines.append(f"{scale} = {self.resolution / math.sqrt(12):.{digits + 1}f} {unit}")
        freedom = "∞" if math.isinf(self.degrees_of_freedom) else f"{self.degrees_of_freedom:.1f}"
        lines.append(f"together u = {self.standard:.{digits + 1}f} {unit}, degrees of freedom {freedom}")
        lines.append(f"U = {self.factor:.2f} · u = {self.expanded:.{digits + 1}f} {unit} (covers about 95 %)")
        return tuple(lines)


def uncertainty_places(expanded: float, *, digits: int) -> int:
    """How many digits behind the point an expanded uncertainty is printed with.

    Parameters
    ----------
    expanded : float [any]
        The expanded uncertainty, above zero.
    digits : int [-]
        Digits behind the point of the readings.

    Returns
    -------
    int [-]
        At most two significant digits of it, and at most one digit more than the readings have.

    Raises
    ------
    OutOfRange
        The uncertainty is not above zero.

    References
    ----------
    JCGM 100:2008, 7.2.6: an uncertainty is given with at most two significant digits.

    Examples
    --------
    >>> uncertainty_places(0.0058, digits=2), uncertainty_places(5.77, digits=0)
    (3, 1)
    """
    if not expanded > 0:
        raise OutOfRange(f"the uncertainty is {expanded:g}; it must be above zero.")
    return max(0, min(digits + 1, 1 - math.floor(math.log10(expanded))))


def coverage_factor(degrees_of_freedom: float) -> float:
    """Factor that widens a standard uncertainty to an interval of about 95 % coverage.

    Parameters
    ----------
    degrees_of_freedom : float [-]
        Effective degrees of freedom, at least 1; infinity for a value known to be normal.

    Returns
    -------
    float [-]
        The t factor for 95.45 %, of the next lower number of degrees of freedom in the table (the safe side).

    Raises
    ------
    OutOfRange
        Fewer degrees of freedom than 1.

    References
    ----------
    JCGM 100:2008, Annex G, Table G.2.

    Examples
    --------
    >>> coverage_factor(2), coverage_factor(float("inf"))
    (4.53, 2.0)
    """
    if degrees_of_freedom < 1:
        raise OutOfRange(f"degrees of freedom {degrees_of_freedom:.3g} are below 1; take another reading.")
    if math.isinf(degrees_of_freedom):
        return 2.0
    row = bisect_right([freedom for freedom, _ in COVERAGE_95_45], degrees_of_freedom) - 1
    return COVERAGE_95_45[row][1]


def estimate(readings: Sequence[float], *, resolution: float) -> Estimate:
    """Mean of repeated readings with the uncertainty of their scatter and of the scale's step.

    Parameters
    ----------
    readings : Sequence[float] [any]
        One or more readings of one quantity, all in one unit.
    resolution : float [any]
        One step of the instrument's scale, in the same unit.

    Returns
    -------
    Estimate [any]
        Mean, standard and expanded uncertainty, in the same unit.

    Raises
    ------
    OutOfRange
        No reading, a reading that is not finite, or a resolution that is not positive.

    Notes
    -----
    Type A: s / sqrt(n) with n - 1 degrees of freedom.
    Type B: a value read to one step lies evenly within it, so step / sqrt(12), known exactly.
    Welch-Satterthwaite joins them, and never below 1 degree of freedom.
    Equal readings have no scatter; then the step alone speaks.

    References
    ----------
    JCGM 100:2008, 4.2 (type A), 4.3.7 and F.2.2.1 (resolution), G.4.1 (effective degrees of freedom).

    Examples
    --------
    >>> found = estimate([0.36, 0.36, 0.36], resolution=0.01)
    >>> round(found.mean, 4), round(found.expanded, 4)
    (0.36, 0.0058)
    """
    if not readings:
        raise OutOfRange("there is no reading; type at least one.")
    if not all(math.isfinite(reading) for reading in readings):
        raise OutOfRange("a reading is not a finite number; type it again.")
    if not resolution > 0:
        raise OutOfRange(f"the step of the scale is {resolution:g}; it must be above zero.")
    count = len(readings)
    mean = math.fsum(readings) / count
    spread = (
        math.sqrt(math.fsum((reading - mean) ** 2 for reading in readings) / (count - 1))
        if count > 1
        else 0.0
    )
    if spread < 1e-9 * resolution:  # equal readings: what is left is rounding of the binary mean
        spread = 0.0
    scatter = spread / math.sqrt(count)
    standard = math.hypot(scatter, resolution / math.sqrt(12))
    freedom = max(1.0, standard**4 / (scatter**4 / (count - 1))) if scatter > 0 else math.inf
    factor = coverage_factor(freedom)
    return Estimate(tuple(readings), resolution, mean, spread, standard, freedom, factor, factor * standard)
