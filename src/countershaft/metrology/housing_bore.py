"""The bore of a converter housing against the crankshaft: offset, and which way the housing must move.

Angles run clockwise from 12 o'clock, seen from the gearbox.  A reading is + where the plunger is pushed in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit, clock_words, degree_words, length_words
from countershaft.metrology.sweep import Sweep, sweep, without_sag

__all__ = ["BoreOffset", "bore_offset"]


@dataclass(frozen=True, slots=True)
class BoreOffset:
    """Where the housing must move to put its bore on the crank axis [m, rad].

    `move_x` is toward 3 o'clock, `move_y` toward 12.  `total` is the total indicator reading that this offset makes,
    twice the offset; lobes of the bore are not in it.
    """

    sweep: Sweep
    sag: float
    crank_rise: float
    move_x: float
    move_y: float
    x_standard: float
    y_standard: float

    @property
    def offset(self) -> float:
        """Distance of the bore's axis from the crank's."""
        return math.hypot(self.move_x, self.move_y)

    @property
    def direction(self) -> float:
        """Which way the housing must move, clockwise from 12 o'clock [rad]."""
        return math.atan2(self.move_x, self.move_y) % (2 * math.pi)

    @property
    def total(self) -> float:
        """Total indicator reading of the offset."""
        return 2 * self.offset

    @property
    def offset_standard(self) -> float:
        """Standard uncertainty of the offset; that of the worse axis where there is hardly an offset."""
        if self.offset <= max(self.x_standard, self.y_standard):
            return max(self.x_standard, self.y_standard)
        return math.hypot(self.move_x * self.x_standard, self.move_y * self.y_standard) / self.offset

    @property
    def direction_standard(self) -> float:
        """Standard uncertainty of the direction [rad]; π where there is hardly an offset."""
        if self.offset <= max(self.x_standard, self.y_standard):
            return math.pi
        return math.hypot(self.move_y * self.x_standard, self.move_x * self.y_standard) / self.offset**2

    @property
    def has_direction(self) -> bool:
        """Whether the direction is known to an hour of the clock, with about 95 % trust."""
        return 2 * self.direction_standard <= math.radians(30)

    def words(self, unit: LengthUnit = "mm") -> str:
        """What to do with the housing, in one sentence."""
        length = length_words(self.offset, unit)
        if self.has_direction:
            return f"move the housing {length} toward {clock_words(self.direction)}"
        most = length_words(self.offset + 2 * self.offset_standard, unit)
        return f"the bore is off by {length}, {most} at most; that is too little to tell a direction"

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """The formula with its numbers, line by line."""

        def told(length: float) -> str:
            return length_words(length, unit, extra=2)

        return (
            f"sag {told(self.sag)} at 6 o'clock taken off; crank rises by {told(self.crank_rise)}",
            f"move toward 3 o'clock x = {told(self.move_x)}, u = {told(self.x_standard)}",
            f"move toward 12 o'clock y = {told(self.move_y)}, u = {told(self.y_standard)}",
            f"offset = √(x² + y²) = {told(self.offset)}, u = {told(self.offset_standard)}",
            f"total indicator reading = 2 · offset = {told(self.total)}",
            f"direction = {degree_words(self.direction)} from 12 o'clock, clockwise",
        )


def bore_offset(
    angles: Sequence[float],
    readings: Sequence[float],
    *,
    standard: float,
    sag: float = 0.0,
    sag_standard: float = 0.0,
    crank_rise: float = 0.0,
    crank_rise_standard: float = 0.0,
    closure_limit: float | None = None,
) -> BoreOffset:
    """Offset of a housing bore from the crank axis.

    Parameters
    ----------
    angles : Sequence[float] (n,) [rad]
        Places, clockwise from 12 o'clock seen from the gearbox; at least four.
    readings : Sequence[float] (n,) [m]
        Readings in the bore, + where the plunger is pushed in.
    standard : float [m]
        Standard uncertainty of one reading.
    sag : float [m]
        What the same set-up reads at 6 o'clock in a true ring (or round a stiff bar), zeroed at 12, with its sign.
    sag_standard : float [m]
        Its standard uncertainty.
    crank_rise : float [m]
        How far the crank axis rises from where it lay while it was swept to where it runs: half the lift found with a
        pry bar, if it runs in the middle of its bearing.
    crank_rise_standard : float [m]
        Its standard uncertainty.
    closure_limit : float, optional [m]
        What the shop allows as closure.

    Returns
    -------
    BoreOffset [m, rad]
        How far and which way the housing must move.

    Raises
    ------
    OutOfRange
        A correction that is not finite or a rise below zero, or what `sweep` refuses.

    Notes
    -----
    Where the plunger is pushed in most, the wall is nearest, so the housing has to move that way.  With the four
    quarters x = (r3 - r9) / 2 and y = (r12 - r6) / 2; with more places the same by least squares.
    Sag lets the indicator hang: it reads s·(1 - cos θ)/2 too much, which makes y too small by s/2.
    A crank that lies at the bottom of its bearing while it is swept runs higher; the bore must follow it up.

    References
    ----------
    TM 9-4940-568-34 (US Army), flywheel housing replacement, steps 6 to 11: the vertical total is the 12 o'clock
    reading (zero at 6) plus the whole lift of the crank, the horizontal total the difference of 9 and 3 o'clock; so
    the axis is raised by half the lift.  TM 5-3895-369-14 takes half the lift off the 6 o'clock reading, which raises
    the axis by a quarter of it: follow the maker's service information.

    Examples
    --------
    >>> quarters = [math.radians(turn) for turn in (0, 90, 180, 270)]
    >>> bore_offset(quarters, [0.0, -0.19e-3, -0.16e-3, 0.02e-3], standard=0.003e-3).words()
    "move the housing 0.13 mm toward 10 o'clock"
    """
    corrections = (sag, sag_standard, crank_rise, crank_rise_standard)
    if not all(math.isfinite(value) for value in corrections) or min(corrections[1:]) < 0:
        raise OutOfRange(
            "sag and crank rise must be numbers, and the rise and the uncertainties not below zero."
        )
    true = without_sag(angles, readings, sag)
    found = sweep(angles, true, standard=standard, closure_limit=closure_limit)
    wave = found.runout.eccentricity
    return BoreOffset(
        sweep=found,
        sag=sag,
        crank_rise=crank_rise,
        move_x=wave.sine,
        move_y=wave.cosine + crank_rise,
        x_standard=wave.standard,
        y_standard=math.hypot(wave.standard, sag_standard / 2, crank_rise_standard),
    )
