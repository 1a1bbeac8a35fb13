"""Roundness of a measured circle: by least squares and by the minimum zone, with its proof."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit, length_words
from countershaft.metrology.hull import Coordinate, whole_numbers
from countershaft.metrology.narrowest_ring import Centre, ring_centres

__all__ = ["Ring", "Roundness", "circle_of_least_squares", "roundness", "roundness_of_readings"]

Point = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Ring:
    """Two circles about one centre that hold all points between them, in the unit of the points.

    `outer` and `inner` are the places of the points that touch; `deviations` are the distances of all points from
    the circle of mean radius.
    """

    width: float
    centre: tuple[float, float]
    radius: float
    deviations: tuple[float, ...]
    outer: tuple[int, ...]
    inner: tuple[int, ...]

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """The width with its two parts, the centre, and the places that touch, counted from 1."""
        out, in_ = (", ".join(str(place + 1) for place in side) for side in (self.outer, self.inner))
        parts = " + ".join(
            length_words(part, unit, extra=2) for part in (max(self.deviations), -min(self.deviations))
        )
        x, y = (length_words(part, unit, extra=2) for part in self.centre)
        width = length_words(self.width, unit, extra=2)
        return (
            f"width = farthest outside + farthest inside the mean circle = {parts} = {width}",
            f"centre {x}, {y}; touching outside: place {out}; inside: place {in_}",
        )


@dataclass(frozen=True, slots=True)
class Roundness:
    """One measured circle judged both ways.

    The minimum zone is the deviation that a limit on a drawing means; least squares is the steadier figure.
    """

    least_squares: Ring
    minimum: Ring

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """Both rings with their parts, line by line."""
        return (
            *(f"minimum zone: {line}" for line in self.minimum.working(unit)),
            *(f"least squares: {line}" for line in self.least_squares.working(unit)),
        )


def circle_of_least_squares(points: Sequence[tuple[Coordinate, Coordinate]]) -> tuple[float, float, float]:
    """Centre and radius of the circle with the least sum of squared distances to the points.

    Parameters
    ----------
    points : Sequence[tuple[Coordinate, Coordinate]] (n, 2) [m]
        At least three points, not on one line.

    Returns
    -------
    tuple[float, float, float] [m]
        Centre x, centre y, radius.

    Raises
    ------
    OutOfRange
        Fewer than three points, or all on one line.

    Notes
    -----
    Starts at the algebraic fit (a linear problem) and improves it by damped Gauss-Newton steps on the true
    distances.

    References
    ----------
    W. Gander, G. H. Golub and R. Strebel, Least-squares fitting of circles and ellipses, BIT 34 (1994) 558-578.

    Examples
    --------
    >>> [round(part, 6) for part in circle_of_least_squares([(1, 0), (0, 1), (-1, 0), (0, -1)])]
    [0.0, 0.0, 1.0]
    """
    whole, _ = whole_numbers(points)
    if len(set(whole)) < 3 or not any(_turn(whole[0], b, c) for b in whole for c in whole):
        raise OutOfRange("a circle needs at least three points that are not on one line.")
    mean_x = math.fsum(float(x) for x, _ in points) / len(points)
    mean_y = math.fsum(float(y) for _, y in points) / len(points)
    shifted = [(float(x) - mean_x, float(y) - mean_y) for x, y in points]
    size = max(math.hypot(*point) for point in shifted)
    unit = [(x / size, y / size) for x, y in shifted]
    centre = _algebraic(unit)
    for _ in range(200):
        step = _newton_step(unit, centre)
        while _scatter(unit, (centre[0] + step[0], centre[1] + step[1])) > _scatter(unit, centre):
            step = (step[0] / 2, step[1] / 2)
            if math.hypot(*step) < 1e-17:
                break
        centre = (centre[0] + step[0], centre[1] + step[1])
        if math.hypot(*step) < 1e-15:
            break
    radius = _mean_radius(unit, centre)
    return centre[0] * size + mean_x, centre[1] * size + mean_y, radius * size


def roundness(points: Sequence[tuple[Coordinate, Coordinate]]) -> Roundness:
    """Roundness deviation of a circle from measured points.

    Parameters
    ----------
    points : Sequence[tuple[Coordinate, Coordinate]] (n, 2) [m]
        At least four different points all round.

    Returns
    -------
    Roundness [m]
        Least squares and minimum zone.

    Raises
    ------
    OutOfRange
        Fewer than four points, a coordinate that is not finite, or points that leave half of the circle open.

    Notes
    -----
    The centre of the narrowest ring has two points on each circle, or three on one: it stands where an edge of the
    diagram of farthest points meets an edge of the diagram of nearest points, or at a corner of one of the two.
    All these places are found in whole numbers and tried; so the answer is the minimum, to the last digit or two
    of a float.  Readings that scatter on their own with standard uncertainty u move the width by at most about √2 u.

    References
    ----------
    ISO 12181-1:2011, 3.3 (minimum zone and least squares reference circles); H. Ebara, N. Fukuyama, H. Nakano and
    Y. Nakanishi, Roundness algorithms using the Voronoi diagrams, 1st Canadian Conference on Computational
    Geometry (1989) 41.

    Examples
    --------
    >>> found = roundness([(10, 0), (0, 10.02), (-10, 0), (0, -10.02)])
    >>> round(found.minimum.width, 6)
    0.02
    """
    whole, factor = whole_numbers(points)
    if len(set(whole)) < 4:
        raise OutOfRange(f"{len(set(whole))} different points are given; roundness needs at least four.")
    x, y, _ = circle_of_least_squares(points)
    if _widest_gap([(float(a) - x, float(b) - y) for a, b in points]) >= math.pi:
        raise OutOfRange("the points leave half of the circle open; measure all round.")
    middle = (Fraction(x) * factor, Fraction(y) * factor)
    least = _ring(whole, factor, middle)
    found = sorted(set(whole), key=lambda point: math.dist(point, middle))
    best = min([middle, *ring_centres(found)], key=lambda centre: _width(found, factor, centre))
    return Roundness(least, _ring(whole, factor, best))


def roundness_of_readings(angles: Sequence[float], readings: Sequence[float], *, radius: float) -> Roundness:
    """Roundness deviation from an indicator that is swept round (or a part turned under it).

    Parameters
    ----------
    angles : Sequence[float] (n,) [rad]
        Where each reading was taken.
    readings : Sequence[float] (n,) [m]
        The readings; + where the surface lies farther out.
    radius : float [m]
        Radius at reading zero, as near as it is known.

    Returns
    -------
    Roundness [m]
        Least squares and minimum zone; eccentricity of the set-up is taken out by both.

    Raises
    ------
    OutOfRange
        The lists differ in length, the radius is not above the readings, or what `roundness` refuses.

    References
    ----------
    ISO 12181-1:2011; ISO 4291:1985 (measurement of departures from roundness by variation of radius).

    Examples
    --------
    An oval of 0.02 mm on a radius of 25 mm:

    >>> import math
    >>> turns = [math.radians(30 * place) for place in range(12)]
    >>> oval = [0.01e-3 * math.cos(2 * turn) for turn in turns]
    >>> round(roundness_of_readings(turns, oval, radius=25e-3).minimum.width * 1e3, 4)
    0.02
    """
    if len(angles) != len(readings):
        raise OutOfRange(
            f"{len(angles)} angles but {len(readings)} readings are given; each place needs both."
        )
    if not radius > max((abs(reading) for reading in readings), default=0.0):
        raise OutOfRange(f"the radius is {radius:g}; it must be larger than every reading.")
    return roundness(
        [
            ((radius + reading) * math.cos(angle), (radius + reading) * math.sin(angle))
            for angle, reading in zip(angles, readings, strict=True)
        ]
    )


# --- least squares ------------------------------------------------------------------------------------------


def _turn(a: Point, b: Point, c: Point) -> int:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _algebraic(points: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Centre with the least sum of squared (x² + y² - 2ax - 2by - c), for points about their mean."""
    xx = math.fsum(x * x for x, _ in points)
    yy = math.fsum(y * y for _, y in points)
    xy = math.fsum(x * y for x, y in points)
    right_x = math.fsum(x * (x * x + y * y) for x, y in points) / 2
    right_y = math.fsum(y * (x * x + y * y) for x, y in points) / 2
    whole = xx * yy - xy * xy
    if not whole > 0:
        return 0.0, 0.0
    return (right_x * yy - right_y * xy) / whole, (right_y * xx - right_x * xy) / whole


