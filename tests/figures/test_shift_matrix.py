"""Expected values: application charts, ratios and one-way clutches of the published cases, read back from the SVG.

The published cases are those of tests/published/gear_trains.json, with their sources.
Golden files are pinned own output, looked at in a browser, in light, dark and print.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.figures.matrix_cells import columns_of
from countershaft.figures.shift_matrix import ShiftMatrix, matrix_of, shift_matrix
from countershaft.mechanics.gear_sets import SinglePinion
from countershaft.mechanics.gears import solve_gears
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch, OneWayToGround, Sleeve
from tests.strategies import TrainInState, trains

from . import drawn
from .charts import CHARTS, Charted

#: A set of 30 and 72 teeth behind a clutch, a one-way clutch beside its brake: 3.4 with the ring held, 1 locked.
SET = Network(
    "in",
    "out",
    sets=(SinglePinion("P", "S", "out", "R", 30, 72),),
    elements=(Clutch("F", "in", "S"), Brake("B", "R"), Clutch("K", "S", "R"), OneWayToGround("W", "R", "+")),
)
CHART = {"N": (), "1": ("F", "W"), "1M": ("F", "B", "W"), "2": ("F", "K")}
EVERY = pytest.mark.parametrize("charted", CHARTS.values(), ids=list(CHARTS))
ROW = 52.0


def matrix(charted: Charted, gear: str = "") -> ShiftMatrix:
    """The matrix of a chart."""
    return matrix_of(charted.network, charted.chart, charted.name, gear=gear)


def table(
    drawing: drawn.Drawn, network: Network, chart: dict[str, tuple[str, ...]]
) -> dict[str, dict[str, str]]:
    """Gear to element to the shape in its cell; columns by their order, rows by the line at the head."""
    top = min(drawing.figures(line, "y1")[0] for line in drawing.styled("line", "d-rule"))
    columns = columns_of(network)
    found: dict[str, dict[str, str]] = {gear: {} for gear in chart}
    xs: list[float] = []
    shapes: list[tuple[float, float, str]] = []
    for square in drawing.styled("rect", "d-applied"):
        x, y, width = drawing.figures(square, "x", "y", "width")
        shapes.append((x + width / 2, y + width / 2, "block"))
    for style, name in (("d-applied", "disc"), ("d-open", "ring")):
        for circle in drawing.styled("circle", style):
            x, y = drawing.figures(circle, "cx", "cy")
            shapes.append((x, y, name))
    heads = {
        words.text: (words.box.left + words.box.right) / 2
        for words in drawing.words
        if words.box.bottom < top
    }
    xs = [heads.get(column, heads.get(str(place + 1), -1.0)) for place, column in enumerate(columns)]
    gears = list(chart)
    for x, y, name in shapes:
        row = int((y - top) // ROW)
        if 0 <= row < len(gears):
            place = min(range(len(xs)), key=lambda at: abs(xs[at] - x))
            found[gears[row]][columns[place]] = name
    return found


@EVERY
def test_no_text_overlaps_another_or_leaves_the_picture(charted: Charted) -> None:
    for gear in ("", *charted.chart):
        drawing = drawn.read(shift_matrix(replace(matrix(charted), gear=gear)))
        assert drawn.overlaps(drawing.words) == []
        assert [words.text for words in drawing.words if not words.box.inside(drawing.frame)] == []
        smallest = min(words.size for words in drawing.words) * min(1.0, 780 / drawing.frame.right)
        assert smallest >= 20


@EVERY
def test_the_same_chart_gives_the_same_bytes(charted: Charted) -> None:
    assert shift_matrix(matrix(charted)) == shift_matrix(matrix(charted))


@EVERY
def test_what_the_chart_applies_is_a_block_in_its_cell(charted: Charted) -> None:
    """The published application charts, mark by mark; one-way clutches are judged below."""
    drawing = drawn.read(shift_matrix(matrix(charted)))
    one_ways = {clutch.id for clutch in charted.network.one_ways}
    found = table(drawing, charted.network, charted.chart)
    for gear, applied in charted.chart.items():
        blocks = {column for column, shape in found[gear].items() if shape == "block"}
        assert blocks == set(applied) - one_ways


@pytest.mark.parametrize(
    ("name", "ratios"),
    [
        ("GT-29 1", {"1": "4.500", "R": "−6.000", "4": "1.000"}),
        ("GT-22 A:1", {"A:1": "2.412", "A:3": "1.000"}),
    ],
)
def test_published_ratios_stand_in_their_rows(name: str, ratios: dict[str, str]) -> None:
    """U.C. Jindal, Machine Design, 2010, Example 29-1: 4.5 and -6; the others as in the case's own source."""
    drawing = drawn.read(shift_matrix(matrix(CHARTS[name])))
    rows = {words.text: words.box.bottom for words in drawing.words if words.box.left < 20}
    for gear, ratio in ratios.items():
        texts = [w.text for w in drawing.words if abs(w.box.bottom - rows[gear]) < 1]
        assert ratio in texts


