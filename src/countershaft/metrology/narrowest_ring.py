"""Where the centre of the narrowest ring round some points can stand; decided in whole numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from countershaft.metrology.hull import dot, minus

__all__ = ["Centre", "ring_centres"]

Point = tuple[int, ...]
Centre = tuple[Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class _Edge:
    """Centres equally far from two points, farther (or nearer) than from all others: middle + t·way, doubled."""

    middle: Point
    way: Point
    least: Fraction | None
    most: Fraction | None

    def at(self, place: Fraction) -> Centre:
        return Fraction(self.middle[0], 2) + place * self.way[0], Fraction(
            self.middle[1], 2
        ) + place * self.way[1]

    def holds(self, place: Fraction) -> bool:
        return (self.least is None or place >= self.least) and (self.most is None or place <= self.most)


def ring_centres(points: Sequence[Point]) -> Iterator[tuple[Fraction, Fraction]]:
    """All centres that the narrowest ring round some points can have.

    Parameters
    ----------
    points : Sequence[Point] (n, 2) [any]
        Different points in whole numbers, best from the nearest to the farthest of a likely centre: those that rule
        most pairs out are then asked first.

    Yields
    ------
    Iterator[tuple[Fraction, Fraction]] [any]
        Corners of the diagrams of farthest and of nearest points, and the places where their edges meet.

    References
    ----------
    H. Ebara, N. Fukuyama, H. Nakano and Y. Nakanishi, Roundness algorithms using the Voronoi diagrams, 1st Canadian
    Conference on Computational Geometry (1989) 41.

    Examples
    --------
    >>> (0, 0) in ring_centres([(4, 0), (-4, 0), (0, 5), (0, -5)])
    True
    """
    far = list(_edges(points[::-1], 1))
    near = list(_edges(points, -1))
    for edge in (*far, *near):
        yield from (edge.at(end) for end in (edge.least, edge.most) if end is not None)
    for one in far:
        for other in near:
            crossing = _meeting(one, other)
            if crossing is not None:
                yield crossing


def _edges(points: Sequence[Point], sign: int) -> Iterator[_Edge]:
    """The edges of the diagram of farthest (+1) or nearest (-1) points, cut out of the middle line of each pair."""
    squares = [dot(point, point) for point in points]
    for i, a in enumerate(points):
        for j in range(i + 1, len(points)):
            b = points[j]
            middle = (a[0] + b[0], a[1] + b[1])
            way = (a[1] - b[1], b[0] - a[0])
            limits = _limits(points, squares, i, j, middle, way, sign)
            if limits is not None:
                yield _Edge(middle, way, *limits)


def _limits(
    points: Sequence[Point], squares: Sequence[int], i: int, j: int, middle: Point, way: Point, sign: int
) -> tuple[Fraction | None, Fraction | None] | None:
    """Between which places of their middle line two points are the farthest (nearest); None for nowhere.

    |p - c|² - |a - c|² = (p² - a² - middle·(p - a)) - 2 t way·(p - a) must not be above (below) zero for any p.
    """
    least: Fraction | None = None
    most: Fraction | None = None
    a = points[i]
    for k, point in enumerate(points):
        if k in {i, j}:
            continue
        arrow = minus(point, a)
        level = sign * (squares[k] - squares[i] - dot(middle, arrow))
        slope = sign * 2 * dot(way, arrow)
        if slope == 0:
            if level > 0:
                return None
            continue
        bound = Fraction(level, slope)
        if slope > 0:
            least = bound if least is None else max(least, bound)
        else:
            most = bound if most is None else min(most, bound)
        if least is not None and most is not None and least > most:
            return None
    return least, most


def _meeting(one: _Edge, other: _Edge) -> Centre | None:
    """Where two edges cross, if they do."""
    turn = one.way[0] * other.way[1] - one.way[1] * other.way[0]
    if turn == 0:
        return None
    x, y = minus(other.middle, one.middle)
    here = Fraction(x * other.way[1] - y * other.way[0], 2 * turn)
    there = Fraction(x * one.way[1] - y * one.way[0], 2 * turn)
    return one.at(here) if one.holds(here) and other.holds(there) else None
