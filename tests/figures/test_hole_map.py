"""Expected values: the picture's own promise, read back from the SVG.

Places, lengths and standing heights of the three real joints are those of the invented planetary
six-speed (demo_joints.json).
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.figures.canvas import Box
from countershaft.figures.hole_layout import cell, lay_out
from countershaft.figures.hole_map import Hole, HoleMap, hole_map

from . import drawn

JOINTS: dict[str, list[dict[str, Any]]] = json.loads(
    (drawn.HERE / "demo_joints.json").read_text(encoding="utf-8")
)
TABLET_MM_PER_PX = 10.5 * 25.4 / (820**2 + 1180**2) ** 0.5


def joint(name: str, done: int = 4, href: str | None = "/hole") -> HoleMap:
    """Return a real joint with the first `done` bolts of the order done."""
    holes = tuple(
        Hole(**kept, done=kept["order"] <= done, next=kept["order"] == done + 1, href=href)
        for kept in JOINTS[name]
    )
    return HoleMap(name, holes, 2, 3, "24 N·m")


places = st.floats(-300, 300, allow_nan=False).map(lambda figure: round(figure, 1))


@st.composite
def maps(draw: st.DrawFn) -> HoleMap:
    """Return a map with anything in it that may be in it."""
    count = draw(st.integers(1, 24))
    placed = draw(st.booleans())
    holes = tuple(
        Hole(
            id=draw(st.text(alphabet=sorted(drawn.ADVANCES), max_size=14)),
            order=draw(st.none() | st.just(index)),
            x_mm=draw(places) if placed else None,
            y_mm=draw(places) if placed else None,
            standing_height_mm=draw(st.none() | st.floats(0, 80).map(lambda figure: round(figure, 1))),
            length_mm=draw(st.none() | st.integers(8, 120)),
            done=draw(st.booleans()),
            next=draw(st.booleans()),
            hand=draw(st.sampled_from(["right", "left"])),
            href="/hole",
        )
        for index in range(1, count + 1)
    )
    return HoleMap(draw(st.text(alphabet=sorted(drawn.ADVANCES), max_size=90)), holes, 1, 2, "12 N·m")


def rect_box(drawing: drawn.Drawn, rect: ElementTree.Element) -> Box:
    """Return the box of a drawn rectangle."""
    x, y, wide, tall = drawing.figures(rect, "x", "y", "width", "height")
    return Box(x, y, x + wide, y + tall)


def touched(drawing: drawn.Drawn) -> list[Box]:
    """Return the squares that a finger may hit."""
    return [rect_box(drawing, rect) for rect in drawing.styled("rect", "d-touch")]


def assert_well_drawn(drawing: drawn.Drawn) -> None:
    """Assert that nothing overlaps and nothing leaves the picture."""
    assert drawn.overlaps(drawing.words) == []
    assert [words for words in drawing.words if words.text and not words.box.inside(drawing.frame)] == []
    heads = [drawing.figures(head, "cx", "cy", "r") for head in drawing.styled("circle", "d-head")]
    for (x1, y1, r1), (x2, y2, r2) in combinations(heads, 2):
        assert ((x1 - x2) ** 2 + (y1 - y2) ** 2) ** 0.5 > r1 + r2
    for one, other in combinations(touched(drawing), 2):
        assert not one.touches(other)
    labels = [
        words
        for words in drawing.words
        if words.text and not (words.style == "d-strong" and words.text.isdigit())
    ]
    discs = [Box(x - r * 0.7, y - r, x + r * 0.7, y + r) for x, y, r in heads]
    covered = [(words.text, disc) for words in labels for disc in discs if words.box.touches(disc)]
    assert covered == []
    stubs = [
        rect_box(drawing, rect)
        for rect in drawing.styled("rect", "d-solid") + drawing.styled("rect", "d-shank")
    ]
    rings = [drawing.figures(ring, "cx", "cy", "r") for ring in drawing.styled("circle", "d-ring")]
    for stub in stubs:
        assert not any(words.box.touches(stub) for words in drawing.words if words.text)
        assert not any(
            stub.left < x + r + 2 and stub.right > x - r and stub.top < y < stub.bottom for x, y, r in rings
        )


@pytest.mark.parametrize("name", sorted(JOINTS))
def test_a_real_joint_is_drawn_without_overlap(name: str) -> None:
    assert_well_drawn(drawn.read(hole_map(joint(name))))


@settings(max_examples=60, deadline=None)
@given(maps())
def test_any_joint_is_drawn_without_overlap(record: HoleMap) -> None:
    assert_well_drawn(drawn.read(hole_map(record)))


@pytest.mark.parametrize("name", sorted(JOINTS))
def test_a_hole_is_large_enough_for_a_glove_and_far_enough_from_the_next(name: str) -> None:
    """18 mm and 6 mm on a tablet of 10.5 inches, as the design asks; the map is 764 pixels wide there."""
    squares = touched(drawn.read(hole_map(joint(name))))
    assert len(squares) == len(JOINTS[name])
    for square in squares:
        assert (square.right - square.left) * TABLET_MM_PER_PX >= 18
        assert (square.bottom - square.top) * TABLET_MM_PER_PX >= 18
    for one, other in combinations(squares, 2):
        assert not one.touches(other, gap=6 / TABLET_MM_PER_PX)


@pytest.mark.parametrize("name", sorted(JOINTS))
def test_a_real_joint_keeps_its_shape(name: str) -> None:
    """Two heads more than 40 mm apart one way lie on the paper in the same sense as on the case."""
    record = joint(name)
    drawing = drawn.read(hole_map(record))
    assert "Drawn in rows" not in " ".join(words.text for words in drawing.words)
    heads = [drawing.figures(head, "cx", "cy") for head in drawing.styled("circle", "d-head")]
    for (one, (x1, y1)), (other, (x2, y2)) in combinations(list(zip(record.holes, heads, strict=True)), 2):
        assert (
            one.x_mm is not None
            and other.x_mm is not None
            and one.y_mm is not None
            and other.y_mm is not None
        )
        if abs(one.x_mm - other.x_mm) > 40:
            assert (one.x_mm < other.x_mm) == (x1 < x2)
        if abs(one.y_mm - other.y_mm) > 40:
            assert (one.y_mm > other.y_mm) == (y1 < y2)


def test_without_places_the_holes_stand_in_rows_in_their_order() -> None:
    holes = tuple(
        replace(hole, x_mm=None, y_mm=None, order=11 - hole.order)
        for hole in joint("pump to case").holes
        if hole.order
    )
    drawing = drawn.read(hole_map(HoleMap("pump", holes, 1, 1, "")))
    numbers = [
        (words.box.top, words.box.left, int(words.text)) for words in drawing.words if words.text.isdigit()
    ]
    assert [order for _, _, order in sorted(numbers)] == list(range(1, 11))
    assert "Drawn in rows, not where the holes lie." in [words.text for words in drawing.words]


def test_holes_that_share_a_place_stand_in_rows() -> None:
    assert lay_out([(0.0, 0.0), (0.0, 0.0)], [1, 2]).in_rows


@given(st.lists(st.tuples(places, places), min_size=1, max_size=30))
@settings(max_examples=60, deadline=None)
def test_cells_never_overlap(points: list[tuple[float, float]]) -> None:
    layout = lay_out(points, list(range(len(points))))
    cells = [cell(centre) for centre in layout.centres]
    assert all(not one.touches(other) for one, other in combinations(cells, 2))
    frame = Box(-0.01, -0.01, 764.01, layout.height + 0.01)
    assert all(one.inside(frame) for one in cells)


def test_done_next_and_open_differ_in_shape() -> None:
    drawing = drawn.read(hole_map(joint("pump to case", done=4)))
    assert len(drawing.styled("line", "d-paint")) == 4
    assert len(drawing.styled("circle", "d-ring")) == 1
    assert len(drawing.styled("circle", "d-head")) == 10


def test_heads_are_drawn_at_their_standing_height() -> None:
    """A head that stands 22 mm is drawn 22/11 times as high as one that stands 11 mm, by hand."""
    holes = tuple(
        Hole(f"H{index}", index, None, None, stands, None, False, False, "right", None)
        for index, stands in enumerate((22.0, 11.0, 0.0), start=1)
    )
    drawing = drawn.read(hole_map(HoleMap("j", holes, 1, 1, "")))
    lifts = [drawing.figures(rect, "height")[0] for rect in drawing.styled("rect", "d-shank")]
    assert lifts[0] == pytest.approx(2 * lifts[1], abs=0.02)
    assert len(lifts) == 2
    assert {"22", "11", "0"} <= {words.text for words in drawing.words}


def test_one_common_standing_height_is_said_once() -> None:
    texts = [words.text for words in drawn.read(hole_map(joint("valve body to case"))).words]
    assert "Dropped into its own hole, every head stands 12 mm off the face." in texts
    assert "12" in texts and texts.count("12") == 1, "only the order number 12 stands in the map"


def test_a_left_hand_thread_is_marked_by_letters_and_an_arrow_that_tightens_it() -> None:
    hole = Hole("N1", 1, None, None, None, None, False, False, "left", None)
    drawing = drawn.read(hole_map(HoleMap("nut", (hole,), 1, 1, "")))
    assert "LH" in [words.text for words in drawing.words]
    (x,) = drawing.figures(drawing.styled("circle", "d-head")[0], "cx")
    tip, *base = drawn.points(drawing.styled("path", "d-solid")[0])
    base_y = sum(corner[1] for corner in base) / len(base)
    assert tip[0] < x, "the arrow stands left of the head"
    assert tip[1] > base_y, "and points down there: anticlockwise, the way a left-hand thread tightens"
    right = drawn.read(hole_map(HoleMap("nut", (replace(hole, hand="right"),), 1, 1, "")))
    assert "LH" not in [words.text for words in right.words]


def test_the_drawing_reads_order_and_state() -> None:
    holes = (
        Hole("B2", 2, 10, 0, 18, 40, False, True, "right", None),
        Hole("B1", 1, -100, 0, 18, 40, True, False, "left", None),
    )
    root = drawn.read(hole_map(HoleMap("Cover", holes, 1, 2, "12 N·m"))).root
    assert root.get("role") == "img"
    assert root.get("aria-label") == (
        "Hole map: Cover. Round 1 of 2. 12 N·m. 1 of 2 done. In order: "
        "1 B1, 40 mm long, stands 18 mm, left-hand thread, done; 2 B2, 40 mm long, stands 18 mm, next."
    )


def test_each_linked_hole_says_what_it_is() -> None:
    root = drawn.read(hole_map(joint("pump to case"))).root
    links = [element for element in root.iter() if element.tag.endswith("}a")]
    assert root.get("role") == "group"
    assert {link.get("aria-label") for link in links} >= {
        "1 B-P03, 40 mm long, stands 18 mm, done",
        "5 B-P04, 40 mm long, stands 18 mm, next",
    }


@pytest.mark.parametrize(
    ("holes", "message"),
    [
        ((), "no holes; expected at least one"),
        (
            (Hole("B1", 1, float("inf"), 0, None, None, False, False, "right", None),),
            "hole B1: every figure must be finite",
        ),
    ],
)
def test_a_map_that_cannot_be_drawn_is_refused(holes: tuple[Hole, ...], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        hole_map(HoleMap("Cover", holes, 1, 1, ""))


@pytest.mark.parametrize("name", sorted(JOINTS))
def test_golden(name: str, golden: Callable[[str, str], None]) -> None:
    golden(f"hole-map-{name.replace(' ', '-')}.svg", hole_map(joint(name)))