def test_a_one_way_clutch_holds_on_drive_and_overruns_where_it_is_overtaken() -> None:
    """Ring held in first; locked in second the ring turns forward, which is its free way; by hand."""
    found = table(drawn.read(shift_matrix(matrix_of(SET, CHART, "T"))), SET, CHART)
    assert found == {
        "N": {},
        "1": {"F": "block", "W": "disc"},
        "1M": {"F": "block", "B": "block", "W": "disc"},
        "2": {"F": "block", "K": "block", "W": "ring"},
    }


def test_engine_braking_stands_in_words() -> None:
    """On coast the one-way clutch lets go; the brake beside it does not (common practice, no source)."""
    drawing = drawn.read(shift_matrix(matrix_of(SET, CHART, "T")))
    rows = {words.text: words.box.bottom for words in drawing.words if words.box.left < 20}
    said = {
        gear: [
            w.text for w in drawing.words if abs(w.box.bottom - rows[gear]) < 1 and w.text in ("yes", "no")
        ]
        for gear in CHART
    }
    assert said == {"N": [], "1": ["no"], "1M": ["yes"], "2": ["yes"]}


def test_the_line_between_two_gears_says_what_changes_and_the_step() -> None:
    """From 1M to 2 brake and one-way clutch let go, and the clutch takes hold; the step is 3.4, by hand."""
    svg = shift_matrix(matrix_of(SET, CHART, "T"))
    assert "1M to 2: B and W off, K on, step 3.400" in svg
    drawing = drawn.read(svg)
    top = min(drawing.figures(line, "y1")[0] for line in drawing.styled("line", "d-rule"))
    line = top + 3 * ROW
    arrows = {
        style: [drawn.points(path) for path in drawing.styled("path", style)]
        for style in ("d-open", "d-solid")
    }
    at_line = {
        style: [
            corners for corners in found if min(y for _, y in corners) < line < max(y for _, y in corners)
        ]
        for style, found in arrows.items()
    }
    assert [len(at_line["d-open"]), len(at_line["d-solid"])] == [2, 1]
    (step,) = [
        words for words in drawing.words if words.text == "3.400" and words.box.top < line < words.box.bottom
    ]
    assert step.box.left > max(x for corners in at_line["d-open"] for x, _ in corners)


def test_nothing_is_marked_between_gears_that_are_no_shift() -> None:
    """From neutral to first, and from first to reverse, nothing is shifted under way."""
    drawing = drawn.read(shift_matrix(matrix(CHARTS["GT-29 1"])))
    rows = {words.text: words.box.bottom for words in drawing.words if words.box.left < 20}
    marks = [drawn.points(path) for path in drawing.styled("path", "d-solid")]
    reverse = [corners for corners in marks if rows["4"] + 10 < corners[0][1] < rows["R"] - 20]
    assert reverse == []


def test_the_gear_in_hand_has_a_ground_a_bar_and_strong_type() -> None:
    drawing = drawn.read(shift_matrix(matrix_of(SET, CHART, "T", gear="1M")))
    (ground,) = drawing.styled("rect", "d-row-now")
    _, y = drawing.figures(ground, "x", "y")
    (gear,) = [words for words in drawing.words if words.text == "1M"]
    assert y < gear.box.top < gear.box.bottom < y + ROW
    assert "d-strong" in gear.style
    assert len(drawing.styled("line", "d-gear-now")) == 1
    assert drawn.read(shift_matrix(matrix_of(SET, CHART, "T"))).styled("rect", "d-row-now") == []


def test_ratios_that_no_gear_uses_are_listed_below() -> None:
    """The chart without its direct gear: locking the set would give 1, by hand."""
    drawing = drawn.read(shift_matrix(matrix_of(SET, {"1": ("F", "B")}, "T")))
    texts = [words.text for words in drawing.words]
    assert "Also possible, in no gear of the chart" in texts
    assert texts.count("1.000") == 1
    assert "Also possible: 1.000 by F and K" in drawing.root.get("aria-label", "")


