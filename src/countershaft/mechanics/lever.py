"""Levers: gear sets whose members stand on one straight line in every state, and where on it.

The speeds of a planetary set obey one equation whose factors add up to zero: they are the heights of points on a
straight line at fixed distances.  Sets that share members stand on a common line where all that they leave free is
the height of the line and its slope, which is decided by an exact rank.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from countershaft.mechanics.constraints import ConstraintMatrix
from countershaft.mechanics.gear_sets import GearSet
from countershaft.mechanics.network import Network

__all__ = ["Lever", "levers"]


@dataclass(frozen=True, slots=True)
class Lever:
    """Sets with a common lever, and the place of each member on it, from 0 at one end to 1 at the other.

    Members at one place turn as one in every state.
    """

    sets: tuple[str, ...]
    positions: Mapping[str, Fraction]


def levers(network: Network) -> tuple[Lever, ...]:
    """The levers of a train: one for all sets that hang together by common members, where they have one.

    Shift elements, pairs and ground are left aside, since they hold points of a lever and do not shape it.

    Parameters
    ----------
    network : Network
        The gear train.

    Returns
    -------
    tuple[Lever, ...]
        In the order of the sets; none for sets that leave more free than a straight line has.

    References
    ----------
    Benford H.L., Leising M.B., The lever analogy: a new tool in transmission analysis, SAE paper 810102, 1981
    (from memory): on the lever of a simple set the carrier stands between sun and ring, and its distances to them
    are as the teeth of the ring to those of the sun.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> train = Network("S", "C", sets=(SinglePinion("P", "S", "C", "R", 30, 70),))
    >>> {member: str(place) for member, place in levers(train)[0].positions.items()}
    {'S': '0', 'C': '7/10', 'R': '1'}
    """
    found = (_lever(network, sets) for sets in _joined(network.sets))
    return tuple(lever for lever in found if lever is not None)


def _joined(sets: Sequence[GearSet]) -> list[list[GearSet]]:
    """The sets in groups that share members, each in the order of the train."""
    groups: list[tuple[set[str], list[GearSet]]] = []
    for part in sets:
        members, parts = set(part.members), [part]
        for group in [group for group in groups if group[0] & members]:
            members |= group[0]
            parts = [*group[1], *parts]
            groups.remove(group)
        groups.append((members, parts))
    order = {part.id: place for place, part in enumerate(sets)}
    joined = [sorted(parts, key=lambda part: order[part.id]) for _, parts in groups]
    return sorted(joined, key=lambda parts: order[parts[0].id])


def _lever(network: Network, sets: Sequence[GearSet]) -> Lever | None:
    """The common lever of sets; None where they have none."""
    touched = {member for part in sets for member in part.members}
    members = tuple(member for member in network.members if member in touched)
    rows = tuple(row for part in sets for row in part.rows())
    form = ConstraintMatrix(members, rows).echelon
    free = [column for column in range(len(members)) if column not in form.pivots]
    if len(free) > 2 or any(sum(row) for row in form.rows):
        return None
    # A slope of the line: the first free speed one, the other zero.
    raw = [Fraction(0)] * len(members)
    if len(free) == 2:
        raw[free[0]] = Fraction(1)
        for row, pivot in zip(form.rows, form.pivots, strict=True):
            raw[pivot] = -row[free[0]]
    kept = set(network.layout.members)
    on_it = {member: place for member, place in zip(members, raw, strict=True) if member in kept}
    return Lever(tuple(part.id for part in sets), _from_zero_to_one(on_it, network))


def _from_zero_to_one(raw: Mapping[str, Fraction], network: Network) -> dict[str, Fraction]:
    """Places scaled to the ends, with the input before the output, or else the first member before the last."""
    low, high = min(raw.values()), max(raw.values())
    span = high - low or Fraction(1)
    order = list(raw)
    both_ends = network.input in raw and network.output in raw
    first, last = (network.input, network.output) if both_ends else (order[0], order[-1])
    if raw[first] > raw[last]:
        return {member: (high - place) / span for member, place in raw.items()}
    return {member: (place - low) / span for member, place in raw.items()}
