"""The clock figure: readings round a circle, larger than life, with the eccentricity as an arrow and the lobes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.figures.canvas import Box, Canvas, text_width, wrap

__all__ = ["ClockFigure", "ClockReading", "clock_figure"]

_WIDTH: Final = 640.0
_CIRCLE: Final = 130.0
_SWING: Final = 46.0
_TITLE, _DIGITS, _NAME, _FOOT = 22.0, 20.0, 16.0, 17.0
_ARROW: Final = 78.0
_STEPS: Final = 120
_BLOCK: Final = 46.0
_FARTHEST: Final = 900.0


@dataclass(frozen=True, slots=True)
class ClockReading:
    """One reading: its angle clockwise from 12 [rad], what the place is called, its figure, and the same in words."""

    angle: float
    name: str
    value: float
    words: str


@dataclass(frozen=True, slots=True)
class ClockFigure:
    """Readings round a circle.

    `mean` is the circle that swings are drawn from; `waves` are order, cosine part and sine part of what was found, in
    the unit of the readings; `arrow` is the direction of the eccentricity with its words, None where it has none;
    `notes` stand below.
    """

    title: str
    readings: tuple[ClockReading, ...]
    mean: float
    waves: tuple[tuple[int, float, float], ...] = ()
    arrow: tuple[float, str] | None = None
    notes: tuple[str, ...] = ()


def clock_figure(record: ClockFigure) -> str:
    """Draw the clock figure and return its SVG text."""
    _check(record)
    head = wrap(record.title, _TITLE, _WIDTH - 20, 2)
    notes = [row for note in record.notes for row in wrap(note, _FOOT, _WIDTH - 20, 2)]
    ring = _ring(record)
    blocks = [_block(one, ring) for one in record.readings]
    top = _TITLE * 1.3 * len(head) + 16 - min(block.top for block in blocks)
    width = max(_WIDTH, 2 * max(max(-block.left, block.right) for block in blocks) + 8)
    low = top + max(block.bottom for block in blocks) + 12
    height = low + len(notes) * _FOOT * 1.4 + 8
    canvas = Canvas(width, height, title=f"Clock figure: {record.title}", description=_in_words(record))
    for index, row in enumerate(head):
        canvas.text(0, _TITLE * (1 + 1.3 * index), row, _TITLE, "d-strong" if index == 0 else "")
    x, y = width / 2, top
    _circle(canvas, record, x, y, ring - _SWING - 18)
    for one, block in zip(record.readings, blocks, strict=True):
        middle = x + (block.left + block.right) / 2
        canvas.text(middle, y + block.top + 20, one.words, _DIGITS, "d-strong", "middle")
        canvas.text(middle, y + block.bottom - 6, one.name, _NAME, "d-quiet", "middle")
    if record.arrow is not None:
        _arrow(canvas, x, y, record.arrow[0])
    for index, row in enumerate(notes):
        canvas.text(0, low + _FOOT * (1 + 1.4 * index), row, _FOOT, "d-quiet")
    return canvas.svg()


def _check(record: ClockFigure) -> None:
    """Refuse a figure that cannot be drawn as meant."""
    if len(record.readings) < 3:
        raise OutOfRange(
            f"clock figure {record.title!r}: {len(record.readings)} readings; expected at least three."
        )
    figures = [part for one in record.readings for part in (one.angle, one.value)]
    if not all(map(math.isfinite, (*figures, record.mean))):
        raise OutOfRange(f"clock figure {record.title!r}: every figure must be finite.")


def _at(x: float, y: float, radius: float, angle: float) -> tuple[float, float]:
    return x + radius * math.sin(angle), y - radius * math.cos(angle)


def _circle(canvas: Canvas, record: ClockFigure, x: float, y: float, radius: float) -> None:
    """The mean circle, the curve of the waves, and each reading as a point that swings from it."""
    most = max((abs(one.value - record.mean) for one in record.readings), default=0.0)
    scale = _SWING / most if most > 0 else 0.0
    canvas.circle(x, y, radius, "d-chain")
    for axis in (0.0, math.pi / 2):
        canvas.line(*_at(x, y, radius + _SWING, axis), *_at(x, y, -radius - _SWING, axis), "d-hair")
    if record.waves and scale:
        turns = [math.tau * step / _STEPS for step in range(_STEPS)]
        curve = [_at(x, y, radius + scale * _height(record, turn), turn) for turn in turns]
        canvas.path(curve, "d-rule", closed=True)
    for one in record.readings:
        swing = radius + scale * (one.value - record.mean)
        canvas.line(*_at(x, y, radius, one.angle), *_at(x, y, swing, one.angle), "d-bold")
        canvas.circle(*_at(x, y, swing, one.angle), 4.5, "d-solid")


def _height(record: ClockFigure, turn: float) -> float:
    return math.fsum(c * math.cos(k * turn) + s * math.sin(k * turn) for k, c, s in record.waves)


def _ring(record: ClockFigure) -> float:
    """How far from the middle the figures stand: as near as they have room beside each other."""
    ring = _CIRCLE + _SWING + 18
    while ring < _FARTHEST:
        blocks = [_block(one, ring) for one in record.readings]
        if not any(one.touches(other, 6.0) for one, other in combinations(blocks, 2)):
            break
        ring *= 1.1
    return ring


def _block(one: ClockReading, ring: float) -> Box:
    """The box of a figure with the name of its place below, about the middle of the circle."""
    half = max(text_width(one.words, _DIGITS), text_width(one.name, _NAME)) / 2
    x, y = _at(0.0, 0.0, ring + 8, one.angle)
    x += half * math.sin(one.angle)
    y -= _BLOCK / 2 * math.cos(one.angle)
    return Box(x - half, y - _BLOCK / 2, x + half, y + _BLOCK / 2)


def _arrow(canvas: Canvas, x: float, y: float, way: float) -> None:
    """Where the part stands out: from the middle toward the crest."""
    tip = _at(x, y, _ARROW, way)
    canvas.line(x, y, *tip, "d-bold")
    sides = [_at(*tip, 16.0, way + turn) for turn in (math.pi - 0.4, math.pi + 0.4)]
    canvas.path([tip, *sides], "d-solid", closed=True)


def _in_words(record: ClockFigure) -> str:
    """The drawing for one who does not see it."""
    read = ", ".join(f"{one.name} {one.words}" for one in record.readings)
    said = [f"Readings clockwise from 12: {read}."]
    if record.arrow is not None:
        said.append(f"The arrow points at {round(math.degrees(record.arrow[0])) % 360}°: {record.arrow[1]}.")
    return " ".join([*said, *record.notes])
