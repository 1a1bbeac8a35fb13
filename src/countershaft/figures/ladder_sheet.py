"""A speed ladder laid out: where its axes, its scale, its lines and its names stand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from countershaft.figures.canvas import Box, text_width
from countershaft.figures.ladder_axes import Axes, Axis, place_axes
from countershaft.figures.ladder_scale import Scale, per_turn, revolutions, scale_of
from countershaft.figures.ladder_words import held_members, ratio_text
from countershaft.figures.spread import InRow, in_rows, spread
from countershaft.mechanics.network import Network
from countershaft.mechanics.states import StateKind, TrainState

__all__ = ["BAND", "LINE", "RUN_OUT", "TEXT", "Beside", "GearLine", "Sheet", "lay_out"]

TEXT = 22.0
LINE = 30.0
RUN_OUT = 16.0
"""How far an axis runs on beyond the highest and the lowest speed."""
BAND = 22.0
"""Height of the strip in which lines lead from the axes to their texts."""

_WIDTH = 780.0
_AXIS_ROOM = 40.0
_PLOT = 480.0
_LEADER = 50.0
_RUN_ON = 22.0
_COLUMN_GAP = 14.0
_MARGIN = 34.0


@dataclass(frozen=True, slots=True)
class GearLine:
    """The line of gears with the same speeds: what is written at its end, and how high that stands."""

    gears: tuple[str, ...]
    state: TrainState
    label_y: float = 0.0

    @property
    def label(self) -> str:
        """The gears as they are written."""
        return ", ".join(self.gears)


@dataclass(frozen=True, slots=True)
class Beside:
    """Texts at the ends of the axes, one tuple of lines for each axis, and where they stand; none without room."""

    texts: tuple[tuple[str, ...], ...]
    places: tuple[InRow, ...]

    @property
    def height(self) -> float:
        """How much room they take."""
        if not self.places:
            return 0.0
        lines = max(len(text) for text in self.texts)
        return LINE * lines * (1 + max(place.row for place in self.places))


@dataclass(frozen=True, slots=True)
class Sheet:
    """The parts of a ladder in their places; `key` explains axes that are only numbered."""

    network: Network
    axes: Axes
    scale: Scale
    plot: Box
    width: float
    lines: tuple[GearLine, ...]
    names: Beside
    key: str
    values: Beside
    left_out: tuple[str, ...]

    @property
    def label_x(self) -> float:
        """Where the names of the gears begin; their ratios end at the edge."""
        return self.plot.right + _LEADER

    def x(self, axis: Axis) -> float:
        """Where an axis stands."""
        return self.plot.left + axis.place * (self.plot.right - self.plot.left)

    def y(self, speed: Fraction | float) -> float:
        """Height of a speed."""
        share = (float(speed) - self.scale.low) / (self.scale.high - self.scale.low)
        return self.plot.bottom - share * (self.plot.bottom - self.plot.top)

    def points(self, state: TrainState) -> Iterator[tuple[int, float, float]]:
        """Number of the axis and place of every speed of a gear, from left to right."""
        for index, axis in enumerate(self.axes.axes):
            if axis.members[0] in state.speeds:
                yield index, self.x(axis), self.y(state.speeds[axis.members[0]])

    def end(self, state: TrainState) -> tuple[tuple[float, float], ...]:
        """From the last point of a gear to where its label is tied on: the line run on, else flat."""
        *before, (index, x, y) = list(self.points(state))
        if index < len(self.axes.axes) - 1:
            return (x, y), (self.plot.right + _RUN_ON, y)
        if not before or self.axes.axes[index].lever is None or before[-1][0] < index - 1:
            return (x, y), (x + _RUN_ON, y)
        _, x0, y0 = before[-1]
        slope = (y - y0) / (x - x0)
        room = (self.plot.bottom + RUN_OUT - y) if slope > 0 else (y - self.plot.top + RUN_OUT)
        far = min(_RUN_ON, room / abs(slope)) if slope else _RUN_ON
        return (x, y), (x + far, y + slope * far)


def lay_out(
    network: Network, states: Mapping[str, TrainState], gear: str, input_rpm: float | None, top: float
) -> Sheet:
    """Lay out a ladder whose names begin at a height."""
    members = _with_axes(network, states)
    axes = place_axes(network, members)
    lines = list(_lines(states, gear, axes))
    speeds = [line.state.speeds[m] for line in lines for m in members if m in line.state.speeds]
    scale = scale_of(speeds, input_rpm)
    texts = scale.columns(TEXT)[1]
    left = texts + _MARGIN
    right = _LEADER + _labels_width(lines)
    width = max(_WIDTH, left + right + _AXIS_ROOM * max(len(axes.axes) - 1, 1))
    xs = [left + axis.place * (width - right - left) for axis in axes.axes]
    names, key = _names(axes, xs, texts + 8.0, width)
    plot_top = top + names.height + BAND + RUN_OUT
    plot = Box(left, plot_top, width - right, plot_top + max(_PLOT, LINE * (len(lines) + 1)))
    values = _values(axes, states.get(gear), input_rpm, xs, texts + 8.0, width)
    left_out = tuple(m for m in network.layout.members if m not in members)
    sheet = Sheet(network, axes, scale, plot, width, (), names, key, values, left_out)
    return Sheet(
        network, axes, scale, plot, width, tuple(_labelled(sheet, lines)), names, key, values, left_out
    )


def _with_axes(network: Network, states: Mapping[str, TrainState]) -> list[str]:
    """Members that some gear gives a speed; all of them where no gear does."""
    moving = [state for state in states.values() if state.kind != StateKind.TIE_UP]
    seen = {member for state in moving for member in state.speeds}
    return [member for member in network.layout.members if member in seen or not moving]


def _lines(states: Mapping[str, TrainState], gear: str, axes: Axes) -> Iterator[GearLine]:
    """One line for all gears of the same speeds: of every gear that drives, and of the gear in hand anyhow."""
    found: dict[tuple[tuple[str, Fraction], ...], list[str]] = {}
    shown = [axis.members[0] for axis in axes.axes]
    for name, state in states.items():
        if state.kind != StateKind.TIE_UP and (state.kind == StateKind.DEFINITE or name == gear):
            speeds = tuple((member, state.speeds[member]) for member in shown if member in state.speeds)
            found.setdefault(speeds, []).append(name)
    for names in found.values():
        yield GearLine(tuple(names), states[names[0]])


def _labels_width(lines: list[GearLine]) -> float:
    names = max((text_width(line.label, TEXT) for line in lines), default=10.0)
    ratios = max((text_width(ratio_text(line.state), TEXT) for line in lines), default=0.0)
    return names + _COLUMN_GAP + ratios


def _labelled(sheet: Sheet, lines: list[GearLine]) -> Iterator[GearLine]:
    """The lines with the heights of their labels, from top to bottom."""
    ends = [(sheet.end(line.state)[1][1], line) for line in lines if any(sheet.points(line.state))]
    ends.sort(key=lambda end: end[0])
    low, high = sheet.plot.top - RUN_OUT, sheet.plot.bottom + RUN_OUT
    places = spread([y for y, _ in ends], [LINE] * len(ends), low, high, 0.0)
    for (_, line), place in zip(ends, places or [], strict=True):
        yield GearLine(line.gears, line.state, place)


def _names(axes: Axes, xs: list[float], low: float, width: float) -> tuple[Beside, str]:
    """Names of the members over their axes; numbers and a key where they have no room."""
    texts = ["=".join(axis.members) for axis in axes.axes]
    places = in_rows(texts, xs, TEXT, low, width)
    if places is not None:
        return Beside(tuple((text,) for text in texts), tuple(places)), ""
    numbers = [str(index) for index in range(1, len(texts) + 1)]
    key = ", ".join(f"{number} {text}" for number, text in zip(numbers, texts, strict=True))
    numbered = in_rows(numbers, xs, TEXT, low, width) or []
    return Beside(tuple((number,) for number in numbers), tuple(numbered)), f"Axes: {key}."


def _values(
    axes: Axes, state: TrainState | None, input_rpm: float | None, xs: list[float], low: float, width: float
) -> Beside:
    """Speeds of the gear in hand below the axes; nothing where they have no room."""
    if state is None or state.kind == StateKind.TIE_UP:
        return Beside((), ())
    texts = []
    for axis in axes.axes:
        speed = state.speeds.get(axis.members[0])
        if speed is None:
            texts.append(("free",) if input_rpm is None else ("free", ""))
        elif held_members(state) & set(axis.members):
            texts.append(("held",) if input_rpm is None else ("held", "0"))
        elif input_rpm is None:
            texts.append((per_turn(speed, 3),))
        else:
            texts.append((per_turn(speed, 3), revolutions(speed, input_rpm)))
    widest = [max(text, key=lambda line: text_width(line, TEXT)) for text in texts]
    places = in_rows(widest, xs, TEXT, low, width)
    return Beside(tuple(texts), tuple(places)) if places is not None else Beside((), ())
