"""The signs of a stick diagram, read back: what touches what, and what is filled.

Expected: the kinematic signs as textbooks draw them (ISO 3952); common practice, no source, for the sleeve that
slides towards the ring it engages.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from countershaft.figures.canvas import Canvas
from countershaft.figures.train_symbols import (
    PLATE,
    Pen,
    State,
    band,
    brake,
    case,
    clutch,
    dog,
    one_way,
    roller,
    sleeve,
)

from .drawn import Drawn, read
from .trains import rect

Line = tuple[float, float, float, float]


def sign(draw: Callable[[Pen], None]) -> Drawn:
    canvas = Canvas(200, 200, title="sign", description="one sign")
    draw(Pen(canvas))
    return read(canvas.svg())


def lines(drawing: Drawn, style: str = "d-shaft") -> set[Line]:
    found = set()
    for element in drawing.styled("line", style):
        x1, y1, x2, y2 = drawing.figures(element, "x1", "y1", "x2", "y2")
        found.add((x1, y1, x2, y2))
    return found


def test_a_clutch_is_two_plates_that_face_each_other() -> None:
    drawing = sign(lambda pen: clutch(pen, 50, 100, 80, "open"))
    plates = {line for line in lines(drawing) if line[0] == line[2]}
    assert plates == {(70, 80 - PLATE, 70, 80 + PLATE), (80, 80 - PLATE, 80, 80 + PLATE)}
    assert lines(drawing) - plates == {(50, 80, 70, 80), (100, 80, 80, 80)}
    assert not drawing.styled("rect", "d-applied")


def test_an_applied_clutch_is_filled_between_its_plates() -> None:
    drawing = sign(lambda pen: clutch(pen, 50, 100, 80, "applied"))
    (fill,) = drawing.styled("rect", "d-applied")
    box = rect(drawing, fill)
    assert (box.left, box.right, box.top, box.bottom) == (70, 80, 80 - PLATE, 80 + PLATE)


@pytest.mark.parametrize("draw", [brake, band, roller])
@pytest.mark.parametrize("state", ["open", "applied"])
def test_what_holds_a_member_stands_between_it_and_the_hatched_case(
    draw: Callable[[Pen, float, float, State], None], state: State
) -> None:
    drawing = sign(lambda pen: draw(pen, 100, 120, state))
    assert any(line[:2] == (100, 120) for line in lines(drawing)), "leads on from the member"
    grounds = [line for line in lines(drawing) if line[1] == line[3] == 120 - 44]
    assert len(grounds) == 1
    ticks = lines(drawing, "d-case")
    assert len(ticks) == 4
    assert all(y1 > y2 for _, y1, _, y2 in ticks)
    filled = [*drawing.styled("rect", "d-applied"), *drawing.styled("circle", "d-applied")]
    assert len(filled) == (state == "applied")


def test_an_open_band_stands_off_its_drum_and_a_tight_one_lies_on_it() -> None:
    def gap(state: State) -> float:
        drawing = sign(lambda pen: band(pen, 100, 120, state))
        drum = max(y1 for x1, y1, x2, y2 in lines(drawing) if y1 == y2)
        (box,) = [rect(drawing, e) for e in drawing.root.iter() if e.tag.endswith("rect")]
        return drum - box.bottom

    assert gap("applied") < 2 < gap("open")


@pytest.mark.parametrize("state", ["open", "applied", "overruns"])
def test_a_one_way_clutch_is_a_roller_in_a_wedge(state: State) -> None:
    between = sign(lambda pen: one_way(pen, 50, 100, 80, state))
    to_case = sign(lambda pen: roller(pen, 100, 120, state))
    for drawing in (between, to_case):
        style = "d-applied" if state == "applied" else "d-open"
        assert len(drawing.styled("circle", style)) == 1
        assert any(x1 != x2 and y1 != y2 for x1, y1, x2, y2 in lines(drawing)), "the ramp"
    assert not lines(between, "d-case")


@pytest.mark.parametrize(("engaged", "shift"), [("", 0), ("left", -12), ("right", 12)])
def test_a_sleeve_slides_over_the_ring_that_it_engages(engaged: str, shift: float) -> None:
    drawing = sign(lambda pen: sleeve(pen, (40, 100, 160), 80, engaged))
    (box,) = [rect(drawing, e) for e in drawing.styled("rect", "d-applied" if engaged else "d-open")]
    assert (box.left + box.right) / 2 == 100 + shift
    rings = {100 - 18, 100 + 18}
    covered = {x for x in rings if box.left <= x <= box.right}
    assert covered == ({100 + 18 * (1 if shift > 0 else -1)} if engaged else set())


def test_a_dog_covers_both_rings_only_when_engaged() -> None:
    def covered(state: State) -> int:
        drawing = sign(lambda pen: dog(pen, 50, 100, 80, state))
        style = "d-applied" if state == "applied" else "d-open"
        (box,) = [rect(drawing, e) for e in drawing.styled("rect", style)]
        return sum(box.left <= x <= box.right for x in (68, 82))

    assert (covered("open"), covered("applied")) == (1, 2)


@pytest.mark.parametrize(("side", "upright"), [("above", False), ("left", True), ("right", True)])
def test_the_case_is_a_hatched_line_across_the_end_of_the_shaft(side: str, upright: bool) -> None:
    drawing = sign(lambda pen: case(pen, 100, 100, side))
    (wall,) = lines(drawing)
    assert (wall[0] == wall[2]) == upright
    outward = {x2 - x1 for x1, _, x2, _ in lines(drawing, "d-case")}
    assert {value > 0 for value in outward} == {side != "left"}
    assert len(lines(drawing, "d-case")) == 4


def test_an_upright_line_lets_flat_ones_pass() -> None:
    drawing = sign(lambda pen: pen.broken(50, 10, 90, [50, 200]))
    assert lines(drawing) == {(50, 10, 50, 43), (50, 57, 50, 90)}
    whole = sign(lambda pen: pen.broken(50, 10, 90, []))
    assert lines(whole) == {(50, 10, 50, 90)}