def test_a_sleeve_has_a_column_for_each_position() -> None:
    charted = CHARTS["demo-a"]
    texts = [words.text for words in drawn.read(shift_matrix(matrix(charted))).words]
    assert {"SV:F", "SV:R"} <= set(texts)
    sets = (SinglePinion("P", "in", "out", "R", 30, 72),)
    single = Network("in", "out", sets, elements=(Brake("B", "R"), Sleeve("D", (("in", ("in", "R")),))))
    found = table(drawn.read(shift_matrix(matrix_of(single, {"2": ("D",)}, "T"))), single, {"2": ("D",)})
    assert found == {"2": {"D:in": "block"}}


def test_a_tie_up_and_a_neutral_say_so_instead_of_a_ratio() -> None:
    drawing = drawn.read(shift_matrix(matrix_of(SET, {"N": (), "X": ("F", "B", "K")}, "T")))
    texts = [words.text for words in drawing.words]
    assert {"neutral", "tie-up", "X drives nothing: tie-up."} <= set(texts)


def test_a_neutral_that_drives_is_named() -> None:
    """With the sun on the input the one-way clutch holds the ring whenever the output resists."""
    sets = (SinglePinion("P", "in", "out", "R", 30, 72),)
    network = Network("in", "out", sets, elements=(OneWayToGround("W", "R", "+"),))
    texts = [words.text for words in drawn.read(shift_matrix(matrix_of(network, {"N": ()}, "T"))).words]
    assert "N drives, though it should not." in texts


def test_without_a_check_the_marks_still_stand() -> None:
    plain = ShiftMatrix(SET, "T", solve_gears(SET, CHART))
    drawing = drawn.read(shift_matrix(plain))
    assert table(drawing, SET, CHART)["2"] == {"F": "block", "K": "block", "W": "ring"}
    texts = " ".join(words.text for words in drawing.words)
    assert "not worked out, too many combinations" in texts
    assert "yes" not in texts


def test_the_drawing_speaks_for_itself() -> None:
    root = drawn.read(
        shift_matrix(matrix_of(SET, {"1": ("F", "W"), "2": ("F", "K")}, "One set", gear="2"))
    ).root
    assert root.get("aria-label") == (
        "Shift matrix: One set, gear 2. Gear 1: F applied, W holds, ratio 3.400, no engine braking. "
        "1 to 2: W off, K on, step 3.400. Gear 2: F and K applied, W overruns, ratio 1.000, engine braking."
    )


@settings(max_examples=60)
@given(trains(), st.booleans())
def test_any_train_can_be_drawn(train: TrainInState, chosen: bool) -> None:
    chart = {"1": train.applied, "N": ()}
    drawing = drawn.read(
        shift_matrix(matrix_of(train.network, chart, "Any train", gear="1" if chosen else ""))
    )
    assert drawn.overlaps(drawing.words) == []
    assert [words.text for words in drawing.words if not words.box.inside(drawing.frame)] == []


def test_long_names_give_way_to_numbers_with_a_key() -> None:
    elements = tuple(Brake(f"low and reverse brake {number}", "R") for number in range(1, 7))
    network = Network("in", "out", sets=SET.sets, elements=elements)
    chart = {"1": ("low and reverse brake 2",)}
    drawing = drawn.read(shift_matrix(matrix_of(network, chart, "T")))
    said = " ".join(words.text for words in drawing.words)
    assert "Elements: 1 low and reverse brake 1, 2 low and reverse brake 2," in said
    assert drawn.overlaps(drawing.words) == []


def test_a_gear_that_is_not_there_is_refused() -> None:
    with pytest.raises(OutOfRange, match="there is no gear '7'; known: N, 1, 1M, 2"):
        shift_matrix(matrix_of(SET, CHART, "T", gear="7"))


@pytest.mark.parametrize(("name", "gear"), [("demo-a", "3"), ("demo-b", "4"), ("GT-24 1", "6")])
def test_golden(name: str, gear: str, golden: Callable[[str, str], None]) -> None:
    svg = shift_matrix(matrix(CHARTS[name], gear))
    golden(f"shift-matrix-{name.replace(' ', '-').lower()}.svg", svg)
