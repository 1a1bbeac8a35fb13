"""How far a shaft is bent, from runout read at places along it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit, degree_words, length_words
from countershaft.metrology.harmonics import Harmonic

__all__ = ["ShaftBow", "shaft_bow"]


@dataclass(frozen=True, slots=True)
class ShaftBow:
    """How far the middle line of a shaft leaves the straight line through its two bearing places [m, rad].

    `bows` holds position, departure and direction of every place; `worst` is the largest departure, `high` its side
    (where the shaft stands out, so the side to press on), `total` twice the departure: the indicator reading that it
    alone would give.
    """

    bows: tuple[tuple[float, float, float], ...]
    worst: float
    worst_at: float
    high: float
    total: float
    standard: float

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """The departure at every place, and the worst of them, line by line."""
        rows = tuple(
            f"at {length_words(place, unit)}: {length_words(bow, unit, extra=2)} off toward {degree_words(way)}"
            for place, bow, way in self.bows
        )
        worst, off = (length_words(one, unit, extra=2) for one in (self.worst, self.standard))
        return (
            *rows,
            f"TIR of the bow = 2 · {worst} = {length_words(self.total, unit, extra=2)}, u of the bow {off}",
        )


def shaft_bow(stations: Mapping[float, Harmonic], *, bearings: tuple[float, float]) -> ShaftBow:
    """Bow of a shaft from the eccentricity found at places along it.

    Parameters
    ----------
    stations : Mapping[float, Harmonic] [m]
        Position along the shaft to the eccentricity found there (`runout(...).eccentricity`), all from one angle mark.
    bearings : tuple[float, float] [m]
        The two positions where the shaft runs in its bearings.  A place that stood in a V-block without being read has
        none: leave it out of `stations`, it counts as running true.

    Returns
    -------
    ShaftBow [m, rad]
        Departure and its direction at every place, and the worst.

    Raises
    ------
    OutOfRange
        No station beside the bearings, the two bearings at one place, or a wave that is no eccentricity.

    Notes
    -----
    Eccentricities are arrows.  Those at the bearing places (a shaft between worn centres) are joined by a straight
    line and taken off, so the bow does not depend on how the shaft was held.  Only the one-crest wave is used:
    an oval journal does not count as a bend.  Sag under the shaft's own weight does not turn with it and does not show.

    References
    ----------
    ISO 1101:2017 (straightness of a median line, run-out); the arithmetic is plane vectors.

    Examples
    --------
    >>> from countershaft.metrology.harmonics import Harmonic
    >>> found = shaft_bow({0.1: Harmonic(1, 0.02e-3, 0.0, 0.0)}, bearings=(0.0, 0.2))
    >>> round(found.worst * 1e3, 4), round(found.total * 1e3, 4)
    (0.02, 0.04)
    """
    first, last = bearings
    if first == last:
        raise OutOfRange(f"both bearing places are given at {first:g}; they must differ.")
    if any(wave.order != 1 for wave in stations.values()):
        raise OutOfRange("a bow is told from eccentricities; give the wave with one crest of every place.")
    start, end = (stations.get(place, Harmonic(1, 0.0, 0.0, 0.0)) for place in bearings)
    bows = []
    for place, wave in sorted(stations.items()):
        if place in bearings:
            continue
        share = (place - first) / (last - first)
        x = wave.cosine - (1 - share) * start.cosine - share * end.cosine
        y = wave.sine - (1 - share) * start.sine - share * end.sine
        off = math.hypot(wave.standard, (1 - share) * start.standard, share * end.standard)
        bows.append((math.hypot(x, y), place, math.atan2(y, x) % (2 * math.pi), off))
    if not bows:
        raise OutOfRange("no place beside the two bearings is given; read at least one between them.")
    worst, at, high, off = max(bows)
    return ShaftBow(tuple((place, bow, way) for bow, place, way, _ in bows), worst, at, high, 2 * worst, off)
