"""From a reading to the size that is needed: end play and preload by gap.

Each kind says what is left without the selective part, how uncertain that is, and the working behind it.
Sizes are exact fractions; an uncertainty is a standard uncertainty.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from countershaft.errors import OutOfRange
from countershaft.planning.reach import shown
from countershaft.planning.shelf import Gap, Term

__all__ = ["Measured", "Needed", "end_play", "interference", "needed_for", "preload_by_gap"]


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured figure and its standard uncertainty, both in one unit."""

    value: Fraction
    standard: float = 0.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.standard) and self.standard >= 0):
            raise OutOfRange(f"the standard uncertainty is {self.standard:g}; expected 0 or more.")


@dataclass(frozen=True, slots=True)
class Needed:
    """The size [mm] that would leave exactly the goal, its standard uncertainty [mm], and how it was found.

    `rest` is what would be left with no selective part at all; `goal` what is wanted, negative for an interference.
    """

    size: Fraction
    standard: float
    rest: Fraction
    goal: Fraction
    working: tuple[str, ...]

    def leaves(self, size: Fraction) -> Fraction:
        """The gap [mm] that a size will leave."""
        return self.rest - size

    def as_gap(
        self, name: str, *, place: str, lower: Fraction, upper: Fraction, suspects: tuple[str, ...] = ()
    ) -> Gap:
        """The fit as it is chosen for, together with all others."""
        return Gap(name, self.rest, self.standard, (Term(place),), lower, upper, self.goal, suspects)


def end_play(trial: Measured, reading: Measured, *, goal: Fraction) -> Needed:
    """The shim that leaves the wanted end play, from a reading with a trial shim in place.

    Parameters
    ----------
    trial : Measured [mm]
        The trial shim.
    reading : Measured [mm]
        The end play with it.
    goal : Fraction [mm]
        The end play to aim at.

    Returns
    -------
    Needed [mm]
        The size that is needed.

    Raises
    ------
    OutOfRange
        The reading is not above zero: the trial shim clamps, and nothing was measured.

    References
    ----------
    Common practice, no source: needed = trial + reading - goal.  Uncertainty: JCGM 100:2008, 5.1.2.

    Examples
    --------
    >>> found = end_play(Measured(Fraction("1.80")), Measured(Fraction("0.66")), goal=Fraction("0.375"))
    >>> float(found.size)
    2.085
    """
    if reading.value <= 0:
        raise OutOfRange(
            f"the reading is {shown(reading.value)} mm: with no play the shaft is clamped, and the size that is needed "
            "cannot be told. Fit a thinner trial shim and read again."
        )
    return needed_for(
        trial.value + reading.value, math.hypot(trial.standard, reading.standard), goal,
        f"needed = trial + reading − goal = {shown(trial.value)} + {shown(reading.value)}",
    )  # fmt: skip


def preload_by_gap(
    trial: Measured, reading: Measured, *, goal: Fraction, give: Measured | None = None
) -> Needed:
    """The shim that gives a wanted interference, from the end play with a thin trial shim, pushed and pulled.

    Parameters
    ----------
    trial : Measured [mm]
        The trial shim.
    reading : Measured [mm]
        The travel of the shaft between push and pull.
    goal : Fraction [mm]
        The interference to aim at, above zero.
    give : Measured, optional [mm]
        How much of the travel is bearings and case giving under the push and pull, both ways together.

    Returns
    -------
    Needed [mm]
        The size that is needed; the interference is kept as a gap below nothing.

    Raises
    ------
    OutOfRange
        No play was read, the give is more than the travel, or the goal is not above zero.

    References
    ----------
    Common practice, no source: needed = trial + (reading - give) + interference.

    Examples
    --------
    >>> found = preload_by_gap(Measured(Fraction("1.06")), Measured(Fraction("0.36")), goal=Fraction("0.08"))
    >>> float(found.size), float(found.leaves(Fraction("1.51")))
    (1.5, -0.09)
    """
    if goal <= 0:
        raise OutOfRange(f"the goal is an interference of {shown(goal)} mm; expected more than 0.")
    yielded = give or Measured(Fraction(0))
    play = reading.value - yielded.value
    if play <= 0:
        raise OutOfRange(
            f"of {shown(reading.value)} mm of travel {shown(yielded.value)} mm is give: no play is left, and the point "
            "of zero cannot be told. Fit a thinner trial shim and read again."
        )
    standard = math.hypot(trial.standard, reading.standard, yielded.standard)
    return needed_for(
        trial.value + play, standard, -goal,
        f"play = {shown(reading.value)} − {shown(yielded.value)} (give) = {shown(play)} mm",
        f"needed = trial + play + interference = {shown(trial.value)} + {shown(play)}",
    )  # fmt: skip


def interference(found: Measured, zero: Measured) -> Measured:
    """How much a shim that was found interferes, above the size that leaves just nothing.

    Parameters
    ----------
    found : Measured [mm]
        The shim that was found.
    zero : Measured [mm]
        Trial shim and play: the size that leaves neither play nor preload.

    Returns
    -------
    Measured [mm]
        The interference; below zero it is end play.

    Examples
    --------
    >>> float(interference(Measured(Fraction("1.71")), Measured(Fraction("1.48"))).value)
    0.23
    """
    return Measured(found.value - zero.value, math.hypot(found.standard, zero.standard))


def needed_for(rest: Fraction, standard: float, goal: Fraction, *working: str) -> Needed:
    """The size for a goal, from what would be left without a selective part.

    Parameters
    ----------
    rest : Fraction [mm]
        What would be left.
    standard : float [mm]
        Its standard uncertainty.
    goal : Fraction [mm]
        What is wanted; negative for an interference.
    *working : str
        The lines of the working; goal and result are put behind the last one.

    Returns
    -------
    Needed [mm]
        The size that is needed.

    Examples
    --------
    >>> needed_for(Fraction("1.98"), 0.005, Fraction("0.19"), "needed = 1.24 + 0.74").working
    ('needed = 1.24 + 0.74 − 0.19 = 1.79 mm, u = 0.005 mm',)
    """
    size = rest - goal
    sign = "−" if goal >= 0 else "+"
    last = f"{working[-1]} {sign} {shown(abs(goal))} = {shown(size)} mm, u = {standard:.2g} mm"
    return Needed(size, standard, rest, goal, (*working[:-1], last))
