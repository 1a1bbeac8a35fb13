"""Offset dowels: which of those at hand, turned how, and what offset remains.

A dowel moves the bore, never the face.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit, clock_hours, degree_words, length_words
from countershaft.metrology.housing_bore import BoreOffset

__all__ = ["DowelChoice", "choose_dowels", "remaining_offset"]


@dataclass(frozen=True, slots=True)
class DowelChoice:
    """Two equal offset dowels and how they are turned, or none [m, rad].

    `size` is the offset of each, 0 for the plain dowels that are there.  `turn` is where the offset end points,
    clockwise from 12 o'clock seen from the gearbox.  `remains` is the offset of the bore that is left, `total` twice
    it.  `slack` is how far the dowels may be turned wrong to either side and still keep the limit, None where they do
    not keep it even when turned right.  `others` lists what every size at hand would leave, smallest remainder first.
    """

    size: float
    turn: float
    remains: float
    total: float
    total_standard: float
    limit: float
    slack: float | None
    others: tuple[tuple[float, float], ...]

    @property
    def keeps_limit(self) -> bool:
        """Whether what remains is within the limit, with about 95 % trust."""
        return self.total + 2 * self.total_standard <= self.limit

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """What every size at hand leaves, and the choice with its uncertainty, line by line."""
        rows = tuple(
            f"offset {length_words(one, unit)}: leaves {length_words(left, unit, extra=2)}, "
            f"TIR {length_words(2 * left, unit, extra=1)}"
            for one, left in self.others
        )
        total, off = (length_words(one, unit, extra=1) for one in (self.total, 2 * self.total_standard))
        kept = "kept" if self.keeps_limit else "not surely kept"
        return (*rows, f"TIR {total}, 2u = {off}, limit {length_words(self.limit, unit)}: {kept}")

    def words(self, unit: LengthUnit = "mm") -> str:
        """The choice in a sentence or two."""
        left = f"{length_words(self.total, unit)} of {length_words(self.limit, unit)} TIR"
        if self.size == 0:
            return f"No offset dowel at hand makes it better; the plain ones leave {left}."
        hours = clock_hours(self.turn)
        minutes = round(hours % 1 * 60 / 5) * 5
        whole = (int(hours) + minutes // 60) % 12 or 12
        said = (
            f"Two dowels of {length_words(self.size, unit)} offset, both turned so that the offset end points to "
            f"{whole}:{minutes % 60:02d} on the clock ({degree_words(self.turn)} clockwise from 12, seen from the "
            f"gearbox), leave {left}."
        )
        if self.slack is None:
            return f"{said} That is not enough."
        return f"{said} Turn them true to ±{math.degrees(self.slack):.0f}° and sweep again."


def choose_dowels(bore: BoreOffset, at_hand: Mapping[float, int], *, limit: float) -> DowelChoice:
    """The pair of offset dowels that leaves the least offset of the bore.

    Parameters
    ----------
    bore : BoreOffset [m]
        What the sweep found, with plain dowels fitted and home.
    at_hand : Mapping[float, int] [m, -]
        Offset of a size to how many there are; sizes of which there is only one are left out, since both dowels must
        move the housing alike.
    limit : float [m]
        Most total indicator reading of the bore.

    Returns
    -------
    DowelChoice [m, rad]
        The pair, how it is turned and what remains; of equal remainders the smaller offset, plain dowels first.

    Raises
    ------
    OutOfRange
        An offset that is not above zero, a negative count, a limit not above zero, or a sweep that does not close.

    Notes
    -----
    A dowel of offset d, turned to point along the way that the housing must move, leaves |e - d| of an offset e: no
    other turn leaves less.  Turned wrong by φ it leaves √(e² + d² - 2 e d cos φ).

    References
    ----------
    Common practice, no source, for the rule to turn both dowels along the offset; the law of cosines for the rest.

    Examples
    --------
    >>> from countershaft.metrology.housing_bore import bore_offset
    >>> quarters = [math.radians(turn) for turn in (0, 90, 180, 270)]
    >>> found = bore_offset(quarters, [0.0, 0.32e-3, 0.0, -0.32e-3], standard=0.003e-3)
    >>> choice = choose_dowels(found, {0.15e-3: 2, 0.30e-3: 2, 0.45e-3: 2}, limit=0.25e-3)
    >>> round(choice.size * 1e3, 2), round(math.degrees(choice.turn)), round(choice.total * 1e3, 3)
    (0.3, 90, 0.04)
    """
    if not limit > 0:
        raise OutOfRange(f"the limit of the bore's TIR is {limit:g}; it must be above zero.")
    for size, count in at_hand.items():
        if not size > 0 or count < 0:
            raise OutOfRange(
                f"{count} dowels of offset {size:g} are given; offset above zero and count not below."
            )
    if not bore.sweep.closes:
        raise OutOfRange(
            bore.sweep.closure_words() + " No dowel is chosen by readings that contradict each other."
        )
    pairs = sorted(size for size, count in at_hand.items() if count >= 2)
    ranked = sorted((round(abs(bore.offset - size), 12), size) for size in (0.0, *pairs))
    size = ranked[0][1]
    remains = abs(bore.offset - size)
    return DowelChoice(
        size=size,
        turn=bore.direction,
        remains=remains,
        total=2 * remains,
        total_standard=2 * bore.offset_standard,
        limit=limit,
        slack=_slack(bore.offset, size, limit / 2 - 2 * bore.offset_standard),
        others=tuple((one, abs(bore.offset - one)) for _, one in ranked),
    )


def remaining_offset(bore: BoreOffset, size: float, turn: float) -> tuple[float, float]:
    """What offset remains with two dowels of one size, turned to any direction.

    Parameters
    ----------
    bore : BoreOffset [m]
        What the sweep found, with plain dowels fitted.
    size : float [m]
        Offset of each dowel.
    turn : float [rad]
        Where the offset end of both points, clockwise from 12 o'clock seen from the gearbox.

    Returns
    -------
    tuple[float, float] [m, rad]
        The offset that remains, and which way the housing would still have to move.

    Examples
    --------
    >>> from countershaft.metrology.housing_bore import bore_offset
    >>> quarters = [math.radians(turn) for turn in (0, 90, 180, 270)]
    >>> found = bore_offset(quarters, [0.2e-3, 0.0, -0.2e-3, 0.0], standard=0.003e-3)
    >>> left, way = remaining_offset(found, 0.2e-3, math.radians(60))
    >>> round(left * 1e3, 4), round(math.degrees(way))
    (0.2, 300)
    """
    x = bore.move_x - size * math.sin(turn)
    y = bore.move_y - size * math.cos(turn)
    return math.hypot(x, y), math.atan2(x, y) % (2 * math.pi)


def _slack(offset: float, size: float, radius: float) -> float | None:
    """How far a dowel may be turned wrong until more than `radius` remains."""
    if abs(offset - size) > radius:
        return None
    if size == 0 or offset == 0 or offset + size <= radius:
        return math.pi
    return math.acos((offset * offset + size * size - radius * radius) / (2 * offset * size))
