"""Lengths measured warm or cold, brought to the reference temperature of 20 °C, with what that leaves uncertain."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.metrology.budget import Contribution

__all__ = ["EXPANSION", "Thermal", "ToReference", "temperature_matters", "to_reference"]

#: Linear expansion near 20 °C in 1/K, as handbooks print it for the usual alloys (from memory).
EXPANSION: Final[dict[str, float]] = {
    "steel": 11.5e-6,
    "cast iron": 10.5e-6,
    "aluminium": 23e-6,
    "magnesium": 26e-6,
    "bronze": 18e-6,
}


@dataclass(frozen=True, slots=True)
class Thermal:
    """How a body expands and how warm it is.

    `coefficient` [1/K] with its standard uncertainty; `above_reference` [K] is its temperature less 20 °C, with the
    standard uncertainty of that.
    """

    coefficient: float
    above_reference: float
    coefficient_standard: float = 0.0
    temperature_standard: float = 0.0


@dataclass(frozen=True, slots=True)
class ToReference:
    """A length at 20 °C: what was added to the reading, and the contributions to its uncertainty."""

    value: float
    correction: float
    contributions: tuple[Contribution, ...]

    @property
    def standard(self) -> float:
        """Standard uncertainty of the correction."""
        return math.hypot(*(one.effect for one in self.contributions))


def to_reference(length: float, part: Thermal, scale: Thermal) -> ToReference:
    """A length as it would be at 20 °C, from a reading with a scale that is warm too.

    Parameters
    ----------
    length : float [any]
        The length that was read.
    part : Thermal
        The measured part.
    scale : Thermal
        The instrument, or the master that it was set with.

    Returns
    -------
    ToReference
        The length at 20 °C, in the same unit, with up to four contributions.

    Raises
    ------
    OutOfRange
        A figure is not finite, an expansion or an uncertainty is negative, or a body is more than 200 K away.

    Notes
    -----
    L₂₀ = L (1 + α_s θ_s − α_p θ_p), with θ the temperature less 20 °C.

    References
    ----------
    ISO 1:2022 (reference temperature 20 °C); JCGM 100:2008, H.1 (the same model with its sensitivities).

    Examples
    --------
    An aluminium case 300 mm wide at 30 °C under a steel scale at 30 °C reads 0.0345 mm too long:

    >>> warm = to_reference(300.0, Thermal(23e-6, 10.0, temperature_standard=1.0), Thermal(11.5e-6, 10.0))
    >>> round(warm.value, 4), round(warm.correction, 4), round(warm.standard, 4)
    (299.9655, -0.0345, 0.0069)
    """
    for name, body in (("part", part), ("scale", scale)):
        spreads = (body.coefficient, body.coefficient_standard, body.temperature_standard)
        if not all(figure >= 0 and math.isfinite(figure) for figure in spreads):
            raise OutOfRange(f"the {name}'s expansion and uncertainties must be zero or above, and finite.")
        if not abs(body.above_reference) <= 200:
            raise OutOfRange(
                f"the {name} is {body.above_reference:g} K from 20 °C; expansion is only straight within 200 K."
            )
    if not math.isfinite(length):
        raise OutOfRange("the length is not a finite number; type it again.")
    correction = length * (
        scale.coefficient * scale.above_reference - part.coefficient * part.above_reference
    )
    rows = (
        ("temperature of the part", part.temperature_standard, -length * part.coefficient),
        ("expansion of the part", part.coefficient_standard, -length * part.above_reference),
        ("temperature of the scale", scale.temperature_standard, length * scale.coefficient),
        ("expansion of the scale", scale.coefficient_standard, length * scale.above_reference),
    )
    contributions = tuple(Contribution(name, standard, slope) for name, standard, slope in rows if standard)
    return ToReference(length + correction, correction, contributions)


def temperature_matters(
    length: float, part: Thermal, scale: Thermal, *, against: float, share: float = 0.1
) -> bool:
    """Whether temperature moves a length by more than a share of what it is compared with.

    Parameters
    ----------
    length : float [any]
        The length that was read.
    part, scale : Thermal
        The measured part and the instrument.
    against : float [any]
        What counts: the width of the allowed window, or the uncertainty without temperature.
    share : float [-]
        The part of it that may be neglected; a tenth is common practice, no source.

    Returns
    -------
    bool
        Correction and twice its uncertainty together exceed that share.

    Raises
    ------
    OutOfRange
        What it is compared with is not above zero.

    References
    ----------
    JCGM 100:2008, 3.4.4 (negligible contributions are judged against the whole).

    Examples
    --------
    Ten kelvin hardly touch an end play of 0.4 mm, and fill the window of a bearing bore of 80 mm:

    >>> case, steel = Thermal(23e-6, 10.0), Thermal(11.5e-6, 10.0)
    >>> temperature_matters(0.4, case, steel, against=0.05), temperature_matters(80.0, case, steel, against=0.025)
    (False, True)
    """
    if not against > 0:
        raise OutOfRange(f"temperature is compared with {against:g}; that must be above zero.")
    found = to_reference(length, part, scale)
    return abs(found.correction) + 2 * found.standard > share * against
