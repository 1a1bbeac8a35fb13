"""Convex hulls of points in the plane and in space, decided in whole numbers: no rounding, no tolerance.

A figure that a computer holds is a fraction, so any set of points can be brought to whole numbers by one common
factor; on those every "left of", "above" and "on one plane" has one answer.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

from countershaft.errors import OutOfRange

__all__ = ["Coordinate", "cross", "dot", "hull_faces", "hull_polygon", "minus", "whole_numbers"]

#: A coordinate as it was measured; a Fraction is taken as it stands.
Coordinate = float | Fraction
Whole = tuple[int, ...]
Face = tuple[int, int, int]


def whole_numbers(points: Sequence[Sequence[Coordinate]]) -> tuple[list[tuple[int, ...]], int]:
    """Points brought to whole numbers, and the factor by which they were multiplied.

    Parameters
    ----------
    points : Sequence[Sequence[Coordinate]] (n, d) [any]
        The points; all coordinates finite.

    Returns
    -------
    tuple[list[tuple[int, ...]], int] [any]
        The points times the factor, and the factor.

    Raises
    ------
    OutOfRange
        A coordinate is not finite.

    Examples
    --------
    >>> whole_numbers([(0.5, 0.25), (1.0, 0.0)])
    ([(2, 1), (4, 0)], 4)
    """
    if not all(math.isfinite(value) for point in points for value in point):
        raise OutOfRange("a coordinate is not a finite number; type it again.")
    exact = [[Fraction(value) for value in point] for point in points]
    factor = math.lcm(*(value.denominator for point in exact for value in point), 1)
    return [tuple(int(value * factor) for value in point) for point in exact], factor


def minus(a: Sequence[int], b: Sequence[int]) -> tuple[int, ...]:
    """The arrow from b to a.

    Parameters
    ----------
    a, b : Sequence[int] (d,) [any]
        Two points.

    Returns
    -------
    tuple[int, ...] [any]
        Their difference.

    Examples
    --------
    >>> minus((3, 4), (1, 1))
    (2, 3)
    """
    return tuple(p - q for p, q in zip(a, b, strict=True))


def dot(a: Sequence[int], b: Sequence[int]) -> int:
    """The scalar product of two arrows.

    Parameters
    ----------
    a, b : Sequence[int] (d,) [any]
        Two arrows.

    Returns
    -------
    int [any]
        Their scalar product.

    Examples
    --------
    >>> dot((1, 2, 3), (4, 5, 6))
    32
    """
    return sum(p * q for p, q in zip(a, b, strict=True))


def cross(a: Sequence[int], b: Sequence[int]) -> tuple[int, int, int]:
    """The vector product of two arrows in space.

    Parameters
    ----------
    a, b : Sequence[int] (3,) [any]
        Two arrows.

    Returns
    -------
    tuple[int, int, int] [any]
        The arrow square to both.

    Examples
    --------
    >>> cross((1, 0, 0), (0, 1, 0))
    (0, 0, 1)
    """
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def hull_polygon(points: Sequence[Whole]) -> list[int]:
    """The corners of the convex hull of points in the plane, anticlockwise.

    Parameters
    ----------
    points : Sequence[Whole] (n, 2) [any]
        The points, in whole numbers.

    Returns
    -------
    list[int] [-]
        Their places in `points`; two where all stand on one line, one where all are one point.

    References
    ----------
    A. M. Andrew, Another efficient algorithm for convex hulls in two dimensions, Information Processing
    Letters 9 (1979) 216-219 (monotone chain).

    Examples
    --------
    >>> hull_polygon([(0, 0), (2, 0), (1, 1), (0, 2), (2, 2)])
    [0, 1, 4, 3]
    """
    order = sorted({point: place for place, point in reversed(list(enumerate(points)))}.items())
    if len(order) < 3:
        return [place for _, place in order]
    lower = _chain(order)
    upper = _chain(order[::-1])
    return lower[:-1] + upper[:-1]


def _chain(order: Sequence[tuple[Whole, int]]) -> list[int]:
    kept: list[tuple[Whole, int]] = []
    for point, place in order:
        while len(kept) > 1 and _turn(kept[-2][0], kept[-1][0], point) <= 0:
            kept.pop()
        kept.append((point, place))
    return [place for _, place in kept]


def _turn(a: Whole, b: Whole, c: Whole) -> int:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def hull_faces(points: Sequence[Whole]) -> list[tuple[int, int, int]]:
    """The triangles of the convex hull of points in space, anticlockwise seen from outside.

    Parameters
    ----------
    points : Sequence[Whole] (n, 3) [any]
        The points, in whole numbers.

    Returns
    -------
    list[tuple[int, int, int]] [-]
        Places in `points`; a flat facet of more than three corners comes as several triangles; empty where all
        points stand on one plane.

    Notes
    -----
    One point after the other is added: the triangles that it sees go, and their rim is joined to it.
    A point on the plane of a triangle does not see it; since that is decided without rounding, the rim is always
    one closed ring.

    References
    ----------
    M. de Berg et al., Computational Geometry, 3rd ed. (2008), chapter 11 (incremental hull in space).

    Examples
    --------
    >>> len(hull_faces([(0, 0, 0), (2, 0, 0), (0, 2, 0), (0, 0, 2), (1, 0, 0)]))
    4
    """
    start = _tetrahedron(points)
    if start is None:
        return []
    faces = {face: _plane(points, face) for face in _outward(points, start)}
    for place, point in enumerate(points):
        seen = [face for face, (normal, level) in faces.items() if dot(normal, point) > level]
        rim = {edge for face in seen for edge in _edges(face)}
        for face in seen:
            del faces[face]
        for a, b in rim:
            if (b, a) not in rim:
                faces[a, b, place] = _plane(points, (a, b, place))
    return list(faces)


def _edges(face: Face) -> Iterator[tuple[int, int]]:
    a, b, c = face
    yield from ((a, b), (b, c), (c, a))


def _plane(points: Sequence[Whole], face: Face) -> tuple[tuple[int, int, int], int]:
    a, b, c = (points[place] for place in face)
    normal = cross(minus(b, a), minus(c, a))
    return normal, dot(normal, a)


def _tetrahedron(points: Sequence[Whole]) -> tuple[int, int, int, int] | None:
    """Four points that span space, or None."""
    first = points[0]
    second = next((place for place, point in enumerate(points) if point != first), None)
    if second is None:
        return None
    along = minus(points[second], first)
    third = next(
        (place for place, point in enumerate(points) if any(cross(along, minus(point, first)))), None
    )
    if third is None:
        return None
    normal, level = _plane(points, (0, second, third))
    fourth = next((place for place, point in enumerate(points) if dot(normal, point) != level), None)
    return None if fourth is None else (0, second, third, fourth)


def _outward(points: Sequence[Whole], corners: tuple[int, int, int, int]) -> Iterator[Face]:
    """The four triangles of a tetrahedron, each turned so that the fourth corner lies behind it."""
    for left_out in corners:
        a, b, c = (place for place in corners if place != left_out)
        normal, level = _plane(points, (a, b, c))
        yield (a, b, c) if dot(normal, points[left_out]) < level else (a, c, b)
