"""Expected values: the drawing's own promise, read back from the SVG; directions by hand."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.figures.clock_figure import ClockFigure, ClockReading, clock_figure

from . import drawn


def figure(hours: tuple[float, ...], crest: float = 3.0) -> ClockFigure:
    """An eccentric circle whose crest stands at an hour."""
    way = math.radians(30 * crest)

    def reading(hour: float) -> ClockReading:
        angle = math.radians(30 * hour)
        value = round(0.03 * math.cos(angle - way), 6) + 0.0
        return ClockReading(angle, f"{hour:g} o'clock", value, f"{value:+.2f}".replace("-", "−"))

    waves = ((1, 0.03 * math.cos(way), 0.03 * math.sin(way)),)
    notes = ("Eccentricity 0.030 mm toward 90°, 3 o'clock.", "2 lobes 0.001 mm.")
    return ClockFigure(
        "flexplate runout, as found",
        tuple(map(reading, hours)),
        0.0,
        waves,
        (way, "eccentricity 0.030 mm"),
        notes,
    )


ALL = tuple(range(1, 13))


def assert_well_drawn(drawing: drawn.Drawn) -> None:
    assert drawn.overlaps(drawing.words) == []
    assert [words for words in drawing.words if words.text and not words.box.inside(drawing.frame)] == []


@pytest.mark.parametrize("hours", [ALL, (12, 3, 6, 9), (12, 4, 8), tuple(half / 2 for half in range(1, 25))])
def test_no_text_stands_on_another(hours: tuple[float, ...]) -> None:
    assert_well_drawn(drawn.read(clock_figure(figure(hours))))


@settings(max_examples=40, deadline=None)
@given(st.sets(st.integers(1, 24), min_size=3, max_size=24), st.floats(0, 12))
def test_any_places_are_drawn_without_overlap(halves: set[int], crest: float) -> None:
    assert_well_drawn(drawn.read(clock_figure(figure(tuple(half / 2 for half in sorted(halves)), crest))))


def test_twelve_is_up_and_three_is_right() -> None:
    drawing = drawn.read(clock_figure(figure((12, 3, 6, 9))))
    at = {words.text: words.box for words in drawing.words}
    assert at["12 o'clock"].bottom < at["6 o'clock"].top
    assert at["9 o'clock"].right < at["3 o'clock"].left


def test_the_arrow_points_at_the_crest() -> None:
    """At 3 o'clock it points to the right: its tip is right of the middle, at the middle's height."""
    drawing = drawn.read(clock_figure(figure(ALL, crest=3.0)))
    (head,) = drawing.styled("path", "d-solid")
    tip = drawn.points(head)[0]
    (circle,) = drawing.styled("circle", "d-chain")
    x, y = drawing.figures(circle, "cx", "cy")
    assert tip[0] > x + 50 and tip[1] == pytest.approx(y, abs=0.02)


def test_a_reading_beyond_the_mean_lies_outside_of_the_circle() -> None:
    drawing = drawn.read(clock_figure(figure((12, 3, 6, 9), crest=3.0)))
    (circle,) = drawing.styled("circle", "d-chain")
    x, y, radius = drawing.figures(circle, "cx", "cy", "r")
    dots = [drawing.figures(dot, "cx", "cy") for dot in drawing.styled("circle", "d-solid")]
    away = [math.hypot(dot[0] - x, dot[1] - y) - radius for dot in dots]
    assert away[1] > 20 and away[3] < -20
    assert away[0] == pytest.approx(0, abs=0.02)


def test_the_text_alternative_has_every_reading_the_arrow_and_the_notes() -> None:
    said = clock_figure(figure((12, 3, 6, 9))).partition("<desc>")[2].partition("</desc>")[0]
    assert "12 o'clock +0.00, 3 o'clock +0.03" in said
    assert "The arrow points at 90°: eccentricity 0.030 mm." in said
    assert "2 lobes 0.001 mm." in said


def test_readings_that_are_all_alike_are_a_circle() -> None:
    same = tuple(ClockReading(math.radians(30 * hour), f"{hour}", 0.02, "+0.02") for hour in ALL)
    assert_well_drawn(drawn.read(clock_figure(ClockFigure("true", same, 0.02))))


def test_what_cannot_be_drawn_is_refused() -> None:
    with pytest.raises(OutOfRange, match="2 readings; expected at least three"):
        clock_figure(figure((12, 6)))
    with pytest.raises(OutOfRange, match="must be finite"):
        clock_figure(ClockFigure("x", tuple(ClockReading(0.0, "a", math.inf, "∞") for _ in range(3)), 0.0))


def test_the_drawing_is_the_golden_one(golden: Callable[[str, str], None]) -> None:
    golden("clock-figure-runout.svg", clock_figure(figure(ALL, crest=2.3)))
