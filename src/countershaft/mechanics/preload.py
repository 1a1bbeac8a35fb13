"""From torque to preload and back.

The long form keeps friction in the thread and under the head apart; the nut factor is the short form.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.mechanics.bearing_face import BearingFace
from countershaft.mechanics.thread import Thread

__all__ = [
    "FLANK",
    "Friction",
    "TorqueShares",
    "nut_factor",
    "preload_at",
    "preload_by_nut_factor",
    "tightening_torque",
    "torque_by_nut_factor",
]

#: Half of the flank angle: the flanks press harder than the bolt pulls, by 1/cos 30°.
FLANK: Final = math.cos(math.radians(30))


@dataclass(frozen=True, slots=True)
class Friction:
    """Coefficients of friction in the thread and under the head [-]."""

    thread: float
    head: float

    def __post_init__(self) -> None:
        """Refuse what no dry or greased steel shows."""
        for name, value in (("thread", self.thread), ("head", self.head)):
            if not 0.02 <= value <= 0.6:
                raise OutOfRange(
                    f"friction of the {name} must lie from 0.02 (best grease) to 0.6 (galling), got {value:g}."
                )


@dataclass(frozen=True, slots=True)
class TorqueShares:
    """Where a tightening torque goes [N m]: into the pitch (that is the preload), the thread's flanks, the head."""

    preload: float
    pitch: float
    thread: float
    head: float

    @property
    def total(self) -> float:
        """The torque at the wrench [N m]."""
        return self.pitch + self.thread + self.head

    @property
    def working(self) -> str:
        """The sum in figures."""
        return (
            f"{self.total:.4g} N·m = {self.pitch:.3g} (pitch) + {self.thread:.3g} (thread) + {self.head:.3g} (head) "
            f"for {self.preload / 1e3:.4g} kN"
        )


def tightening_torque(preload: float, thread: Thread, face: BearingFace, friction: Friction) -> TorqueShares:
    """Torque that gives a preload, the long form.

    Parameters
    ----------
    preload : float [N]
        Force wanted.
    thread : Thread
        The bolt's thread; its hand changes the direction, not the torque.
    face : BearingFace
        What turns: under the head, or under the nut.
    friction : Friction
        Both coefficients.

    Returns
    -------
    TorqueShares
        The three shares and their sum.

    Raises
    ------
    OutOfRange
        The preload is not positive and finite.

    Notes
    -----
    T = F · (P/2π + μ_thread·d2/(2 cos 30°) + μ_head·D/2); VDI 2230 prints the rounded 0.16 P and 0.58 d2.

    References
    ----------
    VDI 2230-1, assembly torque.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> found = tightening_torque(18.6e3, parse_thread("M8"), BearingFace(11.63e-3, 9e-3), Friction(0.12, 0.12))
    >>> print(found.working)
    24.47 N·m = 3.7 (pitch) + 9.26 (thread) + 11.5 (head) for 18.6 kN
    """
    if not 0 < preload < math.inf:
        raise OutOfRange(f"a preload must be more than 0 N, got {preload:g} N.")
    return TorqueShares(
        preload,
        preload * thread.pitch / (2 * math.pi),
        preload * friction.thread * thread.pitch_diameter / (2 * FLANK),
        preload * friction.head * face.friction_diameter / 2,
    )


def preload_at(torque: float, thread: Thread, face: BearingFace, friction: Friction) -> TorqueShares:
    """Preload that a torque gives, the long form turned round.

    Parameters
    ----------
    torque : float [N m]
        Torque at the bolt, prevailing torque taken off.
    thread : Thread
        The bolt's thread.
    face : BearingFace
        What turns.
    friction : Friction
        Both coefficients.

    Returns
    -------
    TorqueShares
        The shares, with the preload.

    Raises
    ------
    OutOfRange
        The torque is not positive and finite.

    References
    ----------
    VDI 2230-1, assembly torque.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> face = BearingFace(15.8e-3, 9e-3)
    >>> [round(preload_at(24, parse_thread("M8"), face, Friction(mu, mu)).preload, -2) for mu in (0.08, 0.14)]
    [23400.0, 14600.0]
    """
    if not 0 < torque < math.inf:
        raise OutOfRange(f"a torque must be more than 0 N·m, got {torque:g} N·m.")
    per_newton = tightening_torque(1.0, thread, face, friction).total
    return tightening_torque(torque / per_newton, thread, face, friction)


def nut_factor(torque: float, preload: float, diameter: float) -> float:
    """Nut factor K of T = K·F·d.

    Parameters
    ----------
    torque : float [N m]
        Tightening torque.
    preload : float [N]
        Force that it gave.
    diameter : float [m]
        Nominal diameter.

    Returns
    -------
    float [-]
        K, about 0.1 greased to 0.3 dry and rough.

    Raises
    ------
    OutOfRange
        A figure is not positive.

    References
    ----------
    Shigley, Mechanical Engineering Design, ch. 8.

    Examples
    --------
    >>> round(nut_factor(90, 34.3e3, 12e-3), 3)
    0.219
    """
    if min(torque, preload, diameter) <= 0:
        raise OutOfRange("torque, preload and diameter must all be more than 0.")
    return torque / (preload * diameter)


def torque_by_nut_factor(preload: float, diameter: float, factor: float) -> float:
    """Torque by the short form T = K·F·d.

    Parameters
    ----------
    preload : float [N]
        Force wanted.
    diameter : float [m]
        Nominal diameter.
    factor : float [-]
        Nut factor K.

    Returns
    -------
    float [N m]
        Torque.

    Raises
    ------
    OutOfRange
        Preload or diameter is not positive, or K lies outside 0.05 to 0.5.

    References
    ----------
    Shigley, Mechanical Engineering Design, ch. 8.

    Examples
    --------
    >>> round(torque_by_nut_factor(20e3, 8e-3, 0.2), 1)
    32.0
    """
    if min(preload, diameter) <= 0:
        raise OutOfRange("preload and diameter must both be more than 0.")
    _check_factor(factor)
    return factor * preload * diameter


def preload_by_nut_factor(torque: float, diameter: float, factor: float) -> float:
    """Preload by the short form F = T/(K·d).

    Parameters
    ----------
    torque : float [N m]
        Tightening torque.
    diameter : float [m]
        Nominal diameter.
    factor : float [-]
        Nut factor K.

    Returns
    -------
    float [N]
        Force.

    Raises
    ------
    OutOfRange
        Torque or diameter is not positive, or K lies outside 0.05 to 0.5.

    References
    ----------
    Shigley, Mechanical Engineering Design, ch. 8.

    Examples
    --------
    >>> round(preload_by_nut_factor(32, 8e-3, 0.2))
    20000
    """
    if min(torque, diameter) <= 0:
        raise OutOfRange("torque and diameter must both be more than 0.")
    _check_factor(factor)
    return torque / (factor * diameter)


def _check_factor(factor: float) -> None:
    if not 0.05 <= factor <= 0.5:
        raise OutOfRange(f"a nut factor lies from 0.05 to 0.5, got {factor:g}; is a unit mixed up?")
