"""Runout taken apart into eccentricity and lobes.

Expected: numpy's least squares (parameters and covariance) for any spacing, the sums of NIST/SEMATECH e-Handbook
2.3.4.4.1 for equal spacing, and readings built from known waves.
"""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.harmonics import Harmonic, runout


def design(angles: list[float], orders: int) -> np.ndarray:
    turns = np.array(angles)
    columns = [np.ones_like(turns)]
    for k in range(1, orders + 1):
        columns += [np.cos(k * turns), np.sin(k * turns)]
    return np.stack(columns, axis=1)


@given(st.integers(0, 10_000), st.integers(1, 3), st.integers(0, 4))
def test_any_spacing_gives_what_a_general_solver_gives(seed: int, orders: int, extra: int) -> None:
    chance = random.Random(seed)
    count = 2 * orders + 1 + extra
    angles = [2 * math.pi * (place + 0.3 * chance.uniform(-1, 1)) / count for place in range(count)]
    readings = [chance.gauss(0, 1) for _ in angles]
    found = runout(angles, readings, standard=0.01, highest=orders)
    matrix = design(angles, orders)
    parts = np.linalg.lstsq(matrix, np.array(readings), rcond=None)[0]
    spread = 0.01**2 * np.linalg.inv(matrix.T @ matrix)
    waves = (found.eccentricity, *found.lobes)
    assert [found.mean, *(part for wave in waves for part in (wave.cosine, wave.sine))] == pytest.approx(
        list(parts), abs=1e-7
    )
    assert found.mean_standard == pytest.approx(math.sqrt(spread[0, 0]), rel=1e-6)
    for wave in waves:
        worse = max(spread[2 * wave.order - 1, 2 * wave.order - 1], spread[2 * wave.order, 2 * wave.order])
        assert wave.standard == pytest.approx(math.sqrt(worse), rel=1e-6)
    left = np.array(readings) - matrix @ parts
    assert found.residuals == pytest.approx(list(left), abs=1e-7)
    if extra == 0:
        assert found.misfit is None
    else:
        assert found.misfit == pytest.approx(math.sqrt(float(left @ left) / extra), abs=1e-7)


def test_equal_spacing_gives_the_sums_of_the_handbook() -> None:
    chance = random.Random(2)
    angles = [2 * math.pi * place / 12 for place in range(12)]
    readings = [chance.gauss(0.3, 0.05) for _ in angles]
    found = runout(angles, readings).eccentricity
    a = 2 / 12 * sum(r * math.cos(t) for t, r in zip(angles, readings, strict=True))
    b = 2 / 12 * sum(r * math.sin(t) for t, r in zip(angles, readings, strict=True))
    assert (found.cosine, found.sine) == pytest.approx((a, b), abs=1e-12)


@pytest.mark.parametrize("spacing", ["equal", "unequal"])
def test_known_waves_are_found_again(spacing: str) -> None:
    angles = [math.radians(turn) for turn in range(0, 360, 30)]
    if spacing == "unequal":
        angles = [turn + 0.1 * math.sin(5 * turn) for turn in angles]
    readings = [
        1.2
        + 0.05 * math.cos(turn - 0.4)
        + 0.02 * math.cos(2 * (turn - 0.9))
        + 0.006 * math.cos(3 * (turn - 1.1))
        for turn in angles
    ]
    found = runout(angles, readings, highest=3)
    oval, three = found.lobes
    assert (found.mean, found.eccentricity.amplitude, found.eccentricity.angle) == pytest.approx(
        (1.2, 0.05, 0.4)
    )
    assert (oval.amplitude, oval.angle, three.amplitude, three.angle) == pytest.approx(
        (0.02, 0.9, 0.006, 1.1)
    )
    assert found.strongest is oval
    assert found.misfit == pytest.approx(0, abs=1e-12)
    assert found.total == max(readings) - min(readings)
    off_axis = [reading - 0.05 * math.cos(turn - 0.4) for turn, reading in zip(angles, readings, strict=True)]
    assert found.form == pytest.approx(max(off_axis) - min(off_axis))


def test_four_places_take_three_lobes_for_eccentricity() -> None:
    """The known trap: cos 3θ equals cos θ at the four quarters."""
    quarters = [math.radians(turn) for turn in (0, 90, 180, 270)]
    readings = [0.01 * math.cos(3 * turn) for turn in quarters]
    assert runout(quarters, readings).eccentricity.amplitude == pytest.approx(0.01)
    eighths = [math.radians(turn) for turn in range(0, 360, 45)]
    assert runout(eighths, [0.01 * math.cos(3 * turn) for turn in eighths]).eccentricity.amplitude < 1e-12


def test_total_of_a_published_example() -> None:
    """TM 10-3930-664-24 (US Army), housing face alignment check: 0, +0.003, -0.002, +0.003 in make 0.005 in TIR."""
    quarters = [math.radians(turn) for turn in (0, 90, 180, 270)]
    assert runout(quarters, [0.0, 0.003, -0.002, 0.003]).total == pytest.approx(0.005)


def test_angle_uncertainty_grows_as_the_wave_shrinks() -> None:
    assert Harmonic(2, 0.1, 0.0, 0.01).angle_standard == pytest.approx(0.05)
    assert Harmonic(2, 0.0, 0.0, 0.01).angle_standard == pytest.approx(math.pi / 2)
    assert Harmonic(1, 0.001, 0.0, 0.01).angle_standard == pytest.approx(math.pi)


@pytest.mark.parametrize(
    ("angles", "readings", "options", "said"),
    [
        ([0, 1, 2], [0, 1], {}, "3 angles but 2 readings"),
        ([0, 2 * math.pi, 1, 1], [0, 0, 1, 1], {}, "readings at 2 different places"),
        ([0, 2, 4], [0, 1, float("nan")], {}, "not a finite number"),
        ([0, 2, 4], [0, 1, 0], {"highest": 2}, "can tell 1 to 1"),
        ([0, 2, 4], [0, 1, 0], {"standard": -1.0}, "must be zero or above"),
        ([0, 1e-4, 2e-4], [0, 1, 0], {}, "too close together"),
    ],
)
def test_what_cannot_be_told_is_refused(
    angles: list[float], readings: list[float], options: dict[str, float], said: str
) -> None:
    with pytest.raises(OutOfRange, match=said):
        runout(angles, readings, **options)  # type: ignore[arg-type]


def test_the_working_adds_up() -> None:
    eighths = [math.radians(turn) for turn in range(0, 360, 45)]
    found = runout(
        eighths, [0.03e-3 * math.cos(t) + 0.01e-3 * math.cos(2 * t) for t in eighths], standard=2e-6
    )
    said = found.working()
    assert said[0].startswith("TIR = highest 0.040 mm less lowest -0.0")
    assert (
        said[1]
        == "eccentricity: c = 0.0300 mm, s = 0.0000 mm, √(c² + s²) = 0.0300 mm, u = 0.0010 mm, crest at 0°"
    )
    assert said[2].startswith("oval, 2 lobes: c = 0.0100 mm")
    assert said[3].startswith("3 lobes: ")
    assert said[-1] == "highest less lowest without the eccentricity = 0.0200 mm"
