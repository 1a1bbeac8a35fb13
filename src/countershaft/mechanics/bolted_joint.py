"""A bolt and what it clamps as two springs: stiffness in its plain form, and tightening by angle, beyond yield too."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.mechanics.thread import Thread

__all__ = [
    "STEEL_MODULUS",
    "AngleTightening",
    "Layer",
    "angle_tightening",
    "bolt_stiffness",
    "joint_constant",
    "member_stiffness",
    "turn_for_preload",
]

#: Young's modulus of bolt steel [Pa].
STEEL_MODULUS: Final = 205e9

#: Half angle of the cone of pressure under a head.
CONE: Final = math.radians(30)


@dataclass(frozen=True, slots=True)
class Layer:
    """One clamped layer, from the head downward: thickness [m] and Young's modulus [Pa]."""

    thickness: float
    modulus: float


@dataclass(frozen=True, slots=True)
class AngleTightening:
    """A bolt snugged to a preload and turned on by an angle.

    `preload` is the least that the bolt then holds: beyond yield it is taken as constant, while a real bolt hardens
    and holds somewhat more.  `advance` is what the thread draws together, `plastic` the length that stays [m],
    `strain` that length over the length that can stretch.
    """

    preload: float
    yields: bool
    angle_to_yield: float
    advance: float
    plastic: float
    strain: float
    cautions: tuple[str, ...]


def bolt_stiffness(
    thread: Thread, *, plain_length: float, threaded_length: float, modulus: float = STEEL_MODULUS
) -> float:
    """Stiffness of the bolt between head and nut, plain form: unthreaded shank and free thread in series.

    Parameters
    ----------
    thread : Thread
        The bolt's thread.
    plain_length : float [m]
        Unthreaded length inside the grip.
    threaded_length : float [m]
        Threaded length inside the grip.
    modulus : float, optional [Pa]
        Young's modulus of the bolt.

    Returns
    -------
    float [N/m]
        Force per elongation.

    Raises
    ------
    OutOfRange
        A length is negative, or both are 0.

    Notes
    -----
    Head and engaged thread stretch too; leaving them out, as here, makes a short bolt look up to a third too stiff.

    References
    ----------
    Shigley, Mechanical Engineering Design, ch. 8, fastener stiffness.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> round(bolt_stiffness(parse_thread("M8"), plain_length=10e-3, threaded_length=12e-3) / 1e6)
    389
    """
    if min(plain_length, threaded_length) < 0 or plain_length + threaded_length <= 0:
        raise OutOfRange("a bolt needs a length that can stretch: plain or threaded length inside the grip.")
    plain_area = math.pi / 4 * thread.diameter**2
    return modulus / (plain_length / plain_area + threaded_length / thread.stress_area)


def member_stiffness(layers: Sequence[Layer], *, diameter: float, face_diameter: float) -> float:
    """Stiffness of the clamped layers: two cones of 30°, one from each side, that meet in the middle.

    In a tapped hole the last layer is half a diameter of the tapped part (or half of it, where it is thinner).

    Parameters
    ----------
    layers : Sequence[Layer]
        What is clamped, from the head downward.
    diameter : float [m]
        Nominal diameter of the bolt, taken as the hole.
    face_diameter : float [m]
        Diameter under the head; 1.5 d for a plain hexagon.

    Returns
    -------
    float [N/m]
        Force per shortening.

    Raises
    ------
    OutOfRange
        Nothing is clamped, or the face is not wider than the hole.

    References
    ----------
    Shigley, Mechanical Engineering Design, ch. 8, conical frusta.

    Examples
    --------
    >>> plates = [Layer(20e-3, 207e9), Layer(25e-3, 100e9)]
    >>> round(member_stiffness(plates, diameter=12e-3, face_diameter=18e-3) / 1e6)
    1379
    """
    if not layers or any(layer.thickness <= 0 or layer.modulus <= 0 for layer in layers):
        raise OutOfRange("the clamped layers need a thickness and a modulus of more than 0 each.")
    if not 0 < diameter < face_diameter:
        raise OutOfRange(
            f"the face under the head ({face_diameter * 1e3:g} mm) must be wider than the hole ({diameter * 1e3:g} mm)."
        )
    middle = sum(layer.thickness for layer in layers) / 2
    give = 0.0
    for side in (layers, tuple(reversed(layers))):
        depth = 0.0
        for layer in side:
            thickness = min(layer.thickness, middle - depth)
            if thickness <= middle * 1e-12:
                break
            wide = face_diameter + 2 * depth * math.tan(CONE)
            give += 1 / _frustum(thickness, wide, diameter, layer.modulus)
            depth += thickness
    return 1 / give


