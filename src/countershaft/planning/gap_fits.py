"""From a reading to the size that is needed: end play, clutch clearance and preload by gap.

Each kind says what is left without the selective part, how uncertain that is, and the working behind it.
Sizes are exact fractions; an uncertainty is a standard uncertainty.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from countershaft.errors import OutOfRange
from countershaft.planning.reach import shown
from countershaft.planning.shelf import Gap, Term

__all__ = [
    "Measured",
    "Needed",
    "Plates",
    "clutch_by_arithmetic",
    "clutch_by_dial",
    "clutch_by_feeler",
    "clutch_under_load",
    "end_play",
    "feeler",
    "interference",
    "preload_by_gap",
]


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured figure and its standard uncertainty, both in one unit."""

    value: Fraction
    standard: float = 0.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.standard) and self.standard >= 0):
            raise OutOfRange(f"the standard uncertainty is {self.standard:g}; expected 0 or more.")


@dataclass(frozen=True, slots=True)
class Plates:
    """Plates of a pack: how many, how thick [mm].

    With `one_measured` a single plate was measured for all of them, so that its error counts as often as there are
    plates; else each was measured, and the errors partly cancel.
    """

    name: str
    count: int
    thickness: Measured
    one_measured: bool = True

    def __post_init__(self) -> None:
        if self.count < 1:
            raise OutOfRange(f"{self.name}: there are {self.count} plates; expected at least 1.")

    @property
    def stack(self) -> Measured:
        """All of them together."""
        times = self.count if self.one_measured else math.sqrt(self.count)
        return Measured(self.count * self.thickness.value, times * self.thickness.standard)


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
    return _needed(
        trial.value + reading.value, math.hypot(trial.standard, reading.standard), goal,
        f"needed = trial + reading − goal = {shown(trial.value)} + {shown(reading.value)}",
    )  # fmt: skip


def feeler(goes: Fraction, refused: Fraction) -> Measured:
    """What two leaves of a feeler gauge say: the thickest that goes in, and the thinnest that does not.

    Parameters
    ----------
    goes, refused : Fraction [mm]
        The two leaves, or stacks of leaves.

    Returns
    -------
    Measured [mm]
        The middle between them; the gap lies evenly anywhere between.

    Raises
    ------
    OutOfRange
        The leaf that does not go in is not the thicker one.

    References
    ----------
    JCGM 100:2008, 4.3.7 (rectangular distribution).

    Examples
    --------
    >>> found = feeler(Fraction("0.20"), Fraction("0.25"))
    >>> float(found.value), round(found.standard, 4)
    (0.225, 0.0144)
    """
    if not 0 <= goes < refused:
        raise OutOfRange(
            f"a leaf of {shown(goes)} mm goes in and one of {shown(refused)} mm does not: the second must be thicker. "
            "Try both again."
        )
    return Measured((goes + refused) / 2, float(refused - goes) / math.sqrt(12))


def clutch_by_feeler(
    trial: Measured, places: Sequence[tuple[Fraction, Fraction]], *, goal: Fraction
) -> Needed:
    """The plate or ring that leaves the wanted clearance, from feeler readings round the pack.

    Parameters
    ----------
    trial : Measured [mm]
        The selective part in place.
    places : Sequence[tuple[Fraction, Fraction]] (n, 2) [mm]
        At each place the thickest leaf that goes in and the thinnest that does not.
    goal : Fraction [mm]
        The clearance to aim at.

    Returns
    -------
    Needed [mm]
        The size that is needed, for the mean of the places.

    Raises
    ------
    OutOfRange
        No place was read, or the two leaves of a place are the wrong way round.

    Notes
    -----
    The same leaves are used everywhere, so their steps do not cancel: the widest counts in full.

    Examples
    --------
    >>> third = (Fraction("1.05"), Fraction("1.10"))
    >>> found = clutch_by_feeler(Measured(Fraction("2.2")), [third] * 3, goal=Fraction("1.05"))
    >>> float(found.size)
    2.225
    """
    read = [feeler(goes, refused) for goes, refused in places]
    mean = _mean(read)
    step = max(one.standard for one in read)
    standard = math.hypot(trial.standard, step, _scatter(read))
    return _needed(
        trial.value + mean, standard, goal,
        f"clearance at {len(read)} places = {', '.join(shown(one.value) for one in read)}: mean {shown(mean)} mm",
        f"needed = in place + clearance − goal = {shown(trial.value)} + {shown(mean)}",
    )  # fmt: skip


def clutch_by_dial(
    trial: Measured, travels: Sequence[tuple[Measured, Measured]], *, goal: Fraction
) -> Needed:
    """The plate or ring that leaves the wanted clearance, from a dial on the pack at rest and lifted.

    Parameters
    ----------
    trial : Measured [mm]
        The selective part in place.
    travels : Sequence[tuple[Measured, Measured]] (n, 2) [mm]
        At each place the dial at rest, and with the pack lifted or the piston applied.
    goal : Fraction [mm]
        The clearance to aim at.

    Returns
    -------
    Needed [mm]
        The size that is needed, for the mean of the places.

    Raises
    ------
    OutOfRange
        No place was read, or a dial shows less lifted than at rest.

    Examples
    --------
    >>> at = [(Measured(Fraction(0), 0.003), Measured(Fraction("1.17"), 0.003))] * 3
    >>> found = clutch_by_dial(Measured(Fraction("2.2")), at, goal=Fraction("1.10"))
    >>> float(found.size), round(found.standard, 4)
    (2.27, 0.0024)
    """
    for rest, lifted in travels:
        if lifted.value <= rest.value:
            raise OutOfRange(
                f"the dial shows {shown(rest.value)} mm at rest and {shown(lifted.value)} mm lifted; expected more "
                "lifted. Set the dial on the moving part, with its plunger pressed in as that rises."
            )
    read = [
        Measured(lifted.value - rest.value, math.hypot(lifted.standard, rest.standard))
        for rest, lifted in travels
    ]
    mean = _mean(read)
    standard = math.hypot(trial.standard, *(one.standard / len(read) for one in read), _scatter(read))
    return _needed(
        trial.value + mean, standard, goal,
        f"travel at {len(read)} places = {', '.join(shown(one.value) for one in read)}: mean {shown(mean)} mm",
        f"needed = in place + travel − goal = {shown(trial.value)} + {shown(mean)}",
    )  # fmt: skip


