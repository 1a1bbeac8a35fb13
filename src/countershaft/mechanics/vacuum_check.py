"""A bore or circuit tested with vacuum: what it holds against what the gauge shows with the hose blocked.

The share is a comparison on one bench with one pump; it is no flow, and two benches do not agree on it.
How much is enough is a figure of the shop or of the maker, and always comes from the caller.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.sizes import above_zero, not_below_zero

__all__ = ["VacuumCheck", "VacuumFigures", "check_vacuum"]

#: Greatest vacuum that can be: a normal atmosphere (ISO 2533) with 10 % for weather and gauge [Pa].
_MOST: Final = 1.1 * 101325.0


@dataclass(frozen=True, slots=True)
class VacuumFigures:
    """What the shop asks for: least share that is good, the share below which it is bad [-], and where both are from.

    `least_blocked` is the vacuum that the bench itself must reach with its hose blocked [Pa].
    """

    good_from: float
    bad_below: float
    source: str
    least_blocked: float = 0.0

    def __post_init__(self) -> None:
        if not 0 < self.bad_below <= self.good_from <= 1:
            raise BadInput(
                f"the shares of a vacuum test are bad below {self.bad_below:g} and good from {self.good_from:g}; "
                "expected 0 < bad below ≤ good from ≤ 1. Correct the figures of the test."
            )
        not_below_zero("least blocked vacuum", self.least_blocked, "Pa")


@dataclass(frozen=True, slots=True)
class VacuumCheck:
    """Share of the blocked reading that was held, with its interval, the verdict, why, and the working."""

    share: float
    low: float
    high: float
    verdict: Literal["good", "bad", "measure again"]
    why: str
    working: tuple[str, ...]


def check_vacuum(
    held: float, *, blocked: float, figures: VacuumFigures, gauge_half_width: float = 0.0
) -> VacuumCheck:
    """Compare the vacuum that a bore holds with that of the blocked hose.

    Parameters
    ----------
    held, blocked : float [Pa]
        Vacuum below the surroundings, as the gauge shows it: on the bore, and with the hose blocked.
    figures : VacuumFigures
        What is asked for.
    gauge_half_width : float, optional [Pa]
        How far each reading may be off.

    Returns
    -------
    VacuumCheck
        The share, its interval and the verdict; in between the two figures, or across one of them, it is to be
        measured again.

    Raises
    ------
    OutOfRange
        A reading is negative or above what the atmosphere gives, or the bore holds more than the blocked hose.

    References
    ----------
    Common practice, no source; ISO 14253-1:2017 for the verdict with uncertainty.

    Examples
    --------
    >>> figures = VacuumFigures(good_from=0.8, bad_below=0.7, source="shop", least_blocked=60e3)
    >>> test = check_vacuum(58e3, blocked=68e3, figures=figures, gauge_half_width=1e3)
    >>> test.verdict, round(test.share, 3)
    ('good', 0.853)
    """
    above_zero("blocked reading", blocked, "Pa", "Block the hose and start the pump before you read.")
    not_below_zero("reading on the bore", held, "Pa", "Give the vacuum as a figure above zero.")
    not_below_zero("half width of the gauge", gauge_half_width, "Pa")
    if blocked > _MOST:
        raise OutOfRange(
            f"the blocked reading is {blocked / 1e3:.4g} kPa of vacuum; expected at most {_MOST / 1e3:.0f} kPa, "
            "which is all that the atmosphere gives. Look at the unit and at the zero of the gauge."
        )
    if held > blocked + 2 * gauge_half_width:
        raise OutOfRange(
            f"the bore holds {held / 1e3:.4g} kPa, more than the blocked hose with {blocked / 1e3:.4g} kPa. "
            "Block the hose again and read both again; the hose or the pump has changed in between."
        )
    share = held / blocked
    low = max(0.0, held - gauge_half_width) / (blocked + gauge_half_width)
    high = (held + gauge_half_width) / max(blocked - gauge_half_width, 1e-9 * blocked)
    verdict, why = _judged(low, min(high, 1.0), blocked, figures)
    working = (
        f"share: {held / 1e3:.6g} kPa / {blocked / 1e3:.6g} kPa = {share:.4g}",
        f"with ±{gauge_half_width / 1e3:.4g} kPa on each reading: {low:.4g} to {min(high, 1.0):.4g}",
        f"good from {figures.good_from:g}, bad below {figures.bad_below:g} ({figures.source})",
    )
    return VacuumCheck(share, low, min(high, 1.0), verdict, why, working)


def _judged(
    low: float, high: float, blocked: float, figures: VacuumFigures
) -> tuple[Literal["good", "bad", "measure again"], str]:
    if blocked < figures.least_blocked:
        return "measure again", (
            f"The bench reaches {blocked / 1e3:.4g} kPa with its hose blocked, and must reach "
            f"{figures.least_blocked / 1e3:.4g} kPa: its own hose or pump leaks. Mend that first."
        )
    if low >= figures.good_from:
        return (
            "good",
            f"At least {low:.1%} of the blocked reading is held; good from {figures.good_from:.0%}.",
        )
    if high < figures.bad_below:
        return "bad", f"At most {high:.1%} of the blocked reading is held; bad below {figures.bad_below:.0%}."
    return "measure again", (
        f"{low:.1%} to {high:.1%} of the blocked reading is held; good from {figures.good_from:.0%}, bad below "
        f"{figures.bad_below:.0%}. Oil the land, seat the plate, and read again."
    )