def joint_constant(bolt: float, members: float) -> float:
    """Share of a load from outside that the bolt takes.

    Parameters
    ----------
    bolt : float [N/m]
        Stiffness of the bolt.
    members : float [N/m]
        Stiffness of what it clamps.

    Returns
    -------
    float [-]
        k_bolt/(k_bolt + k_members).

    Raises
    ------
    OutOfRange
        A stiffness is not positive.

    References
    ----------
    Shigley, Mechanical Engineering Design, ch. 8, stiffness constant of the joint.

    Examples
    --------
    >>> round(joint_constant(466.8e6, 1379e6), 3)
    0.253
    """
    if min(bolt, members) <= 0:
        raise OutOfRange("stiffnesses must be more than 0.")
    return bolt / (bolt + members)


def turn_for_preload(preload: float, *, pitch: float, bolt: float, members: float) -> float:
    """Angle from snug to a preload, while all is elastic.

    Parameters
    ----------
    preload : float [N]
        Force to gain.
    pitch : float [m]
        Pitch of the thread.
    bolt : float [N/m]
        Stiffness of the bolt.
    members : float [N/m]
        Stiffness of what it clamps.

    Returns
    -------
    float [rad]
        Angle of the nut or head.

    Raises
    ------
    OutOfRange
        A figure is not positive.

    References
    ----------
    Shigley, Mechanical Engineering Design, ch. 8, turn of the nut.

    Examples
    --------
    >>> inch, pound = 25.4e-3, 4.4482216
    >>> stiff = [k * 1e6 * pound / inch for k in (5.21, 8.95)]
    >>> round(math.degrees(turn_for_preload(14400 * pound, pitch=inch / 11, bolt=stiff[0], members=stiff[1])), 1)
    17.3
    """
    if min(preload, pitch, bolt, members) <= 0:
        raise OutOfRange("preload, pitch and both stiffnesses must be more than 0.")
    return 2 * math.pi / pitch * preload * (1 / bolt + 1 / members)


def angle_tightening(
    snug: float,
    angle: float,
    *,
    pitch: float,
    bolt: float,
    members: float,
    yield_preload: float,
    free_length: float,
) -> AngleTightening:
    """What torque plus angle does: preload gained, and what stays of the stretch beyond yield.

    Parameters
    ----------
    snug : float [N]
        Preload after the torque stage.
    angle : float [rad]
        Angle turned after it.
    pitch : float [m]
        Pitch of the thread.
    bolt : float [N/m]
        Stiffness of the bolt.
    members : float [N/m]
        Stiffness of what it clamps.
    yield_preload : float [N]
        Preload at which the bolt yields while it is tightened (`preload_at_yield_share` with a share of 1).
    free_length : float [m]
        Length that can stretch for good: the free thread inside the grip.

    Returns
    -------
    AngleTightening
        Preload, elongation, and what to mind.

    Raises
    ------
    OutOfRange
        A figure is not positive, or the torque stage alone is beyond yield.

    References
    ----------
    VDI 2230-1, angle-controlled tightening; elastic, then ideally plastic.

    Examples
    --------
    >>> turned = angle_tightening(10e3, math.radians(90), pitch=1.25e-3, bolt=300e6, members=900e6,
    ...                           yield_preload=25e3, free_length=20e-3)
    >>> turned.yields, round(turned.advance * 1e3, 3), round(turned.plastic * 1e3, 3)
    (True, 0.312, 0.246)
    """
    if min(snug, angle, pitch, bolt, members, yield_preload, free_length) <= 0:
        raise OutOfRange("preloads, angle, pitch, stiffnesses and free length must all be more than 0.")
    if snug >= yield_preload:
        raise OutOfRange(
            f"the torque stage alone gives {snug / 1e3:.3g} kN, and the bolt yields at {yield_preload / 1e3:.3g} kN: "
            "torque, class or friction is wrong."
        )
    give = 1 / bolt + 1 / members
    advance = pitch * angle / (2 * math.pi)
    to_yield = (yield_preload - snug) * give
    plastic = max(0.0, advance - to_yield)
    return AngleTightening(
        preload=min(snug + advance / give, yield_preload),
        yields=plastic > 0,
        angle_to_yield=2 * math.pi * to_yield / pitch,
        advance=advance,
        plastic=plastic,
        strain=plastic / free_length,
        cautions=_cautions(plastic, plastic / free_length),
    )


def _cautions(plastic: float, strain: float) -> tuple[str, ...]:
    if plastic <= 0:
        return ()
    longer = (
        f"the bolt stays {plastic * 1e3:.2g} mm longer; use a new one unless the maker allows a length check"
    )
    found = [f"{longer} (common practice, no source)"]
    if strain > 0.02:
        found.append(
            f"that is {strain * 100:.1f} mm on each 100 mm of free thread, far beyond yield: read angle, pitch and "
            "stages again"
        )
    return tuple(found)


def _frustum(thickness: float, face: float, hole: float, modulus: float) -> float:
    grow = 2 * thickness * math.tan(CONE)
    ratio = (grow + face - hole) * (face + hole) / ((grow + face + hole) * (face - hole))
    return math.pi * modulus * hole * math.tan(CONE) / math.log(ratio)
