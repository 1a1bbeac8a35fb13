"""The slot gauge: the allowed window as a slot cut in a bar, the reading as a pin with its whisker."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from countershaft.errors import OutOfRange
from countershaft.figures.canvas import Box, Canvas, text_width, wrap
from countershaft.metrology.readings import uncertainty_places

__all__ = ["SlotGauge", "Verdict", "slot_gauge"]

Verdict = Literal["good", "bad", "measure again", "not measured"]

_STYLE: dict[Verdict, str] = {
    "good": "d-good",
    "bad": "d-bad",
    "measure again": "d-again",
    "not measured": "d-none",
}

_WIDTH = 764.0
_EDGE = 1.0
_HOLD = 28.0
_LABEL = 20.0
_FIGURE = 47.0
_LIMIT = 30.0
_SMALL = 26.0
_BAR = 52.0
_RAIL = 7.0
_PIN = 12.0
_SLOT_SHARE = 0.5
_ONE_SIDED_SHARE = 0.7
_HATCH = 11.0


@dataclass(frozen=True, slots=True)
class SlotGauge:
    """A measured value against its window; all figures in `unit`, shown with `digits` decimals.

    A limit that is None leaves the slot open to that end.
    `expanded_uncertainty` is the half width of the whisker, and `acceptance` the narrower window in which a value of
    that uncertainty is good; it is drawn as two fine lines in the slot.
    """

    lower: float | None
    upper: float | None
    value: float | None
    expanded_uncertainty: float | None
    goal: float | None
    unit: str
    verdict: Verdict
    digits: int
    label: str
    acceptance: tuple[float | None, float | None] | None = None


@dataclass(frozen=True, slots=True)
class _Scale:
    """Where the window lies on the paper: `at` turns a figure into x, held inside the picture."""

    zero: float
    zero_x: float
    per_unit: float
    slot_left: float
    slot_right: float

    def at(self, figure: float) -> float:
        return self.zero_x + (figure - self.zero) * self.per_unit

    def broken(self, figure: float) -> bool:
        return not _HOLD <= self.at(figure) <= _WIDTH - _HOLD

    def held(self, figure: float) -> float:
        return min(max(self.at(figure), _HOLD), _WIDTH - _HOLD)


def slot_gauge(gauge: SlotGauge) -> str:
    """Draw one slot gauge and return its SVG text; the verdict's word is set beside it by the page."""
    _check(gauge)
    scale = _scale(gauge)
    rows = wrap(gauge.label, _LABEL, _WIDTH - 2 * _EDGE, 2)
    value_base = _LABEL * 1.25 * len(rows) + _FIGURE
    bar_top = value_base + 28
    limit_base = bar_top + _BAR + _LIMIT + 6
    height = limit_base + (_SMALL + 16 if gauge.goal is not None else 10)
    canvas = Canvas(_WIDTH, height, title=gauge.label, description=_in_words(gauge, scale))
    for index, row in enumerate(rows):
        canvas.text(0, _LABEL * (1 + 1.25 * index), row, _LABEL)
    canvas.begin(_STYLE[gauge.verdict])
    _bar(canvas, gauge, scale, bar_top)
    _acceptance(canvas, gauge, scale, bar_top)
    _goal(canvas, gauge, scale, bar_top, limit_base + _SMALL + 8)
    _reading(canvas, gauge, scale, bar_top, value_base)
    canvas.end()
    _limits(canvas, gauge, scale, limit_base)
    return canvas.svg()


def _check(gauge: SlotGauge) -> None:
    """Refuse figures that have no place on a line."""
    accepted = gauge.acceptance or ()
    figures = (gauge.lower, gauge.upper, gauge.value, gauge.expanded_uncertainty, gauge.goal, *accepted)
    if any(figure is not None and not math.isfinite(figure) for figure in figures):
        raise OutOfRange(f"slot gauge {gauge.label!r}: every figure must be finite, got {figures}.")
    if gauge.lower is not None and gauge.upper is not None and gauge.lower > gauge.upper:
        raise OutOfRange(
            f"slot gauge {gauge.label!r}: the lower limit {gauge.lower} lies above the upper {gauge.upper}; "
            "expected lower at most upper."
        )
    if gauge.expanded_uncertainty is not None and gauge.expanded_uncertainty < 0:
        raise OutOfRange(
            f"slot gauge {gauge.label!r}: the uncertainty is {gauge.expanded_uncertainty}; "
            "expected zero or more."
        )
    if not 0 <= gauge.digits <= 6:
        raise OutOfRange(f"slot gauge {gauge.label!r}: digits is {gauge.digits}; expected 0 to 6.")


