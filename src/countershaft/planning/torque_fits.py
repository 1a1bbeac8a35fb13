"""Preloads that are felt as turning torque, and two shims of which the sum sets one thing and the split another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from countershaft.errors import OutOfRange
from countershaft.planning.gap_fits import Measured
from countershaft.planning.reach import shown
from countershaft.planning.shelf import Gap, Term

__all__ = ["TorqueNeeded", "TwoSided", "by_known_rate", "by_two_trials", "two_sided"]


@dataclass(frozen=True, slots=True)
class TorqueNeeded:
    """The shim [mm] that would give the wanted turning torque, and how it was found.

    `rate` [N m/mm] says how much harder every millimetre turns, `pivot` [mm] the size where it is known best, and
    `at_pivot` [N m] the torque there; `goal` [N m] is what is wanted.
    """

    size: Fraction
    standard: float
    rate: Measured
    pivot: Fraction
    at_pivot: Measured
    goal: Fraction
    working: tuple[str, ...]

    def gives(self, size: Fraction) -> Measured:
        """The turning torque [N m] to expect with a size."""
        off = size - self.pivot
        return Measured(
            self.at_pivot.value + self.rate.value * off,
            math.hypot(self.at_pivot.standard, float(off) * self.rate.standard),
        )

    def as_gap(
        self, name: str, *, place: str, lower: Fraction, upper: Fraction, suspects: tuple[str, ...] = ()
    ) -> Gap:
        """The fit as it is chosen for, together with all others; its gap is the torque in N m."""
        term = Term(place, self.rate.value, self.pivot, self.rate.standard)
        rest = self.at_pivot.value - self.rate.value * self.pivot
        return Gap(name, rest, self.at_pivot.standard, (term,), lower, upper, self.goal, suspects)


@dataclass(frozen=True, slots=True)
class TwoSided:
    """Two shims: their sum sets the preload, their split the backlash.

    All in millimetres.  The play without any shims is `rest`; the backlash is `backlash` when the left shim is `left`
    thick, and grows by `rate` for every millimetre that it grows.  The goals are an interference and a backlash.
    """

    needed_left: Fraction
    needed_right: Fraction
    standard_left: float
    standard_right: float
    rest: Measured
    left: Fraction
    backlash: Measured
    rate: Measured
    goals: tuple[Fraction, Fraction]
    working: tuple[str, ...]

    def as_gaps(
        self,
        name: str,
        *,
        places: tuple[str, str],
        preload: tuple[Fraction, Fraction],
        backlash: tuple[Fraction, Fraction],
        suspects: tuple[str, ...] = (),
    ) -> tuple[Gap, Gap]:
        """Both fits as they are chosen for; the limits of the preload are interferences, smallest first."""
        left, right = places
        total = Gap(
            f"{name} preload", self.rest.value, self.rest.standard, (Term(left), Term(right)),
            -preload[1], -preload[0], -self.goals[0], suspects,
        )  # fmt: skip
        split = Gap(
            f"{name} backlash",
            self.backlash.value - self.rate.value * self.left,
            self.backlash.standard,
            (Term(left, self.rate.value, self.left, self.rate.standard),),
            *backlash,
            self.goals[1],
            suspects,
        )
        return total, split


def by_known_rate(trial: Measured, torque: Measured, *, rate: Measured, goal: Fraction) -> TorqueNeeded:
    """The shim that gives a wanted turning torque, from one trial and a rate that is known.

    Parameters
    ----------
    trial : Measured [mm]
        The trial shim.
    torque : Measured [N m]
        The turning torque with it.
    rate : Measured [N m/mm]
        How much harder every millimetre of shim turns.
    goal : Fraction [N m]
        The torque to aim at.

    Returns
    -------
    TorqueNeeded [mm]
        The size that is needed.

    Raises
    ------
    OutOfRange
        The rate is not above zero.

    Examples
    --------
    >>> found = by_known_rate(Measured(Fraction("1.9")), Measured(Fraction("0.7"), 0.05),
    ...                       rate=Measured(Fraction("5.6"), 0.3), goal=Fraction("2.5"))
    >>> round(float(found.size), 3), float(found.gives(Fraction("2.2")).value)
    (2.221, 2.38)
    """
    _check_rate(rate.value)
    off = (goal - torque.value) / rate.value
    size = trial.value + off
    at_trial = Measured(torque.value, math.hypot(torque.standard, float(rate.value) * trial.standard))
    standard = math.hypot(at_trial.standard, float(off) * rate.standard) / float(rate.value)
    working = (
        (
            f"needed = trial + (goal − torque) / rate = {shown(trial.value)} + "
            f"({shown(goal)} − {shown(torque.value)}) / {shown(rate.value)} = {shown(size)} mm, u = {standard:.2g} mm"
        ),
    )
    return TorqueNeeded(size, standard, rate, trial.value, at_trial, goal, working)


def by_two_trials(
    first: tuple[Measured, Measured], second: tuple[Measured, Measured], *, goal: Fraction
) -> TorqueNeeded:
    """The shim that gives a wanted turning torque, from two trials that teach the rate.

    Parameters
    ----------
    first, second : tuple[Measured, Measured] [mm, N m]
        A trial shim, and the turning torque with it.
    goal : Fraction [N m]
        The torque to aim at.

    Returns
    -------
    TorqueNeeded [mm]
        The size that is needed; its uncertainty grows outside the two trials.

    Raises
    ------
    OutOfRange
        Both trials are of one size, or the thicker shim does not turn harder.

    Notes
    -----
    The line through both trials is s = s1 + w (s2 - s1) with w = (goal - T1) / (T2 - T1).  The errors of the trials
    enter with 1 - w and w.  The pivot is the size at which torque and rate are uncorrelated.

    References
    ----------
    JCGM 100:2008, 5.1.2 (law of propagation).

    Examples
    --------
    >>> thin = Measured(Fraction("1.9")), Measured(Fraction("0.7"), 0.1)
    >>> thick = Measured(Fraction("2.1")), Measured(Fraction("1.82"), 0.1)
    >>> found = by_two_trials(thin, thick, goal=Fraction("2.5"))
    >>> float(found.rate.value), round(found.rate.standard, 2), round(float(found.size), 4)
    (5.6, 0.71, 2.2214)
    """
    (s1, t1), (s2, t2) = first, second
    if s1.value == s2.value:
        raise OutOfRange(
            f"both trials were made with {shown(s1.value)} mm; take one with another size to learn the rate."
        )
    rate = (t2.value - t1.value) / (s2.value - s1.value)
    _check_rate(rate)
    # A size that is off is a torque that is off by the rate times as much.
    u1, u2 = (math.hypot(t.standard, float(rate) * s.standard) for s, t in (first, second))
    wide = float(s2.value - s1.value)
    rate_standard = math.hypot(u1, u2) / abs(wide)
    share = Fraction(u1**2 / (u1**2 + u2**2)).limit_denominator(10**6) if u1 or u2 else Fraction(1, 2)
    pivot = s1.value + share * (s2.value - s1.value)
    at_pivot = t1.value + share * (t2.value - t1.value)
    pivot_standard = math.hypot(float(1 - share) * u1, float(share) * u2)
    along = (goal - t1.value) / (t2.value - t1.value)
    size = s1.value + along * (s2.value - s1.value)
    standard = math.hypot(float(1 - along) * u1, float(along) * u2) / float(rate)
    working = (
        (
            f"rate = ({shown(t2.value)} − {shown(t1.value)}) / ({shown(s2.value)} − {shown(s1.value)}) = {shown(rate)} "
            f"N·m/mm, u = {rate_standard:.2g}"
        ),
        (
            f"needed = {shown(s1.value)} + ({shown(goal)} − {shown(t1.value)}) / {shown(rate)} = {shown(size)} mm, "
            f"u = {standard:.2g} mm"
        ),
    )
    return TorqueNeeded(
        size,
        standard,
        Measured(rate, rate_standard),
        pivot,
        Measured(at_pivot, pivot_standard),
        goal,
        working,
    )


def two_sided(
    left: Measured,
    right: Measured,
    *,
    play: Measured,
    backlash: Measured,
    rate: Measured,
    goals: tuple[Fraction, Fraction],
) -> TwoSided:
    """Both shims of a carrier that is held from two sides: the sum for the preload, the split for the backlash.

    Parameters
    ----------
    left, right : Measured [mm]
        The trial shims.
    play : Measured [mm]
        Play between the bearings with both trial shims; negative where they already interfere.
    backlash : Measured [mm]
        Backlash with the carrier against the left shim.
    rate : Measured [-]
        How much the backlash grows for every millimetre that the left shim grows; negative where it shrinks.
    goals : tuple[Fraction, Fraction] [mm]
        The interference and the backlash to aim at.

    Returns
    -------
    TwoSided [mm]
        Both sizes.

    Raises
    ------
    OutOfRange
        The rate is zero, so that no split changes the backlash, or a size would not be above zero.

    Examples
    --------
    >>> m = lambda text: Measured(Fraction(text), 0.01)
    >>> found = two_sided(m("2.00"), m("2.00"), play=m("0.10"), backlash=m("0.21"), rate=Measured(Fraction("-0.7")),
    ...                   goals=(Fraction("0.06"), Fraction("0.14")))
    >>> float(found.needed_left), float(found.needed_right)
    (2.1, 2.06)
    """
    if rate.value == 0:
        raise OutOfRange("the backlash does not change with the left shim; learn the rate from two trials.")
    preload, wanted = goals
    rest = left.value + right.value + play.value
    total = rest + preload
    off = (wanted - backlash.value) / rate.value
    needed_left = left.value + off
    needed_right = total - needed_left
    if min(needed_left, needed_right) <= 0:
        raise OutOfRange(
            f"shims of {shown(needed_left)} and {shown(needed_right)} mm would be needed; both must be above zero. "
            "Look at the signs, and at what is not seated."
        )
    steep = abs(float(rate.value))
    # The left trial shim is where the backlash was read, so its own error moves the size that is needed with it.
    of_split = math.hypot(backlash.standard / steep, float(off) * rate.standard / steep)
    standard_left = math.hypot(left.standard, of_split)
    standard_right = math.hypot(right.standard, play.standard, of_split)
    working = (
        (
            f"total = {shown(left.value)} + {shown(right.value)} + play {shown(play.value)} + interference "
            f"{shown(preload)} = {shown(total)} mm"
        ),
        (
            f"left = {shown(left.value)} + ({shown(wanted)} − {shown(backlash.value)}) / {shown(rate.value)} = "
            f"{shown(needed_left)} mm, u = {standard_left:.2g} mm"
        ),
        (
            f"right = total − left = {shown(total)} − {shown(needed_left)} = {shown(needed_right)} mm, "
            f"u = {standard_right:.2g} mm"
        ),
    )
    return TwoSided(
        needed_left, needed_right, standard_left, standard_right,
        Measured(rest, math.hypot(left.standard, right.standard, play.standard)),
        left.value, Measured(backlash.value, math.hypot(backlash.standard, steep * left.standard)), rate,
        goals, working,
    )  # fmt: skip


def _check_rate(rate: Fraction) -> None:
    if rate <= 0:
        raise OutOfRange(
            f"the rate is {shown(rate)} N·m/mm: a thicker shim must turn harder. Oil the bearings, turn the shaft ten "
            "times each way, and read both again."
        )
