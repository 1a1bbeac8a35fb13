"""From readings on a clutch pack to the size that leaves the wanted clearance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from countershaft.errors import OutOfRange
from countershaft.planning.gap_fits import Measured, Needed, needed_for
from countershaft.planning.reach import shown

__all__ = [
    "Plates",
    "clutch_by_arithmetic",
    "clutch_by_dial",
    "clutch_by_feeler",
    "clutch_under_load",
    "feeler",
]


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
    return needed_for(
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
    return needed_for(
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
    return needed_for(
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
    return needed_for(
        trial.value + clearance, standard, goal,
        f"clearance under {shown(load)} N = {shown(at_low.value)} + {shown(share)} · "
        f"({shown(at_high.value)} − {shown(at_low.value)}) = {shown(clearance)} mm",
        f"needed = in place + clearance − goal = {shown(trial.value)} + {shown(clearance)}",
    )  # fmt: skip


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
