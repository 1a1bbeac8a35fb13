"""Taper, ovality and barrel shape of a bore or journal from diameters."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit, length_words
from countershaft.metrology.harmonics import runout

__all__ = ["CylinderForm", "Ovality", "cylinder_form", "ovality"]


@dataclass(frozen=True, slots=True)
class Ovality:
    """How far a section is from round, by its diameters, in their unit.

    `measured` is largest less smallest.  `fitted` is the same of the ellipse through three or more directions, which
    finds the long axis between two of them; None with two directions.  `long_axis` is its direction, 0 up to π.
    """

    measured: float
    fitted: float | None
    long_axis: float | None
    mean: float
    standard: float


@dataclass(frozen=True, slots=True)
class CylinderForm:
    """Diameters of one bore or journal at several sections, judged together, in their unit.

    `taper` is the change of the mean diameter over the measured length, + where it grows with the position;
    `slope` the same per unit of length.  `barrel` is how much the middle is larger than the straight line through the
    ends (− for a waist); None with two sections.  The smallest and largest diameter come with their place.
    """

    sections: tuple[tuple[float, Ovality], ...]
    taper: float
    slope: float
    taper_standard: float
    barrel: float | None
    worst_ovality: float
    worst_ovality_at: float
    smallest: float
    smallest_at: tuple[float, float]
    largest: float
    largest_at: tuple[float, float]

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """The figures of every section and what follows from them, line by line."""
        length = self.sections[-1][0] - self.sections[0][0]
        rows = tuple(
            f"at {length_words(place, unit)}: mean {length_words(section.mean, unit, extra=1)}, "
            f"largest less smallest {length_words(section.measured, unit, extra=1)}"
            for place, section in self.sections
        )
        taper, off = (length_words(one, unit, extra=2) for one in (self.taper, self.taper_standard))
        worst = length_words(self.worst_ovality, unit, extra=1)
        return (
            *rows,
            f"slope {self.slope * 1e3:.4f} mm per m · length {length_words(length, unit)} = taper {taper}, u = {off}",
            f"worst ovality {worst} at {length_words(self.worst_ovality_at, unit)}",
        )


def ovality(directions: Sequence[float], diameters: Sequence[float], *, standard: float = 0.0) -> Ovality:
    """Ovality of one section from diameters in several directions.

    Parameters
    ----------
    directions : Sequence[float] (n,) [rad]
        Directions of the diameters; θ and θ + π are the same.
    diameters : Sequence[float] (n,) [m]
        The diameters there.
    standard : float [m]
        Standard uncertainty of one diameter.

    Returns
    -------
    Ovality [m]
        Largest less smallest, and that of the fitted ellipse.

    Raises
    ------
    OutOfRange
        Fewer than two directions, lists that differ in length, or diameters that are not above zero.

    Notes
    -----
    Diameters see two, four, six lobes and never three or five: a part that is even under the micrometer can still be
    three-lobed.  Roundness needs an indicator and a turn.

    References
    ----------
    ISO 12181-1:2011 (roundness has no "ovality"; the word is the trade's, for the two-lobed part).

    Examples
    --------
    >>> import math
    >>> found = ovality([0, math.radians(60), math.radians(120)], [50.02, 49.99, 49.99])
    >>> round(found.measured, 6), round(found.fitted, 6), round(found.long_axis, 6)
    (0.03, 0.04, 0.0)
    """
    if len(directions) != len(diameters):
        raise OutOfRange(
            f"{len(directions)} directions but {len(diameters)} diameters are given; each direction needs both."
        )
    if not all(math.isfinite(diameter) and diameter > 0 for diameter in diameters):
        raise OutOfRange("a diameter is not a number above zero; type it again.")
    places = {round(math.degrees(direction) % 180, 6) % 180 for direction in directions}
    if len(places) < 2:
        raise OutOfRange("diameters in at least two directions are needed to tell ovality.")
    mean = math.fsum(diameters) / len(diameters)
    measured = max(diameters) - min(diameters)
    if len(places) < 3:
        return Ovality(measured, None, None, mean, standard * math.sqrt(2))
    wave = runout([2 * direction for direction in directions], diameters, standard=standard, highest=1)
    return Ovality(
        measured=measured,
        fitted=2 * wave.eccentricity.amplitude,
        long_axis=wave.eccentricity.angle / 2,
        mean=wave.mean,
        standard=2 * wave.eccentricity.standard,
    )


def cylinder_form(
    sections: Mapping[float, Sequence[tuple[float, float]]], *, standard: float = 0.0
) -> CylinderForm:
    """Taper, ovality and barrel shape from diameters at several sections.

    Parameters
    ----------
    sections : Mapping[float, Sequence[tuple[float, float]]] [m, rad]
        Position along the axis to the diameters measured there, each as (direction, diameter).
    standard : float [m]
        Standard uncertainty of one diameter.

    Returns
    -------
    CylinderForm [m]
        The three figures, and the smallest and largest diameter with their place.

    Raises
    ------
    OutOfRange
        Fewer than two sections, or what `ovality` refuses.

    References
    ----------
    Common practice, no source: taper is the difference of diameters along a bore, ovality across it.  The slope is
    the line of least squares through the mean diameters.

    Examples
    --------
    >>> import math
    >>> square = math.pi / 2
    >>> found = cylinder_form({0.0: [(0, 50.00), (square, 50.01)], 40.0: [(0, 50.02), (square, 50.03)]})
    >>> round(found.taper, 6), round(found.worst_ovality, 6), found.largest_at[0]
    (0.02, 0.01, 40.0)
    """
    if len(sections) < 2:
        raise OutOfRange(f"{len(sections)} sections are given; taper needs at least two.")
    told = tuple(
        (
            place,
            ovality(
                [d for d, _ in sections[place]], [size for _, size in sections[place]], standard=standard
            ),
        )
        for place in sorted(sections)
    )
    length = told[-1][0] - told[0][0]
    slope, spread = _slope([(place, section.mean) for place, section in told])
    fewest = min(len(sections[place]) for place in sections)
    worst_at, worst = max(told, key=lambda one: max(one[1].measured, one[1].fitted or 0.0))
    every = [(size, (place, way)) for place, rows in sections.items() for way, size in rows]
    small, large = min(every), max(every)
    return CylinderForm(
        sections=told,
        taper=slope * length,
        slope=slope,
        taper_standard=standard * spread * length / math.sqrt(fewest),
        barrel=_barrel(told),
        worst_ovality=max(worst.measured, worst.fitted or 0.0),
        worst_ovality_at=worst_at,
        smallest=small[0],
        smallest_at=small[1],
        largest=large[0],
        largest_at=large[1],
    )


def _slope(points: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Slope of the line of least squares, and its standard uncertainty per unit of the points'."""
    middle = math.fsum(x for x, _ in points) / len(points)
    spread = math.fsum((x - middle) ** 2 for x, _ in points)
    return math.fsum((x - middle) * y for x, y in points) / spread, 1 / math.sqrt(spread)


def _barrel(told: Sequence[tuple[float, Ovality]]) -> float | None:
    """The largest departure of a section between the ends from the straight line through the ends."""
    (first, start), (last, end) = told[0], told[-1]
    between = [
        section.mean - start.mean - (end.mean - start.mean) * (place - first) / (last - first)
        for place, section in told[1:-1]
    ]
    return max(between, key=abs, default=None)
