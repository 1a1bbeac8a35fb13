"""Expected values: XML escapes by the XML 1.0 recommendation, section 2.4; glyph widths from the font."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.figures.canvas import Box, Canvas, number, text_width, wrap

from . import drawn


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0, "0"),
        (-0.0, "0"),
        (-0.001, "0"),
        (1.5, "1.5"),
        (10, "10"),
        (1 / 3, "0.33"),
        (-2.25, "-2.25"),
        (1e6, "1000000"),
    ],
)
def test_a_coordinate_has_one_form(value: float, text: str) -> None:
    assert number(value) == text


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_coordinate_that_is_no_number_is_refused(value: float) -> None:
    with pytest.raises(OutOfRange, match="must be a finite number, got"):
        number(value)


def test_the_width_of_no_glyph_is_guessed_too_small() -> None:
    too_small = [c for c in drawn.ADVANCES if text_width(c, 1000) < drawn.width(c, 1000)]
    assert too_small == []


def test_words_are_escaped_and_read_back_as_written() -> None:
    canvas = Canvas(10, 10, title='A<B & "C"', description="less < more > 'quoted'")
    canvas.text(0, 5, "5 < 6 & <script>", 4)
    svg = canvas.svg()
    assert "<script>" not in svg
    root = drawn.read(svg)
    assert root.words[0].text == "5 < 6 & <script>"
    assert root.root.get("aria-label") == "A<B & \"C\". less < more > 'quoted'"


def test_a_drawing_is_an_image_with_title_and_description() -> None:
    root = drawn.read(Canvas(1, 2, title="Name", description="What it shows.").svg()).root
    assert root.get("role") == "img"
    assert [child.tag.split("}")[1] for child in root] == ["title", "desc"]
    assert [child.text for child in root] == ["Name", "What it shows."]


def test_a_drawing_with_links_is_a_group_so_that_they_are_reached() -> None:
    canvas = Canvas(1, 1, title="t", description="d", linked=True)
    canvas.begin_link('/x?a=1&b="2"', "first & last", "d-hole")
    canvas.svg()
    root = drawn.read(canvas.svg()).root
    link = next(e for e in root.iter() if e.tag.endswith("}a"))
    assert (root.get("role"), link.get("href"), link.get("aria-label")) == (
        "group",
        '/x?a=1&b="2"',
        "first & last",
    )


@given(st.text(alphabet=sorted(drawn.ADVANCES), max_size=120), st.integers(1, 4))
def test_wrapped_rows_fit_and_lose_nothing_without_saying_so(text: str, lines: int) -> None:
    rows = wrap(text, 20, 300, lines)
    assert len(rows) <= lines
    assert all(drawn.width(row, 20) <= 300 for row in rows)
    shortened = any(row.endswith("…") for row in rows)
    assert shortened or " ".join(rows) == " ".join(text.split())


def test_boxes_that_share_an_edge_do_not_overlap() -> None:
    left = Box(0, 0, 10, 10)
    assert not left.touches(Box(10, 0, 20, 10))
    assert left.touches(Box(10, 0, 20, 10), gap=1)
    assert Box(1, 1, 9, 9).inside(left)
    assert not left.inside(Box(1, 1, 9, 9))
