"""Expected values: speeds and places read back from the SVG and held against the published ones beside the test.

The published cases are those of tests/published/gear_trains.json, with their sources.
Golden files are pinned own output, looked at in a browser, in light, dark and print.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.figures.speed_ladder import SpeedLadder, speed_ladder
from countershaft.mechanics.gear_sets import Ravigneaux, SinglePinion
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake
from countershaft.mechanics.states import StateKind, solve_chart, solve_state
from tests.strategies import TrainInState, trains

from . import drawn
from .charts import CHARTS, Charted

SET = Network("in", "C", sets=(SinglePinion("P", "in", "C", "R", 30, 70),), elements=(Brake("B", "R"),))
FIRST = SpeedLadder(SET, "One set", solve_chart(SET, {"1": ("B",)}))
EVERY = pytest.mark.parametrize("charted", CHARTS.values(), ids=list(CHARTS))


def ladders(charted: Charted) -> list[SpeedLadder]:
    """The ladder of a chart without a gear in hand, and with each of them, with and without rpm."""
    plain = SpeedLadder(charted.network, charted.name, charted.states())
    gears = [replace(plain, gear=gear) for gear in charted.chart]
    return [plain, *gears, *(replace(one, input_rpm=1850.0) for one in gears)]


def axes_of(drawing: drawn.Drawn) -> dict[str, float]:
    """Each axis with its name: the names stand in the order of the axes."""
    places = sorted(drawing.figures(line, "x1")[0] for line in drawing.styled("line", "d-axis"))
    spoken = drawing.root.get("aria-label", "")
    names = spoken.partition("Axes from left to right: ")[2].partition(". ")[0].split(", ")
    return dict(zip(names, places, strict=True))


def heights(drawing: drawn.Drawn) -> tuple[float, float]:
    """Heights of standstill and of the speed of the input."""
    dashed = [line for line in drawing.styled("line", "d-rule") if "d-dash" in line.get("class", "")]
    plain = [line for line in drawing.styled("line", "d-rule") if "d-dash" not in line.get("class", "")]
    return drawing.figures(plain[0], "y1")[0], drawing.figures(dashed[0], "y1")[0]


def marks_now(drawing: drawn.Drawn) -> list[tuple[float, float]]:
    """Where the points of the gear in hand stand: dots, and squares of what is held."""
    dots = [drawing.figures(dot, "cx", "cy") for dot in drawing.styled("circle", "d-applied")]
    found = [(x, y) for x, y in dots]
    for square in drawing.styled("rect", "d-solid"):
        x, y, width = drawing.figures(square, "x", "y", "width")
        if width > 15 and x > 1.5:
            found.append((x + width / 2, y + width / 2))
    return found


@EVERY
def test_no_text_overlaps_another_or_leaves_the_picture(charted: Charted) -> None:
    for ladder in ladders(charted):
        drawing = drawn.read(speed_ladder(ladder))
        assert drawn.overlaps(drawing.words) == []
        assert [words.text for words in drawing.words if not words.box.inside(drawing.frame)] == []
        smallest = min(words.size for words in drawing.words) * min(1.0, 780 / drawing.frame.right)
        assert smallest >= 20


@EVERY
def test_the_same_train_gives_the_same_bytes(charted: Charted) -> None:
    gear = list(charted.chart)[-1]
    ladder = SpeedLadder(charted.network, charted.name, charted.states(), gear)
    again = SpeedLadder(charted.network, charted.name, charted.states(), gear)
    assert speed_ladder(ladder) == speed_ladder(again)


@EVERY
def test_speeds_stand_at_their_heights(charted: Charted) -> None:
    """Every point of the gear in hand, measured from standstill in heights of the input's speed."""
    for gear, state in charted.states().items():
        drawing = drawn.read(speed_ladder(SpeedLadder(charted.network, "T", charted.states(), gear)))
        zero, one = heights(drawing)
        axes = {name: x for names, x in axes_of(drawing).items() for name in names.split("=")}
        if state.kind == StateKind.TIE_UP:
            assert marks_now(drawing) == []
            continue
        wanted = {(axes[m], zero + float(state.speeds[m]) * (one - zero)) for m in axes if m in state.speeds}
        found = marks_now(drawing)
        assert len(found) == len({(round(x, 1), round(y, 1)) for x, y in wanted})
        for x, y in wanted:
            near = min(abs(x - x1) + abs(y - y1) for x1, y1 in found)
            assert near < 0.05


