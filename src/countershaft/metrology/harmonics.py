"""Readings round a circle taken apart: the mean, the eccentricity, and the lobes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit, degree_words, length_words

__all__ = ["Harmonic", "Runout", "runout"]


@dataclass(frozen=True, slots=True)
class Harmonic:
    """One wave round the circle: `order` crests of height `amplitude`, one of them at `angle`.

    `cosine` and `sine` are its two parts; `standard` is the larger standard uncertainty of the two.
    """

    order: int
    cosine: float
    sine: float
    standard: float

    @property
    def amplitude(self) -> float:
        """Height of the crests above the mean."""
        return math.hypot(self.cosine, self.sine)

    @property
    def angle(self) -> float:
        """Where the first crest stands, from 0 up to one wave [rad]."""
        wave = 2 * math.pi / self.order
        return (math.atan2(self.sine, self.cosine) / self.order) % wave

    @property
    def angle_standard(self) -> float:
        """Standard uncertainty of that angle [rad]; half a wave where there is no crest to speak of."""
        most = math.pi / self.order
        return most if self.amplitude == 0 else min(most, self.standard / self.amplitude / self.order)

    def at(self, angle: float) -> float:
        """Its height at one angle."""
        return self.cosine * math.cos(self.order * angle) + self.sine * math.sin(self.order * angle)


@dataclass(frozen=True, slots=True)
class Runout:
    """A runout and what it is made of, in the unit of the readings.

    `total` is the total indicator reading, highest less lowest.  `eccentricity` is the wave with one crest: how far
    and to which side the part is off its axis; of a true circle `total` is twice its amplitude.  `lobes` are the
    waves with two crests (oval), three, and more, that the number of readings can tell.  `form` is the highest less
    the lowest reading once the eccentricity is taken out.  `misfit` is the root mean square of what no wave explains,
    None where as many waves as readings were asked.
    """

    angles: tuple[float, ...]
    readings: tuple[float, ...]
    mean: float
    mean_standard: float
    eccentricity: Harmonic
    lobes: tuple[Harmonic, ...]
    total: float
    form: float
    residuals: tuple[float, ...]
    misfit: float | None

    @property
    def strongest(self) -> Harmonic | None:
        """The strongest of the lobes, None where none was asked."""
        return max(self.lobes, key=lambda wave: wave.amplitude, default=None)

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """The formula with its numbers, line by line."""
        high, low = (length_words(one, unit, extra=1) for one in (max(self.readings), min(self.readings)))
        waves = tuple(
            f"{_crests(wave.order)}: c = {length_words(wave.cosine, unit, extra=2)}, "
            f"s = {length_words(wave.sine, unit, extra=2)}, "
            f"√(c² + s²) = {length_words(wave.amplitude, unit, extra=2)}, "
            f"u = {length_words(wave.standard, unit, extra=2)}, crest at {degree_words(wave.angle)}"
            for wave in (self.eccentricity, *self.lobes)
        )
        return (
            f"TIR = highest {high} less lowest {low} = {length_words(self.total, unit, extra=1)}",
            *waves,
            f"highest less lowest without the eccentricity = {length_words(self.form, unit, extra=2)}",
        )


def _crests(order: int) -> str:
    return {1: "eccentricity", 2: "oval, 2 lobes"}.get(order, f"{order} lobes")


def runout(
    angles: Sequence[float], readings: Sequence[float], *, standard: float = 0.0, highest: int | None = None
) -> Runout:
    """Runout readings taken apart into eccentricity and lobes.

    Parameters
    ----------
    angles : Sequence[float] (n,) [rad]
        Where each reading was taken; equally spaced or not, in any order, places may be repeated.
    readings : Sequence[float] (n,) [m]
        The readings.
    standard : float [m]
        Standard uncertainty of one reading, the same for all and each on its own.
    highest : int, optional [-]
        Most crests to look for; by default as many as the number of different places can tell.

    Returns
    -------
    Runout [m]
        Mean, eccentricity, lobes, and what is left.

    Raises
    ------
    OutOfRange
        The lists differ in length, fewer than three places, more waves asked than the places can tell, places that
        stand too close together to tell the waves apart, or a value that is not finite.

    Notes
    -----
    Least squares on 1, cos kθ and sin kθ.  With n different places waves up to k = (n - 1) / 2 can be told; a higher
    one shows as a lower one (with four places three lobes look like eccentricity), so more places are safer.

    References
    ----------
    ISO 1101:2017 (circular run-out); ISO 12181-2:2011, Annex A (number of points for a harmonic, from memory);
    D. J. Whitehouse, Handbook of Surface and Nanometrology, 2nd ed. (2011), roundness by Fourier series.

    Examples
    --------
    >>> import math
    >>> turns = [math.radians(45 * place) for place in range(8)]
    >>> found = runout(turns, [0.05 * math.cos(turn) + 0.01 * math.cos(2 * turn) for turn in turns])
    >>> round(found.eccentricity.amplitude, 6), round(found.lobes[0].amplitude, 6)
    (0.05, 0.01)
    """
    most = _checked(angles, readings)
    if not (standard >= 0 and math.isfinite(standard)):
        raise OutOfRange(f"the standard uncertainty of a reading is {standard:g}; it must be zero or above.")
    orders = most if highest is None else highest
    if not 1 <= orders <= most:
        raise OutOfRange(
            f"waves with up to {orders} crests are asked; the places given can tell 1 to {most}."
        )
    rows = [_row(angle, orders) for angle in angles]
    parts, spread = _least_squares(rows, readings)
    waves = [
        Harmonic(
            k, parts[2 * k - 1], parts[2 * k], standard * math.sqrt(max(spread[2 * k - 1], spread[2 * k]))
        )
        for k in range(1, orders + 1)
    ]
    left = [
        reading - math.fsum(part * value for part, value in zip(parts, row, strict=True))
        for row, reading in zip(rows, readings, strict=True)
    ]
    form = [reading - waves[0].at(angle) for angle, reading in zip(angles, readings, strict=True)]
    freedom = len(rows) - len(parts)
    return Runout(
        angles=tuple(angles),
        readings=tuple(readings),
        mean=parts[0],
        mean_standard=standard * math.sqrt(spread[0]),
        eccentricity=waves[0],
        lobes=tuple(waves[1:]),
        total=max(readings) - min(readings),
        form=max(form) - min(form),
        residuals=tuple(left),
        misfit=math.sqrt(math.fsum(value * value for value in left) / freedom) if freedom else None,
    )


def _checked(angles: Sequence[float], readings: Sequence[float]) -> int:
    """The highest wave that the places can tell."""
    if len(angles) != len(readings):
        raise OutOfRange(
            f"{len(angles)} angles but {len(readings)} readings are given; each place needs both."
        )
    if not all(math.isfinite(value) for value in (*angles, *readings)):
        raise OutOfRange("an angle or a reading is not a finite number; type it again.")
    places = {round(math.degrees(angle) % 360, 6) % 360 for angle in angles}
    if len(places) < 3:
        raise OutOfRange(
            f"readings at {len(places)} different places are given; runout needs at least three."
        )
    return (len(places) - 1) // 2


def _row(angle: float, orders: int) -> list[float]:
    return [1.0, *(wave(k * angle) for k in range(1, orders + 1) for wave in (math.cos, math.sin))]


def _least_squares(
    rows: Sequence[Sequence[float]], right: Sequence[float]
) -> tuple[list[float], list[float]]:
    """Parameters of least squares and the diagonal of the inverse of the normal equations (Gauss-Jordan)."""
    size = len(rows[0])
    table = [
        [math.fsum(row[i] * row[j] for row in rows) for j in range(size)]
        + [math.fsum(row[i] * value for row, value in zip(rows, right, strict=True))]
        + [float(i == j) for j in range(size)]
        for i in range(size)
    ]
    for column in range(size):
        pivot = max(range(column, size), key=lambda place: abs(table[place][column]))
        if abs(table[pivot][column]) < 1e-9 * len(rows):
            raise OutOfRange(
                "the places stand too close together to tell the waves apart; spread them all round."
            )
        table[column], table[pivot] = table[pivot], table[column]
        lead = table[column][column]
        table[column] = [value / lead for value in table[column]]
        for place in range(size):
            factor = table[place][column]
            if place != column and factor:
                table[place] = [a - factor * b for a, b in zip(table[place], table[column], strict=True)]
    return [row[size] for row in table], [table[i][size + 1 + i] for i in range(size)]
