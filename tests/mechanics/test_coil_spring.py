"""Coil springs.

Expected: bounds, scaling laws and inverses that hold for any spring.  Published values stand in
tests/published/test_parts_condition.py.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.coil_spring import (
    CoilSpring,
    Curvature,
    coil_spring_load,
    coil_spring_rate,
    coil_spring_stress,
    curvature_factor,
    measured_rate,
    solid_length,
)

SPRING = CoilSpring(2e-3, 16e-3, 8, 81.5e9, free=50e-3, solid=20e-3)
indexes = st.floats(4, 20)


@st.composite
def springs(draw: st.DrawFn) -> CoilSpring:
    wire, solid = draw(st.floats(0.5e-3, 8e-3)), draw(st.floats(5e-3, 0.1))
    return CoilSpring(
        wire,
        wire * draw(st.floats(4.001, 19.99)),
        draw(st.floats(2, 20)),
        draw(st.floats(40e9, 90e9)),
        free=solid * draw(st.floats(1.1, 4)),
        solid=solid,
    )


@given(springs(), st.floats(1.01, 3))
def test_how_the_rate_scales(spring: CoilSpring, times: float) -> None:
    rate = coil_spring_rate(spring)
    assert coil_spring_rate(replace(spring, active_coils=spring.active_coils * times)) == pytest.approx(
        rate / times
    )
    larger = replace(
        spring,
        wire=spring.wire * times,
        mean_diameter=spring.mean_diameter * times,
    )
    assert coil_spring_rate(larger) == pytest.approx(rate * times)


@given(springs(), st.floats(0, 1), st.floats(0, 1))
def test_shorter_is_never_lighter(spring: CoilSpring, one: float, other: float) -> None:
    more, less = sorted((one, other), reverse=True)
    short, long = (
        coil_spring_load(spring, length=spring.free - share * (spring.free - spring.solid))
        for share in (more, less)
    )
    assert short.load >= long.load >= 0
    assert short.stress >= long.stress
    assert short.stress == pytest.approx(coil_spring_stress(spring, load=short.load))


@given(indexes, indexes)
def test_the_factors_fall_towards_one(one: float, other: float) -> None:
    tight, wide = sorted((one, other))
    for curvature in Curvature:
        assert curvature_factor(tight, curvature=curvature) >= curvature_factor(wide, curvature=curvature) > 1
    wahl, other_factor = (
        curvature_factor(one, curvature=by) for by in (Curvature.WAHL, Curvature.BERGSTRAESSER)
    )
    assert wahl == pytest.approx(other_factor, rel=0.02)
    assert curvature_factor(one, curvature=Curvature.DIRECT_SHEAR) < other_factor


@given(springs(), st.floats(0.05, 0.45), st.floats(0.55, 1))
def test_two_readings_tell_the_spring(spring: CoilSpring, less: float, more: float) -> None:
    stroke = spring.free - spring.solid
    readings = []
    for share in (less, more):
        length = spring.free - share * stroke
        readings.append((length, coil_spring_load(spring, length=length).load))
    told = measured_rate(readings[0], readings[1])
    assert told.rate == pytest.approx(coil_spring_rate(spring))
    assert told.free == pytest.approx(spring.free)
    assert told.half_width == pytest.approx(0, abs=1e-6 * told.rate)
    assert measured_rate(readings[1], readings[0]).rate == told.rate
    stroke_read = readings[0][0] - readings[1][0]
    wide = measured_rate(readings[0], readings[1], length_half_width=0.05 * stroke_read)
    assert wide.half_width == pytest.approx(wide.rate * (1 / 0.9 - 1))


def test_ground_ends_save_one_wire() -> None:
    unground, ground = (solid_length(2e-3, total_coils=10, ground=flat) for flat in (False, True))
    assert unground - ground == pytest.approx(2e-3)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"mean_diameter": 6e-3}, "spring index .* is 3; expected 4 to 20"),
        ({"mean_diameter": 50e-3}, "spring index .* is 25; expected 4 to 20"),
        ({"active_coils": 1.0}, "the spring has 1 active coils; expected at least 2"),
        ({"free": 19e-3}, "19 mm free and 20 mm solid; expected a free length above the solid one"),
        ({"wire": 0.0}, "wire diameter of a spring is 0 m; expected more than zero"),
    ],
)
def test_what_is_no_spring(changes: dict[str, float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        replace(SPRING, **changes)


@pytest.mark.parametrize("length", [19e-3, 51e-3])
def test_a_length_beyond_solid_or_free(length: float) -> None:
    with pytest.raises(OutOfRange, match=r"length of the spring is \d+ mm; expected 20 to 50 mm"):
        coil_spring_load(SPRING, length=length)


def test_a_spring_is_not_pulled() -> None:
    with pytest.raises(OutOfRange, match=r"load of a spring is -1 N; expected zero or more"):
        coil_spring_stress(SPRING, load=-1)


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [
        ((50e-3, 10.0), (50e-3, 90.0), "expected two lengths that differ by more than they may be off"),
        ((50e-3, 90.0), (40e-3, 10.0), "expected clearly more at the shorter length. Swap the two"),
        ((50e-3, -5.0), (40e-3, 10.0), "Read at lengths farther apart"),
    ],
)
def test_readings_that_tell_nothing(
    first: tuple[float, float], second: tuple[float, float], said: str
) -> None:
    with pytest.raises(BadInput, match=said):
        measured_rate(first, second)