# Speeds of members per turn of the input as printed, each with the case that names book and page.
PUBLISHED: tuple[tuple[str, str, Mapping[str, float]], ...] = (
    ("GT-29 1", "1", {"out": 1 / 4.5}),
    ("GT-29 1", "R", {"out": -1 / 6.0}),
)


@pytest.mark.parametrize(("name", "gear", "speeds"), PUBLISHED)
def test_published_speeds_stand_at_their_heights(name: str, gear: str, speeds: Mapping[str, float]) -> None:
    """U.C. Jindal, Machine Design, 2010, ch. 29, Example 29-1: first gear 4.5, reverse -6."""
    charted = CHARTS[name]
    drawing = drawn.read(speed_ladder(SpeedLadder(charted.network, "T", charted.states(), gear)))
    zero, one = heights(drawing)
    axes = axes_of(drawing)
    for member, speed in speeds.items():
        (y,) = {round(y, 2) for x, y in marks_now(drawing) if abs(x - axes[member]) < 0.05}
        assert (y - zero) / (one - zero) == pytest.approx(speed, abs=1e-3)


def test_the_axes_of_a_set_stand_as_on_the_published_lever() -> None:
    """Sun to carrier is to carrier to ring as ring to sun teeth: Benford and Leising, SAE 810102 (from memory)."""
    axes = axes_of(drawn.read(speed_ladder(FIRST)))
    assert (axes["C"] - axes["in"]) / (axes["R"] - axes["C"]) == pytest.approx(70 / 30, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("GT-29 1", "Each gear is a straight line: the axes stand at the places"),
        ("GT-23 1", "Each gear is a straight line on each of the levers in–K–gnd; Ss–R–C–Sl."),
        ("GT-21 A:1", "Each gear is a straight line on the lever Ss–R–C–Sl. The other axes stand beside."),
        ("GT-11 1", "Axes evenly spaced; lines join the speeds."),
        ("GT-24 1", "Axes evenly spaced; lines join the speeds."),
    ],
)
def test_the_caption_says_how_the_lines_are_to_be_read(name: str, said: str) -> None:
    charted = CHARTS[name]
    drawing = drawn.read(speed_ladder(SpeedLadder(charted.network, "T", charted.states())))
    assert said in " ".join(words.text for words in drawing.words)
    assert said.rstrip(".") in drawing.root.get("aria-label", "")


def test_every_gear_on_one_lever_is_straight() -> None:
    """Four coupled sets: all points of a gear, read back, lie on the line of its first and last."""
    charted = CHARTS["GT-29 1"]
    for gear in charted.chart:
        drawing = drawn.read(speed_ladder(SpeedLadder(charted.network, "T", charted.states(), gear)))
        points = sorted(marks_now(drawing))
        (x1, y1), (x2, y2) = points[0], points[-1]
        for x, y in points:
            assert y == pytest.approx(y1 + (y2 - y1) * (x - x1) / (x2 - x1), abs=0.1)


def test_axes_without_a_lever_stand_evenly() -> None:
    charted = CHARTS["demo-a"]
    drawing = drawn.read(speed_ladder(SpeedLadder(charted.network, "T", charted.states())))
    places = sorted(axes_of(drawing).values())
    gaps = [after - before for before, after in pairwise(places)]
    assert max(gaps) - min(gaps) < 0.03


def test_the_gear_in_hand_is_bold_and_the_others_are_not() -> None:
    charted = CHARTS["GT-29 1"]
    drawing = drawn.read(speed_ladder(SpeedLadder(charted.network, "T", charted.states(), "2")))
    bold = {words.text for words in drawing.words if "d-strong" in words.style}
    assert {"2", "in", "out"} <= bold
    assert not {"1", "3", "4", "R"} & bold
    assert len(drawing.styled("line", "d-gear-now")) == 6


def test_a_held_member_is_a_square_on_the_line_of_standstill() -> None:
    drawing = drawn.read(speed_ladder(replace(FIRST, gear="1")))
    zero, _ = heights(drawing)
    ring = axes_of(drawing)["R"]
    assert (ring, zero) in [
        (pytest.approx(x, abs=0.02), pytest.approx(y, abs=0.02)) for x, y in marks_now(drawing)
    ]
    assert "held by the case" in [words.text for words in drawing.words]


