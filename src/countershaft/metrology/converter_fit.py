"""Converter depth and gap, and hub runout with the trial of re-clocking it on its plate."""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit, degree_words, length_words

__all__ = ["Clocking", "ConverterGap", "converter_gap", "reclock"]


@dataclass(frozen=True, slots=True)
class ConverterGap:
    """The gap between each converter pad and the drive plate, the converter pushed home [m].

    `spread` is the largest less the smallest: a converter or plate that stands askew.
    """

    gaps: tuple[float, ...]
    mean: float
    spread: float
    standard: float
    working: str

    def words(self, unit: LengthUnit = "mm") -> str:
        """What the gap says, in one sentence."""
        low, high = (length_words(gap, unit) for gap in (min(self.gaps), max(self.gaps)))
        if min(self.gaps) - 2 * self.standard <= 0:
            return (
                f"NOTICE: gap {low} to {high}. The converter is not seated in all its engagements, or a part is wrong. "
                "Never draw the unit in with the bolts: it would break the pump."
            )
        return f"Gap {low} to {high}; the converter comes forward by that much when it is bolted up."


def converter_gap(
    depths: Sequence[float], plate_stands: Sequence[float], *, spacer: float = 0.0, standard: float = 0.0
) -> ConverterGap:
    """Gap that the converter pads will have to the drive plate.

    Parameters
    ----------
    depths : Sequence[float] (n,) [m]
        From the gearbox's mating face down to each pad, the converter pushed home; straightedge already taken off.
    plate_stands : Sequence[float] (n,) [m]
        From the engine's mating face to the drive plate at the same pads, + where the plate stands toward the gearbox;
        one value for all will do.
    spacer : float [m]
        Thickness of an adapter or cover between the faces.
    standard : float [m]
        Standard uncertainty of one of these measurements.

    Returns
    -------
    ConverterGap [m]
        The gap at every pad.

    Raises
    ------
    OutOfRange
        No depth, or neither one plate value nor one for each pad.

    References
    ----------
    Common practice, no source: gap = depth + spacer - plate.

    Examples
    --------
    >>> found = converter_gap([22.1e-3, 22.3e-3, 22.2e-3], [19.0e-3], standard=0.1e-3)
    >>> [round(gap * 1e3, 2) for gap in found.gaps]
    [3.1, 3.3, 3.2]
    """
    if not depths or not all(math.isfinite(value) for value in (*depths, *plate_stands, spacer)):
        raise OutOfRange("a converter gap needs the depth of at least one pad, and numbers only.")
    if len(plate_stands) not in {1, len(depths)}:
        raise OutOfRange(
            f"{len(depths)} depths but {len(plate_stands)} plate values are given; give one plate value, or one each."
        )
    plates = list(plate_stands) if len(plate_stands) > 1 else [plate_stands[0]] * len(depths)
    gaps = tuple(depth + spacer - plate for depth, plate in zip(depths, plates, strict=True))
    mean = math.fsum(gaps) / len(gaps)
    lines = "; ".join(
        f"{depth * 1e3:.2f} + {spacer * 1e3:.2f} - {plate * 1e3:.2f} = {gap * 1e3:.2f} mm"
        for depth, plate, gap in zip(depths, plates, gaps, strict=True)
    )
    parts = 3 if spacer else 2
    return ConverterGap(gaps, mean, max(gaps) - min(gaps), standard * math.sqrt(parts), f"gap: {lines}")


@dataclass(frozen=True, slots=True)
class Clocking:
    """Hub runout of a converter taken apart into what stays and what turns with it [m, rad].

    `plate` is the part of drive plate and crank, `converter` the converter's own, each as offset and direction in the
    crank's angles with the converter in position 0.  `totals` is the total indicator reading in every position of the
    bolt pattern, with its standard uncertainty; `best` the position with the least.  `misfit` is how far the trials
    contradict the two parts (root mean square of offsets), None where there are only two trials.
    """

    plate: tuple[float, float]
    converter: tuple[float, float]
    totals: tuple[tuple[float, float], ...]
    best: int
    misfit: float | None

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """The two arrows, and what they add up to in every position, line by line."""
        arrows = tuple(
            f"{name}: {length_words(size, unit, extra=1)} toward {degree_words(way)}"
            for name, (size, way) in (
                ("plate and crank", self.plate),
                ("converter in position 0", self.converter),
            )
        )
        sums = tuple(
            f"position {place}: TIR {length_words(total, unit, extra=1)}, u = {length_words(u, unit, extra=1)}"
            for place, (total, u) in enumerate(self.totals)
        )
        return arrows + sums

    def words(self, limit: float, unit: LengthUnit = "mm") -> str:
        """The best position in one sentence."""
        total, standard = self.totals[self.best]
        said = f"Position {self.best} is best: {length_words(total, unit)} TIR"
        if total + 2 * standard <= limit:
            return f"{said}, within {length_words(limit, unit)}. Mark it, bolt up and read again."
        larger, name = max((self.plate[0], "drive plate or crank flange"), (self.converter[0], "converter"))
        return (
            f"{said}, not surely within {length_words(limit, unit)}. No position mends it: the {name} alone makes "
            f"{length_words(2 * larger, unit)} TIR."
        )


