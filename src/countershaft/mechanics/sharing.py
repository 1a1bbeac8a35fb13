"""How the forces of a train come upon its shift elements and its case: summed up at each place, then shared out.

All torques are whole numbers over the denominator that the forces share.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from countershaft.errors import TrainError
from countershaft.mechanics.forces import Forces, Loading
from countershaft.mechanics.layout import CASE, Tie
from countershaft.mechanics.sparse import IntRow, Reduced, reduce_rows, thin

__all__ = ["Share", "Shares", "Tally", "share_out"]

#: A torque in parts of the forces' denominator; a fraction only where open forces stand beside it.
Share = int | Fraction


class Tally(NamedTuple):
    """Forces summed up: what the sets ask for at each place, less the loads, and what is lost in them.

    `lost` is None where the power of a force is not known, `bearings` where a pair's force is not; `open` names the
    sets and members whose torque is open.
    """

    forces: Forces
    demand: list[int]
    bearings: int | None
    lost: int | None
    open: list[str]

    @classmethod
    def of(cls, loading: Loading, forces: Forces) -> Tally:
        """Sum up the forces of a loaded train."""
        speeds = loading.speeds
        demand = [0] * len(speeds)
        still_open = [loading.layout.members[place] for place in forces.open]
        bearings, lost = 0, 0
        told, known = True, not still_open
        for spokes, torques in zip(loading.layout.spokes, forces.ports, strict=True):
            carrier = spokes.carrier
            carried, base = 0, speeds[carrier]
            for place, torque in zip(spokes.places, torques, strict=True):
                if torque:
                    carried -= torque
                    demand[place] += torque
                    speed = speeds[place]
                    if speed is None or base is None:
                        # What floats may carry torque, but then nobody knows its power.
                        known = False
                    else:
                        lost += torque * (speed - base)
                elif torque is None:
                    known = False
                    still_open.append(spokes.star.origin)
                    told = told and carrier != CASE
            demand[carrier] += carried
            if carrier == CASE:
                bearings += carried
        for place, torque in forces.acting.items():
            demand[place] -= torque
        return cls(forces, demand, bearings if told else None, lost if known else None, still_open)


class Shares(NamedTuple):
    """Torque of each element, torque of the case on each member held to it, and what statics does not say."""

    held: dict[str, Share]
    at_case: dict[int, Share | None]
    open: list[str]


def share_out(loading: Loading, forces: Forces, tallies: Sequence[Tally]) -> list[Shares]:
    """What each element takes, for each tally; elements that join the same two places are told together only.

    Parameters
    ----------
    loading : Loading
        What acts on the train.
    forces : Forces
        The forces without losses, which say what is open.
    tallies : Sequence[Tally] [-]
        Sums of the forces without losses, and of those with losses where there are any.

    Returns
    -------
    list[Shares]
        One for each tally.

    Raises
    ------
    TrainError
        What acts on a member does not add up, which would be a fault of this program.

    Examples
    --------
    Sun 30 of a set drives, its ring of 72 is braked:

    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.layout import Layout
    >>> layout = Layout.of(("S", "C", "R"), [SinglePinion("P", "S", "C", "R", 30, 72)], ())
    >>> loading = Loading(layout, [1, 2, 0, 0], [("B", (2, CASE))], {0: Fraction(1)}, [1], (17, 5, 0, 0))
    >>> forces = Forces([[5, 12]], {0: 5, 1: -17}, (), 5)
    >>> share_out(loading, forces, [Tally.of(loading, forces)])[0].held
    {'B': 12}
    """
    peeled = _peeled(loading, tallies)
    if peeled is not None:
        return peeled
    bundles: dict[Tie, list[str]] = {}
    for name, (first, second) in loading.ties:
        tie = (second, first) if (second, first) in bundles else (first, second)
        bundles.setdefault(tie, []).append(name)
    found = _share_equations(loading, forces, tuple(bundles), tallies)
    shares = [Shares({}, {}, []) for _ in tallies]
    for column, ((first, second), names) in enumerate(bundles.items()):
        row = found.settled(column)
        for place, side in enumerate(shares, found.width):
            torque: Share | None = None
            if row is not None:
                torque = row.get(place, 0)
                torque = torque if row[column] == 1 else Fraction(torque, row[column])
            if second == CASE:
                side.at_case[first] = torque
            if torque is None or len(names) > 1:
                side.open.extend(name for name in names if name)
            elif names[0]:
                side.held[names[0]] = torque
    return shares


def _peeled(loading: Loading, tallies: Sequence[Tally]) -> list[Shares] | None:
    """What each element takes where the ties make no circle: the last tie at a place takes all that is left there.

    None where ties make a circle, or where a set's force is open.
    """
    if tallies[0].open or max(loading.label) + 1 != len(loading.label) - len(loading.ties):
        return None
    ties, order = list(loading.ties), []
    count = [0] * len(loading.label)
    for _, (first, second) in ties:
        count[first] += 1
        count[second] += 1
    # The case takes whatever comes, so that it is never the place where a tie is the last one.
    count[CASE] = 0
    while ties:
        name, (first, second) = last = next(tie for tie in ties if 1 in (count[tie[1][0]], count[tie[1][1]]))
        count[first] -= 1
        count[second] -= 1
        ties.remove(last)
        order.append((name, (first, second), count[first] == 0))
    return [_along(order, tally) for tally in tallies]


def _along(order: Sequence[tuple[str, Tie, bool]], tally: Tally) -> Shares:
    """What each tie takes, one after the other, each from its first place or from its second."""
    left, found = tally.demand.copy(), Shares({}, {}, [])
    for name, (first, second), from_first in order:
        if second == CASE:
            torque = found.at_case[first] = left[first]
            left[first] = 0
        elif from_first:
            torque = -left[first]
            left[first] = 0
            left[second] -= torque
        else:
            torque = left[second]
            left[second] = 0
            left[first] += torque
        if name:
            found.held[name] = torque
    left[CASE] = 0
    if any(left):
        raise TrainError(_FAULT)
    return found


def _share_equations(
    loading: Loading, forces: Forces, bundles: Sequence[Tie], tallies: Sequence[Tally]
) -> Reduced:
    """One equation per member: what holds it supplies what its sets ask for, less the loads.

    The unknowns are the bundles of ties, then the forces and reactions that are still open.
    """
    rows: list[IntRow] = [{} for _ in loading.speeds]
    for column, (first, second) in enumerate(bundles):
        rows[first][column] = 1 if second == CASE else -1
        rows[second][column] = 1
    width = len(bundles)
    if tallies[0].open:
        for shares in _open_shares(loading, forces):
            for place, value in shares:
                rows[place][width] = rows[place].get(width, 0) + value
            width += 1
    for side, tally in enumerate(tallies, width):
        for row, value in zip(rows, tally.demand, strict=True):
            if value:
                row[side] = value
    found = reduce_rows([thin(row) for row in rows[:CASE] if row], width)
    if found.rests:
        raise TrainError(_FAULT)
    return found


def _open_shares(loading: Loading, forces: Forces) -> Iterator[list[tuple[int, int]]]:
    """For each force and reaction that is still open, what a unit of it supplies to each member."""
    for spokes, torques in zip(loading.layout.spokes, forces.ports, strict=True):
        if None not in torques:
            continue
        spread = list(zip(spokes.places, spokes.sizes, strict=True))
        if len(spread) == 2:
            (first, size), (second, other) = spread
            yield [(first, -size), (second, other), (spokes.carrier, size - other)]
        else:
            for (place, size), torque in zip(spread, torques, strict=True):
                if torque is None:
                    yield [(place, -size), (spokes.carrier, size)]
    for place in forces.open:
        yield [(place, 1)]


_FAULT = (
    "what acts on a member does not add up to zero; this is a fault of countershaft and not of the train. "
    "Please report it with the train."
)
