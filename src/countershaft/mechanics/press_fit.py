"""Press fits: interference of two sizes, pressure and stress, force to press home, and torque to slip.

CAUTION: a press stores energy, and a part that lets go flies.  Use guards, stand aside, never strike a hard part.
Everything here is elastic: beyond yield nothing is answered.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.mechanics.sizes import above_zero, between, not_below_zero

__all__ = [
    "InterferenceRange",
    "PressFit",
    "PressForce",
    "PressMaterial",
    "PressState",
    "interference_range",
    "press_force",
    "press_state",
    "smoothed",
]

#: Share of the roughness of both faces that pressing flattens, of their Rz together (DIN 7190-1, from memory) [-].
_FLATTENED: Final = 0.8


@dataclass(frozen=True, slots=True)
class PressMaterial:
    """What a part of a fit is made of: modulus [Pa], Poisson's ratio [-], expansion [1/K], yield strength [Pa].

    For a brittle material give the stress that it may bear instead of the yield strength.
    """

    name: str
    modulus: float
    poisson: float
    expansion: float
    yield_strength: float

    def __post_init__(self) -> None:
        above_zero(f"modulus of {self.name}", self.modulus, "Pa")
        between(f"Poisson's ratio of {self.name}", self.poisson, 0, 0.5, "", "Metals have 0.2 to 0.35.")
        not_below_zero(f"expansion of {self.name}", self.expansion, "1/K")
        above_zero(f"yield strength of {self.name}", self.yield_strength, "Pa")


@dataclass(frozen=True, slots=True)
class PressFit:
    """A hub on a shaft: joint diameter, outer diameter of the hub, length, bore of the shaft [m], both materials.

    A sleeve in a case is the same: the sleeve is the shaft, the wall of the case the hub.
    """

    diameter: float
    hub_outer: float
    length: float
    hub: PressMaterial
    shaft: PressMaterial
    shaft_bore: float = 0.0

    def __post_init__(self) -> None:
        above_zero("diameter of a press fit", self.diameter, "m")
        above_zero("length of a press fit", self.length, "m")
        if not 0 <= self.shaft_bore < self.diameter < self.hub_outer < math.inf:
            raise OutOfRange(
                f"the bore of the shaft is {1e3 * self.shaft_bore:g} mm, the joint {1e3 * self.diameter:g} mm, the "
                f"hub {1e3 * self.hub_outer:g} mm outside; expected them in rising order. Look at which is which."
            )


@dataclass(frozen=True, slots=True)
class PressState:
    """A fit at an interference: pressure, hoop stress in hub and shaft [Pa], share of yield of each [-], working."""

    pressure: float
    hub_hoop: float
    shaft_hoop: float
    hub_share: float
    shaft_share: float
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PressForce:
    """Force to press home, from least to most [N], torque at which the fit slips at least [N·m], the working."""

    least: float
    most: float
    slip_torque: float
    state: PressState
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class InterferenceRange:
    """Least and most interference of two toleranced or measured sizes [m]; below zero is play."""

    least: float
    most: float

    @property
    def always_tight(self) -> bool:
        """Whether every pair has interference."""
        return self.least > 0


def interference_range(*, shaft: tuple[float, float], bore: tuple[float, float]) -> InterferenceRange:
    """Least and most interference of a shaft in a bore.

    Parameters
    ----------
    shaft, bore : tuple[float, float] [m]
        Least and greatest diameter of each: limits of size, or a measured size with its uncertainty.

    Returns
    -------
    InterferenceRange
        Least shaft less greatest bore, and greatest shaft less least bore.

    Raises
    ------
    OutOfRange
        A diameter is not above zero, or a least one is above its greatest.

    References
    ----------
    ISO 286-1:2010, minimum and maximum interference.

    Examples
    --------
    30 H7/p6: 1 µm to 35 µm.

    >>> fit = interference_range(shaft=(30.022e-3, 30.035e-3), bore=(30.000e-3, 30.021e-3))
    >>> round(fit.least * 1e6, 3), round(fit.most * 1e6, 3), fit.always_tight
    (1.0, 35.0, True)
    """
    for what, (low, high) in (("shaft", shaft), ("bore", bore)):
        if not 0 < low <= high < math.inf:
            raise OutOfRange(
                f"the {what} is {1e3 * low:.6g} mm to {1e3 * high:.6g} mm; expected the least diameter first, above "
                "zero. Swap the two."
            )
    return InterferenceRange(shaft[0] - bore[1], shaft[1] - bore[0])


def smoothed(interference: float, *, shaft_roughness: float, bore_roughness: float) -> float:
    """Interference that is left when pressing has flattened the peaks of both faces.

    Parameters
    ----------
    interference : float [m]
        Of the measured diameters.
    shaft_roughness, bore_roughness : float [m]
        Rz of each face.

    Returns
    -------
    float [m]
        U − 0.8 (Rz of the shaft + Rz of the bore), but not below zero.

    Raises
    ------
    OutOfRange
        A figure is negative.

    References
    ----------
    DIN 7190-1:2017 (from memory).

    Examples
    --------
    >>> round(smoothed(50e-6, shaft_roughness=4e-6, bore_roughness=6.3e-6) * 1e6, 1)
    41.8
    """
    not_below_zero("interference", interference, "m", "Below zero it is play, and nothing is pressed.")
    not_below_zero("roughness of the shaft", shaft_roughness, "m")
    not_below_zero("roughness of the bore", bore_roughness, "m")
    return max(interference - _FLATTENED * (shaft_roughness + bore_roughness), 0.0)


def press_state(fit: PressFit, *, interference: float) -> PressState:
    """Pressure and stresses in a press fit.

    Parameters
    ----------
    fit : PressFit
        Hub and shaft.
    interference : float [m]
        Of the diameters: shaft less bore.

    Returns
    -------
    PressState
        By Lamé's thick rings, for two materials, with the working.

    Raises
    ------
    OutOfRange
        The interference is negative, or the greatest shear in hub or shaft reaches that of yielding.

    Notes
    -----
    Stresses are those of plane stress, away from the ends; the edge of a hub bears more.

    References
    ----------
    Budynas R.G., Nisbett J.K., Shigley's Mechanical Engineering Design, eq. 3-56 (from memory); DIN 7190-1:2017 for
    the limit by the greatest shear stress.

    Examples
    --------
    A pin of 25 mm in a hub of 50 mm with 20 µm, all steel: 63 MPa, and 105 MPa along the bore.

    >>> steel = PressMaterial("steel", 210e9, 0.3, 11.5e-6, 350e6)
    >>> state = press_state(PressFit(25e-3, 50e-3, 20e-3, steel, steel), interference=20e-6)
    >>> round(state.pressure / 1e6), round(state.hub_hoop / 1e6)
    (63, 105)
    """
    not_below_zero("interference", interference, "m", "Below zero it is play, and nothing is pressed.")
    hub_ring, shaft_ring = _rings(fit)
    hub_gives = (hub_ring + fit.hub.poisson) / fit.hub.modulus
    shaft_gives = (shaft_ring - fit.shaft.poisson) / fit.shaft.modulus
    pressure = interference / (fit.diameter * (hub_gives + shaft_gives))
    hub_hoop = pressure * hub_ring
    hollow = 2 / (1 - (fit.shaft_bore / fit.diameter) ** 2) if fit.shaft_bore else 1.0
    shares = (pressure + hub_hoop) / fit.hub.yield_strength, pressure * hollow / fit.shaft.yield_strength
    for share, what, material in zip(shares, ("hub", "shaft"), (fit.hub, fit.shaft), strict=True):
        if share >= 1:
            raise OutOfRange(
                f"{1e6 * interference:.4g} µm of interference press with {pressure / 1e6:.4g} MPa and make the {what} "
                f"({material.name}) yield: {share:.2f} times its {material.yield_strength / 1e6:.4g} MPa; expected "
                "less than 1. Measure both diameters again; the elastic formula tells nothing here."
            )
    working = (
        f"ring of the hub: {hub_ring:.6g}; ring of the shaft: {shaft_ring:.6g}",
        (
            f"gives: ({hub_ring:.6g} + {fit.hub.poisson:g}) / {fit.hub.modulus / 1e9:.6g} GPa + ({shaft_ring:.6g} − "
            f"{fit.shaft.poisson:g}) / {fit.shaft.modulus / 1e9:.6g} GPa = {1e9 * (hub_gives + shaft_gives):.6g} /GPa"
        ),
        (
            f"pressure: {1e6 * interference:.6g} µm / ({1e3 * fit.diameter:.6g} mm · "
            f"{1e9 * (hub_gives + shaft_gives):.6g} /GPa) = {pressure / 1e6:.6g} MPa"
        ),
        f"hoop stress at the bore of the hub: {pressure / 1e6:.6g} MPa · {hub_ring:.6g} = {hub_hoop / 1e6:.6g} MPa",
        f"share of yield: hub {shares[0]:.3g}, shaft {shares[1]:.3g}",
    )
    shaft_hoop = -pressure * (hollow if fit.shaft_bore else 1.0)
    return PressState(pressure, hub_hoop, shaft_hoop, *shares, working)


def press_force(fit: PressFit, *, interference: float, friction: tuple[float, float]) -> PressForce:
    """Force that presses a fit home, and the torque that it holds.

    Parameters
    ----------
    fit : PressFit
        Hub and shaft.
    interference : float [m]
        Of the diameters.
    friction : tuple[float, float] [-]
        Least and most coefficient of friction; nobody knows it better than as a band.

    Returns
    -------
    PressForce
        π d L p µ at full length, least and most, and the torque at the least friction.

    Raises
    ------
    OutOfRange
        The friction is no band above zero, or the fit would yield.

    References
    ----------
    DIN 7190-1:2017; `press_state`.

    Examples
    --------
    >>> steel = PressMaterial("steel", 210e9, 0.3, 11.5e-6, 350e6)
    >>> pressed = press_force(PressFit(25e-3, 50e-3, 20e-3, steel, steel), interference=20e-6, friction=(0.1, 0.2))
    >>> round(pressed.least / 1e3, 1), round(pressed.most / 1e3, 1), round(pressed.slip_torque)
    (9.9, 19.8, 124)
    """
    low, high = friction
    if not 0 < low <= high <= 1:
        raise OutOfRange(
            f"the friction is {low:g} to {high:g}; expected a band above zero and at most 1, the least first. "
            "Oiled steel has about 0.07 to 0.12, dry steel 0.1 to 0.2."
        )
    state = press_state(fit, interference=interference)
    normal = math.pi * fit.diameter * fit.length * state.pressure
    torque = normal * low * fit.diameter / 2
    working = (
        *state.working,
        (
            f"normal force: π · {1e3 * fit.diameter:.6g} mm · {1e3 * fit.length:.6g} mm · "
            f"{state.pressure / 1e6:.6g} MPa = {normal:.6g} N"
        ),
        f"to press home: {low:g} to {high:g} of that = {normal * low:.6g} N to {normal * high:.6g} N",
        f"slips at {low:g} · {normal:.6g} N · {1e3 * fit.diameter / 2:.6g} mm = {torque:.6g} N·m at least",
    )
    return PressForce(normal * low, normal * high, torque, state, working)


def _rings(fit: PressFit) -> tuple[float, float]:
    """Sum over difference of the squared diameters, of hub and shaft."""
    joint, outer, bore = fit.diameter**2, fit.hub_outer**2, fit.shaft_bore**2
    return (outer + joint) / (outer - joint), (joint + bore) / (joint - bore)
