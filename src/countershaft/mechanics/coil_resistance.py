"""Resistance of a copper winding, brought to 20 °C, and how warm a winding is by its resistance.

A solenoid that is read warm shows more than at 20 °C: 4 % for each 10 °C.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.mechanics.sizes import above_zero, between, not_below_zero

__all__ = ["COPPER", "CoilResistance", "CoilTemperature", "coil_temperature", "resistance_at"]

#: Change of the resistance of annealed copper at 20 °C, for each kelvin (IEC 60028) [1/K].
COPPER: Final = 0.00393

#: Temperatures between which the resistance of copper counts as straight (from memory) [°C].
_STRAIGHT: Final = (-50.0, 200.0)


@dataclass(frozen=True, slots=True)
class CoilResistance:
    """Resistance at the wanted temperature [Ω], what it may be off [Ω], and the working."""

    resistance: float
    half_width: float
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CoilTemperature:
    """Mean temperature of a winding [°C], how much it has risen [K], and the working."""

    temperature: float
    rise: float
    working: tuple[str, ...]


def resistance_at(
    reading: float,
    *,
    coil_temperature: float,
    wanted_temperature: float = 20.0,
    leads: float = 0.0,
    temperature_half_width: float = 0.0,
    coefficient: float = COPPER,
) -> CoilResistance:
    """Resistance of a winding as it would be at another temperature, 20 °C unless told.

    Parameters
    ----------
    reading : float [ohm]
        As the meter shows it.
    coil_temperature, wanted_temperature : float [°C]
        Of the winding when it was read, and the one to bring it to.
    leads : float, optional [ohm]
        What the meter shows with its tips held together.
    temperature_half_width : float, optional [K]
        How far the temperature of the winding may be off.
    coefficient : float, optional [1/K]
        Change for each kelvin at 20 °C; that of copper unless told.

    Returns
    -------
    CoilResistance
        (R − leads) · (1 + α (t − 20)) / (1 + α (t₀ − 20)), what the temperature leaves uncertain, and the working.

    Raises
    ------
    OutOfRange
        A temperature lies outside −50 °C to 200 °C, or the leads have as much as the reading.

    References
    ----------
    IEC 60028 (0.00393 1/K for annealed copper at 20 °C); IEC 60034-1 (resistance method, the same straight line).

    Examples
    --------
    A solenoid reads 5.9 Ω in a box at 60 °C:

    >>> coil = resistance_at(5.9, coil_temperature=60.0)
    >>> round(coil.resistance, 2)
    5.1
    >>> coil.working[0]
    'at 20 °C: 5.9 Ω · (1 + 0.00393 · 0) / (1 + 0.00393 · 40) = 5.09852 Ω'
    """
    above_zero("reading of a winding", reading, "Ω", "A shorted winding has no resistance to bring to 20 °C.")
    not_below_zero("resistance of the leads", leads, "Ω")
    not_below_zero("half width of the temperature", temperature_half_width, "K")
    above_zero("temperature coefficient", coefficient, "1/K")
    for what, value in (("coil", coil_temperature), ("wanted", wanted_temperature)):
        between(
            f"{what} temperature",
            value,
            *_STRAIGHT,
            "°C",
            "Beyond it copper is no straight line; let it cool.",
        )
    if leads >= reading:
        raise OutOfRange(
            f"the leads have {leads:g} Ω and the winding reads {reading:g} Ω; expected less in the leads. "
            "Hold the tips together, read again, and look for a short."
        )
    there = 1 + coefficient * (coil_temperature - 20)
    wanted = 1 + coefficient * (wanted_temperature - 20)
    value = (reading - leads) * wanted / there
    half_width = value * coefficient / there * temperature_half_width
    less = f"({reading:.6g} − {leads:.6g}) Ω" if leads else f"{reading:.6g} Ω"
    working = (
        (
            f"at {wanted_temperature:g} °C: {less} · (1 + {coefficient:g} · {wanted_temperature - 20:g}) / "
            f"(1 + {coefficient:g} · {coil_temperature - 20:g}) = {value:.6g} Ω"
        ),
        f"±{temperature_half_width:g} K on the winding: ±{half_width:.3g} Ω",
    )
    return CoilResistance(value, half_width, working)


def coil_temperature(
    *, cold: float, cold_temperature: float, hot: float, coefficient: float = COPPER
) -> CoilTemperature:
    """How warm a winding is, from its resistance cold and hot.

    Parameters
    ----------
    cold, hot : float [ohm]
        Resistance at the known temperature, and now; both without the leads.
    cold_temperature : float [°C]
        The known temperature.
    coefficient : float, optional [1/K]
        Change for each kelvin at 20 °C; that of copper unless told.

    Returns
    -------
    CoilTemperature
        Mean temperature of the winding, its rise, and the working.

    Raises
    ------
    OutOfRange
        A resistance is not above zero, or a temperature lies outside −50 °C to 200 °C.

    References
    ----------
    IEC 60034-1, temperature rise by the resistance method: (t₂ + k)/(t₁ + k) = R₂/R₁ with k = 235 for copper.

    Examples
    --------
    200 mΩ at 20 °C and 210 mΩ now: 12.7 K more.

    >>> round(coil_temperature(cold=0.200, cold_temperature=20, hot=0.210).rise, 1)
    12.7
    """
    above_zero("cold resistance", cold, "Ω")
    above_zero("hot resistance", hot, "Ω")
    above_zero("temperature coefficient", coefficient, "1/K")
    between(
        "cold temperature",
        cold_temperature,
        *_STRAIGHT,
        "°C",
        "Let the winding reach the room's temperature.",
    )
    from_zero = 1 / coefficient - 20
    rise = (hot / cold - 1) * (from_zero + cold_temperature)
    found = cold_temperature + rise
    between("temperature of the winding", found, *_STRAIGHT, "°C", "Look for a short or a bad contact.")
    working = (
        f"rise: ({hot:.6g} / {cold:.6g} − 1) · ({from_zero:.5g} + {cold_temperature:g}) = {rise:.4g} K",
        f"temperature: {cold_temperature:g} + {rise:.4g} = {found:.4g} °C",
    )
    return CoilTemperature(found, rise, working)
