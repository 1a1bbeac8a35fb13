"""Hulls decided in whole numbers.

Expected: Euler's relation and the plain definition (no point lies outside any side), both from geometry.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.hull import cross, dot, hull_faces, hull_polygon, minus, whole_numbers

small = st.integers(-4, 4)


def test_whole_numbers_keep_the_points_exactly() -> None:
    points, factor = whole_numbers([(0.1, Fraction(1, 3)), (2.0, -0.75)])
    assert [[Fraction(value, factor) for value in point] for point in points] == [
        [Fraction(0.1), Fraction(1, 3)],
        [Fraction(2), Fraction(-3, 4)],
    ]


def test_a_coordinate_that_is_no_number_is_refused() -> None:
    with pytest.raises(OutOfRange, match="not a finite number; type it again"):
        whole_numbers([(0.0, float("nan"))])


@given(st.lists(st.tuples(small, small), min_size=1, max_size=12))
def test_no_point_lies_outside_the_polygon(points: list[tuple[int, int]]) -> None:
    corners = [points[place] for place in hull_polygon(points)]
    if len(corners) < 3:
        assert set(points) <= set(corners) or all(
            (corners[1][0] - corners[0][0]) * (y - corners[0][1])
            == (corners[1][1] - corners[0][1]) * (x - corners[0][0])
            for x, y in points
        )
        return
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        way = minus(b, a)
        assert all(way[0] * (p[1] - a[1]) - way[1] * (p[0] - a[0]) >= 0 for p in points)


@given(st.lists(st.tuples(small, small, small), min_size=1, max_size=14))
def test_the_faces_close_and_hold_all_points(points: list[tuple[int, int, int]]) -> None:
    faces = hull_faces(points)
    if not faces:
        assert all(
            dot(cross(minus(b, a), minus(c, a)), minus(d, a)) == 0
            for a, b, c, d in product(points[:5], repeat=4)
        )
        return
    edges = [edge for a, b, c in faces for edge in ((a, b), (b, c), (c, a))]
    assert len(edges) == len(set(edges))
    assert {(b, a) for a, b in edges} == set(edges)
    corners = {place for face in faces for place in face}
    assert len(corners) - len(edges) // 2 + len(faces) == 2
    for a, b, c in faces:
        normal = cross(minus(points[b], points[a]), minus(points[c], points[a]))
        assert any(normal)
        assert all(dot(normal, minus(point, points[a])) <= 0 for point in points)


def test_a_full_cube_of_points_has_twelve_triangles() -> None:
    points = list(product(range(3), repeat=3))
    faces = hull_faces(points)
    area = sum(
        dot(n, n) ** 0.5 / 2
        for a, b, c in faces
        for n in [cross(minus(points[b], points[a]), minus(points[c], points[a]))]
    )
    assert area == pytest.approx(6 * 4)
