"""Backlash: from a probe at some radius to the pitch circle, the normal of the flank, and the angle."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from countershaft.errors import OutOfRange

__all__ = ["Backlash", "backlash"]


@dataclass(frozen=True, slots=True)
class Backlash:
    """Backlash of one pair at one place or the mean of several [m, rad].

    `circumferential` is along the pitch circle, `normal` square to the flanks (what a feeler between them finds),
    `angle` the free turn of the gear.  `least` and `most` are the circumferential figures at the tightest and the
    loosest place; the tightest one decides.
    """

    circumferential: float
    normal: float
    angle: float
    standard: float
    normal_standard: float
    least: float
    most: float
    working: str


def backlash(
    readings: Sequence[float],
    *,
    pitch_radius: float,
    probe_radius: float,
    pressure_angle: float,
    helix_angle: float = 0.0,
    probe_tilt: float = 0.0,
    standard: float = 0.0,
    probe_radius_standard: float = 0.0,
) -> Backlash:
    """Backlash of a pair of gears from an indicator that is set square to a radius, the mate held.

    Parameters
    ----------
    readings : Sequence[float] (n,) [m]
        Free travel at the probe, at one or more places of the gear.
    pitch_radius : float [m]
        Working pitch radius of the gear that is rocked.
    probe_radius : float [m]
        Distance of the probe from the axis.
    pressure_angle : float [rad]
        Normal pressure angle.
    helix_angle : float [rad]
        Helix angle at the pitch circle (spiral angle of a bevel gear); 0 for straight teeth.
    probe_tilt : float [rad]
        Angle between the plunger and the travel; 0 when it is square to the radius.
    standard : float [m]
        Standard uncertainty of one reading.
    probe_radius_standard : float [m]
        Standard uncertainty of the probe's distance.

    Returns
    -------
    Backlash [m, rad]
        Along the pitch circle, square to the flank, and as an angle.

    Raises
    ------
    OutOfRange
        No reading, a negative one, a radius not above zero, or an angle outside what a tooth can have.

    Notes
    -----
    j_t = reading · cos(tilt) · r_pitch / r_probe;  j_n = j_t · cos α_n · cos β.
    A plunger that is tilted reads too much, 1.5 % at 10°.

    References
    ----------
    ISO 21771:2007, 7.3 (circumferential and normal backlash); cos α_n · cos β = cos α_t · cos β_b.
    ISO/TR 10064-2:1996, Annex on backlash, gives the same relation (both from memory).

    Examples
    --------
    >>> import math
    >>> found = backlash([0.18e-3], pitch_radius=60e-3, probe_radius=90e-3, pressure_angle=math.radians(20))
    >>> round(found.circumferential * 1e3, 4), round(found.normal * 1e3, 4)
    (0.12, 0.1128)
    """
    if not readings or not all(math.isfinite(reading) and reading >= 0 for reading in readings):
        raise OutOfRange("backlash needs at least one reading, and none below zero.")
    if not (pitch_radius > 0 and probe_radius > 0):
        raise OutOfRange(
            f"pitch radius {pitch_radius:g} and probe radius {probe_radius:g} must be above zero."
        )
    if not 0 < pressure_angle < math.radians(45) or not abs(helix_angle) < math.radians(60):
        raise OutOfRange(
            "the pressure angle must lie between 0 and 45 degrees, the helix angle within 60 degrees."
        )
    if not abs(probe_tilt) <= math.radians(30):
        raise OutOfRange("the plunger is tilted by more than 30 degrees; set it square to the radius.")
    mean = math.fsum(readings) / len(readings)
    lever = math.cos(probe_tilt) * pitch_radius / probe_radius
    tooth = math.cos(pressure_angle) * math.cos(helix_angle)
    along = mean * lever
    off = math.hypot(
        lever * standard / math.sqrt(len(readings)), along * probe_radius_standard / probe_radius
    )
    return Backlash(
        circumferential=along,
        normal=along * tooth,
        angle=along / pitch_radius,
        standard=off,
        normal_standard=off * tooth,
        least=min(readings) * lever,
        most=max(readings) * lever,
        working=(
            f"j_t = {mean * 1e3:.4f} mm · {lever:.4f} = {along * 1e3:.4f} mm; "
            f"j_n = {along * 1e3:.4f} mm · cos α · cos β = {along * 1e3:.4f} mm · {tooth:.4f} "
            f"= {along * tooth * 1e3:.4f} mm"
        ),
    )
