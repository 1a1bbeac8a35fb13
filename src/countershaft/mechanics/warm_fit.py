"""Press fits warm and cold: what interference is left at a temperature, and how warm a hub must be to drop on.

CAUTION: hot parts burn, and oil on them may catch fire; very cold ones burn too and push the air away.  Wear gloves,
measure the temperature, and never heat a part beyond what its maker allows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.mechanics.press_fit import PressFit
from countershaft.mechanics.sizes import above_zero, between, not_below_zero

__all__ = ["Heating", "heating", "interference_at"]

#: Play for joining a warm hub, as a share of the diameter (DIN 7190-1, from memory) [-].
_JOINING: Final = 1e-3
#: Temperature at which sizes are given [°C] (ISO 1).
_REFERENCE: Final = 20.0


@dataclass(frozen=True, slots=True)
class Heating:
    """Temperature of the hub at which it drops on [°C], how much it rises [K], the play then [m], the working."""

    temperature: float
    rise: float
    play: float
    working: tuple[str, ...]


def interference_at(fit: PressFit, *, interference: float, hub: float, shaft: float) -> float:
    """Interference of a fit when its parts are warm or cold.

    Parameters
    ----------
    fit : PressFit
        Hub and shaft.
    interference : float [m]
        At 20 °C.
    hub, shaft : float [°C]
        Temperature of each.

    Returns
    -------
    float [m]
        What is left; below zero it is play.

    Raises
    ------
    OutOfRange
        A temperature lies outside −200 °C to 400 °C.

    References
    ----------
    ISO 1:2022 (sizes hold at 20 °C); linear expansion.

    Examples
    --------
    A steel sleeve that sits in an aluminium case with 40 µm at 20 °C has 4 µm of play at 120 °C:

    >>> from countershaft.mechanics.press_fit import PressMaterial
    >>> steel = PressMaterial("steel", 206e9, 0.3, 11.5e-6, 350e6)
    >>> case = PressMaterial("aluminium", 72e9, 0.33, 22.5e-6, 120e6)
    >>> fit = PressFit(40e-3, 60e-3, 15e-3, case, steel, shaft_bore=32e-3)
    >>> round(interference_at(fit, interference=40e-6, hub=120, shaft=120) * 1e6, 1)
    -4.0
    """
    for what, value in (("hub", hub), ("shaft", shaft)):
        between(
            f"temperature of the {what}", value, -200, 400, "°C", "Expansion is no straight line beyond it."
        )
    grows = fit.shaft.expansion * (shaft - _REFERENCE) - fit.hub.expansion * (hub - _REFERENCE)
    return interference + fit.diameter * grows


def heating(
    fit: PressFit,
    *,
    interference: float,
    ceiling: float,
    shaft_temperature: float = _REFERENCE,
    play: float | None = None,
) -> Heating:
    """How warm a hub must be so that it drops on its shaft.

    Parameters
    ----------
    fit : PressFit
        Hub and shaft.
    interference : float [m]
        At 20 °C.
    ceiling : float [°C]
        What the hub may be heated to: by the maker, or for a rolling bearing commonly 120 °C.
    shaft_temperature : float, optional [°C]
        Of the shaft, which may be cooled.
    play : float, optional [m]
        That is wanted for joining; a thousandth of the diameter unless told.

    Returns
    -------
    Heating
        The temperature, with the working.

    Raises
    ------
    OutOfRange
        The hub would have to be hotter than the ceiling, does not expand, or a figure is out of range.

    References
    ----------
    DIN 7190-1:2017, joining temperature (from memory).

    Examples
    --------
    >>> from countershaft.mechanics.press_fit import PressMaterial
    >>> steel = PressMaterial("steel", 206e9, 0.3, 11e-6, 600e6)
    >>> warm = heating(PressFit(60e-3, 100e-3, 40e-3, steel, steel), interference=60e-6, ceiling=250)
    >>> round(warm.temperature), round(warm.rise, 1)
    (202, 181.8)
    """
    not_below_zero("interference", interference, "m", "Below zero it is play, and nothing needs heating.")
    above_zero("expansion of the hub", fit.hub.expansion, "1/K")
    wanted = _JOINING * fit.diameter if play is None else play
    not_below_zero("play for joining", wanted, "m")
    left = interference_at(fit, interference=interference, hub=_REFERENCE, shaft=shaft_temperature)
    rise = max(left + wanted, 0.0) / (fit.hub.expansion * fit.diameter)
    temperature = _REFERENCE + rise
    if temperature > ceiling:
        raise OutOfRange(
            f"the hub would have to reach {temperature:.0f} °C; expected at most {ceiling:g} °C. Cool the shaft as "
            "well, or press it; never heat a part beyond what its maker allows."
        )
    working = (
        f"interference with the shaft at {shaft_temperature:g} °C: {1e6 * left:.6g} µm",
        (
            f"rise: ({1e6 * left:.6g} + {1e6 * wanted:.6g}) µm / "
            f"({fit.hub.expansion:g} /K · {1e3 * fit.diameter:.6g} mm) = {rise:.5g} K"
        ),
        f"hub at {temperature:.4g} °C, at most {ceiling:g} °C",
    )
    return Heating(temperature, rise, wanted, working)
