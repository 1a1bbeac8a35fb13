"""Two parallel planes or lines that hold all measured points between them, and the least squares direction."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from countershaft.metrology.clock_face import LengthUnit, length_words
from countershaft.metrology.hull import Coordinate, dot

__all__ = ["Zone", "least_squares_normal", "zone_across"]


@dataclass(frozen=True, slots=True)
class Zone:
    """The space between two parallel planes (lines) that just holds all points.

    `width` and the deviations are in the unit of the points; `normal` has length 1 and points up (its last
    component is not negative).  `deviations` are the distances of the points from the mean plane of this
    direction; `upper` and `lower` are the points that touch.  `squared` is the exact square of the width.
    """

    width: float
    normal: tuple[float, ...]
    deviations: tuple[float, ...]
    upper: tuple[int, ...]
    lower: tuple[int, ...]
    squared: Fraction

    @property
    def peak(self) -> float:
        """How far the highest point stands above the mean plane."""
        return max(self.deviations)

    @property
    def valley(self) -> float:
        """How far the lowest point stands below the mean plane."""
        return -min(self.deviations)

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """The width with its two parts, and the places that touch, counted from 1."""
        above, below = (", ".join(str(place + 1) for place in side) for side in (self.upper, self.lower))
        parts = f"{length_words(self.peak, unit, extra=2)} + {length_words(self.valley, unit, extra=2)}"
        return (
            f"width = highest above + lowest below the mean = {parts} = {length_words(self.width, unit, extra=2)}",
            f"touching above: place {above}; below: place {below}",
        )


def zone_across(points: Sequence[tuple[int, ...]], factor: int, direction: Sequence[int]) -> Zone:
    """The zone whose planes stand square to one direction.

    Parameters
    ----------
    points : Sequence[tuple[int, ...]] (n, d) [any]
        The points times `factor`, in whole numbers.
    factor : int [-]
        By what the points were multiplied.
    direction : Sequence[int] (d,) [any]
        The direction, of any length but zero.

    Returns
    -------
    Zone [any]
        The zone, in the unit of the points before they were multiplied.

    Examples
    --------
    >>> zone_across([(0, 0), (4, 2), (8, 0)], 2, (0, 1)).width
    1.0
    """
    up = next((part for part in reversed(direction) if part), 1)
    direction = direction if up > 0 else [-part for part in direction]
    levels = [dot(direction, point) for point in points]
    high, low = max(levels), min(levels)
    length = Fraction(math.isqrt(dot(direction, direction) << 128), 1 << 64)
    squared = Fraction((high - low) ** 2, dot(direction, direction) * factor**2)
    mean = Fraction(sum(levels), len(levels))
    scale = 1 / (factor * length)
    return Zone(
        width=math.sqrt(squared),
        normal=tuple(float(part / length) for part in direction),
        deviations=tuple(float((level - mean) * scale) for level in levels),
        upper=tuple(place for place, level in enumerate(levels) if level == high),
        lower=tuple(place for place, level in enumerate(levels) if level == low),
        squared=squared,
    )


def least_squares_normal(points: Sequence[Sequence[Coordinate]]) -> tuple[float, ...]:
    """The direction in which points scatter least: the normal of their plane or line of least squares.

    Parameters
    ----------
    points : Sequence[Sequence[Coordinate]] (n, d) [any]
        Points in the plane or in space.

    Returns
    -------
    tuple[float, ...] [-]
        Unit normal: the sum of the squared distances square to the plane is least.

    Notes
    -----
    The smallest principal axis of the scatter about the centroid, by Jacobi rotations, which keep small principal
    values next to large ones; the scatter itself is added up exactly.

    References
    ----------
    ISO 12781-1:2011 and ISO 12780-1:2011 (reference plane and line of least squares: distances square to it);
    G. H. Golub and C. F. Van Loan, Matrix Computations, 4th ed. (2013), 8.5 (Jacobi).

    Examples
    --------
    >>> [round(abs(part), 6) for part in least_squares_normal([(0, 0), (1, 1), (2, 2)])]
    [0.707107, 0.707107]
    """
    size = len(points[0])
    exact = [[Fraction(value) for value in point] for point in points]
    middle = [sum(column, Fraction(0)) / len(points) for column in zip(*exact, strict=True)]
    centred = [[value - mean for value, mean in zip(point, middle, strict=True)] for point in exact]
    scatter = [
        [float(sum((row[i] * row[j] for row in centred), Fraction(0))) for j in range(size)]
        for i in range(size)
    ]
    axes = [[float(i == j) for j in range(size)] for i in range(size)]
    for _ in range(60):
        if all(abs(scatter[p][q]) <= 1e-300 for p, q in combinations(range(size), 2)):
            break
        for p, q in combinations(range(size), 2):
            _rotate(scatter, axes, p, q)
    least = min(range(size), key=lambda place: scatter[place][place])
    return tuple(row[least] for row in axes)


def _rotate(scatter: list[list[float]], axes: list[list[float]], p: int, q: int) -> None:
    """One Jacobi rotation that takes the scatter between two axes away."""
    if scatter[p][q] == 0:
        return
    ratio = (scatter[q][q] - scatter[p][p]) / (2 * scatter[p][q])
    tangent = math.copysign(1, ratio) / (abs(ratio) + math.hypot(1, ratio))
    cosine = 1 / math.hypot(1, tangent)
    sine = tangent * cosine
    shift = tangent * scatter[p][q]
    scatter[p][p] -= shift
    scatter[q][q] += shift
    scatter[p][q] = scatter[q][p] = 0.0
    for other in set(range(len(axes))) - {p, q}:
        a, b = scatter[other][p], scatter[other][q]
        scatter[other][p] = scatter[p][other] = cosine * a - sine * b
        scatter[other][q] = scatter[q][other] = sine * a + cosine * b
    for row in axes:
        row[p], row[q] = cosine * row[p] - sine * row[q], sine * row[p] + cosine * row[q]
