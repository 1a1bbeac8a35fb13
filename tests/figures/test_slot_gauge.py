"""Expected values: the picture's own promise, read back from the SVG; the figures are invented.

Golden files are pinned own output, looked at in a browser, in light, dark and print.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.figures.slot_gauge import SlotGauge, Verdict, slot_gauge

from . import drawn

END_PLAY = SlotGauge(0.30, 0.80, 0.46, 0.03, 0.50, "mm", "good", 2, "End play of the input shaft")
VERDICTS: tuple[Verdict, ...] = ("good", "bad", "measure again", "not measured")
figures = st.floats(-1e6, 1e6, allow_nan=False).map(lambda figure: round(figure, 3))


@st.composite
def gauges(draw: st.DrawFn) -> SlotGauge:
    """Return a gauge with anything in it that may be in it."""
    limits = sorted(draw(st.lists(figures, min_size=2, max_size=2)))
    return SlotGauge(
        lower=draw(st.sampled_from([limits[0], None])),
        upper=draw(st.sampled_from([limits[1], None])),
        value=draw(st.none() | figures),
        expanded_uncertainty=draw(st.none() | st.floats(0, 1e5).map(lambda figure: round(figure, 4))),
        goal=draw(st.none() | figures),
        unit=draw(st.sampled_from(["", "mm", "N·m", "kPa", "Ω", "inch of water", "°"])),
        verdict=draw(st.sampled_from(VERDICTS)),
        digits=draw(st.integers(0, 4)),
        label=draw(st.text(alphabet=sorted(drawn.ADVANCES), max_size=150)),
        acceptance=draw(st.none() | st.tuples(st.none() | figures, st.none() | figures)),
    )


def ends(drawing: drawn.Drawn) -> tuple[float, float]:
    """Return left and right end of the slot."""
    slot = drawing.styled("rect", "d-slot")[0]
    left, wide = drawing.figures(slot, "x", "width")
    return left, left + wide


@given(gauges())
def test_no_text_overlaps_another_or_leaves_the_picture(gauge: SlotGauge) -> None:
    drawing = drawn.read(slot_gauge(gauge))
    assert drawn.overlaps(drawing.words) == []
    outside = [words for words in drawing.words if words.text and not words.box.inside(drawing.frame)]
    assert outside == []


@given(gauges())
def test_the_pin_is_never_out_of_the_picture(gauge: SlotGauge) -> None:
    drawing = drawn.read(slot_gauge(gauge))
    pins = drawing.styled("circle", "d-pin") + drawing.styled("circle", "d-pin-hollow")
    measured = gauge.value is not None and gauge.verdict != "not measured"
    assert len(pins) == (1 if measured else 0)
    for pin in pins:
        x, y, radius = drawing.figures(pin, "cx", "cy", "r")
        assert radius < x < drawing.frame.right - radius
        assert radius < y < drawing.frame.bottom - radius


@given(gauges())
def test_the_pin_lies_in_the_slot_when_the_reading_does(gauge: SlotGauge) -> None:
    drawing = drawn.read(slot_gauge(gauge))
    pins = drawing.styled("circle", "d-pin") + drawing.styled("circle", "d-pin-hollow")
    if not pins or gauge.value is None or gauge.lower == gauge.upper:
        return
    left, right = ends(drawing)
    (x,) = drawing.figures(pins[0], "cx")
    if gauge.lower is not None:
        assert (x >= left - 0.02) == (gauge.value >= gauge.lower) or abs(x - left) < 0.02
    if gauge.upper is not None:
        assert (x <= right + 0.02) == (gauge.value <= gauge.upper) or abs(x - right) < 0.02


@pytest.mark.parametrize(
    ("verdict", "filled", "hollow", "struck"),
    [("good", 1, 0, 0), ("bad", 1, 0, 1), ("measure again", 0, 1, 0), ("not measured", 0, 0, 0)],
)
def test_each_verdict_has_its_own_shape(verdict: Verdict, filled: int, hollow: int, struck: int) -> None:
    drawing = drawn.read(slot_gauge(replace(END_PLAY, verdict=verdict)))
    assert len(drawing.styled("circle", "d-pin")) == filled
    assert len(drawing.styled("circle", "d-pin-hollow")) == hollow
    assert len(drawing.styled("line", "d-strike")) == struck
    assert bool(drawing.styled("rect", "d-dash")) == (verdict == "not measured")


def test_the_reading_stands_where_it_belongs_in_the_slot() -> None:
    """0.55 is half way from 0.30 to 0.80, by hand."""
    drawing = drawn.read(slot_gauge(replace(END_PLAY, value=0.55)))
    left, right = ends(drawing)
    (x,) = drawing.figures(drawing.styled("circle", "d-pin")[0], "cx")
    assert x == pytest.approx((left + right) / 2, abs=0.02)


def test_the_whisker_has_the_length_of_the_uncertainty() -> None:
    """0.05 each way in a window of 0.50 is one tenth of the slot each way, by hand."""
    drawing = drawn.read(slot_gauge(replace(END_PLAY, value=0.55, expanded_uncertainty=0.05)))
    left, right = ends(drawing)
    tips = {drawing.figures(line, "x2")[0] for line in drawing.styled("line", "d-whisker")}
    assert max(tips) - min(tips) == pytest.approx((right - left) / 5, abs=0.05)


@pytest.mark.parametrize(
    ("value", "broken"), [(0.46, False), (0.87, False), (1.00, False), (4.10, True), (-9.0, True)]
)
def test_only_a_reading_beyond_the_bar_breaks_it(value: float, broken: bool) -> None:
    svg = slot_gauge(replace(END_PLAY, value=value, verdict="bad" if value > 0.8 or value < 0.3 else "good"))
    assert ("beyond the drawn part" in svg) == broken
    assert (len(drawn.read(svg).styled("path", "d-halo")) == 1) == broken


@pytest.mark.parametrize(
    ("lower", "upper", "left_open", "right_open"), [(0.3, None, False, True), (None, 0.8, True, False)]
)
def test_a_one_sided_limit_leaves_the_slot_open(
    lower: float | None, upper: float | None, left_open: bool, right_open: bool
) -> None:
    drawing = drawn.read(slot_gauge(replace(END_PLAY, lower=lower, upper=upper)))
    left, right = ends(drawing)
    assert (left < 2) == left_open
    assert (right > drawing.frame.right - 2) == right_open
    closed = [path for path in drawing.styled("path", "d-rule") if path.get("d", "").endswith("Z")]
    assert closed == []


def test_figures_stand_where_they_belong() -> None:
    """The reading over its pin, the limits under the ends of the slot, the goal under its tick."""
    drawing = drawn.read(slot_gauge(END_PLAY))
    middle = {words.text: (words.box.left + words.box.right) / 2 for words in drawing.words}
    left, right = ends(drawing)
    assert middle["0.30 mm"] == pytest.approx(left, abs=0.1)
    assert middle["0.80 mm"] == pytest.approx(right, abs=0.1)
    assert middle["0.46 ± 0.030 mm"] == pytest.approx(
        drawing.figures(drawing.styled("circle", "d-pin")[0], "cx")[0], abs=0.1
    )
    assert middle["goal 0.50 mm"] == pytest.approx(
        drawing.figures(drawing.styled("line", "d-goal")[0], "x1")[0], abs=0.1
    )


def test_limits_and_reading_are_set_as_figures() -> None:
    texts = [words.text for words in drawn.read(slot_gauge(END_PLAY)).words]
    assert texts == ["End play of the input shaft", "goal 0.50 mm", "0.46 ± 0.030 mm", "0.30 mm", "0.80 mm"]


def test_a_negative_figure_has_a_true_minus_and_zero_has_none() -> None:
    texts = [
        words.text for words in drawn.read(slot_gauge(replace(END_PLAY, lower=-0.05, goal=-0.001))).words
    ]
    assert "−0.05 mm" in texts
    assert "goal 0.00 mm" in texts


def test_an_uncertainty_below_the_last_decimal_still_shows() -> None:
    texts = [
        words.text for words in drawn.read(slot_gauge(replace(END_PLAY, expanded_uncertainty=0.004))).words
    ]
    assert "0.46 ± 0.004 mm" in texts


def test_the_reading_is_six_millimetres_tall_on_the_tablet() -> None:
    """Cap height of Barlow 0.7 em (its OS/2 table); 10.5 inch diagonal of 820 by 1180 pixels."""
    millimetres = 10.5 * 25.4 / (820**2 + 1180**2) ** 0.5
    sizes = {words.text: words.size for words in drawn.read(slot_gauge(END_PLAY)).words}
    assert sizes["0.46 ± 0.030 mm"] * 0.7 * millimetres >= 6.0


def test_the_drawing_speaks_for_itself() -> None:
    root = drawn.read(slot_gauge(END_PLAY)).root
    assert root.get("aria-label") == (
        "End play of the input shaft. Allowed: at least 0.30 mm and at most 0.80 mm. "
        "Goal: 0.50 mm. Reading: 0.46 ± 0.030 mm. Verdict: good."
    )


def test_the_window_of_good_values_is_drawn_inside_the_slot() -> None:
    """0.30 to 0.80 drawn in by U = 0.05 is a tenth of the slot from either end, by hand."""
    drawing = drawn.read(slot_gauge(replace(END_PLAY, acceptance=(0.35, 0.75))))
    left, right = ends(drawing)
    marks = sorted(drawing.figures(line, "x1")[0] for line in drawing.styled("line", "d-accept"))
    tenth = (right - left) / 10
    assert marks == [pytest.approx(left + tenth, abs=0.05), pytest.approx(right - tenth, abs=0.05)]
    assert "Good with this uncertainty: 0.350 mm to 0.750 mm." in str(drawing.root.get("aria-label"))


@pytest.mark.parametrize(
    ("change", "drawn_lines", "words"),
    [
        ({"upper": None, "acceptance": (0.35, None)}, 1, "Good with this uncertainty: at least 0.350 mm"),
        ({"lower": None, "acceptance": (None, 0.75)}, 1, "Good with this uncertainty: at most 0.750 mm"),
        ({"acceptance": (0.60, 0.50)}, 0, "With this uncertainty no value is good"),
        ({"acceptance": None}, 0, ""),
        ({"acceptance": (0.35, 0.75), "verdict": "not measured"}, 0, ""),
    ],
)
def test_one_end_no_end_and_no_window_of_good_values(
    change: dict[str, Any], drawn_lines: int, words: str
) -> None:
    drawing = drawn.read(slot_gauge(replace(END_PLAY, **change)))
    assert len(drawing.styled("line", "d-accept")) == drawn_lines
    said = str(drawing.root.get("aria-label"))
    assert words in said and ("uncertainty" in said) == bool(words)


@pytest.mark.parametrize(
    ("gauge", "message"),
    [
        (replace(END_PLAY, lower=0.9), "the lower limit 0.9 lies above the upper 0.8"),
        (replace(END_PLAY, value=float("nan")), "every figure must be finite"),
        (replace(END_PLAY, expanded_uncertainty=-0.1), "expected zero or more"),
        (replace(END_PLAY, digits=9), "digits is 9; expected 0 to 6"),
    ],
)
def test_what_has_no_place_on_a_line_is_refused(gauge: SlotGauge, message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        slot_gauge(gauge)


@pytest.mark.parametrize(
    ("name", "gauge"),
    [
        ("good", END_PLAY),
        ("bad", replace(END_PLAY, value=0.87, verdict="bad")),
        ("measure-again", replace(END_PLAY, value=0.79, verdict="measure again")),
        ("guarded", replace(END_PLAY, acceptance=(0.33, 0.77))),
        ("not-measured", replace(END_PLAY, value=None, verdict="not measured")),
        ("broken-axis", replace(END_PLAY, value=4.1, verdict="bad")),
        ("at-least", SlotGauge(1.9, None, 1.42, 0.01, None, "mm", "bad", 2, "Plate thickness")),
    ],
)
def test_golden(name: str, gauge: SlotGauge, golden: Callable[[str, str], None]) -> None:
    golden(f"slot-gauge-{name}.svg", slot_gauge(gauge))
