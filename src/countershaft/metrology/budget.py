"""The budget of a measurement: what makes it uncertain, how much each share is, and what they come to together."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.metrology.distributions import t_quantile

__all__ = [
    "NORMAL",
    "RECTANGULAR",
    "STUDENT",
    "USUAL_COVERAGE",
    "Budget",
    "Contribution",
    "combine",
    "coverage_factor",
    "from_certificate",
    "from_half_width",
    "from_repeats",
    "from_step",
]

#: JCGM 100:2008, Table G.2: t factor for a coverage of 95.45 %, by effective degrees of freedom.
#: Digits from memory of the table; tests/metrology holds them against an independent t distribution.
COVERAGE_95_45: Final[tuple[tuple[int, float], ...]] = (
    (1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (6, 2.52), (7, 2.43), (8, 2.37), (9, 2.32), (10, 2.28),
    (11, 2.25), (12, 2.23), (13, 2.21), (14, 2.20), (15, 2.18), (16, 2.17), (17, 2.16), (18, 2.15), (19, 2.14),
    (20, 2.13), (25, 2.11), (30, 2.09), (35, 2.07), (40, 2.06), (45, 2.06), (50, 2.05), (100, 2.025),
)  # fmt: skip
#: The distributions that an input is known by: of few readings, anywhere between limits alike, as a certificate.
STUDENT: Final = "scatter (Student)"
RECTANGULAR: Final = "rectangular"
NORMAL: Final = "normal"
#: The coverage of the printed table, whose factor is 2 for a normal value.
USUAL_COVERAGE: Final = 0.9545


@dataclass(frozen=True, slots=True)
class Contribution:
    """One thing that makes a result uncertain.

    `standard` is the standard uncertainty of the input in its own unit, `sensitivity` how much the result moves per
    unit of it, `how` the formula with its numbers.
    `within` is what was known of the input, a half width for example, and `standard` is that by `divisor`, as the
    `shape` of its distribution asks.
    """

    name: str
    standard: float
    sensitivity: float = 1.0
    degrees_of_freedom: float = math.inf
    how: str = ""
    within: float | None = None
    divisor: str = ""
    shape: str = ""

    @property
    def effect(self) -> float:
        """The standard uncertainty that it gives to the result."""
        return abs(self.sensitivity) * self.standard


@dataclass(frozen=True, slots=True)
class Budget:
    """All contributions with what they come to; `expanded` is the half width that covers `probability`."""

    contributions: tuple[Contribution, ...]
    standard: float
    degrees_of_freedom: float
    probability: float
    factor: float
    expanded: float

    @property
    def shares(self) -> tuple[float, ...]:
        """What part of the variance each contribution has; together 1, or all zero where nothing is uncertain."""
        total = self.standard**2
        return tuple(one.effect**2 / total if total else 0.0 for one in self.contributions)

    @property
    def largest(self) -> Contribution | None:
        """The contribution that is worth working on first."""
        return max(self.contributions, key=lambda one: one.effect, default=None)

    def working(self, unit: str, *, digits: int = 4) -> tuple[str, ...]:
        """The table line by line: each contribution with its effect and share, then the whole."""
        lines = []
        for one, share in zip(self.contributions, self.shares, strict=True):
            slope = "" if one.sensitivity == 1 else f"{one.sensitivity:.3g} · "
            lines.append(
                f"{one.name}: u = {slope}{one.how or f'{one.standard:.3g}'} = {one.effect:.{digits}f} {unit}, "
                f"{_freedom(one.degrees_of_freedom)} degrees of freedom, {100 * share:.0f} % of the variance"
            )
        lines.append(
            f"together u = {self.standard:.{digits}f} {unit}, "
            f"{_freedom(self.degrees_of_freedom)} degrees of freedom"
        )
        covered = f"{100 * self.probability:.4g} %"
        lines.append(f"U = {self.factor:.2f} · u = {self.expanded:.{digits}f} {unit} (covers {covered})")
        return tuple(lines)


def _freedom(figure: float) -> str:
    return "∞" if math.isinf(figure) else f"{figure:.3g}"


def combine(contributions: Sequence[Contribution], *, probability: float = USUAL_COVERAGE) -> Budget:
    """Join independent contributions to a combined and an expanded uncertainty.

    Parameters
    ----------
    contributions : Sequence[Contribution]
        What makes the result uncertain.
    probability : float [-]
        How much the expanded uncertainty shall cover.

    Returns
    -------
    Budget
        The contributions, the combined standard uncertainty, its effective degrees of freedom and its expansion.

    Raises
    ------
    OutOfRange
        A contribution is negative or not finite, or has less than one degree of freedom.

    Notes
    -----
    u² = Σ (c u)², and the effective degrees of freedom are u⁴ / Σ ((c u)⁴ / ν) (Welch-Satterthwaite).

    References
    ----------
    JCGM 100:2008, 5.1.2 (independent inputs), 6.2 (expanded uncertainty), G.4.1 (effective degrees of freedom).

    Examples
    --------
    >>> both = combine([Contribution("repeats", 0.003, degrees_of_freedom=4), Contribution("scale", 0.004)])
    >>> round(both.standard, 6), round(both.degrees_of_freedom, 1), [round(share, 2) for share in both.shares]
    (0.005, 30.9, [0.36, 0.64])
    """
    for one in contributions:
        if not (one.standard >= 0 and math.isfinite(one.effect)):
            raise OutOfRange(
                f"{one.name}: the uncertainty {one.standard:g} must be zero or above, and finite."
            )
        if not one.degrees_of_freedom >= 1:
            raise OutOfRange(
                f"{one.name}: degrees of freedom {one.degrees_of_freedom:g} are below 1; take another reading."
            )
    standard = math.hypot(*(one.effect for one in contributions))
    scale = standard or 1.0
    parts = math.fsum((one.effect / scale) ** 4 / one.degrees_of_freedom for one in contributions)
    # A sum can fall below the freedom of its parts only by rounding: Welch-Satterthwaite never does.
    freedom = max(1.0, 1.0 / parts) if parts > 0 else math.inf
    factor = coverage_factor(freedom, probability=probability)
    return Budget(tuple(contributions), standard, freedom, probability, factor, factor * standard)


def coverage_factor(degrees_of_freedom: float, *, probability: float = USUAL_COVERAGE) -> float:
    """Factor that widens a standard uncertainty to an interval of a wanted coverage.

    Parameters
    ----------
    degrees_of_freedom : float [-]
        Effective degrees of freedom, at least 1; infinity for a value known to be normal.
    probability : float [-]
        The coverage; 0.9545 gives the printed table with its factor 2 for a normal value.

    Returns
    -------
    float [-]
        The t factor, of the next lower number of degrees of freedom (the safe side): of the printed table for
        95.45 %, of the next whole number for every other coverage.

    Raises
    ------
    OutOfRange
        Fewer degrees of freedom than 1, or a coverage that is not inside 0 to 1.

    References
    ----------
    JCGM 100:2008, G.4.1 and Table G.2.

    Examples
    --------
    >>> coverage_factor(2), coverage_factor(float("inf")), round(coverage_factor(16.7, probability=0.99), 2)
    (4.53, 2.0, 2.92)
    """
    if degrees_of_freedom < 1:
        raise OutOfRange(f"degrees of freedom {degrees_of_freedom:.3g} are below 1; take another reading.")
    if not 0 < probability < 1:
        raise OutOfRange(f"the coverage {probability:g} is not inside 0 to 1.")
    if probability != USUAL_COVERAGE:
        whole = degrees_of_freedom if math.isinf(degrees_of_freedom) else math.floor(degrees_of_freedom)
        return t_quantile(0.5 + 0.5 * probability, degrees_of_freedom=whole)
    if math.isinf(degrees_of_freedom):
        return 2.0
    row = bisect_right([freedom for freedom, _ in COVERAGE_95_45], degrees_of_freedom) - 1
    return COVERAGE_95_45[row][1]


def from_repeats(spread: float, count: int, *, name: str = "repeats") -> Contribution:
    """The scatter of repeated readings, as the uncertainty of their mean (type A).

    Parameters
    ----------
    spread : float [any]
        Standard deviation of single readings, with n - 1.
    count : int [-]
        How many readings the mean is of; with fewer than two nothing is known about scatter.
    name : str
        What stands in the table.

    Returns
    -------
    Contribution
        s / √n with n - 1 degrees of freedom.

    Raises
    ------
    OutOfRange
        Fewer than two readings.

    References
    ----------
    JCGM 100:2008, 4.2.3 and 4.2.6.

    Examples
    --------
    >>> from_repeats(0.01, 4).standard, from_repeats(0.01, 4).degrees_of_freedom
    (0.005, 3)
    """
    if count < 2:
        raise OutOfRange(f"{name}: {count} readings have no scatter; take at least two.")
    how, root = f"{spread:.3g} / √{count}", f"√{count}"
    return Contribution(name, spread / math.sqrt(count), 1.0, count - 1, how, spread, root, STUDENT)


def from_half_width(
    name: str, half_width: float, *, sensitivity: float = 1.0, doubt: float = 0.0
) -> Contribution:
    """A value known to lie within plus or minus a, anywhere alike (type B, rectangular).

    Parameters
    ----------
    name : str
        What stands in the table.
    half_width : float [any]
        Half the width of the interval.
    sensitivity : float [any]
        How much the result moves per unit of the input.
    doubt : float [-]
        How far the half width itself may be off, as a part of it; 0 where it is known.

    Returns
    -------
    Contribution
        a / √3 with 1 / (2 doubt²) degrees of freedom.

    Raises
    ------
    OutOfRange
        The half width is negative, or the doubt is not from 0 to 0.7, where one degree of freedom is left.

    References
    ----------
    JCGM 100:2008, 4.3.7 (rectangular), G.4.2 (degrees of freedom of a judgement).

    Examples
    --------
    Half a quarter off leaves eight degrees of freedom (JCGM 100, G.4.2, example):

    >>> from_half_width("indicator", 0.01, doubt=0.25).degrees_of_freedom
    8.0
    """
    if half_width < 0 or not 0 <= doubt <= 0.7:
        raise OutOfRange(f"{name}: half width {half_width:g} and doubt {doubt:g} must be zero or above.")
    freedom = 0.5 / doubt**2 if doubt else math.inf
    how = f"{half_width:.3g} / √3"
    return Contribution(
        name, half_width / math.sqrt(3), sensitivity, freedom, how, half_width, "√3", RECTANGULAR
    )


def from_step(step: float, *, name: str = "step of the scale", sensitivity: float = 1.0) -> Contribution:
    """A value read to the nearest step of a scale (type B).

    Parameters
    ----------
    step : float [any]
        One step, above zero.
    name : str
        What stands in the table.
    sensitivity : float [any]
        How much the result moves per unit of the input.

    Returns
    -------
    Contribution
        step / √12, known exactly.

    Raises
    ------
    OutOfRange
        The step is not above zero.

    References
    ----------
    JCGM 100:2008, F.2.2.1.

    Examples
    --------
    >>> round(from_step(0.01).standard, 6)
    0.002887
    """
    if not step > 0:
        raise OutOfRange(f"the step of the scale is {step:g}; it must be above zero.")
    how = f"{step:g} / √12"
    return Contribution(name, step / math.sqrt(12), sensitivity, math.inf, how, step / 2, "√3", RECTANGULAR)


def from_certificate(
    name: str, expanded: float, *, factor: float = 2.0, sensitivity: float = 1.0
) -> Contribution:
    """An uncertainty as a calibration certificate states it.

    Parameters
    ----------
    name : str
        What stands in the table.
    expanded : float [any]
        The expanded uncertainty U.
    factor : float [-]
        Its coverage factor k, above zero.
    sensitivity : float [any]
        How much the result moves per unit of the input.

    Returns
    -------
    Contribution
        U / k.

    Raises
    ------
    OutOfRange
        U is negative or k is not above zero.

    References
    ----------
    JCGM 100:2008, 4.3.3.

    Examples
    --------
    >>> from_certificate("gauge block", 75e-9, factor=3).standard
    2.5e-08
    """
    if expanded < 0 or not factor > 0:
        raise OutOfRange(f"{name}: U = {expanded:g} with k = {factor:g} is no stated uncertainty.")
    how, divisor = f"{expanded:.3g} / {factor:g}", f"{factor:g}"
    return Contribution(name, expanded / factor, sensitivity, math.inf, how, expanded, divisor, NORMAL)