def _mean_radius(points: Sequence[tuple[float, float]], centre: tuple[float, float]) -> float:
    return math.fsum(math.dist(point, centre) for point in points) / len(points)


def _scatter(points: Sequence[tuple[float, float]], centre: tuple[float, float]) -> float:
    radius = _mean_radius(points, centre)
    return math.fsum((math.dist(point, centre) - radius) ** 2 for point in points)


def _newton_step(points: Sequence[tuple[float, float]], centre: tuple[float, float]) -> tuple[float, float]:
    """The Gauss-Newton step of the centre, the mean radius taken out beforehand."""
    radii = [math.dist(point, centre) or 1e-300 for point in points]
    ways = [((x - centre[0]) / r, (y - centre[1]) / r) for (x, y), r in zip(points, radii, strict=True)]
    count = len(points)
    mean = (math.fsum(u for u, _ in ways) / count, math.fsum(v for _, v in ways) / count)
    radius = math.fsum(radii) / count
    rows = [(u - mean[0], v - mean[1], r - radius) for (u, v), r in zip(ways, radii, strict=True)]
    uu = math.fsum(u * u for u, _, _ in rows)
    vv = math.fsum(v * v for _, v, _ in rows)
    uv = math.fsum(u * v for u, v, _ in rows)
    ur = math.fsum(u * r for u, _, r in rows)
    vr = math.fsum(v * r for _, v, r in rows)
    whole = uu * vv - uv * uv
    if not whole > 1e-30:
        return 0.0, 0.0
    return (ur * vv - vr * uv) / whole, (vr * uu - ur * uv) / whole


