"""How much thread holds, what is left at the bottom of the hole, and which thread strips first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from countershaft.errors import OutOfRange
from countershaft.mechanics.thread import Thread
from countershaft.mechanics.thread_limits import ThreadLimits

__all__ = [
    "Engagement",
    "ShearAreas",
    "Stripping",
    "bolt_thread_factor",
    "engagement",
    "hole_thread_factor",
    "needed_engagement",
    "nut_wall_factor",
    "shear_areas",
    "stripping",
]

Weakest = Literal["hole strips", "bolt's thread strips", "bolt breaks"]

#: Shear strength of bolt steel over its tensile strength (VDI 2230, from memory).
BOLT_SHEAR_RATIO = 0.6


@dataclass(frozen=True, slots=True)
class Engagement:
    """A bolt in its hole [m]: how far it reaches into the thread, how much of that holds, and what is left below.

    `reach` is also the height at which the head stands when the bolt is dropped in without turning.  A `reserve` below
    0 means that the bolt meets the bottom before its head meets the part.
    """

    reach: float
    held: float
    reserve: float
    cautions: tuple[str, ...]

    @property
    def bottoms(self) -> bool:
        """The bolt meets the bottom before it clamps."""
        return self.reserve <= 0


@dataclass(frozen=True, slots=True)
class ShearAreas:
    """Areas that must be sheared through [m²]: the hole's thread and the bolt's."""

    hole: float
    bolt: float


@dataclass(frozen=True, slots=True)
class Stripping:
    """Loads at which a joint gives way [N], and what gives way first.

    `strength_ratio` is the hole's thread over the bolt's, before the factors for bending and widening are applied.
    """

    hole: float
    bolt_thread: float
    bolt_breaks: float
    strength_ratio: float
    weakest: Weakest
    cautions: tuple[str, ...]


def engagement(thread: Thread, *, length: float, grip: float, thread_depth: float) -> Engagement:
    """How far a bolt reaches into its hole.

    Parameters
    ----------
    thread : Thread
        The thread.
    length : float [m]
        Length under the head.
    grip : float [m]
        Everything that is clamped, washers and gasket included.
    thread_depth : float [m]
        Depth of full thread in the hole.

    Returns
    -------
    Engagement
        Reach, what holds, what is left, and what to mind.

    Raises
    ------
    OutOfRange
        A length is not positive (the grip may be 0).

    References
    ----------
    Common practice, no source: at least one pitch is left at the bottom.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> found = engagement(parse_thread("M8"), length=40e-3, grip=22e-3, thread_depth=22e-3)
    >>> round(found.reach * 1e3, 3), round(found.reserve * 1e3, 3), found.cautions
    (18.0, 4.0, ())
    """
    if length <= 0 or grip < 0 or thread_depth <= 0:
        raise OutOfRange("length and thread depth must be more than 0, the grip not less.")
    # To a nanometre, so that 40 − 22 mm meets 18 mm.
    reach = round(length - grip, 9)
    held = max(0.0, min(reach, thread_depth))
    reserve = round(thread_depth - reach, 9)
    if reach <= 0:
        said = f"the bolt is {-reach * 1e3:.3g} mm too short to reach the thread"
    elif reserve <= 0:
        off = (
            f"with its head {-reserve * 1e3:.3g} mm off the part"
            if reserve < 0
            else "just as its head comes down"
        )
        said = f"the bolt meets the bottom {off}: nothing is clamped"
    elif reserve < thread.pitch * (1 - 1e-9):
        said = f"only {reserve * 1e3:.3g} mm is left at the bottom, less than one pitch ({thread.pitch * 1e3:.3g} mm)"
    else:
        said = ""
    return Engagement(reach, held, reserve, (said,) if said else ())


def shear_areas(thread: Thread, held: float, limits: ThreadLimits) -> ShearAreas:
    """Areas that shear when a thread strips, at the least metal that the tolerances allow.

    Parameters
    ----------
    thread : Thread
        The thread.
    held : float [m]
        Engaged length.
    limits : ThreadLimits
        Limits of size of bolt and hole.

    Returns
    -------
    ShearAreas
        Hole and bolt.

    Raises
    ------
    OutOfRange
        The engaged length is negative.

    Notes
    -----
    Hole: π L/P · D_s,min · (P/2 + (D_s,min − E_n,max)/√3) with the bolt's least major diameter D_s and the hole's
    largest pitch diameter E_n; bolt: the same with the hole's largest minor diameter K_n and (E_s,min − K_n,max).

    References
    ----------
    FED-STD-H28/2, length of engagement.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> from countershaft.mechanics.thread_limits import limits_of_size
    >>> thread = parse_thread("M10x1.5")
    >>> areas = shear_areas(thread, 10e-3, limits_of_size(thread))
    >>> round(areas.hole * 1e6), round(areas.bolt * 1e6)
    (215, 156)
    """
    if held < 0:
        raise OutOfRange(f"an engaged length is not negative, got {held * 1e3:g} mm.")
    turns = math.pi * held / thread.pitch
    half = thread.pitch / 2
    hole = turns * limits.bolt_major_min
    bolt = turns * limits.hole_minor_max
    return ShearAreas(
        hole * (half + (limits.bolt_major_min - limits.hole_pitch_max) / math.sqrt(3)),
        bolt * (half + (limits.bolt_pitch_min - limits.hole_minor_max) / math.sqrt(3)),
    )


def nut_wall_factor(width_over_diameter: float) -> float:
    """Factor C1: a thin wall around the thread gives way outward.

    Parameters
    ----------
    width_over_diameter : float [-]
        Width of the nut or boss over the nominal diameter.

    Returns
    -------
    float [-]
        The factor; 1 from a width of 1.9 diameters on, where the part counts as solid.

    Raises
    ------
    OutOfRange
        The wall is thinner than was ever tested (1.4).

    References
    ----------
    Alexander E.M., Analysis and design of threaded assemblies, SAE 770420, 1977 (from memory).

    Examples
    --------
    >>> round(nut_wall_factor(1.5), 2)
    0.84
    """
    if width_over_diameter < 1.4:
        raise OutOfRange(f"walls thinner than 1.4 diameters were not tested, got {width_over_diameter:g}.")
    if width_over_diameter >= 1.9:
        return 1.0
    return -(width_over_diameter**2) + 3.8 * width_over_diameter - 2.61


def bolt_thread_factor(ratio: float) -> tuple[float, str | None]:
    """Factor C2 of the bolt's thread: threads bend before they shear.

    Parameters
    ----------
    ratio : float [-]
        Shear strength of the hole's thread over the bolt's.

    Returns
    -------
    tuple[float, str | None] [-]
        The factor; beyond 2.2 none is known, 1 is returned with a caution.

    References
    ----------
    Alexander E.M., SAE 770420, 1977; VDI 2230-1 (from memory).

    Examples
    --------
    >>> round(bolt_thread_factor(1.0)[0], 3)
    0.897
    """
    if ratio <= 1:
        return 0.897, None
    if ratio >= 2.2:
        return (
            1.0,
            f"no factor C2 is known at a strength ratio of {ratio:.2g} (2.2 and more); none is applied",
        )
    return 5.594 - 13.682 * ratio + 14.107 * ratio**2 - 6.057 * ratio**3 + 0.9353 * ratio**4, None


def hole_thread_factor(ratio: float) -> tuple[float, str | None]:
    """Factor C3 of the hole's thread: threads bend before they shear.

    Parameters
    ----------
    ratio : float [-]
        Shear strength of the hole's thread over the bolt's.

    Returns
    -------
    tuple[float, str | None] [-]
        The factor; below 0.4 none is known, 1 is returned with a caution.

    References
    ----------
    Alexander E.M., SAE 770420, 1977; VDI 2230-1 (from memory).

    Examples
    --------
    >>> round(hole_thread_factor(1.0)[0], 3)
    0.897
    """
    if ratio >= 1:
        return 0.897, None
    if ratio <= 0.4:
        return (
            1.0,
            f"no factor C3 is known at a strength ratio of {ratio:.2g} (0.4 and less); none is applied",
        )
    return 0.728 + 1.769 * ratio - 2.896 * ratio**2 + 1.296 * ratio**3, None


def stripping(
    thread: Thread,
    held: float,
    limits: ThreadLimits,
    *,
    bolt_tensile: float,
    hole_shear: float,
    wall: float | None = None,
) -> Stripping:
    """Loads at which hole, bolt's thread and bolt give way.

    Parameters
    ----------
    thread : Thread
        The thread.
    held : float [m]
        Engaged length.
    limits : ThreadLimits
        Limits of size of bolt and hole.
    bolt_tensile : float [Pa]
        Tensile strength of the bolt; its shear strength is taken as 0.6 of it.
    hole_shear : float [Pa]
        Shear strength of the tapped material.
    wall : float, optional [m]
        Width of the nut or boss; a solid part where it is not given.

    Returns
    -------
    Stripping
        The three loads, the least of them, and what to mind.

    Raises
    ------
    OutOfRange
        A figure is not positive.

    References
    ----------
    FED-STD-H28/2; Alexander E.M., SAE 770420, 1977.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> from countershaft.mechanics.thread_limits import limits_of_size
    >>> thread = parse_thread("M8")
    >>> found = stripping(thread, 8e-3, limits_of_size(thread), bolt_tensile=800e6, hole_shear=126e6)
    >>> found.weakest, round(found.hole, -2), round(found.bolt_breaks, -2)
    ('hole strips', 17000.0, 29300.0)
    """
    if min(held, bolt_tensile, hole_shear) <= 0:
        raise OutOfRange("engaged length and strengths must be more than 0.")
    areas = shear_areas(thread, held, limits)
    hole, bolt = hole_shear * areas.hole, BOLT_SHEAR_RATIO * bolt_tensile * areas.bolt
    c1 = 1.0 if wall is None else nut_wall_factor(wall / thread.diameter)
    c2, of_bolt = bolt_thread_factor(hole / bolt)
    c3, of_hole = hole_thread_factor(hole / bolt)
    hole_holds, bolt_holds, breaks = hole * c1 * c3, bolt * c1 * c2, bolt_tensile * thread.stress_area
    weakest: Weakest = "bolt breaks"
    if min(hole_holds, bolt_holds) < breaks:
        weakest = "hole strips" if hole_holds <= bolt_holds else "bolt's thread strips"
    cautions = tuple(said for said in (of_bolt, of_hole) if said)
    return Stripping(hole_holds, bolt_holds, breaks, hole / bolt, weakest, cautions)


def needed_engagement(
    thread: Thread,
    load: float,
    limits: ThreadLimits,
    *,
    bolt_tensile: float,
    hole_shear: float,
    wall: float | None = None,
) -> float:
    """Engaged length at which neither thread strips below a load.

    Parameters
    ----------
    thread : Thread
        The thread.
    load : float [N]
        Load to hold, as a rule the most at which the bolt breaks.
    limits : ThreadLimits
        Limits of size of bolt and hole.
    bolt_tensile : float [Pa]
        Tensile strength of the bolt.
    hole_shear : float [Pa]
        Shear strength of the tapped material.
    wall : float, optional [m]
        Width of the nut or boss; a solid part where it is not given.

    Returns
    -------
    float [m]
        Engaged length; full threads only, so a pointed end and a countersink come on top.

    Raises
    ------
    OutOfRange
        The load is not positive.

    References
    ----------
    FED-STD-H28/2; Alexander E.M., SAE 770420, 1977.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> from countershaft.mechanics.thread_limits import limits_of_size
    >>> thread = parse_thread("M8")
    >>> needed = needed_engagement(thread, 29.3e3, limits_of_size(thread), bolt_tensile=800e6, hole_shear=126e6)
    >>> round(needed / thread.diameter, 1)
    1.7
    """
    if load <= 0:
        raise OutOfRange(f"a load must be more than 0 N, got {load:g} N.")
    one = stripping(thread, 1.0, limits, bolt_tensile=bolt_tensile, hole_shear=hole_shear, wall=wall)
    return load / min(one.hole, one.bolt_thread)
