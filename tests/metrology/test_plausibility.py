"""Second thoughts: slips made on purpose are found again, and plausible readings are left alone."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.plausibility import plausible_units, second_thoughts, stray_reading
from countershaft.units import convert


def asked(figure: float, unit: str, lower: float | None, upper: float | None) -> list[tuple[str, float]]:
    """The questions with their candidates, rounded."""
    return [
        (doubt.question, round(doubt.candidate, 4))
        for doubt in second_thoughts(figure, unit, lower=lower, upper=upper)
    ]


@pytest.mark.parametrize(
    ("figure", "unit", "lower", "upper", "question", "candidate"),
    [
        (0.014, "mm", 0.3, 0.4, "inch?", 0.3556),
        (14.0, "mm", 0.3, 0.4, "thou?", 0.3556),
        (0.36, "in", 0.012, 0.016, "mm?", 0.0142),
        (36.0, "mm", 0.3, 0.4, "decimal point?", 0.36),
        (3.6, "mm", 0.3, 0.4, "decimal point?", 0.36),
        (360.0, "mm", 0.3, 0.4, "µm?", 0.36),
        (80.0, "kPa", 500.0, 600.0, "psi?", 551.5806),
        (18.0, "N·m", 20.0, 28.0, None, None),
        (0.0014, "in", 0.012, 0.016, "decimal point?", 0.014),
        (36.0, "mm", None, 0.05, "µm?", 0.036),
    ],
)
def test_a_slip_is_asked_about(
    figure: float, unit: str, lower: float | None, upper: float | None, question: str | None, candidate: float
) -> None:
    """By hand: 0.014 in and 14 thou are 0.3556 mm, 0.36 mm is 0.0142 in, 80 psi are 551.58 kPa."""
    found = asked(figure, unit, lower, upper)
    assert found[:1] == ([(question, candidate)] if question else [])


@pytest.mark.parametrize("figure", [0.0, 0.1, 0.35, 1.2, math.nan])
def test_a_plausible_reading_is_left_alone(figure: float) -> None:
    """A worn part may read three times outside its window; zero is no slip."""
    assert second_thoughts(figure, "mm", lower=0.3, upper=0.4) == ()


def test_what_nothing_explains_is_left_alone() -> None:
    assert second_thoughts(1.9, "mm", lower=0.3, upper=0.4) == ()


@pytest.mark.parametrize(
    ("figure", "unit", "lower", "upper", "units"),
    [
        (0.36, "mm", 0.3, 0.4, ("mm",)),
        (14, "mm", 0.3, 0.4, ("thou",)),
        (0.014, "mm", 0.3, 0.4, ("in",)),
        (20, "N·m", 15, 30, ("N·m", "lbf·ft")),
        (5, "mm", 0.3, 0.4, ()),
        (200, "°F", 150, 250, ("°F",)),
    ],
)
def test_a_bare_figure_is_given_its_units(
    figure: float, unit: str, lower: float, upper: float, units: tuple[str, ...]
) -> None:
    """By hand: 20 lbf·ft are 27.1 N·m; 200 °C are 392 °F."""
    assert plausible_units(figure, unit, lower=lower, upper=upper) == units


WINDOWS = st.tuples(st.floats(0.05, 50), st.floats(1.01, 2.0)).map(lambda one: (one[0], one[0] * one[1]))


@given(WINDOWS, st.floats(0, 1), st.sampled_from([25.4, 1 / 25.4, 10, 0.1, 100, 0.01, 1000, 0.001]))
def test_every_slip_of_unit_or_point_is_found(window: tuple[float, float], place: float, slip: float) -> None:
    """A good value in millimetres, typed in inches or with its point moved, is among the candidates."""
    lower, upper = window
    meant = lower + place * (upper - lower)
    if slip == 1 / 25.4:
        candidates = [one.candidate for one in second_thoughts(meant * slip, "mm", lower=lower, upper=upper)]
    elif slip == 25.4:
        low, high = (convert(limit, "mm", "in") for limit in window)
        found = second_thoughts(meant, "in", lower=low, upper=high)
        candidates = [convert(one.candidate, "in", "mm") for one in found]
    else:
        candidates = [one.candidate for one in second_thoughts(meant * slip, "mm", lower=lower, upper=upper)]
    assert any(one == pytest.approx(meant, rel=1e-9) for one in candidates)


@given(st.floats(-1e4, 1e4), WINDOWS)
def test_every_candidate_is_near_the_window(figure: float, window: tuple[float, float]) -> None:
    lower, upper = window
    width = upper - lower
    for doubt in second_thoughts(figure, "mm", lower=lower, upper=upper):
        assert lower - width <= doubt.candidate <= upper + width
        assert not lower <= figure <= upper


@pytest.mark.parametrize(
    ("figure", "lower", "upper", "candidate"), [(0.02, 0.3, None, 0.508), (-35.0, -0.4, -0.3, -0.35)]
)
def test_one_limit_and_negative_windows(
    figure: float, lower: float | None, upper: float | None, candidate: float
) -> None:
    """By hand: 0.02 in are 0.508 mm, above a lower limit of 0.3 mm; -35 for -0.35."""
    found = [round(one.candidate, 4) for one in second_thoughts(figure, "mm", lower=lower, upper=upper)]
    assert candidate in found


@given(
    st.floats(-5, 5),
    st.lists(st.floats(-1, 1), min_size=1, max_size=6),
    st.floats(1e-3, 0.1),
    st.floats(0, 0.1),
)
def test_what_the_instrument_can_do_is_no_stray(
    true: float, parts: list[float], step: float, error: float
) -> None:
    """Readings within the permitted error and half a step of one true value are never asked about."""
    readings = [true + part * (error + step / 2) for part in parts]
    assert stray_reading(readings, resolution=step, permitted_error=error) is None


@given(st.lists(st.integers(-3, 3), min_size=2, max_size=6), st.data())
def test_the_stray_one_is_named(steps: list[int], data: st.DataObject) -> None:
    """One reading far away from all others is the one that is named."""
    place = data.draw(st.integers(0, len(steps)))
    readings = [0.01 * step for step in steps]
    readings.insert(place, 5.0)
    found = stray_reading(readings, resolution=0.01, permitted_error=0.02)
    assume(len(steps) >= 2)
    assert found is not None
    assert (found.place, found.explained) == (place, pytest.approx(0.05))
    assert found.difference > found.explained
    assert f"reading {place + 1} (5)" in found.why


def test_one_reading_cannot_stray() -> None:
    assert stray_reading([3.0], resolution=0.01, permitted_error=0.0) is None


def test_nonsense_is_refused() -> None:
    with pytest.raises(OutOfRange, match="nothing says what to expect"):
        second_thoughts(1.0, "mm")
    with pytest.raises(OutOfRange, match="lower limit 2 is above the upper limit 1"):
        second_thoughts(1.0, "mm", lower=2.0, upper=1.0)
    with pytest.raises(OutOfRange, match="'furlong' with a reach of 3: expected a known unit"):
        second_thoughts(1.0, "furlong", upper=1.0)
    with pytest.raises(OutOfRange, match=r"reach of 0\.5"):
        second_thoughts(1.0, "mm", upper=1.0, reach=0.5)
    with pytest.raises(OutOfRange, match="nothing says what to expect"):
        plausible_units(1.0, "mm")
    with pytest.raises(OutOfRange, match="are no instrument's"):
        stray_reading([1.0, 2.0], resolution=0.0, permitted_error=0.1)