def _scale(gauge: SlotGauge) -> _Scale:
    """Choose the scale: a slot with two ends takes half the bar, one with one end most of it."""
    room = _WIDTH - 2 * _EDGE
    least = 10.0 ** (1 - gauge.digits)
    doubt = 4 * (gauge.expanded_uncertainty or 0.0)
    if gauge.lower is not None and gauge.upper is not None:
        left = _EDGE + room * (1 - _SLOT_SHARE) / 2
        span = max(gauge.upper - gauge.lower, 0.0)
        if span == 0.0:
            middle = _WIDTH / 2
            return _Scale(gauge.lower, middle, room * 0.2 / max(least, doubt), middle - 2, middle + 2)
        per_unit = room * _SLOT_SHARE / span
        return _Scale(gauge.lower, left, per_unit, left, left + room * _SLOT_SHARE)
    limit = gauge.lower if gauge.lower is not None else gauge.upper
    if limit is None:
        zero = gauge.value if gauge.value is not None else 0.0
        return _Scale(zero, _WIDTH / 2, room * 0.2 / max(least, doubt), _EDGE, _WIDTH - _EDGE)
    inward = 1.0 if gauge.lower is not None else -1.0
    depths = [inward * (figure - limit) for figure in (gauge.value, gauge.goal) if figure is not None]
    outside = [-depth for depth in depths if 0 < -depth <= abs(limit)]
    share = _ONE_SIDED_SHARE / (1 - _ONE_SIDED_SHARE)
    span = max(
        [least, doubt, *(1.4 * depth for depth in depths), *(1.3 * share * depth for depth in outside)]
    )
    per_unit = room * _ONE_SIDED_SHARE / span
    if inward > 0:
        left = _WIDTH - _EDGE - room * _ONE_SIDED_SHARE
        return _Scale(limit, left, per_unit, left, _WIDTH - _EDGE)
    right = _EDGE + room * _ONE_SIDED_SHARE
    return _Scale(limit, right, per_unit, _EDGE, right)


def _bar(canvas: Canvas, gauge: SlotGauge, scale: _Scale, top: float) -> None:
    """Draw the bar in section: hatched where it stands, clear where the slot is cut."""
    bottom, end = top + _BAR, _WIDTH - _EDGE
    slot = Box(scale.slot_left, top + _RAIL, scale.slot_right, bottom - _RAIL)
    if gauge.lower is not None:
        _hatch(canvas, Box(_EDGE, top, scale.slot_left, bottom))
    if gauge.upper is not None:
        _hatch(canvas, Box(scale.slot_right, top, end, bottom))
    canvas.rect(slot, "d-slot")
    dash = " d-dash" if gauge.verdict == "not measured" else ""
    outside = [(x, y) for x, y in ((_EDGE, top), (end, top), (end, bottom), (_EDGE, bottom))]
    if gauge.lower is not None and gauge.upper is not None:
        canvas.path(outside, "d-rule", closed=True)
        canvas.rect(slot, f"d-rule{dash}")
        return
    _open_bar(canvas, gauge, slot, top, dash)


def _open_bar(canvas: Canvas, gauge: SlotGauge, slot: Box, top: float, dash: str) -> None:
    """Draw the outline of a bar whose slot runs out at one end, or at both."""
    bottom, end = top + _BAR, _WIDTH - _EDGE
    if gauge.lower is not None:
        canvas.path([(end, top), (_EDGE, top), (_EDGE, bottom), (end, bottom)], "d-rule")
        corners = [(end, slot.top), (slot.left, slot.top), (slot.left, slot.bottom), (end, slot.bottom)]
        canvas.path(corners, f"d-rule{dash}")
    elif gauge.upper is not None:
        canvas.path([(_EDGE, top), (end, top), (end, bottom), (_EDGE, bottom)], "d-rule")
        corners = [(_EDGE, slot.top), (slot.right, slot.top), (slot.right, slot.bottom), (_EDGE, slot.bottom)]
        canvas.path(corners, f"d-rule{dash}")
    else:
        for y in (top, bottom):
            canvas.line(_EDGE, y, end, y, f"d-rule{dash}")


def _hatch(canvas: Canvas, box: Box) -> None:
    """Fill a box with section lines at 45 degrees, each cut off at the edges."""
    height = box.bottom - box.top
    x = box.left - height + _HATCH
    while x < box.right:
        x1, y1 = max(x, box.left), box.bottom - (max(x, box.left) - x)
        x2 = min(x + height, box.right)
        y2 = box.bottom - (x2 - x)
        if x2 - x1 > 0.5:
            canvas.line(x1, y1, x2, y2, "d-hatch")
        x += _HATCH


