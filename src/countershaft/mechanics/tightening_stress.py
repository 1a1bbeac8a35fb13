"""What tightening does to a bolt: pull and twist as one equivalent stress, and the preload that it permits."""

from __future__ import annotations

import math
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.mechanics.preload import FLANK
from countershaft.mechanics.thread import Thread

__all__ = ["TighteningStress", "preload_at_yield_share", "tightening_stress"]


@dataclass(frozen=True, slots=True)
class TighteningStress:
    """Stress in a bolt while it is tightened [Pa]: pull, twist, and both as one equivalent stress."""

    tension: float
    torsion: float
    equivalent: float


def tightening_stress(preload: float, thread: Thread, thread_friction: float) -> TighteningStress:
    """Stress in the thread while it is tightened, with the twist of the thread's own friction.

    Parameters
    ----------
    preload : float [N]
        Force of the bolt.
    thread : Thread
        The bolt's thread.
    thread_friction : float [-]
        Coefficient in the thread; friction under the head does not twist the shank.

    Returns
    -------
    TighteningStress
        Tension, torsion, and √(σ² + 3τ²).

    Raises
    ------
    OutOfRange
        The preload is negative.

    Notes
    -----
    The twist is spread over the whole section (fully plastic, W = π d³/12), as in VDI 2230.

    References
    ----------
    VDI 2230-1, equivalent stress in the assembled state.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> stress = tightening_stress(18.6e3, parse_thread("M8"), 0.12)
    >>> round(stress.equivalent / stress.tension, 2)
    1.13
    """
    if preload < 0:
        raise OutOfRange(f"a bolt pulls; got a preload of {preload:g} N.")
    tension = preload / thread.stress_area
    torsion = tension * _twist(thread, thread_friction)
    return TighteningStress(tension, torsion, math.hypot(tension, math.sqrt(3) * torsion))


def preload_at_yield_share(
    thread: Thread, yield_stress: float, thread_friction: float, share: float = 0.9
) -> float:
    """Preload at which the equivalent stress reaches a share of the yield stress.

    Parameters
    ----------
    thread : Thread
        The bolt's thread.
    yield_stress : float [Pa]
        Least yield stress of the bolt.
    thread_friction : float [-]
        Coefficient in the thread.
    share : float, optional [-]
        Share of the yield stress; tables of VDI 2230 use 0.9.

    Returns
    -------
    float [N]
        Preload.

    Raises
    ------
    OutOfRange
        The share is not more than 0 and at most 1.

    References
    ----------
    VDI 2230-1, permitted assembly preload, Table A1.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> round(preload_at_yield_share(parse_thread("M8"), 640e6, 0.12), -2)
    18600.0
    """
    if not 0 < share <= 1:
        raise OutOfRange(f"a share of the yield stress is more than 0 and at most 1, got {share:g}.")
    return share * yield_stress * thread.stress_area / math.sqrt(1 + 3 * _twist(thread, thread_friction) ** 2)


def _twist(thread: Thread, friction: float) -> float:
    """Shear stress over tensile stress: 3/2 · d2/d · (P/(π·d2) + μ/cos 30°)."""
    ratio = thread.pitch / (math.pi * thread.pitch_diameter) + friction / FLANK
    return 1.5 * thread.pitch_diameter / thread.stress_diameter * ratio
