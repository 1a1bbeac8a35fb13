"""The scale of a speed ladder: speeds per turn of the input, and in revolutions per minute where that is known."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from countershaft.figures.canvas import text_width
from countershaft.figures.train_words import figure

__all__ = ["Scale", "Tick", "per_turn", "revolutions", "scale_of"]

_SPACES = 11
_LARGE = 1e5
_COLUMN_GAP = 16.0


@dataclass(frozen=True, slots=True)
class Tick:
    """One mark of the scale; `word` says what stands at it, of the two that always stand."""

    value: float
    text: str
    rpm: str
    word: str = ""


@dataclass(frozen=True, slots=True)
class Scale:
    """Lowest and highest speed per turn of the input, and the marks from the highest down."""

    low: float
    high: float
    ticks: tuple[Tick, ...]

    @property
    def in_rpm(self) -> bool:
        """Whether the marks are given in revolutions per minute too."""
        return any(tick.rpm for tick in self.ticks)

    def columns(self, size: float) -> tuple[float, float]:
        """Right ends of the two columns of figures; the first has no width where there is no second."""
        words = [f"{tick.word} {tick.text}".strip() for tick in self.ticks]
        per = max(text_width(word, size) for word in (*words, "per turn"))
        if not self.in_rpm:
            return 0.0, per
        rpm = max(text_width(text, size) for text in (*(tick.rpm for tick in self.ticks), "rpm"))
        return rpm, rpm + _COLUMN_GAP + per


def scale_of(speeds: Iterable[Fraction], input_rpm: float | None) -> Scale:
    """The scale on which all speeds have room, with standstill and the input's own speed on it."""
    known = [float(speed) for speed in speeds]
    low, high = min([0.0, *known]), max([1.0, *known])
    return Scale(low, high, tuple(_ticks(low, high, input_rpm)))


def per_turn(value: Fraction | float, decimals: int = 0) -> str:
    """A speed per turn of the input, to three decimals, as short as it is but with so many decimals unless whole."""
    size = float(value)
    if abs(size) >= _LARGE:
        return f"{size:.1e}".replace("-", "−")
    if decimals and size != round(size):
        return f"{size:.{decimals}f}".replace("-", "−")
    return figure(size)


def revolutions(value: Fraction | float, input_rpm: float) -> str:
    """A speed in whole revolutions per minute."""
    size = float(value) * input_rpm
    if abs(size) >= _LARGE:
        return f"{size:.1e}".replace("-", "−")
    text = f"{size:.0f}"
    return "0" if text == "-0" else text.replace("-", "−")


def _ticks(low: float, high: float, input_rpm: float | None) -> Iterator[Tick]:
    """Round speeds, none so near to 0 or 1 that they would stand on each other."""
    step = _step((high - low) / _SPACES)
    room = (high - low) / (_SPACES + 3)
    numbers = range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)
    rounded = [number * step for number in numbers]
    free = [value for value in rounded if abs(value) > room and abs(value - 1) > room]
    for value in sorted([*free, 0.0, 1.0], reverse=True):
        word = {0.0: "still", 1.0: "input"}.get(value, "")
        yield Tick(value, per_turn(value), "" if input_rpm is None else revolutions(value, input_rpm), word)


def _step(least: float) -> float:
    """The smallest of 1, 2, 5, 10, 20 … that is not below."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= least * (1 - 1e-9))