def _acceptance(canvas: Canvas, gauge: SlotGauge, scale: _Scale, top: float) -> None:
    """Draw the ends of the window that a value of this uncertainty is good in, as fine lines in the slot."""
    for edge in _good(gauge) or ():
        x = scale.at(edge)
        if scale.slot_left < x < scale.slot_right:
            canvas.line(x, top + _RAIL, x, top + _BAR - _RAIL, "d-accept")


def _good(gauge: SlotGauge) -> tuple[float, ...] | None:
    """The ends of the window of good values; None where no value is good, and empty where nothing is known of it."""
    if gauge.acceptance is None or gauge.value is None or gauge.verdict == "not measured":
        return ()
    low, high = gauge.acceptance
    if low is not None and high is not None and low > high:
        return None
    return tuple(edge for edge in (low, high) if edge is not None)


def _goal(canvas: Canvas, gauge: SlotGauge, scale: _Scale, top: float, base: float) -> None:
    """Draw the goal as a fine tick across the slot, its figure below the limits."""
    if gauge.goal is None:
        return
    x = scale.held(gauge.goal)
    canvas.line(x, top - 8, x, top + _BAR + 8, "d-goal")
    _placed(canvas, x, base, f"goal {_with_unit(gauge.goal, gauge)}", _SMALL, "d-goal-text")


def _reading(canvas: Canvas, gauge: SlotGauge, scale: _Scale, top: float, base: float) -> None:
    """Draw pin, whisker and figure; without a reading only the words."""
    middle = top + _BAR / 2
    if gauge.value is None or gauge.verdict == "not measured":
        centre = (scale.slot_left + scale.slot_right) / 2
        _placed(canvas, centre, base, "not measured", _LIMIT, "d-quiet")
        return
    x = scale.held(gauge.value)
    canvas.line(x, base + 8, x, middle, "d-hair")
    if scale.broken(gauge.value):
        _break(canvas, x + 2.4 * _PIN if x < _WIDTH / 2 else x - 2.4 * _PIN, top)
    _pin(canvas, gauge, x, middle)
    _whisker(canvas, gauge, scale, middle)
    if gauge.verdict == "measure again":
        canvas.circle(x, middle, _PIN, "d-pin-hollow")
    _placed(canvas, x, base, _figure_text(gauge), _FIGURE, "d-strong")


def _pin(canvas: Canvas, gauge: SlotGauge, x: float, y: float) -> None:
    """Draw the pin: filled when good, filled and struck when bad; a hollow one comes after the whisker."""
    canvas.circle(x, y, _PIN + 4, "d-halo")
    if gauge.verdict == "measure again":
        return
    canvas.circle(x, y, _PIN, "d-pin")
    if gauge.verdict == "bad":
        canvas.line(x - 20, y + 23, x + 20, y - 23, "d-strike")


def _whisker(canvas: Canvas, gauge: SlotGauge, scale: _Scale, y: float) -> None:
    """Draw the uncertainty; beside a broken axis it would lie, so it is left to the figure."""
    if gauge.value is None or not gauge.expanded_uncertainty or scale.broken(gauge.value):
        return
    half = gauge.expanded_uncertainty
    for sign in (-1.0, 1.0):
        tip = min(max(scale.at(gauge.value + sign * half), _EDGE), _WIDTH - _EDGE)
        canvas.line(scale.at(gauge.value), y, tip, y, "d-whisker")
        if not scale.broken(gauge.value + sign * half):
            canvas.line(tip, y - 9, tip, y + 9, "d-whisker")


def _break(canvas: Canvas, x: float, top: float) -> None:
    """Draw the break of the bar: two jagged lines with nothing between them."""
    low, high = top - 7, top + _BAR + 7
    steps = [(0.0, low), (5.0, low + 16), (-5.0, low + 30), (5.0, high - 22), (0.0, high)]
    left = [(x - 5 + dx, y) for dx, y in steps]
    right = [(x + 5 + dx, y) for dx, y in steps]
    canvas.path([*left, *reversed(right)], "d-halo", closed=True)
    canvas.path(left, "d-rule")
    canvas.path(right, "d-rule")