def test_a_neutral_has_no_line_and_says_what_is_free() -> None:
    states = solve_chart(SET, {"1": ("B",), "N": ()})
    drawing = drawn.read(speed_ladder(replace(FIRST, states=states)))
    texts = [words.text for words in drawing.words]
    assert "N: neutral: the output is not driven; free: C and R." in texts
    assert "N" not in texts
    assert "Gear N, neutral: the output is not driven: in 1, free: C and R" in drawing.root.get(
        "aria-label", ""
    )


def test_a_member_that_floats_breaks_the_line() -> None:
    """Third of the parallel-shaft unit with its sleeve in the middle: g2 and d2 float, so no line crosses them."""
    network = CHARTS["demo-a"].network
    states = solve_chart(network, {"2": ("K2", "SV:F"), "R": ("K2", "SV:R"), "3": ("K3",)})
    drawing = drawn.read(speed_ladder(SpeedLadder(network, "T", states, "3")))
    axes = axes_of(drawing)
    for line in drawing.styled("line", "d-gear-now"):
        x1, x2 = drawing.figures(line, "x1", "x2")
        assert not any(x1 + 0.1 < axes[name] < x2 - 0.1 for name in ("g2", "d2", "dR"))


def test_the_scale_is_in_rpm_where_the_speed_of_the_input_is_known() -> None:
    """At 2000 rpm half the speed is 1000 rpm, and the carrier of 30 and 70 teeth turns at 600, by hand."""
    drawing = drawn.read(speed_ladder(replace(FIRST, gear="1", input_rpm=2000.0)))
    texts = [words.text for words in drawing.words]
    assert {"2000", "1000", "600", "0.300", "rpm"} <= set(texts)


def test_the_drawing_speaks_for_itself() -> None:
    root = drawn.read(speed_ladder(replace(FIRST, gear="1"))).root
    assert root.get("aria-label") == (
        "Speed ladder: One set, gear 1. Input in, output C. Axes from left to right: in, C, R. "
        "Each gear is a straight line: the axes stand at the places of the members on their common lever. "
        "Gear 1, ratio 3.333: in 1, C 0.3, R held."
    )


@settings(max_examples=60)
@given(trains(), st.sampled_from([None, 1850.0]), st.booleans())
def test_any_train_can_be_drawn(train: TrainInState, rpm: float | None, chosen: bool) -> None:
    states = {"1": solve_state(train.network, train.applied), "N": solve_state(train.network, ())}
    ladder = SpeedLadder(train.network, "Any train", states, "1" if chosen else "", rpm)
    drawing = drawn.read(speed_ladder(ladder))
    assert drawn.overlaps(drawing.words) == []
    assert [words.text for words in drawing.words if not words.box.inside(drawing.frame)] == []


def test_long_names_give_way_to_numbers_with_a_key() -> None:
    names = (
        "front sun gear shaft",
        "rear sun gear drum",
        "planet carrier of the unit",
        "outer ring gear drum",
    )
    network = Network(names[0], names[3], sets=(Ravigneaux("P", *names, 30, 36, 78),))
    drawing = drawn.read(speed_ladder(SpeedLadder(network, "T")))
    said = " ".join(words.text for words in drawing.words)
    assert (
        "Axes: 1 front sun gear shaft, 2 outer ring gear drum, 3 planet carrier of the unit, 4 rear" in said
    )
    assert drawn.overlaps(drawing.words) == []


def test_what_is_not_there_is_refused() -> None:
    with pytest.raises(OutOfRange, match="there is no gear '7'; known: 1"):
        speed_ladder(replace(FIRST, gear="7"))
    with pytest.raises(OutOfRange, match="the input turns at nan rpm; expected a finite figure"):
        speed_ladder(replace(FIRST, input_rpm=float("nan")))


@pytest.mark.parametrize(("name", "gear"), [("demo-a", "3"), ("demo-b", "4"), ("demo-c", "1")])
def test_golden(name: str, gear: str, golden: Callable[[str, str], None]) -> None:
    charted = CHARTS[name]
    golden(
        f"speed-ladder-{name}.svg",
        speed_ladder(SpeedLadder(charted.network, name, charted.states(), gear, 2000.0)),
    )
