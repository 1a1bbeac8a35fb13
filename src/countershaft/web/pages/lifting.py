"""How hard each leg of a sling pulls when a step lifts something heavy."""

from __future__ import annotations

import math
from typing import Final

from countershaft.mechanics.rigging import leg_tension
from countershaft.model.steps import Step

__all__ = ["Rows", "leg_rows"]

Rows = tuple[tuple[str, str], ...]

#: Standard gravity [m/s²].
GRAVITY: Final = 9.80665
#: Angles of the legs above the horizontal that rigging tables print [°]; flatter than 30° nothing is lifted.
ANGLES: Final = (90, 60, 45, 30)
#: From here on a load is rather hung than carried (common practice, no source) [kg].
HUNG: Final = 20


def leg_rows(step: Step) -> Rows:
    """Angle of two like legs above the horizontal, and the pull in each; nothing where nothing heavy is lifted."""
    mass = step.lifts.to("kg") if step.lifts is not None else 0.0
    if mass < HUNG:
        return ()
    weight = mass * GRAVITY
    rows = [(angle, leg_tension(weight, legs=2, angle=math.radians(angle))) for angle in ANGLES]
    return tuple((f"{angle}°", f"{pull:.0f} N, as {pull / GRAVITY:.0f} kg hanging") for angle, pull in rows)
