"""Tables that a maker prints: which race or ring for which reading; and bands that are set by turns of a screw."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from countershaft.errors import OutOfRange
from countershaft.planning.gap_fits import Measured
from countershaft.planning.likelihood import within
from countershaft.planning.reach import shown

__all__ = ["BandSetting", "Row", "RowRead", "band_by_turns", "read_table", "table_of_sizes"]


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: for readings from `low` up to, not including, `high` [mm] this code and size [mm]."""

    low: Fraction
    high: Fraction
    code: str
    size: Fraction


@dataclass(frozen=True, slots=True)
class RowRead:
    """What a table says to a reading.

    `chances` names every row that the reading could belong to with its probability, the likeliest first.
    `row` is None where the reading lies beyond the table or between its rows; then `why` says so.
    """

    row: Row | None
    chances: tuple[tuple[str, float], ...]
    suspects: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class BandSetting:
    """How far a band's screw is backed off [turns], the clearance [mm] that leaves, and how uncertain it is [mm]."""

    turns: Fraction
    clearance: Fraction
    standard: float
    off: Fraction
    working: tuple[str, ...]


def read_table(rows: Sequence[Row], reading: Measured, *, suspects: tuple[str, ...] = ()) -> RowRead:
    """The row of a table that a reading belongs to, and which others it could be.

    Parameters
    ----------
    rows : Sequence[Row] (n,) [mm]
        The table, its readings rising.
    reading : Measured [mm]
        The reading.
    suspects : tuple[str, ...], optional
        What to look at where the reading lies beyond the table.

    Returns
    -------
    RowRead
        The row, or why there is none.

    Raises
    ------
    OutOfRange
        The table is empty, a row is upside down, or two rows overlap.

    Examples
    --------
    >>> mm = Fraction
    >>> rows = [Row(mm("0.50"), mm("0.60"), "3", mm("2.10")), Row(mm("0.60"), mm("0.70"), "4", mm("2.20"))]
    >>> found = read_table(rows, Measured(mm("0.59"), 0.01))
    >>> found.row.code, [(code, round(chance, 2)) for code, chance in found.chances]
    ('3', [('3', 0.84), ('4', 0.16)])
    """
    _check_rows(rows)
    value, spread = float(reading.value), reading.standard
    chances = [(row.code, within(value, spread, lower=float(row.low), upper=float(row.high))) for row in rows]
    likely = tuple(sorted((one for one in chances if one[1] >= 0.005), key=lambda one: -one[1]))
    row = next((row for row in rows if row.low <= reading.value < row.high), None)
    if row is not None:
        others = [code for code, _ in likely if code != row.code]
        why = f"{shown(reading.value)} mm belongs to {row.code}."
        if others:
            why += f" It could be {', '.join(others)} as well: read again, or use a finer instrument."
        return RowRead(row, likely if spread else ((row.code, 1.0),), (), why)
    if rows[0].low <= reading.value < rows[-1].high:
        why = f"the table has no row for {shown(reading.value)} mm; look at it again, a line may be missing."
        return RowRead(None, likely, (), why)
    return RowRead(
        None, likely, suspects,
        f"{shown(reading.value)} mm lies beyond the table, {shown(rows[0].low)} to {shown(rows[-1].high)} mm. "
        "A selective part must not make up for a fault.",
    )  # fmt: skip


def table_of_sizes(
    sizes: Sequence[tuple[str, Fraction]], *, trial: Fraction, goal: Fraction
) -> tuple[Row, ...]:
    """The table that sizes make: for which reading with a trial part each of them comes nearest to the goal.

    Parameters
    ----------
    sizes : Sequence[tuple[str, Fraction]] (n,) [mm]
        Code and size of each part, rising; two or more.
    trial : Fraction [mm]
        The part in place when the gap is read.
    goal : Fraction [mm]
        The gap to aim at.

    Returns
    -------
    tuple[Row, ...] [mm]
        One row each, from half a step below the first to half a step above the last.

    Raises
    ------
    OutOfRange
        There are fewer than two sizes, or they do not rise.

    Examples
    --------
    >>> mm = Fraction
    >>> rows = table_of_sizes([("A", mm("1.8")), ("B", mm("2.0"))], trial=mm("1.8"), goal=mm("0.4"))
    >>> [(row.code, float(row.low), float(row.high)) for row in rows]
    [('A', 0.3, 0.5), ('B', 0.5, 0.7)]
    """
    figures = [size for _, size in sizes]
    if len(figures) < 2 or figures != sorted(set(figures)):
        raise OutOfRange("a table needs two sizes or more, rising without repeats.")
    middles = [(low + high) / 2 for low, high in pairwise(figures)]
    edges = [2 * figures[0] - middles[0], *middles, 2 * figures[-1] - middles[-1]]
    return tuple(
        Row(edges[place] + goal - trial, edges[place + 1] + goal - trial, code, size)
        for place, (code, size) in enumerate(sizes)
    )


def band_by_turns(
    clearance: Fraction,
    *,
    pitch: Fraction,
    ratio: Fraction = Fraction(1),
    settable: Fraction = Fraction(1, 8),
    angle: float = 0.02,
) -> BandSetting:
    """How many turns to back off the screw of a band, so that its end can move by a wanted clearance.

    Parameters
    ----------
    clearance : Fraction [mm]
        The travel that the end of the band shall have.
    pitch : Fraction [mm]
        Pitch of the screw: its travel for one turn.
    ratio : Fraction [-]
        Travel of the band's end over travel of the screw; 1 where the screw bears on the band itself.
    settable : Fraction [turns]
        The part of a turn to which the screw can be set, against its lock nut.
    angle : float [turns]
        Standard uncertainty of the turns, from the feel of the stop to the lock nut.

    Returns
    -------
    BandSetting [turns]
        Turns, and the clearance that they leave.

    Raises
    ------
    OutOfRange
        A length, the ratio or the step is not above zero, or the uncertainty is negative.

    References
    ----------
    One turn of a screw moves it by its pitch (for a thread with one start): ISO 5408.  Common practice, no source: the
    screw is first brought to the stop with the torque that the maker gives.

    Examples
    --------
    >>> found = band_by_turns(Fraction("2.5"), pitch=Fraction("1.25"))
    >>> float(found.turns), float(found.clearance), round(found.standard, 3)
    (2.0, 2.5, 0.025)
    """
    if min(clearance, pitch, ratio, settable) <= 0 or not angle >= 0:
        raise OutOfRange(
            "clearance, pitch, ratio and the step of a turn must be above zero, the angle not below."
        )
    wanted = clearance / (pitch * ratio)
    turns = math.floor(wanted / settable + Fraction(1, 2)) * settable
    left = turns * pitch * ratio
    working = (
        f"turns = clearance / (pitch · ratio) = {shown(clearance)} / {shown(pitch * ratio)} = {shown(wanted)}",
        f"set to {turns} turns: {turns} · {shown(pitch)} · {shown(ratio)} = {shown(left)} mm",
    )
    return BandSetting(turns, left, angle * float(pitch * ratio), left - clearance, working)


def _check_rows(rows: Sequence[Row]) -> None:
    if not rows:
        raise OutOfRange("the table has no rows; type it from the sheet.")
    for row in rows:
        if row.low >= row.high:
            raise OutOfRange(
                f"row {row.code} runs from {shown(row.low)} to {shown(row.high)} mm; swap the two."
            )
    for first, second in pairwise(rows):
        if second.low < first.high:
            raise OutOfRange(
                f"rows {first.code} and {second.code} overlap at {shown(second.low)} mm; correct one of them."
            )