def _widest_gap(ways: Sequence[tuple[float, float]]) -> float:
    turns = sorted(math.atan2(y, x) for x, y in ways)
    return max(b - a for a, b in zip(turns, [*turns[1:], turns[0] + 2 * math.pi], strict=True))


# --- minimum zone -------------------------------------------------------------------------------------------


def _squares(points: Sequence[Point], factor: int, centre: Centre) -> list[Fraction]:
    """Squared distances of the points from a centre, in the unit before they were multiplied."""
    return [((x - centre[0]) ** 2 + (y - centre[1]) ** 2) / factor**2 for x, y in points]


def _width(points: Sequence[Point], factor: int, centre: Centre) -> float:
    """Width of the ring about a centre: the difference of the squares is exact, so nothing cancels."""
    squares = [(x - centre[0]) ** 2 + (y - centre[1]) ** 2 for x, y in points]
    high, low = max(squares) / factor**2, min(squares) / factor**2
    return float(high - low) / (math.sqrt(high) + math.sqrt(low))


def _ring(points: Sequence[Point], factor: int, centre: Centre) -> Ring:
    squares = _squares(points, factor, centre)
    high, low = max(squares), min(squares)
    radius = math.fsum(math.sqrt(square) for square in squares) / len(squares)
    # The mean radius is a float; each point's distance from it is again told by a difference of squares.
    exact = Fraction(radius) ** 2
    return Ring(
        width=_width(points, factor, centre),
        centre=(float(centre[0] / factor), float(centre[1] / factor)),
        radius=radius,
        deviations=tuple(float(square - exact) / (math.sqrt(square) + radius) for square in squares),
        outer=tuple(place for place, square in enumerate(squares) if square == high),
        inner=tuple(place for place, square in enumerate(squares) if square == low),
    )
