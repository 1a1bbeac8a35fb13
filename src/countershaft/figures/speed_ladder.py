"""The speed ladder: an upright axis for each member and a line for each gear, at the height of the speeds.

Where gear sets have a lever their axes stand at its places, and every gear is a straight line on it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from countershaft.errors import OutOfRange
from countershaft.figures.canvas import Box, Canvas, wrap
from countershaft.figures.ladder_sheet import BAND, LINE, RUN_OUT, TEXT, Beside, GearLine, Sheet, lay_out
from countershaft.figures.ladder_words import caption, describe, held_members, ratio_text, speeds_in_words
from countershaft.figures.spread import spread
from countershaft.figures.train_words import listed, outcome
from countershaft.mechanics.network import Network
from countershaft.mechanics.states import TrainState

__all__ = ["SpeedLadder", "speed_ladder"]

_DOT, _DOT_NOW = 4.0, 7.5
_SQUARE, _SQUARE_NOW = 6.0, 9.0


@dataclass(frozen=True)
class SpeedLadder:
    """The gears of a train, each with its state; `gear` is the one in hand, or none.

    With `input_rpm` scale and figures stand in revolutions per minute too.
    """

    network: Network
    title: str
    states: Mapping[str, TrainState] = field(default_factory=dict)
    gear: str = ""
    input_rpm: float | None = None


def speed_ladder(ladder: SpeedLadder) -> str:
    """Draw the ladder and return its SVG text."""
    _check(ladder)
    head = _head(ladder, 780.0)
    sheet = lay_out(ladder.network, ladder.states, ladder.gear, ladder.input_rpm, LINE * len(head) + 14.0)
    below = sheet.plot.bottom + RUN_OUT + BAND
    foot_top = below + sheet.values.height + 18.0
    foot = _foot(ladder, sheet)
    marked = any(held_members(line.state) for line in sheet.lines)
    canvas = Canvas(
        sheet.width,
        foot_top + LINE * (len(foot) + marked) + 4.0,
        title=f"Speed ladder: {ladder.title}" + (f", gear {ladder.gear}" if ladder.gear else ""),
        description=describe(ladder.network, ladder.states, sheet.axes, ladder.input_rpm),
    )
    for index, row in enumerate(head):
        canvas.text(0, TEXT + LINE * index, row, TEXT, "d-strong" if index == 0 else "")
    _scale(canvas, sheet)
    _axes(canvas, sheet)
    for line in sorted(sheet.lines, key=lambda line: ladder.gear in line.gears):
        _line(canvas, sheet, line, ladder.gear in line.gears)
    _values(canvas, sheet, below)
    if marked:
        canvas.rect(_square(10.0, foot_top + TEXT * 0.5, _SQUARE_NOW), "d-solid")
        canvas.text(30.0, foot_top + TEXT * 0.8, "held by the case", TEXT, "d-quiet")
    for index, row in enumerate(foot):
        canvas.text(0, foot_top + TEXT * 0.8 + LINE * (index + marked), row, TEXT, "d-quiet")
    return canvas.svg()


def _check(ladder: SpeedLadder) -> None:
    """Refuse what cannot be drawn as meant."""
    if ladder.gear and ladder.gear not in ladder.states:
        known = ", ".join(ladder.states) or "none"
        raise OutOfRange(f"speed ladder {ladder.title!r}: there is no gear {ladder.gear!r}; known: {known}.")
    if ladder.input_rpm is not None and not math.isfinite(ladder.input_rpm):
        raise OutOfRange(
            f"speed ladder {ladder.title!r}: the input turns at {ladder.input_rpm} rpm; expected a finite figure."
        )


def _head(ladder: SpeedLadder, width: float) -> list[str]:
    """The title, then what turns what, or the gear in hand."""
    rows = wrap(ladder.title, TEXT, width, 2)
    state = ladder.states.get(ladder.gear)
    ends = f"Input {ladder.network.input}, output {ladder.network.output}"
    if state is None:
        return [*rows, *wrap(ends, TEXT, width, 2)]
    applied = f"{listed(state.applied)} applied" if state.applied else "nothing applied"
    return [*rows, *wrap(f"{ends}. Gear {ladder.gear}: {applied}, {outcome(state)}", TEXT, width, 3)]


def _foot(ladder: SpeedLadder, sheet: Sheet) -> list[str]:
    notes = caption(ladder.states, sheet.axes, ladder.gear, sheet.left_out)
    now = ladder.states.get(ladder.gear)
    if now is not None and now.speeds and not sheet.values.places:
        notes.append(speeds_in_words(ladder.gear, now, sheet.axes, ladder.input_rpm))
    if sheet.key:
        notes.append(sheet.key)
    return [row for note in notes for row in wrap(note, TEXT, sheet.width, 12)]


def _square(x: float, y: float, half: float) -> Box:
    return Box(x - half, y - half, x + half, y + half)


def _scale(canvas: Canvas, sheet: Sheet) -> None:
    """Figures at the left, and the lines of standstill and of the input across."""
    rpm_end, end = sheet.scale.columns(TEXT)
    ticks = sheet.scale.ticks
    heights = [sheet.y(tick.value) for tick in ticks]
    low, high = sheet.plot.top - RUN_OUT, sheet.plot.bottom + RUN_OUT
    places = spread(heights, [TEXT * 1.1] * len(ticks), low, high, 0.0) or heights
    head = sheet.plot.top - RUN_OUT - BAND * 0.6
    canvas.text(end, head, "per turn", TEXT, "d-quiet", "end")
    if sheet.scale.in_rpm:
        canvas.text(rpm_end, head, "rpm", TEXT, "d-quiet", "end")
    for tick, y, place in zip(ticks, heights, places, strict=True):
        base = place + TEXT * 0.35
        canvas.text(end, base, f"{tick.word} {tick.text}".strip(), TEXT, "", "end")
        if tick.rpm:
            canvas.text(rpm_end, base, tick.rpm, TEXT, "", "end")
        canvas.path([(end + 6.0, place), (end + 16.0, y)], "d-hair")
        if tick.word:
            style = "d-rule" if tick.word == "still" else "d-rule d-dash"
            canvas.line(end + 16.0, y, sheet.plot.right + 12.0, y, style)


def _axes(canvas: Canvas, sheet: Sheet) -> None:
    """The axes with their names over them; input and output in strong type."""
    top, bottom = sheet.plot.top - RUN_OUT, sheet.plot.bottom + RUN_OUT
    ends = {sheet.network.input, sheet.network.output}
    rows = 1 + max((place.row for place in sheet.names.places), default=0)
    first = top - BAND - LINE * rows
    for axis, (text,), place in zip(sheet.axes.axes, sheet.names.texts, sheet.names.places, strict=True):
        x = sheet.x(axis)
        canvas.line(x, top, x, bottom, "d-axis")
        base = first + LINE * (rows - place.row) - 6.0
        foot = base + 7.0
        if place.row == 0:
            canvas.line(x, top, place.x, foot, "d-hair")
        else:
            canvas.line(x, top, x, foot, "d-hair")
        canvas.text(place.x, base, text, TEXT, "d-strong" if ends & set(axis.members) else "", "middle")


def _line(canvas: Canvas, sheet: Sheet, line: GearLine, now: bool) -> None:
    """The line of a gear, its points, and its label with what leads to it."""
    points = list(sheet.points(line.state))
    held = held_members(line.state)
    style = "d-gear d-gear-now" if now else "d-gear"
    axes = sheet.axes.axes
    canvas.begin("d-gear-line")
    for (before, x1, y1), (after, x2, y2) in pairwise(points):
        if after - before > 1:
            continue
        if axes[before].lever is axes[after].lever:
            canvas.line(x1, y1, x2, y2, style)
        elif now:
            canvas.line(x1, y1, x2, y2, f"{style} d-between")
    (x, y), (tie_x, tie_y) = sheet.end(line.state)
    canvas.line(x, y, tie_x, tie_y, style if 0 < points[-1][0] == len(axes) - 1 else "d-hair d-dash")
    canvas.line(tie_x, tie_y, sheet.label_x - 6.0, line.label_y, "d-hair")
    for index, x, y in points:
        if held & set(axes[index].members):
            canvas.rect(_square(x, y, _SQUARE_NOW if now else _SQUARE), "d-solid")
        else:
            canvas.circle(x, y, _DOT_NOW if now else _DOT, "d-applied" if now else "d-solid")
    base, strong = line.label_y + TEXT * 0.35, "d-strong" if now else ""
    canvas.text(sheet.label_x, base, line.label, TEXT, strong)
    if line.state.ratio is not None:
        canvas.text(sheet.width - 1.0, base, ratio_text(line.state), TEXT, strong, "end")
    canvas.end()


def _values(canvas: Canvas, sheet: Sheet, top: float) -> None:
    """Speeds of the gear in hand below the axes."""
    values: Beside = sheet.values
    if not values.places:
        return
    bottom = sheet.plot.bottom + RUN_OUT
    lines = len(values.texts[0])
    _, end = sheet.scale.columns(TEXT)
    canvas.text(end, top + TEXT * 0.8, "per turn", TEXT, "d-quiet", "end")
    if lines > 1:
        canvas.text(end, top + TEXT * 0.8 + LINE, "rpm", TEXT, "d-quiet", "end")
    for axis, texts, place in zip(sheet.axes.axes, values.texts, values.places, strict=True):
        x, first = sheet.x(axis), top + LINE * lines * place.row
        canvas.line(x, bottom, place.x if place.row == 0 else x, first - 5.0, "d-hair")
        for index, text in enumerate(texts):
            canvas.text(place.x, first + TEXT * 0.8 + LINE * index, text, TEXT, "", "middle")
