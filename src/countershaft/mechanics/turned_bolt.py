"""A bolt in its hole as two springs, and what a torque and then an angle leave in it, for a band of what is unknown.

How much of the bolt is threaded stands in no parts list, so the stiffness is given for both ends: threaded throughout,
and with a plain shank.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.mechanics.bolted_joint import (
    AngleTightening,
    Layer,
    angle_tightening,
    bolt_stiffness,
    joint_constant,
    member_stiffness,
)
from countershaft.mechanics.thread import Thread
from countershaft.mechanics.tightening_stress import preload_at_yield_share

__all__ = ["Springs", "springs_in_hole", "turned_by_angle", "turned_words"]


@dataclass(frozen=True, slots=True)
class Springs:
    """Stiffness of a bolt and of what it clamps [N/m]."""

    bolt: float
    members: float

    @property
    def share(self) -> float:
        """Share of a load from outside that the bolt takes [-]."""
        return joint_constant(self.bolt, self.members)


def springs_in_hole(
    thread: Thread, *, grip: float, face_diameter: float, clamped: float, tapped: float
) -> tuple[Springs, Springs]:
    """Stiffness of a bolt in a tapped hole: threaded throughout, and with a plain shank.

    All of the grip is taken as one material, and half a diameter of the tapped part gives way with it.

    Parameters
    ----------
    thread : Thread
        The bolt's thread.
    grip : float [m]
        Everything clamped.
    face_diameter : float [m]
        Outer diameter of the face under the head.
    clamped : float [Pa]
        Young's modulus of what is clamped.
    tapped : float [Pa]
        Young's modulus of what is tapped.

    Returns
    -------
    tuple[Springs, Springs]
        The softest and the stiffest bolt.

    Raises
    ------
    OutOfRange
        A length or a modulus is not positive, or the face is not wider than the hole.

    References
    ----------
    Shigley, Mechanical Engineering Design, ch. 8: fastener stiffness, conical frusta, effective grip of a tapped hole.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> soft, stiff = springs_in_hole(
    ...     parse_thread("M8"), grip=33e-3, face_diameter=15.8e-3, clamped=70e9, tapped=70e9)
    >>> round(soft.bolt / 1e6), round(stiff.bolt / 1e6), round(stiff.members / 1e6)
    (203, 268, 749)
    """
    half = thread.diameter / 2
    layers = (Layer(grip, clamped), Layer(half, tapped))
    members = member_stiffness(layers, diameter=thread.diameter, face_diameter=face_diameter)
    soft = bolt_stiffness(thread, plain_length=0.0, threaded_length=grip + half)
    stiff = bolt_stiffness(thread, plain_length=grip, threaded_length=half)
    return Springs(soft, members), Springs(stiff, members)


def turned_by_angle(
    snugs: Mapping[float, float],
    angle: float,
    *,
    thread: Thread,
    springs: Iterable[Springs],
    yield_stress: float,
    grip: float,
) -> tuple[AngleTightening, ...]:
    """What an angle after the torque does, for every friction and every stiffness.

    Parameters
    ----------
    snugs : Mapping[float, float] [N]
        Friction in the thread to the preload that the torque then gives.
    angle : float [rad]
        Angle turned after the torque.
    thread : Thread
        The bolt's thread.
    springs : Iterable[Springs]
        Stiffnesses that the bolt may have.
    yield_stress : float [Pa]
        Stress at which the bolt yields.
    grip : float [m]
        Length that can stretch for good.

    Returns
    -------
    tuple[AngleTightening, ...]
        One case for each friction and stiffness.

    Raises
    ------
    OutOfRange
        A figure is not positive, or the torque alone is beyond yield.

    References
    ----------
    VDI 2230-1, angle-controlled tightening; elastic, then ideally plastic.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> cases = turned_by_angle({0.12: 10e3}, math.radians(90), thread=parse_thread("M8"),
    ...                         springs=[Springs(300e6, 900e6)], yield_stress=940e6, grip=20e-3)
    >>> [(case.yields, round(case.preload, -2), round(case.plastic * 1e3, 3)) for case in cases]
    [(True, 30400.0, 0.222)]
    """
    listed = tuple(springs)
    return tuple(
        angle_tightening(
            snug,
            angle,
            pitch=thread.pitch,
            bolt=spring.bolt,
            members=spring.members,
            yield_preload=preload_at_yield_share(thread, yield_stress, friction, share=1.0),
            free_length=grip,
        )
        for friction, snug in snugs.items()
        for spring in listed
    )


def turned_words(cases: tuple[AngleTightening, ...], angle: float) -> str:
    """What the angle does in one sentence: drawn together, beyond yield or not, preload held, length that stays.

    Parameters
    ----------
    cases : tuple[AngleTightening, ...]
        Of one angle.
    angle : float [rad]
        That angle.

    Returns
    -------
    str
        The sentence.

    Raises
    ------
    OutOfRange
        There is no case.

    References
    ----------
    None: only words.

    Examples
    --------
    >>> turned = angle_tightening(10e3, math.radians(20), pitch=1.25e-3, bolt=300e6, members=900e6,
    ...                           yield_preload=30e3, free_length=20e-3)
    >>> turned_words((turned,), math.radians(20))
    '20° more draws 0.069 mm together; stays below yield; then holds 25.6 kN'
    """
    if not cases:
        raise OutOfRange("an angle needs at least one case to be told.")
    holds = _band((case.preload / 1e3 for case in cases), "kN")
    told = [f"{math.degrees(angle):g}° more draws {cases[0].advance * 1e3:.2g} mm together"]
    if not any(case.yields for case in cases):
        return "; ".join([*told, "stays below yield", f"then holds {holds}"])
    sure = "passes yield" if all(case.yields for case in cases) else "may pass yield"
    told.append(f"{sure}, after {_band((math.degrees(case.angle_to_yield) for case in cases), '°')}")
    told.append(f"then holds at least {holds}")
    told.append(f"stays {_band((case.plastic * 1e3 for case in cases), 'mm')} longer: use a new one")
    strains = [case.strain for case in cases]
    if min(strains) > 0.02:
        told.append("that is far beyond yield: read angle, pitch and stages again")
    return "; ".join(told)


def _band(values: Iterable[float], unit: str) -> str:
    listed = [f"{value:.3g}" for value in sorted(values)]
    space = "" if unit == "°" else " "
    least, most = listed[0], listed[-1]
    return f"{least}{space}{unit}" if least == most else f"{least} to {most}{space}{unit}"
