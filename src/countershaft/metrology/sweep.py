"""A sweep round a housing by an indicator that the crank carries, and whether it closes.

Angles run clockwise from 12 o'clock, seen from the gearbox.  A reading is + where the plunger is pushed in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit, length_words
from countershaft.metrology.harmonics import Runout, runout

__all__ = ["Sweep", "sweep", "without_sag"]

#: Coverage of the closure check: an honest sweep fails it once in 22 times.
COVERAGE: Final = 0.9545


@dataclass(frozen=True, slots=True)
class Sweep:
    """A sweep of four or more places, and whether it closes [m].

    `closure` is what the readings contradict each other by.  With the four quarters it is
    (r12 + r6) - (r3 + r9), which must be nothing for any place and tilt of a round bore; with other places twice the
    root of the sum of the squared misfits, which is the same figure there.
    `closure_limit` is what the readings' own uncertainty (or the limit that the shop set) allows.
    """

    runout: Runout
    standard: float
    closure: float
    closure_limit: float

    @property
    def closes(self) -> bool:
        """Whether the readings agree with each other as well as they can be trusted."""
        return abs(self.closure) <= self.closure_limit * (1 + 1e-9)

    def closure_words(self, unit: LengthUnit = "mm") -> str:
        """The closure in one sentence, with what to do."""
        said = f"closure {length_words(abs(self.closure), unit)}, allowed {length_words(self.closure_limit, unit)}"
        if self.closes:
            return f"The sweep closes: {said}."
        return (
            f"The sweep does not close: {said}. A reading is wrong, the indicator slipped, or the bore is not round. "
            "Sweep again; if it stays, read eight places."
        )


def sweep(
    angles: Sequence[float], readings: Sequence[float], *, standard: float, closure_limit: float | None = None
) -> Sweep:
    """A sweep round a bore or face, with its closure check.

    Parameters
    ----------
    angles : Sequence[float] (n,) [rad]
        Places, clockwise from 12 o'clock; at least four different ones.
    readings : Sequence[float] (n,) [m]
        Readings, + where the plunger is pushed in.
    standard : float [m]
        Standard uncertainty of one reading.
    closure_limit : float, optional [m]
        What the shop allows as closure; by default what the readings' uncertainty explains in about 95 of 100 sweeps.

    Returns
    -------
    Sweep [m]
        The first wave, and the closure.

    Raises
    ------
    OutOfRange
        Fewer than four different places, a standard uncertainty that is not above zero, or what `runout` refuses.

    Notes
    -----
    Four quarters close for an oval bore whose long axis lies halfway between them, and cannot tell three lobes from
    an offset; eight places tell both.

    References
    ----------
    Common practice, no source, for the sum of opposite readings; its uncertainty is that of four readings, 2u
    (JCGM 100:2008, 5.1.2).  E. B. Wilson and M. M. Hilferty, The distribution of chi-square, Proc. Natl. Acad. Sci. 17
    (1931) 684-688, for more than four places.

    Examples
    --------
    >>> quarters = [math.radians(turn) for turn in (0, 90, 180, 270)]
    >>> found = sweep(quarters, [0.0, -0.19e-3, -0.16e-3, 0.02e-3], standard=0.003e-3)
    >>> round(found.closure * 1e3, 4), found.closes
    (0.01, True)
    """
    places = {round(math.degrees(angle) % 360, 6) % 360 for angle in angles}
    if len(places) < 4:
        raise OutOfRange(
            f"{len(places)} different places are given; a sweep needs at least four, or nothing checks it."
        )
    if not standard > 0:
        raise OutOfRange(f"the standard uncertainty of a reading is {standard:g}; it must be above zero.")
    found = runout(angles, readings, standard=standard, highest=1)
    first = next(
        (left for turn, left in zip(angles, found.residuals, strict=True) if turn % math.pi < 1e-9), 1.0
    )
    closure = math.copysign(2 * math.sqrt(math.fsum(left * left for left in found.residuals)), first)
    allowed = 2 * standard * math.sqrt(_chi_squared(len(angles) - 3))
    return Sweep(found, standard, closure, allowed if closure_limit is None else closure_limit)


def _chi_squared(freedom: int) -> float:
    """The chi-squared value that an honest sweep stays below in 95.45 of 100 cases (Wilson and Hilferty, 1931)."""
    if freedom == 1:
        return NormalDist().inv_cdf((1 + COVERAGE) / 2) ** 2
    part = 2 / (9 * freedom)
    return freedom * (1 - part + NormalDist().inv_cdf(COVERAGE) * math.sqrt(part)) ** 3


def without_sag(angles: Sequence[float], readings: Sequence[float], sag: float) -> list[float]:
    """Readings with the sag of the indicator's bar taken off.

    Parameters
    ----------
    angles : Sequence[float] (n,) [rad]
        Places, clockwise from 12 o'clock.
    readings : Sequence[float] (n,) [m]
        Readings there.
    sag : float [m]
        What the same set-up reads at 6 o'clock in a true ring, zeroed at 12, with its sign.

    Returns
    -------
    list[float] [m]
        What a bar without sag would have read.

    Raises
    ------
    OutOfRange
        The lists differ in length, or the sag is not a number.

    Notes
    -----
    The bar always hangs down by the same, so the reading changes by sag · (1 - cos θ) / 2 from 12 o'clock on.

    Examples
    --------
    >>> without_sag([0.0, math.pi], [0.0, 0.04], 0.04)
    [0.0, 0.0]
    """
    if len(angles) != len(readings):
        raise OutOfRange(
            f"{len(angles)} angles but {len(readings)} readings are given; each place needs both."
        )
    if not math.isfinite(sag):
        raise OutOfRange(f"the sag is {sag:g}; type what the indicator reads at 6 o'clock in a true ring.")
    return [
        reading - sag * (1 - math.cos(angle)) / 2 for angle, reading in zip(angles, readings, strict=True)
    ]
