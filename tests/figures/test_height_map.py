"""Expected values: the drawing's own promise, read back from the SVG; places by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.figures.height_map import HeightMap, PlaceHeight, height_map

from . import drawn

SQUARE = (("A", 0, 0, "+0.020"), ("B", 300, 0, "−0.030"), ("C", 300, 180, "+0.020"), ("D", 0, 180, "−0.030"))
EDGES = HeightMap(
    "pan face, as found",
    tuple(PlaceHeight(*one) for one in (*SQUARE, ("M", 150, 90, "+0.010"))),
    (("A", "M", "C"), ("B", "M", "D"), ("A", "B"), ("C", "D")),
    ("A",),
    ("B", "D"),
    "mm above or below the middle of the minimum zone",
)
GRID = HeightMap(
    "split face",
    tuple(
        PlaceHeight(f"{row}{column}", column * 60, -50 * "ABC".index(row), "+0.010")
        for row in "ABC"
        for column in range(1, 6)
        if f"{row}{column}" != "B3"
    ),
    highest=("A2",),
    lowest=("C1",),
)


def assert_well_drawn(drawing: drawn.Drawn) -> None:
    assert drawn.overlaps(drawing.words) == []
    assert [words for words in drawing.words if words.text and not words.box.inside(drawing.frame)] == []


@pytest.mark.parametrize("record", [EDGES, GRID, replace(EDGES, highest=(), lowest=(), told="")])
def test_no_text_stands_on_another(record: HeightMap) -> None:
    assert_well_drawn(drawn.read(height_map(record)))


@settings(max_examples=40, deadline=None)
@given(st.sets(st.tuples(st.integers(0, 8), st.integers(0, 6)), min_size=1, max_size=40))
def test_any_face_is_drawn_without_overlap(spots: set[tuple[int, int]]) -> None:
    places = tuple(PlaceHeight(f"P{x}{y}", x * 30.0, y * 25.0, "+0.123") for x, y in sorted(spots))
    assert_well_drawn(drawn.read(height_map(HeightMap("any", places))))


def test_places_lie_as_on_the_face() -> None:
    """A is left below, C right above; y grows upward on the face and downward on the drawing."""
    drawing = drawn.read(height_map(EDGES))
    at = {words.text: words.box for words in drawing.words}
    assert at["A"].left < at["B"].left and at["A"].top > at["D"].top
    assert at["M"].left == pytest.approx((at["A"].left + at["B"].left) / 2, abs=4)


def test_highest_and_lowest_are_marked_by_shape_and_in_words() -> None:
    svg = height_map(EDGES)
    assert "Highest: A. Lowest: B, D." in svg
    drawing = drawn.read(svg)
    # one filled triangle at A and one in the legend; two hollow ones at B and D and one in the legend
    assert len(drawing.styled("path", "d-solid")) == 2
    assert len(drawing.styled("path", "d-rule")) == 3


def test_the_text_alternative_has_every_height_and_every_line() -> None:
    svg = height_map(EDGES)
    for _, _, _, words in SQUARE:
        assert words in svg.partition("<desc>")[2].partition("</desc>")[0]
    assert "A straightedge lies along A M C; B M D; A B; C D." in svg


def test_a_face_before_it_is_read_names_its_places() -> None:
    bare = replace(
        EDGES, places=tuple(replace(place, words="") for place in EDGES.places), highest=(), lowest=()
    )
    assert "Places: A, B, C, D, M." in height_map(bare)


@pytest.mark.parametrize(
    ("record", "said"),
    [
        (HeightMap("x", ()), "no places"),
        (HeightMap("x", (PlaceHeight("A", 0, 0), PlaceHeight("A", 1, 0))), "stands twice"),
        (HeightMap("x", (PlaceHeight("A", 0, 0),), (("A", "Z"),)), "names Z"),
        (HeightMap("x", (PlaceHeight("A", float("nan"), 0),)), "must be finite"),
    ],
)
def test_what_cannot_be_drawn_is_refused(record: HeightMap, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        height_map(record)


def test_the_drawing_is_the_golden_one(golden: Callable[[str, str], None]) -> None:
    golden("height-map-pan-face.svg", height_map(EDGES))
    golden("height-map-grid.svg", height_map(GRID))
