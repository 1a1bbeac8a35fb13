"""Expected values: bars given here, read back from the SVG by their place under the clock."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.figures.work_timeline import Bar, Lane, Timeline, work_timeline

from . import drawn

TWO = Timeline(
    "Teardown: who does what",
    (
        Lane("Person 1", (Bar("T01", 0, 10), Bar("set-up", 10, 12, "set-up"), Bar("T03", 12, 28))),
        Lane("Person 2", (Bar("T02", 0, 5), Bar("T04", 20, 29))),
        Lane("Unit", (Bar("nose up", 0, 10, "lies"), Bar("pan up", 12, 29, "lies"))),
    ),
)


def labelled(drawing: drawn.Drawn) -> dict[str, tuple[float, float]]:
    """Each bar's label with the edges of the bar in which it stands."""
    found = {}
    for rect in (*drawing.styled("rect", "d-head"), *drawing.styled("rect", "d-slot")):
        x, y, width, height = drawing.figures(rect, "x", "y", "width", "height")
        for words in drawing.words:
            middle = (words.box.left + words.box.right) / 2
            if abs(middle - (x + width / 2)) < 0.5 and y < words.box.bottom < y + height:
                found[words.text] = (x, x + width)
    return found


def test_bars_stand_under_their_minutes() -> None:
    drawing = drawn.read(work_timeline(TWO))
    bars = labelled(drawing)
    assert set(bars) == {"T01", "T02", "T03", "T04", "nose up", "pan up"}
    zero, scale = bars["T01"][0], (bars["T01"][1] - bars["T01"][0]) / 10
    assert bars["T04"] == pytest.approx((zero + 20 * scale, zero + 29 * scale), abs=0.1)
    assert bars["pan up"] == pytest.approx((zero + 12 * scale, zero + 29 * scale), abs=0.1)
    (setup,) = drawing.styled("rect", "d-solid")
    assert drawing.figures(setup, "x", "width") == pytest.approx((zero + 10 * scale, 2 * scale), abs=0.1)


def test_what_is_drawn_is_told_in_words() -> None:
    told = drawn.read(work_timeline(TWO)).root.get("aria-label", "")
    assert "Person 1: T01 from 0:00 to 0:10; T03 from 0:12 to 0:28." in told
    assert "Unit: nose up from 0:00 to 0:10; pan up from 0:12 to 0:29." in told


def test_long_work_stands_in_strips_and_a_bar_goes_on_in_the_next() -> None:
    lane = Lane("Steps", (Bar("T01", 0, 100), Bar("T02", 100, 500)))
    drawing = drawn.read(work_timeline(Timeline("Long", (lane,))))
    assert sum(words.text == "Steps" for words in drawing.words) == 5
    assert sum(words.text == "T02" for words in drawing.words) == 5
    short = drawn.read(work_timeline(Timeline("Short", (Lane("Steps", (Bar("T01", 0, 100),)),))))
    assert short.frame.bottom < drawing.frame.bottom


def test_bars_that_overlap_in_one_lane_are_refused() -> None:
    lane = Lane("Person 1", (Bar("T01", 0, 20), Bar("T02", 15, 30)))
    with pytest.raises(
        OutOfRange, match="Person 1: 'T02' lasts from 15 to 30 min after one that ends at 20 min"
    ):
        work_timeline(Timeline("Teardown", (lane,)))


def test_nothing_to_do_is_an_empty_clock() -> None:
    drawing = drawn.read(work_timeline(Timeline("Nothing", (Lane("Steps", ()),))))
    assert [words.text for words in drawing.words][:2] == ["Nothing", "0:00"]


@st.composite
def timelines(draw: st.DrawFn) -> Timeline:
    lanes = []
    for name in ("Person 1", "Person 2", "Unit"):
        now, bars = 0.0, []
        for number in range(draw(st.integers(0, 12))):
            begins = now + draw(st.integers(0, 60))
            now = begins + draw(st.integers(0, 240))
            label = draw(st.sampled_from((f"T{number:02d}", "lying, output toward you", "pan up")))
            bars.append(Bar(label, begins, now, draw(st.sampled_from(("work", "set-up", "lies")))))
        lanes.append(Lane(name, tuple(bars)))
    return Timeline(
        "Teardown, a title that is rather long and has to be broken into two lines of text", tuple(lanes)
    )


@settings(max_examples=60, deadline=None)
@given(timelines())
def test_no_text_overlaps_another_or_leaves_the_sheet(timeline: Timeline) -> None:
    svg = work_timeline(timeline)
    assert svg == work_timeline(timeline)
    drawing = drawn.read(svg)
    for one, other in combinations(drawing.words, 2):
        assert not one.box.touches(other.box), (one.text, other.text)
    assert all(words.box.inside(drawing.frame) for words in drawing.words), [w.text for w in drawing.words]