def reclock(
    trials: Mapping[int, tuple[float, float]],
    positions: Sequence[float],
    *,
    standard: float = 0.0,
    plate: tuple[float, float] | None = None,
) -> Clocking:
    """The position of the bolt pattern in which the converter hub runs truest.

    Parameters
    ----------
    trials : Mapping[int, tuple[float, float]] [m, rad]
        Number of the position to the eccentricity found there: offset (half of the TIR) and its direction in the
        crank's angles.  Two different positions, or one and the plate's own.
    positions : Sequence[float] (n,) [rad]
        How far the converter is turned on the plate in each position; position 0 first.
    standard : float [m]
        Standard uncertainty of one part (x or y) of an eccentricity.
    plate : tuple[float, float], optional [m, rad]
        Eccentricity of the plate's pilot alone, if it was read.

    Returns
    -------
    Clocking [m, rad]
        The two parts, and the runout in every position.

    Raises
    ------
    OutOfRange
        A trial of a position that does not exist, too few different trials, or trials that lie so close together that
        they cannot tell the two parts apart.

    Notes
    -----
    What the crank and plate add stays where it is; what the converter adds turns with it:
    v = p + c·exp(iφ).  Two trials give both arrows, more give them by least squares; the rest is adding arrows.

    References
    ----------
    The arithmetic is plane vectors, as in single-plane balancing by trial (ISO 21940-11:2016, Annex, from memory).

    Examples
    --------
    >>> turns = [math.radians(120 * place) for place in range(3)]
    >>> found = reclock({0: (0.20e-3, 0.0), 1: (math.sqrt(0.03) * 1e-3, math.radians(30))}, turns)
    >>> found.best, [round(total * 1e3, 3) for total, _ in found.totals]
    (2, [0.4, 0.346, 0.2])
    """
    unknown = sorted(set(trials) - set(range(len(positions))))
    if unknown:
        raise OutOfRange(
            f"position {unknown[0]} was tried; the pattern has positions 0 to {len(positions) - 1}."
        )
    rows = [
        (1.0 + 0j, cmath.exp(1j * positions[place]), cmath.rect(*trials[place])) for place in sorted(trials)
    ]
    if plate is not None:
        rows.append((1.0 + 0j, 0j, cmath.rect(*plate)))
    if len(rows) < 2:
        raise OutOfRange(
            "re-clocking needs the hub read in two positions, or in one and the plate by itself."
        )
    cross = sum(turn for _, turn, _ in rows)
    turned = math.fsum(abs(turn) ** 2 for _, turn, _ in rows)
    whole = len(rows) * turned - abs(cross) ** 2
    if whole < 1e-6 * len(rows) ** 2:
        raise OutOfRange(
            "the trials lie too close together to tell plate and converter apart; turn it farther."
        )
    fixed_weights = [(turned - cross * turn.conjugate()) / whole for _, turn, _ in rows]
    turn_weights = [(len(rows) * turn.conjugate() - cross.conjugate()) / whole for _, turn, _ in rows]
    p = sum(weight * found for weight, (_, _, found) in zip(fixed_weights, rows, strict=True))
    c = sum(weight * found for weight, (_, _, found) in zip(turn_weights, rows, strict=True))
    totals = []
    for position in positions:
        turn = cmath.exp(1j * position)
        weights = (a + turn * b for a, b in zip(fixed_weights, turn_weights, strict=True))
        spread = math.sqrt(math.fsum(abs(weight) ** 2 for weight in weights))
        totals.append((2 * abs(p + c * turn), 2 * standard * spread))
    left = math.fsum(abs(found - p - c * turn) ** 2 for _, turn, found in rows)
    return Clocking(
        plate=_polar(p),
        converter=_polar(c),
        totals=tuple(totals),
        best=min(range(len(totals)), key=lambda place: (round(totals[place][0], 12), place)),
        misfit=math.sqrt(left / (len(rows) - 2)) if len(rows) > 2 else None,
    )


def _polar(arrow: complex) -> tuple[float, float]:
    return abs(arrow), cmath.phase(arrow) % (2 * math.pi)
