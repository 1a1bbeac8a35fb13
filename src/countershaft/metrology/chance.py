"""What is known of an input, as a distribution that can be drawn from; the same seed draws the same values."""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random
from typing import Protocol

from countershaft.errors import OutOfRange

__all__ = ["ArcSine", "Distribution", "Normal", "Rectangular", "RoughRectangular", "Student", "Triangular"]


@dataclass(frozen=True, slots=True)
class Normal:
    """A best value with its standard uncertainty."""

    mean: float
    standard: float

    def draw(self, count: int, chance: Random) -> list[float]:
        """Values of this distribution."""
        return [chance.gauss(self.mean, self.standard) for _ in range(count)]


@dataclass(frozen=True, slots=True)
class Student:
    """A mean of few readings: its value, its standard uncertainty s / √n and its degrees of freedom n - 1."""

    mean: float
    scale: float
    degrees_of_freedom: float

    def __post_init__(self) -> None:
        if not self.degrees_of_freedom > 0:
            raise OutOfRange(f"degrees of freedom {self.degrees_of_freedom:g} are not above zero.")

    def draw(self, count: int, chance: Random) -> list[float]:
        """Values of this distribution, by the polar method."""
        freedom, power, turn = self.degrees_of_freedom, -2.0 / self.degrees_of_freedom, 2 * math.pi
        return [
            self.mean
            + self.scale
            * math.sqrt(freedom * ((1.0 - chance.random()) ** power - 1.0))
            * math.cos(turn * chance.random())
            for _ in range(count)
        ]


@dataclass(frozen=True, slots=True)
class Rectangular:
    """Anywhere between two limits alike."""

    low: float
    high: float

    def __post_init__(self) -> None:
        _in_order(self.low, self.high)

    def draw(self, count: int, chance: Random) -> list[float]:
        """Values of this distribution."""
        low, width = self.low, self.high - self.low
        return [low + width * chance.random() for _ in range(count)]


@dataclass(frozen=True, slots=True)
class RoughRectangular:
    """Anywhere between two limits that are themselves only known to plus or minus `blur`."""

    low: float
    high: float
    blur: float

    def __post_init__(self) -> None:
        _in_order(self.low, self.high)
        if not 0 <= 2 * self.blur <= self.high - self.low:
            raise OutOfRange(f"limits blurred by {self.blur:g} cross; the blur is at most half the width.")

    def draw(self, count: int, chance: Random) -> list[float]:
        """Values of this distribution: first the limits, then a value between them."""
        both = self.low + self.high
        values = []
        for _ in range(count):
            start = self.low + self.blur * (2 * chance.random() - 1)
            values.append(start + (both - 2 * start) * chance.random())
        return values


@dataclass(frozen=True, slots=True)
class Triangular:
    """Between two limits, most likely in the middle."""

    low: float
    high: float

    def __post_init__(self) -> None:
        _in_order(self.low, self.high)

    def draw(self, count: int, chance: Random) -> list[float]:
        """Values of this distribution."""
        half = 0.5 * (self.high - self.low)
        return [self.low + half * (chance.random() + chance.random()) for _ in range(count)]


@dataclass(frozen=True, slots=True)
class ArcSine:
    """A quantity that swings between two limits, met at any moment: a room's temperature under a thermostat."""

    low: float
    high: float

    def __post_init__(self) -> None:
        _in_order(self.low, self.high)

    def draw(self, count: int, chance: Random) -> list[float]:
        """Values of this distribution."""
        middle, half, turn = 0.5 * (self.low + self.high), 0.5 * (self.high - self.low), 2 * math.pi
        return [middle + half * math.sin(turn * chance.random()) for _ in range(count)]


class Distribution(Protocol):
    """All that an input of `simulate` has to be: something that can be drawn from."""

    def draw(self, count: int, chance: Random) -> list[float]:
        """Values of this distribution."""


def _in_order(low: float, high: float) -> None:
    if not low <= high:
        raise OutOfRange(f"the lower limit {low:g} is above the upper limit {high:g}; swap them.")