def _limits(canvas: Canvas, gauge: SlotGauge, scale: _Scale, base: float) -> None:
    """Set the limits under the ends of the slot, parted where the slot is narrow."""
    low, high = gauge.lower, gauge.upper
    if low is not None and high is not None and low < high:
        _two_limits(canvas, scale, base, _with_unit(low, gauge), _with_unit(high, gauge))
    elif low is not None and high is not None:
        _placed(canvas, _WIDTH / 2, base, f"exactly {_with_unit(low, gauge)}", _LIMIT, "")
    elif low is not None:
        _placed(canvas, scale.slot_left, base, f"at least {_with_unit(low, gauge)}", _LIMIT, "")
    elif high is not None:
        _placed(canvas, scale.slot_right, base, f"at most {_with_unit(high, gauge)}", _LIMIT, "")
    else:
        _placed(canvas, _WIDTH / 2, base, "no limit known", _LIMIT, "d-quiet")


def _two_limits(canvas: Canvas, scale: _Scale, base: float, low: str, high: str) -> None:
    """Set both limits at one size, each as near to its end of the slot as the other allows."""
    size = _LIMIT * min(1.0, (_WIDTH - 24) / (text_width(low, _LIMIT) + text_width(high, _LIMIT)))
    half_low, half_high = text_width(low, size) / 2, text_width(high, size) / 2
    apart = half_low + half_high + 16
    x_low = max(scale.slot_left, half_low)
    x_high = min(max(scale.slot_right, x_low + apart), _WIDTH - half_high)
    x_low = min(x_low, x_high - apart)
    canvas.text(x_low, base, low, size, "", "middle")
    canvas.text(x_high, base, high, size, "", "middle")


def _placed(canvas: Canvas, x: float, base: float, text: str, size: float, style: str) -> None:
    """Centre a text on x, moved sideways and made smaller as far as the picture needs."""
    fitting = size * min(1.0, _WIDTH / text_width(text, size))
    half = text_width(text, fitting) / 2
    if x < half:
        canvas.text(0, base, text, fitting, style, "start")
    elif x > _WIDTH - half:
        canvas.text(_WIDTH, base, text, fitting, style, "end")
    else:
        canvas.text(x, base, text, fitting, style, "middle")


def _plain(figure: float, digits: int) -> str:
    """Return a figure with its decimals and a true minus sign; nothing is ever minus zero."""
    text = f"{figure:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace("-", "\u2212")


def _with_unit(figure: float, gauge: SlotGauge) -> str:
    return f"{_plain(figure, gauge.digits)} {gauge.unit}".rstrip()


def _figure_text(gauge: SlotGauge) -> str:
    """Return the reading as set above the bar: value, uncertainty, unit."""
    text = "" if gauge.value is None else _plain(gauge.value, gauge.digits)
    if gauge.expanded_uncertainty:
        text += f" ± {_spread(gauge.expanded_uncertainty, gauge.digits)}"
    return f"{text} {gauge.unit}".rstrip()


def _spread(half: float, digits: int) -> str:
    """Return an uncertainty by the rule by which it is printed everywhere."""
    return f"{half:.{uncertainty_places(half, digits=digits)}f}"


def _good_in_words(gauge: SlotGauge) -> tuple[str, ...]:
    """Where a value of this uncertainty is good."""
    found = _good(gauge)
    if found is None:
        return ("With this uncertainty no value is good",)
    if not found or gauge.acceptance is None:
        return ()
    # One digit more than the value: the guard band is an uncertainty, and is printed like one.
    ends = [f"{_plain(edge, gauge.digits + 1)} {gauge.unit}".rstrip() for edge in found]
    if len(ends) == 2:
        return (f"Good with this uncertainty: {ends[0]} to {ends[1]}",)
    return (f"Good with this uncertainty: at {'least' if gauge.upper is None else 'most'} {ends[0]}",)


def _in_words(gauge: SlotGauge, scale: _Scale) -> str:
    """Return what the drawing shows, for who cannot see it."""
    limits = []
    if gauge.lower is not None:
        limits.append(f"at least {_with_unit(gauge.lower, gauge)}")
    if gauge.upper is not None:
        limits.append(f"at most {_with_unit(gauge.upper, gauge)}")
    said = [f"Allowed: {' and '.join(limits)}" if limits else "No limit known"]
    if gauge.goal is not None:
        said.append(f"Goal: {_with_unit(gauge.goal, gauge)}")
    if gauge.value is not None and gauge.verdict != "not measured":
        said.append(f"Reading: {_figure_text(gauge)}")
        if scale.broken(gauge.value):
            said.append("The reading lies beyond the drawn part of the scale")
        said.extend(_good_in_words(gauge))
    said.append(f"Verdict: {gauge.verdict}")
    return ". ".join(said) + "."
