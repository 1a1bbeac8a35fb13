"""Oil through a sharp hole: flow by pressure and diameter, and the diameter that passes a flow.

The coefficient is that of turbulent flow; through thick cold oil less passes than is told here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from countershaft.mechanics.sizes import above_zero, between, not_below_zero

__all__ = ["SHARP", "TURBULENT", "OrificeFlow", "orifice_diameter", "orifice_flow"]

#: Discharge coefficient of a sharp hole in turbulent flow, much smaller than its pipe (0.60 to 0.64, from memory) [-].
SHARP: Final = 0.62
#: Reynolds number at the hole above which the coefficient stands still, near enough (from memory) [-].
TURBULENT: Final = 1000.0


@dataclass(frozen=True, slots=True)
class OrificeFlow:
    """Flow [m³/s], mean speed in the hole [m/s], its Reynolds number where the viscosity is known, the working."""

    flow: float
    speed: float
    reynolds: float | None
    working: tuple[str, ...]


def orifice_flow(
    diameter: float,
    *,
    pressure_drop: float,
    density: float,
    coefficient: float = SHARP,
    viscosity: float | None = None,
) -> OrificeFlow:
    """Flow through a sharp round hole.

    Parameters
    ----------
    diameter : float [m]
        Of the hole.
    pressure_drop : float [Pa]
        Across it.
    density : float [kg/m^3]
        Of the oil.
    coefficient : float, optional [-]
        Of discharge.
    viscosity : float, optional [Pa s]
        Dynamic; only to tell the Reynolds number.

    Returns
    -------
    OrificeFlow
        C A √(2 Δp/ρ), with the working.

    Raises
    ------
    OutOfRange
        A figure is not above zero, or the coefficient is above 1.

    Notes
    -----
    The hole is small against the passage before it, so that the speed of approach is left out.

    References
    ----------
    ISO 5167-2, with a small ratio of diameters (from memory); two worked figures as reproduced on public pages.

    Examples
    --------
    A hole of 1 mm passes 0.45 L/min at 1 bar, hot oil of 830 kg/m³:

    >>> round(orifice_flow(1e-3, pressure_drop=1e5, density=830).flow * 6e4, 3)
    0.454
    """
    above_zero("diameter of the hole", diameter, "m")
    not_below_zero("pressure drop", pressure_drop, "Pa", "Give the higher pressure less the lower one.")
    above_zero("density", density, "kg/m³")
    between(
        "coefficient of discharge",
        coefficient,
        0.3,
        1,
        "",
        "A sharp hole has about 0.62, a rounded one 0.95.",
    )
    area = math.pi / 4 * diameter**2
    ideal = math.sqrt(2 * pressure_drop / density)
    flow = coefficient * area * ideal
    speed = flow / area
    working = [
        f"area: π/4 · ({1e3 * diameter:.6g} mm)² = {1e6 * area:.6g} mm²",
        f"√(2 · {pressure_drop / 1e5:.6g} bar / {density:.6g} kg/m³) = {ideal:.6g} m/s",
        f"flow: {coefficient:g} · {1e6 * area:.6g} mm² · {ideal:.6g} m/s = {flow * 6e4:.6g} L/min",
    ]
    reynolds = None
    if viscosity is not None:
        above_zero("viscosity", viscosity, "Pa·s")
        reynolds = density * speed * diameter / viscosity
        working.append(f"Reynolds number: {reynolds:.3g}; the coefficient holds from about {TURBULENT:.0f}")
    return OrificeFlow(flow, speed, reynolds, tuple(working))


def orifice_diameter(
    flow: float, *, pressure_drop: float, density: float, coefficient: float = SHARP
) -> float:
    """Diameter of the sharp hole that passes a flow.

    Parameters
    ----------
    flow : float [m^3/s]
        That shall pass.
    pressure_drop : float [Pa]
        Across the hole.
    density : float [kg/m^3]
        Of the oil.
    coefficient : float, optional [-]
        Of discharge.

    Returns
    -------
    float [m]
        The diameter.

    Raises
    ------
    OutOfRange
        A figure is not above zero, or the coefficient is above 1.

    References
    ----------
    `orifice_flow`, turned round.

    Examples
    --------
    >>> round(1e3 * orifice_diameter(0.454 / 6e4, pressure_drop=1e5, density=830), 2)
    1.0
    """
    above_zero("flow", flow, "m³/s")
    above_zero("pressure drop", pressure_drop, "Pa")
    one = orifice_flow(1.0, pressure_drop=pressure_drop, density=density, coefficient=coefficient).flow
    return math.sqrt(flow / one)
