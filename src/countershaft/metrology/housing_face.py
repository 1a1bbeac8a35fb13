"""The face of a converter housing against the crankshaft: how far it leans, and what that shifts.

Angles run clockwise from 12 o'clock, seen from the gearbox.  A reading is + where the plunger is pushed in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit, clock_words, length_words
from countershaft.metrology.sweep import Sweep, sweep, without_sag

__all__ = ["FaceTilt", "face_from_total", "face_tilt"]


@dataclass(frozen=True, slots=True)
class FaceTilt:
    """How far the face of the housing leans against the crank [m, rad].

    `total` is the total indicator reading at `diameter`.  `nearest` is where the face stands nearest to the indicator,
    None where only the total is known.
    """

    total: float
    standard: float
    diameter: float
    nearest: float | None
    sweep: Sweep | None

    @property
    def tilt(self) -> float:
        """Lean of the face [rad]."""
        return self.total / self.diameter

    def shift_at(self, distance: float) -> float:
        """How far the tilt carries the gearbox axis off at a distance from the face [m]."""
        return self.tilt * abs(distance)

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """The formula with its numbers, line by line."""
        total, diameter = length_words(self.total, unit, extra=1), length_words(self.diameter, unit)
        return (
            f"total indicator reading {total}, u = {length_words(self.standard, unit, extra=2)}",
            f"lean = total / diameter = {total} / {diameter} = {self.tilt * 1e3:.3f} mm per m",
        )

    def words(self, unit: LengthUnit = "mm") -> str:
        """The lean in one sentence."""
        said = f"the face runs out {length_words(self.total, unit)} on {length_words(self.diameter, unit)}"
        lean = f"{said}, a lean of {self.tilt * 1e3:.2f} mm per m"
        return lean if self.nearest is None else f"{lean}, nearest at {clock_words(self.nearest)}"


def face_tilt(
    angles: Sequence[float],
    readings: Sequence[float],
    *,
    diameter: float,
    standard: float,
    sag: float = 0.0,
    closure_limit: float | None = None,
) -> FaceTilt:
    """Tilt of a housing face against the crank.

    Parameters
    ----------
    angles : Sequence[float] (n,) [rad]
        Places, clockwise from 12 o'clock seen from the gearbox; at least four.
    readings : Sequence[float] (n,) [m]
        Readings on the face, + where the plunger is pushed in, the crank held to one end of its play at every place.
    diameter : float [m]
        Diameter of the circle that the plunger runs on.
    standard : float [m]
        Standard uncertainty of one reading.
    sag : float [m]
        What the same set-up reads at 6 o'clock on a true face, zeroed at 12, with its sign.
    closure_limit : float, optional [m]
        What the shop allows as closure.

    Returns
    -------
    FaceTilt [m, rad]
        Total indicator reading of the tilt, the tilt, and where the face stands nearest.

    Raises
    ------
    OutOfRange
        The diameter is not above zero, or what `sweep` refuses.

    References
    ----------
    ISO 1101:2017 (axial run-out); the tilt is the total over the diameter, for small angles.

    Examples
    --------
    >>> quarters = [math.radians(turn) for turn in (0, 90, 180, 270)]
    >>> found = face_tilt(quarters, [0, 0.05e-3, 0.1e-3, 0.05e-3], diameter=0.3, standard=0.003e-3)
    >>> round(found.total * 1e3, 4), round(found.shift_at(0.11) * 1e3, 4)
    (0.1, 0.0367)
    """
    if not diameter > 0:
        raise OutOfRange(f"the diameter of the swept circle is {diameter:g}; it must be above zero.")
    found = sweep(angles, without_sag(angles, readings, sag), standard=standard, closure_limit=closure_limit)
    wave = found.runout.eccentricity
    return FaceTilt(2 * wave.amplitude, 2 * wave.standard, diameter, wave.angle, found)


def face_from_total(total: float, *, diameter: float, standard: float) -> FaceTilt:
    """Tilt of a housing face where only its total indicator reading was written down.

    Parameters
    ----------
    total : float [m]
        Highest less lowest reading.
    diameter : float [m]
        Diameter of the circle that the plunger ran on.
    standard : float [m]
        Standard uncertainty of one reading.

    Returns
    -------
    FaceTilt [m, rad]
        The tilt; where the face stands nearest is not known, and nothing checks the sweep.

    Raises
    ------
    OutOfRange
        The total is below zero, or the diameter or the uncertainty is not above zero.

    Examples
    --------
    >>> round(face_from_total(0.09e-3, diameter=0.28, standard=0.003e-3).tilt * 1e3, 3)
    0.321
    """
    if not (math.isfinite(total) and total >= 0):
        raise OutOfRange(f"the total indicator reading is {total:g}; it must be zero or above.")
    if not (diameter > 0 and standard > 0):
        raise OutOfRange(f"diameter {diameter:g} and standard uncertainty {standard:g} must be above zero.")
    return FaceTilt(total, math.sqrt(2) * standard, diameter, None, None)
