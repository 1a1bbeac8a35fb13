"""Slings: how hard each leg pulls when a unit is lifted.  Outside its range nothing is answered.

Angles are those of a leg above the horizontal.  A flat leg multiplies the load without limit, so below 30° the
computation refuses; a hook that is not above the centre of gravity is no case of it either.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange

__all__ = ["FLATTEST", "LegPull", "TwoLegs", "leg_tension", "pull_on_leg", "sling_factor", "two_legs"]

#: No leg may lie flatter than this (common practice, also of the rigging tables) [rad].
FLATTEST: Final = math.radians(30)

#: Legs of a sling to the legs that are counted on: a rigid load hangs on two (common practice, no source).
_COUNTED: Final = {1: 1, 2: 2, 3: 2, 4: 2}


@dataclass(frozen=True, slots=True)
class TwoLegs:
    """Pull in both legs [N], their angles above the horizontal [rad], and the squeeze between their ends [N]."""

    left: float
    right: float
    left_angle: float
    right_angle: float
    squeeze: float


@dataclass(frozen=True, slots=True)
class LegPull:
    """Pull in a leg against what it is marked to carry; `words` begins with the signal word where it is too much."""

    pull: float
    limit: float
    good: bool
    words: str


def sling_factor(angle: float) -> float:
    """Pull in a leg over its share of the load.

    Parameters
    ----------
    angle : float [rad]
        Angle of the leg above the horizontal.

    Returns
    -------
    float [-]
        1/sin of the angle.

    Raises
    ------
    OutOfRange
        The angle lies below 30° or above 90°.

    References
    ----------
    Rigging tables, sling tension by angle from the horizontal.

    Examples
    --------
    >>> round(sling_factor(math.radians(60)), 3)
    1.155
    """
    if not FLATTEST * (1 - 1e-12) <= angle <= math.pi / 2 * (1 + 1e-12):
        raise OutOfRange(
            f"a sling leg must stand 30° to 90° above the horizontal, got {math.degrees(angle):.1f}°. "
            "Use longer legs or a spreader."
        )
    return 1 / math.sin(angle)


def leg_tension(weight: float, *, legs: int, angle: float) -> float:
    """Pull in each leg of a sling, all legs alike, the hook above the centre of gravity.

    Parameters
    ----------
    weight : float [N]
        Weight of the load, fluid and fixture included.
    legs : int [-]
        Legs of the sling, 1 to 4; of three or four only two are counted on.
    angle : float [rad]
        Angle of the legs above the horizontal.

    Returns
    -------
    float [N]
        Pull in a leg.

    Raises
    ------
    OutOfRange
        The weight is not positive, the legs are none to four, a single leg is not upright, or the angle is too flat.

    References
    ----------
    Rigging tables; that a rigid load hangs on two of its legs is common practice, no source.

    Examples
    --------
    >>> round(leg_tension(1000, legs=2, angle=math.radians(45)))
    707
    """
    if not 0 < weight < math.inf:
        raise OutOfRange(f"a weight must be more than 0 N, got {weight:g} N.")
    if legs not in _COUNTED:
        raise OutOfRange(f"a sling has 1 to 4 legs, got {legs}.")
    if legs == 1 and abs(angle - math.pi / 2) > 1e-9:
        raise OutOfRange("a single leg hangs upright; the load swings until it does.")
    return weight / _COUNTED[legs] * sling_factor(angle)


def two_legs(weight: float, *, left: float, right: float, height: float) -> TwoLegs:
    """Pull in two legs of unequal reach, the hook above the centre of gravity.

    Parameters
    ----------
    weight : float [N]
        Weight of the load.
    left, right : float [m]
        Level distances from below the hook to the two eyes.
    height : float [m]
        Height of the hook above the eyes.

    Returns
    -------
    TwoLegs
        Pull and angle of both, and how hard they squeeze the load.

    Raises
    ------
    OutOfRange
        A figure is not positive, or a leg is too flat.

    References
    ----------
    Statics of three forces in one point.

    Examples
    --------
    >>> found = two_legs(900, left=0.3, right=0.5, height=0.7)
    >>> round(found.left, 1), round(found.right, 1)
    (612.0, 414.8)
    """
    if min(weight, left, right, height) <= 0 or not math.isfinite(weight):
        raise OutOfRange("weight, both distances and the height must be more than 0.")
    left_angle, right_angle = math.atan2(height, left), math.atan2(height, right)
    span = left + right
    return TwoLegs(
        weight * right / span * sling_factor(left_angle),
        weight * left / span * sling_factor(right_angle),
        left_angle,
        right_angle,
        weight * left * right / (span * height),
    )


def pull_on_leg(pull: float, limit: float) -> LegPull:
    """Whether a leg may be used at a pull.

    Parameters
    ----------
    pull : float [N]
        Pull in the leg.
    limit : float [N]
        Working load limit on its tag, as a force; a leg without a tag has none.

    Returns
    -------
    LegPull
        Yes or no, in words.

    Raises
    ------
    OutOfRange
        Pull or limit is not positive.

    References
    ----------
    ANSI Z535 signal words.

    Examples
    --------
    >>> pull_on_leg(612, 500).words
    'DANGER: 612 N in a leg that is marked for 500 N. Do not lift; take a stronger sling or steeper legs.'
    """
    if min(pull, limit) <= 0:
        raise OutOfRange(
            "pull and working load limit must be more than 0; a sling without a tag is not used."
        )
    if pull > limit:
        words = (
            f"DANGER: {pull:.4g} N in a leg that is marked for {limit:.4g} N. "
            "Do not lift; take a stronger sling or steeper legs."
        )
        return LegPull(pull, limit, False, words)
    return LegPull(pull, limit, True, f"{pull:.4g} N of {limit:.4g} N. Never stand under a hanging load.")
