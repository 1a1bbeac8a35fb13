"""Flatness of a face: by least squares and by the exact minimum zone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit
from countershaft.metrology.hull import Coordinate, cross, dot, hull_faces, minus, whole_numbers
from countershaft.metrology.zone import Zone, least_squares_normal, zone_across

__all__ = ["Flatness", "flatness", "flatness_of_grid"]

Whole = tuple[int, ...]
Face = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Flatness:
    """One measured face judged both ways, in the unit of the readings.

    The minimum zone is the deviation that a limit on a drawing means; least squares is the steadier figure.
    """

    least_squares: Zone
    minimum: Zone

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """Both zones with their parts, line by line."""
        return (
            *(f"minimum zone: {line}" for line in self.minimum.working(unit)),
            *(f"least squares: {line}" for line in self.least_squares.working(unit)),
        )


def flatness(points: Sequence[tuple[Coordinate, Coordinate, Coordinate]]) -> Flatness:
    """Flatness deviation of a face from points measured on it.

    Parameters
    ----------
    points : Sequence[tuple[Coordinate, Coordinate, Coordinate]] (n, 3) [m]
        Place on the face (x, y) and height z above any plane reference; at least four points.

    Returns
    -------
    Flatness [m]
        Least squares and minimum zone.

    Raises
    ------
    OutOfRange
        Fewer than four points, a coordinate that is not finite, or all places on one line.

    Notes
    -----
    The narrowest pair of parallel planes either lies on a face of the convex hull and touches a corner opposite,
    or lies on two edges of it that pass each other.  All such pairs are tried and their widths compared as
    fractions, so the answer is the minimum and not near it.  Readings that scatter on their own with standard
    uncertainty u move the width by at most √2 u.

    References
    ----------
    ISO 12781-1:2011, 3.2 (minimum zone and least squares reference planes), ISO 1101:2017 (flatness);
    M. E. Houle and G. T. Toussaint, Computing the width of a set, IEEE PAMI 10 (1988) 761-765.

    Examples
    --------
    Three corners level, the middle high:

    >>> found = flatness([(0, 0, 0), (90, 0, 0), (0, 90, 0), (30, 30, 0.012)])
    >>> round(found.minimum.width, 6)
    0.012
    """
    if len(points) < 4:
        raise OutOfRange(
            f"{len(points)} points are given; flatness needs at least four, three always lie on a plane."
        )
    whole, factor = whole_numbers(points)
    places = [(*minus(point[:2], whole[0][:2]), 0) for point in whole]
    if not any(any(cross(a, b)) for a, b in combinations(places, 2)):
        raise OutOfRange(
            "all places stand on one line of the face; spread them over it, or ask for straightness."
        )
    fitted, _ = whole_numbers([least_squares_normal(points)])
    least = zone_across(whole, factor, fitted[0])
    faces = hull_faces(whole)
    if not faces:
        return Flatness(least, zone_across(whole, factor, _common_normal(whole)))
    return Flatness(least, zone_across(whole, factor, _narrowest(whole, faces)))


def flatness_of_grid(
    rows: Sequence[Sequence[Coordinate | None]], *, step_x: float, step_y: float
) -> Flatness:
    """Flatness deviation of a face from readings on a regular grid.

    Parameters
    ----------
    rows : Sequence[Sequence[Coordinate | None]] (rows, columns) [m]
        Heights, row by row; None where there is a hole or nothing was read.
    step_x, step_y : float [m]
        Distance of the columns, and of the rows.

    Returns
    -------
    Flatness [m]
        Least squares and minimum zone.

    Raises
    ------
    OutOfRange
        A step that is not above zero, or what `flatness` refuses.

    Examples
    --------
    >>> round(flatness_of_grid([[0.01, -0.01], [-0.01, 0.01]], step_x=100, step_y=100).minimum.width, 6)
    0.02
    """
    if not (step_x > 0 and step_y > 0):
        raise OutOfRange(f"the steps of the grid are {step_x:g} and {step_y:g}; both must be above zero.")
    return flatness(
        [
            (column * step_x, row * step_y, height)
            for row, heights in enumerate(rows)
            for column, height in enumerate(heights)
            if height is not None
        ]
    )


def _common_normal(points: Sequence[Whole]) -> Whole:
    """The normal of the one plane that all points stand on."""
    arrows = [minus(point, points[0]) for point in points]
    along = next(arrow for arrow in arrows if any(arrow))
    return next(normal for arrow in arrows if any(normal := cross(along, arrow)))


def _narrowest(points: Sequence[Whole], faces: Sequence[Face]) -> Whole:
    """The direction in which the hull is narrowest: squared height over squared length, compared crosswise."""
    best, height, length = (0, 0, 1), 1, 0
    for normal, level in (*_from_faces(points, faces), *_from_edges(points, faces)):
        square = dot(normal, normal)
        if level * level * length < height * square:
            best, height, length = normal, level * level, square
    return best


def _from_faces(points: Sequence[Whole], faces: Sequence[Face]) -> Iterator[tuple[tuple[int, int, int], int]]:
    """Every face of the hull with the corner farthest from it."""
    corners = [points[place] for place in {place for face in faces for place in face}]
    for a, b, c in faces:
        normal = cross(minus(points[b], points[a]), minus(points[c], points[a]))
        yield normal, dot(normal, points[a]) - min(dot(normal, corner) for corner in corners)


def _from_edges(points: Sequence[Whole], faces: Sequence[Face]) -> Iterator[tuple[tuple[int, int, int], int]]:
    """Every two edges that lie on opposite sides of the hull, with the direction square to both."""
    third = {(a, b): c for x, y, z in faces for a, b, c in ((x, y, z), (y, z, x), (z, x, y))}
    edges = [
        (points[a], minus(points[b], points[a]), points[third[a, b]], points[third[b, a]])
        for a, b in third
        if a < b
    ]
    for (p, along, left, right), (q, other, near, far) in combinations(edges, 2):
        normal = cross(along, other)
        level = dot(normal, minus(p, q))
        if level < 0:
            normal, level = (-normal[0], -normal[1], -normal[2]), -level
        if level == 0:
            continue
        top, bottom = dot(normal, p), dot(normal, q)
        if (
            dot(normal, left) <= top
            and dot(normal, right) <= top
            and dot(normal, near) >= bottom
            and dot(normal, far) >= bottom
        ):
            yield normal, level
