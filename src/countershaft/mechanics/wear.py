"""How much of the allowed wear has been used, and what that says, with the way in which wear moves a size.

Bores, clearances and backlash grow; shafts, linings, springs' free lengths and plates shrink.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from countershaft.errors import BadInput
from countershaft.mechanics.sizes import not_below_zero

__all__ = ["Direction", "Wear", "WearLimit", "wear"]

Direction = Literal["grows", "shrinks"]


@dataclass(frozen=True, slots=True)
class WearLimit:
    """Sizes of a new part, from least to greatest, the limit of wear, and which way wear moves the size.

    All in one unit.  A part with one new size gives it twice.
    """

    new: tuple[float, float]
    limit: float
    direction: Direction

    def __post_init__(self) -> None:
        low, high = self.new
        if not (math.isfinite(low) and math.isfinite(high) and math.isfinite(self.limit) and low <= high):
            raise BadInput(
                f"a new part is {low:g} to {high:g}, its limit {self.limit:g}; expected figures, the least new size "
                "first. Swap the two."
            )
        if self.direction == "grows" and self.limit <= high:
            raise BadInput(
                f"wear makes this size grow, and its limit {self.limit:g} is not above the greatest new size {high:g}. "
                "Look at the source, or whether wear makes it shrink."
            )
        if self.direction == "shrinks" and self.limit >= low:
            raise BadInput(
                f"wear makes this size shrink, and its limit {self.limit:g} is not below the least new size {low:g}. "
                "Look at the source, or whether wear makes it grow."
            )

    @property
    def mark(self) -> float:
        """The new size that lies nearest to the limit: from there wear is sure."""
        return self.new[1] if self.direction == "grows" else self.new[0]


@dataclass(frozen=True, slots=True)
class Wear:
    """What of the allowed wear is used: share [-], what is left to the limit, the verdict, why, and the working.

    The share is 0 at the new size that is nearest to the limit, and 1 at the limit.
    """

    share: float
    left: float
    verdict: Literal["good", "bad", "measure again"]
    why: str
    working: tuple[str, ...]


def wear(size: float, limit: WearLimit, *, half_width: float = 0.0) -> Wear:
    """Judge a measured size against its limit of wear.

    Parameters
    ----------
    size : float [any]
        As measured, in the unit of the limit.
    limit : WearLimit
        New sizes, limit and direction.
    half_width : float, optional [any]
        Expanded uncertainty of the size.

    Returns
    -------
    Wear
        Good when the whole interval keeps the limit, bad when all of it is beyond, else to be measured again; a size
        on the wrong side of a new part is to be measured again too, for wear cannot have made it.

    Raises
    ------
    BadInput
        The size is no figure.
    OutOfRange
        The uncertainty is negative.

    References
    ----------
    ISO 14253-1:2017 for the verdict with uncertainty.

    Examples
    --------
    A bore of 14.000 to 14.018 may wear to 14.050; it measures 14.041 give or take 0.003:

    >>> found = wear(14.041, WearLimit((14.000, 14.018), 14.050, "grows"), half_width=0.003)
    >>> found.verdict, round(found.share, 2), round(found.left, 3)
    ('good', 0.72, 0.009)
    >>> wear(13.98, WearLimit((14.000, 14.018), 14.050, "grows"), half_width=0.003).verdict
    'measure again'
    """
    if not math.isfinite(size):
        raise BadInput(f"the size is {size}; expected a figure. Measure it again.")
    not_below_zero("uncertainty of the size", half_width, "")
    sign = 1.0 if limit.direction == "grows" else -1.0
    left = sign * (limit.limit - size)
    share = (size - limit.mark) / (limit.limit - limit.mark)
    working = (
        f"wear makes it {'grow' if sign > 0 else 'shrink'}: from {limit.mark:g} when new to {limit.limit:g}",
        f"used: ({size:g} − {limit.mark:g}) / ({limit.limit:g} − {limit.mark:g}) = {share:.3g}",
        f"left: {left:.4g} ± {half_width:g}",
    )
    verdict, why = _judged(size, left, limit, half_width)
    return Wear(share, left, verdict, why, working)


def _judged(
    size: float, left: float, limit: WearLimit, half_width: float
) -> tuple[Literal["good", "bad", "measure again"], str]:
    grows = limit.direction == "grows"
    newest = limit.new[0] if grows else limit.new[1]
    if left + half_width < 0:
        return "bad", f"{size:g} ± {half_width:g} lies beyond the limit {limit.limit:g}."
    if (newest - size if grows else size - newest) > half_width:
        return "measure again", (
            f"{size:g} ± {half_width:g} lies {'below' if grows else 'above'} every new part ({newest:g}), and wear "
            f"makes it {'grow' if grows else 'shrink'}. Look at the unit, at dirt, and at whether it is this part."
        )
    if left - half_width < 0:
        return "measure again", (
            f"{size:g} ± {half_width:g} reaches across the limit {limit.limit:g}; nobody can tell. "
            "Take more readings, or use an instrument with a finer scale."
        )
    return "good", f"{size:g} ± {half_width:g} keeps the limit {limit.limit:g}."
