"""Where names stand: expected from the geometry of the lines and boxes, by hand."""

from __future__ import annotations

from countershaft.figures.canvas import Box, text_box
from countershaft.figures.train_labels import Label, Spot, Stroke, beside_strokes, place

FRAME = Box(0, 0, 400, 400)


def label(text: str, *spots: Spot) -> Label:
    return Label(text, 20, spots)


def test_a_name_takes_the_best_place_that_is_free() -> None:
    best, next_best = Spot(100, 100, "middle", 0.0), Spot(100, 200, "middle", 1.0)
    assert place([label("A", best, next_best)], [], FRAME) == [best]
    blocked = Box(90, 90, 110, 95)
    assert place([label("A", best, next_best)], [blocked], FRAME) == [next_best]


def test_a_name_with_one_choice_goes_before_one_with_two() -> None:
    shared, other = Spot(100, 100, "middle", 0.0), Spot(100, 200, "middle", 1.0)
    assert place([label("A", shared, other), label("B", shared)], [], FRAME) == [other, shared]


def test_a_name_without_a_free_place_gets_none() -> None:
    spot = Spot(100, 100, "middle")
    assert place([label("A", spot), label("B", spot)], [], FRAME) == [spot, None]
    assert place([label("A", Spot(2, 100, "end"))], [], FRAME) == [None]


def test_names_stand_clear_of_the_line_that_they_name() -> None:
    for stroke in (Stroke(50, 200, 250, 200), Stroke(150, 100, 150, 300), Stroke(150, 190, 150, 200)):
        line = Box(stroke.x1, stroke.y1, stroke.x2, stroke.y2)
        spots = beside_strokes("S12", 20, [stroke])
        assert spots
        for spot in spots:
            box = text_box(spot.x, spot.y, "S12", 20, spot.anchor)
            assert not box.touches(line, 1.0), spot
            assert box.touches(line, 20.0), spot


def test_a_better_line_is_taken_first() -> None:
    near, far = Stroke(50, 100, 250, 100, 5.0), Stroke(50, 300, 250, 300, 0.0)
    spots = beside_strokes("S", 20, [near, far])
    best = min(spots, key=lambda spot: spot.cost)
    assert best.y == 300 - 11.0
