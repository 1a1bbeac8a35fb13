"""Expected values: places and words given here, read back from the SVG; the sweep is that of the invented demo A."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.figures.alignment_clock import AlignmentClock, ClockDowel, ClockPlace, alignment_clock

from . import drawn

DEMO_A = AlignmentClock(
    title="Sweep of the bore as found, seen from the gearbox",
    places=(
        ClockPlace(12, "12 o'clock", "0.00 mm"),
        ClockPlace(3, "3 o'clock", "−0.19 mm"),
        ClockPlace(6, "6 o'clock", "−0.16 mm"),
        ClockPlace(9, "9 o'clock", "0.02 mm"),
    ),
    toward=10.24,
    move="Move the housing 0.13 mm toward 10 o'clock",
    dowels=(ClockDowel(10.5, "1", True), ClockDowel(4.5, "2", False)),
)


def hour_of(x: float, y: float, middle: tuple[float, float]) -> float:
    """The hour at which a point stands, clockwise from 12."""
    return math.degrees(math.atan2(x - middle[0], middle[1] - y)) % 360 / 30


def middle_of(drawing: drawn.Drawn) -> tuple[float, float]:
    ring = max(drawing.styled("circle", "d-rule"), key=lambda one: float(one.get("r", "0")))
    x, y = drawing.figures(ring, "cx", "cy")
    return x, y


def test_it_is_the_same_drawing_every_time(golden: Callable[[str, str], None]) -> None:
    golden("alignment-clock-demo-a.svg", alignment_clock(DEMO_A))


def test_places_arrow_and_dowels_stand_at_their_hours() -> None:
    drawing = drawn.read(alignment_clock(DEMO_A))
    middle = middle_of(drawing)
    dots = [drawing.figures(one, "cx", "cy") for one in drawing.styled("circle", "d-solid")]
    assert [round(hour_of(*dot, middle), 2) for dot in dots] == [0, 3, 6, 9]
    (head,) = drawing.styled("path", "d-solid")
    tip = drawn.points(head)[0]
    assert hour_of(*tip, middle) == pytest.approx(10.24, abs=0.01)
    (home,) = drawing.styled("circle", "d-pin")
    (out,) = drawing.styled("circle", "d-pin-hollow")
    assert hour_of(*drawing.figures(home, "cx", "cy"), middle) == pytest.approx(10.5, abs=0.01)
    assert hour_of(*drawing.figures(out, "cx", "cy"), middle) == pytest.approx(4.5, abs=0.01)
    assert len(drawing.styled("line", "d-strike")) == 1


def test_what_is_drawn_is_told_in_words() -> None:
    told = drawn.read(alignment_clock(DEMO_A)).root.get("aria-label", "")
    assert "3 o'clock: −0.19 mm" in told
    assert "Move the housing 0.13 mm toward 10 o'clock." in told
    assert "Dowel 2 near 4 o'clock is not home." in told


def test_without_a_direction_there_is_no_arrow() -> None:
    still = AlignmentClock("Sweep", DEMO_A.places, None, "Too little to tell a direction")
    drawing = drawn.read(alignment_clock(still))
    assert not drawing.styled("path", "d-solid") and not drawing.styled("line", "d-ring")


def test_an_hour_that_is_on_no_clock_is_refused() -> None:
    with pytest.raises(OutOfRange, match="13 o'clock; expected 0 to 12 hours"):
        alignment_clock(AlignmentClock("Sweep", (ClockPlace(13, "x", "0"),), None, ""))


@st.composite
def clocks(draw: st.DrawFn) -> AlignmentClock:
    count = draw(st.sampled_from([4, 8]))
    figures = st.floats(-2, 2).map(lambda figure: f"{figure:.3f} mm".replace("-", "−"))
    places = tuple(
        ClockPlace(12 * at / count or 12, f"{12 * at // count or 12}:{'30' if at % 2 and count == 8 else '00'}",
                   draw(figures))
        for at in range(count)
    )  # fmt: skip
    hours = draw(st.lists(st.sampled_from([1.5, 4.5, 7.5, 10.5]), max_size=2, unique=True))
    dowels = tuple(
        ClockDowel(hour, str(at), draw(st.sampled_from([True, False, None]))) for at, hour in enumerate(hours)
    )
    toward = draw(st.none() | st.floats(0, 12))
    return AlignmentClock(
        "Sweep of the bore", places, toward, "Move the housing 0.132 mm toward 10 o'clock", dowels
    )


@settings(max_examples=60, deadline=None)
@given(clocks())
def test_no_words_touch_each_other_or_the_edge(clock: AlignmentClock) -> None:
    drawing = drawn.read(alignment_clock(clock))
    for one, other in combinations(drawing.words, 2):
        assert not one.box.touches(other.box), (one.text, other.text)
    for words in drawing.words:
        assert words.box.inside(drawing.frame), words.text