def clutch_by_arithmetic(depth: Measured, plates: Sequence[Plates], *, goal: Fraction) -> Needed:
    """The plate or ring that leaves the wanted clearance, from the depth of the drum and the stack of the pack.

    Parameters
    ----------
    depth : Measured [mm]
        From the piston, fully back, to the face that the selective part bears on.
    plates : Sequence[Plates] [mm]
        All plates without the selective part.
    goal : Fraction [mm]
        The clearance to aim at.

    Returns
    -------
    Needed [mm]
        The size that is needed.

    Raises
    ------
    OutOfRange
        There are no plates, or they are thicker than the drum is deep.

    Examples
    --------
    >>> pack = [Plates("pack, measured together", 1, Measured(Fraction("19.66"), 0.02))]
    >>> found = clutch_by_arithmetic(Measured(Fraction("23.64"), 0.02), pack, goal=Fraction("1.1"))
    >>> float(found.size), round(found.standard, 3)
    (2.88, 0.028)
    """
    if not plates:
        raise OutOfRange("the pack has no plates; give the stack without the selective part.")
    stacks = [one.stack for one in plates]
    total = sum((one.value for one in stacks), Fraction(0))
    if total >= depth.value:
        raise OutOfRange(
            f"the pack of {shown(total)} mm does not go into a depth of {shown(depth.value)} mm; "
            "count the plates, and measure the depth from the piston fully back."
        )
    standard = math.hypot(depth.standard, *(one.standard for one in stacks))
    terms = " + ".join(f"{one.count} × {shown(one.thickness.value)} ({one.name})" for one in plates)
    return _needed(
        depth.value - total, standard, goal,
        f"stack = {terms} = {shown(total)} mm",
        f"needed = depth − stack − goal = {shown(depth.value)} − {shown(total)}",
    )  # fmt: skip


def clutch_under_load(
    trial: Measured,
    first: tuple[Fraction, Measured],
    second: tuple[Fraction, Measured],
    *,
    load: Fraction,
    goal: Fraction,
) -> Needed:
    """The plate or ring for a clearance that is asked under a load, from readings under two others.

    Parameters
    ----------
    trial : Measured [mm]
        The selective part in place.
    first, second : tuple[Fraction, Measured] [N, mm]
        A load on the pack, and the clearance with it.
    load : Fraction [N]
        The load for which the clearance is given.
    goal : Fraction [mm]
        The clearance to aim at, under that load.

    Returns
    -------
    Needed [mm]
        The size that is needed.

    Raises
    ------
    OutOfRange
        Both readings were taken under one load, or more load gave less clearance.

    Notes
    -----
    Between the two loads, and a little beyond, the pack is taken to give evenly.  The farther beyond, the more the
    errors of both readings count.

    Examples
    --------
    >>> found = clutch_under_load(Measured(Fraction("2.0")), (Fraction(50), Measured(Fraction("1.00"), 0.01)),
    ...                           (Fraction(150), Measured(Fraction("1.10"), 0.01)), load=Fraction(120),
    ...                           goal=Fraction("1.05"))
    >>> float(found.size), round(found.standard, 4)
    (2.02, 0.0076)
    """
    (low, at_low), (high, at_high) = first, second
    if low == high:
        raise OutOfRange(f"both readings were taken under {shown(low)} N; take one under another load.")
    if (at_high.value - at_low.value) / (high - low) < 0:
        raise OutOfRange("more load gave less clearance, which a pack cannot do; read both again.")
    share = (load - low) / (high - low)
    clearance = at_low.value + share * (at_high.value - at_low.value)
    standard = math.hypot(trial.standard, float(1 - share) * at_low.standard, float(share) * at_high.standard)
    return _needed(
        trial.value + clearance, standard, goal,
        f"clearance under {shown(load)} N = {shown(at_low.value)} + {shown(share)} · "
        f"({shown(at_high.value)} − {shown(at_low.value)}) = {shown(clearance)} mm",
        f"needed = in place + clearance − goal = {shown(trial.value)} + {shown(clearance)}",
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
    return _needed(
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


def _needed(rest: Fraction, standard: float, goal: Fraction, *working: str) -> Needed:
    """The size for a goal; the last line of the working is finished here."""
    size = rest - goal
    sign = "−" if goal >= 0 else "+"
    last = f"{working[-1]} {sign} {shown(abs(goal))} = {shown(size)} mm, u = {standard:.2g} mm"
    return Needed(size, standard, rest, goal, (*working[:-1], last))


def _mean(read: Sequence[Measured]) -> Fraction:
    if not read:
        raise OutOfRange("no place was read; take the clearance at one place at least.")
    return sum((one.value for one in read), Fraction(0)) / len(read)


def _scatter(read: Sequence[Measured]) -> float:
    """Standard uncertainty of the mean from the scatter of the places; 0 for one place."""
    if len(read) < 2:
        return 0.0
    mean = _mean(read)
    squares = sum(float(one.value - mean) ** 2 for one in read)
    return math.sqrt(squares / (len(read) - 1) / len(read))
