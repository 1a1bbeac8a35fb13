"""Where the centre of the narrowest ring can stand.

Expected: a fine grid of centres around the known one never gives a narrower ring than the best candidate, and a ring
of known answer.
"""

from __future__ import annotations

import math
import random
from fractions import Fraction

import pytest

from countershaft.metrology.narrowest_ring import ring_centres


def width(points: list[tuple[int, int]], x: float, y: float) -> float:
    far = [math.hypot(a - x, b - y) for a, b in points]
    return max(far) - min(far)


@pytest.mark.parametrize("seed", range(4))
def test_no_centre_of_a_fine_grid_beats_the_candidates(seed: int) -> None:
    chance = random.Random(seed)
    points = [
        (round((1000 + d) * math.cos(t)), round((1000 + d) * math.sin(t)))
        for t, d in ((2 * math.pi * k / 9, chance.uniform(-30, 30)) for k in range(9))
    ]
    best = min(width(points, float(x), float(y)) for x, y in ring_centres(points))
    grid = min(width(points, x, y) for x in range(-60, 61) for y in range(-60, 61))
    assert best <= grid + 1e-9
    assert grid < best + 2.5  # the grid has steps of one, and a ring changes by at most twice that


def test_a_square_in_a_square_has_its_middle() -> None:
    points = [(10, 0), (-10, 0), (0, 10), (0, -10), (6, 6), (-6, 6), (6, -6), (-6, -6)]
    centres = set(ring_centres(points))
    assert (Fraction(0), Fraction(0)) in centres
    best = min(centres, key=lambda centre: width(points, float(centre[0]), float(centre[1])))
    assert best == (0, 0)
