"""Dimension chains: what a gap can be when every dimension in it may lie anywhere within its limits.

Worst case adds the limits, root sum square adds the variances, and the simulation draws every dimension from its own
distribution.  Each answer carries the share of every contributor, so that one sees which dimension to measure better.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from types import MappingProxyType
from typing import Final, Literal

from countershaft.errors import OutOfRange

__all__ = ["Link", "Shape", "Simulated", "StackUp", "simulate", "stack_up"]

Shape = Literal["normal", "rectangular", "triangular"]

#: Half width over standard deviation of the shapes that end at their limits: JCGM 100:2008, 4.3.7 and 4.3.9.
ENDED: Final[Mapping[str, float]] = MappingProxyType(
    {"rectangular": math.sqrt(3.0), "triangular": math.sqrt(6.0)}
)


@dataclass(frozen=True, slots=True)
class Link:
    """One dimension of a chain.

    It lies between `nominal + lower` and `nominal + upper` [any], and adds `sensitivity` [-] times itself to the gap:
    1 and -1 for the plain sum.  For a normal shape the limits stand `coverage` standard deviations from their middle.
    """

    name: str
    nominal: float
    lower: float
    upper: float
    sensitivity: float = 1.0
    shape: Shape = "rectangular"
    coverage: float = 3.0

    def __post_init__(self) -> None:
        figures = (self.nominal, self.lower, self.upper, self.sensitivity)
        if not all(math.isfinite(figure) for figure in figures):
            raise OutOfRange(f"a figure of {self.name} is not finite; type it again.")
        if self.lower > self.upper:
            raise OutOfRange(
                f"the lower deviation {self.lower:g} of {self.name} is above the upper {self.upper:g}; swap them."
            )
        if not self.coverage > 0:
            raise OutOfRange(
                f"the coverage factor of {self.name} is {self.coverage:g}; it must be above zero."
            )

    @property
    def middle(self) -> float:
        """Middle of the limits."""
        return self.nominal + (self.lower + self.upper) / 2

    @property
    def half(self) -> float:
        """Half the width of the limits."""
        return (self.upper - self.lower) / 2

    @property
    def standard(self) -> float:
        """Standard deviation of the dimension itself."""
        return self.half / ENDED.get(self.shape, self.coverage)


@dataclass(frozen=True, slots=True)
class StackUp:
    """What a chain of dimensions adds up to, in the unit of the chain.

    `worst` are the limits when all dimensions lie at their bad ends together; `statistical` the middle plus and minus
    `coverage` times the root of the sum of squares.  The shares are fractions of one: of the width of the worst case
    (`worst_share`), and of the variance (`variance_share`).
    """

    nominal: float
    middle: float
    worst: tuple[float, float]
    standard: float
    coverage: float
    statistical: tuple[float, float]
    worst_share: Mapping[str, float]
    variance_share: Mapping[str, float]
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Simulated:
    """What a simulation of a chain gave, in the unit of the chain.

    `interval` holds 95 % of the draws, half of the rest on either side; `inside` is the fraction between the limits
    asked for, None where none were asked.
    """

    trials: int
    seed: int
    mean: float
    standard: float
    interval: tuple[float, float]
    inside: float | None


def stack_up(links: Sequence[Link], *, coverage: float = 3.0) -> StackUp:
    """Add up a chain of dimensions: worst case and root sum square, with the share of every contributor.

    Parameters
    ----------
    links : Sequence[Link] (n,) [any]
        The dimensions, all in one unit, each with its own name.
    coverage : float [-]
        How many standard deviations the statistical limits stand from the middle.

    Returns
    -------
    StackUp [any]
        Nominal, limits and shares, in the unit of the chain.

    Raises
    ------
    OutOfRange
        The chain is empty, two links have one name, or the coverage is not above zero.

    Notes
    -----
    The root of the sum of squares holds for dimensions that know nothing of each other.
    Where one measured dimension is added several times, give one link with a larger sensitivity.

    References
    ----------
    JCGM 100:2008, 5.1.2 (law of propagation); the worst case is the sum of |sensitivity| times half widths.

    Examples
    --------
    A bore 30 H7 and a shaft 30 g6, in micrometres: the clearance lies between 7 and 41.

    >>> fit = stack_up([Link("bore", 0, 0, 21), Link("shaft", 0, -20, -7, sensitivity=-1)])
    >>> fit.worst
    (7.0, 41.0)
    """
    _check(links, coverage)
    terms = [(one, one.sensitivity) for one in links]
    nominal = math.fsum(c * one.nominal for one, c in terms)
    middle = math.fsum(c * one.middle for one, c in terms)
    half = math.fsum(abs(c) * one.half for one, c in terms)
    standard = math.hypot(*(c * one.standard for one, c in terms))
    worst_share = {one.name: abs(c) * one.half / half if half else 0.0 for one, c in terms}
    variance_share = {one.name: (c * one.standard / standard) ** 2 if standard else 0.0 for one, c in terms}
    spread = coverage * standard
    return StackUp(
        nominal=nominal,
        middle=middle,
        worst=(middle - half, middle + half),
        standard=standard,
        coverage=coverage,
        statistical=(middle - spread, middle + spread),
        worst_share=MappingProxyType(worst_share),
        variance_share=MappingProxyType(variance_share),
        working=_working(links, middle, half, standard, coverage),
    )


def simulate(
    links: Sequence[Link],
    *,
    seed: int,
    trials: int = 100_000,
    lower: float | None = None,
    upper: float | None = None,
) -> Simulated:
    """Draw every dimension of a chain many times, and see what the sums come to.

    Parameters
    ----------
    links : Sequence[Link] (n,) [any]
        The dimensions, all in one unit, each with its own name.
    seed : int [-]
        Where the random numbers begin; one seed gives one answer.
    trials : int [-]
        How often the chain is drawn, at least 1 000.
    lower, upper : float, optional [any]
        Limits of the gap, included; the fraction between them is counted.

    Returns
    -------
    Simulated [any]
        Mean, standard deviation, 95 % interval and the fraction inside.

    Raises
    ------
    OutOfRange
        The chain is empty, two links have one name, there are too few trials, or the limits are the wrong way round.

    References
    ----------
    JCGM 101:2008, 5.9 and 7.5 (propagation of distributions by Monte Carlo), 7.7 (coverage interval).

    Examples
    --------
    Four dimensions of standard deviation 1 give 2 (JCGM 101:2008, 9.2.2):

    >>> found = simulate([Link(name, 0, -1, 1, shape="normal", coverage=1) for name in "abcd"], seed=1)
    >>> round(found.standard, 1)
    2.0
    """
    _check(links, 1.0)
    if trials < 1000:
        raise OutOfRange(f"{trials} trials are too few for an interval; ask for 1 000 or more.")
    if lower is not None and upper is not None and lower > upper:
        raise OutOfRange(f"the lower limit {lower:g} is above the upper limit {upper:g}; swap them.")
    chance = Random(seed)  # noqa: S311 - chance for a simulation, no secret
    draws = [_draw(one, chance) for one in links]
    sums = sorted(math.fsum(draw() for draw in draws) for _ in range(trials))
    mean = math.fsum(sums) / trials
    standard = math.sqrt(math.fsum((one - mean) ** 2 for one in sums) / (trials - 1))
    cut = round(0.025 * trials)
    inside = None
    if lower is not None or upper is not None:
        first = 0 if lower is None else bisect_left(sums, lower)
        last = trials if upper is None else bisect_right(sums, upper)
        inside = (last - first) / trials
    return Simulated(trials, seed, mean, standard, (sums[cut], sums[trials - cut - 1]), inside)


def _check(links: Sequence[Link], coverage: float) -> None:
    if not links:
        raise OutOfRange("the chain has no dimension; give at least one.")
    names = [one.name for one in links]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise OutOfRange(f"two dimensions of the chain are called {twice}; give each its own name.")
    if not coverage > 0:
        raise OutOfRange(f"the coverage factor is {coverage:g}; it must be above zero.")


def _draw(link: Link, chance: Random) -> Callable[[], float]:
    """How one link, times its sensitivity, is drawn."""
    middle, half, factor = link.middle, link.half, link.sensitivity
    if link.shape == "normal":
        return lambda: factor * chance.gauss(middle, link.standard)
    if link.shape == "rectangular":
        return lambda: factor * chance.uniform(middle - half, middle + half)
    return lambda: factor * chance.triangular(middle - half, middle + half, middle)


def _working(
    links: Sequence[Link], middle: float, half: float, standard: float, coverage: float
) -> tuple[str, ...]:
    """The sums with their numbers, line by line."""
    terms = " ".join(
        f"{'−' if one.sensitivity < 0 else '+'} "
        + (f"{abs(one.sensitivity):g}·" if abs(one.sensitivity) != 1 else "")
        + f"{one.middle:g} ({one.name})"
        for one in links
    )
    squares = " + ".join(f"({abs(one.sensitivity) * one.standard:.4g})²" for one in links)
    widths = " + ".join(f"{abs(one.sensitivity) * one.half:g}" for one in links)
    low, high = middle - coverage * standard, middle + coverage * standard
    return (
        f"middle = {terms.removeprefix('+ ')} = {middle:g}",
        f"worst case = {middle:g} ± ({widths}) = {middle - half:g} to {middle + half:g}",
        f"u = √({squares}) = {standard:.4g}",
        f"root sum square = {middle:g} ± {coverage:g}·u = {low:.6g} to {high:.6g}",
    )
