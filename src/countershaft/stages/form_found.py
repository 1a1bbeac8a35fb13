"""What one kind of form makes of its readings, before it has an uncertainty; lengths in metres."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from countershaft import units
from countershaft.metrology.budget import Contribution
from countershaft.metrology.harmonics import Runout
from countershaft.metrology.monte_carlo import Simulated

__all__ = ["Found", "Height", "Measured"]


@dataclass(frozen=True, slots=True)
class Height:
    """One place of a face: where it lies [m], and how far it stands above the mean plane, in the unit of the result."""

    name: str
    x: float
    y: float
    height: float


@dataclass(frozen=True, slots=True)
class Measured:
    """The mean reading of every place [m], what one may be off, and the unit that words are told in."""

    means: Mapping[str, float]
    standard: float
    zero_offset: float
    unit: str
    digits: int
    lower: float | None
    upper: float | None

    def words(self, length: float, *, less: int = 0) -> str:
        """A length in the unit of the result."""
        told = (
            round(units.convert(length, "m", self.unit), self.digits - less) + 0.0
        )  # no minus before a nought
        return f"{told:.{self.digits - less}f} {self.unit}"

    def told(self, length: float) -> float:
        """A length as a bare figure in the unit of the result."""
        return units.convert(length, "m", self.unit)


@dataclass(frozen=True, slots=True)
class Found:
    """A form [m], and how much its standard uncertainty is per that of one reading."""

    value: float
    slope: float
    what: str
    lines: tuple[str, ...]
    beside: tuple[tuple[str, str], ...] = ()
    others: tuple[Contribution, ...] = ()
    simulated: Simulated | None = None
    heights: tuple[Height, ...] = ()
    highest: tuple[str, ...] = ()
    lowest: tuple[str, ...] = ()
    wave: Runout | None = None
    misfit: float = 0.0
