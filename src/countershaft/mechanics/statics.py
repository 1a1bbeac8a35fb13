"""Torques on every member, shift element, set and on the case, from the forces of the stars.

Conventions, the same in the whole package and in the published cases:

- A torque is the external torque that acts on the train at a member; positive would turn the member the + way.
  With an input torque of +1, a forward output has a negative torque.
- A brake's torque is the external torque on its member.  The torque of an element between two members is handed
  from the first that it names to the second.
- The external torques add up to zero, with what the case bears of gear pairs among them.
- Power is torque times speed, and positive where it goes into the train; speeds are per turn of the input.

Both sums are taken of every answer that leaves this module: torques add up to zero, and the powers to what is lost.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Generic, NamedTuple, TypeVar

from countershaft.errors import TrainError
from countershaft.mechanics.exact import Shared
from countershaft.mechanics.forces import Forces, Loading
from countershaft.mechanics.layout import CASE, Layout, Tie
from countershaft.mechanics.meshes import Star
from countershaft.mechanics.sparse import IntRow, Reduced, reduce_rows, thin

__all__ = ["Torques", "torques_of", "whole_speeds"]

#: Fractions without losses, floats with them.
Figure = TypeVar("Figure")

#: A torque in parts of the forces' denominator; a fraction only where open forces stand beside it.
Share = int | Fraction


@dataclass(frozen=True, slots=True, repr=False)
class Torques(Generic[Figure]):
    """Every torque of a train in balance, checked when made; a torque becomes a figure when it is asked for."""

    _loading: Loading
    _tally: _Tally
    _shares: _Shares
    _figure: Callable[[Share, int], Figure]

    def __repr__(self) -> str:
        return f"Torques(external={self.external}, elements={self.elements})"

    @property
    def external(self) -> dict[str, Figure]:
        """Torque at each member that something outside the train acts on.

        That are the given loads, what reacts to them, and braked and grounded members.
        """
        members = self._loading.layout.members
        found: dict[str, Share] = {
            members[place]: torque for place, torque in self._tally.forces.acting.items()
        }
        for place, share in self._shares.at_case.items():
            if share is not None:
                found[members[place]] = found.get(members[place], 0) + share
        return self._figures(found)

    @property
    def elements(self) -> dict[str, Figure]:
        """Torque of each shift element."""
        return self._figures(self._shares.held)

    @property
    def stars(self) -> list[tuple[Star, dict[str, Figure]]]:
        """For each star whose forces are known, what acts on it at each port and at its carrier."""
        found = []
        for spokes, torques in zip(self._loading.layout.spokes, self._tally.forces.ports, strict=True):
            if spokes.star.origin not in self._tally.open:
                told = [torque or 0 for torque in torques]
                at = dict(zip(spokes.names, (*told, -sum(told)), strict=False))
                found.append((spokes.star, self._figures(at)))
        return found

    @property
    def sets(self) -> dict[str, dict[str, Figure]]:
        """What acts on each set and pair at each of its members."""
        found: dict[str, dict[str, Share]] = {}
        for spokes, torques in zip(self._loading.layout.spokes, self._tally.forces.ports, strict=True):
            if spokes.star.origin not in self._tally.open:
                told = [torque or 0 for torque in torques]
                at = found.setdefault(spokes.star.origin, {})
                for name, torque in zip(spokes.names, (*told, -sum(told)), strict=False):
                    at[name] = at.get(name, 0) + torque
        return {origin: self._figures(at) for origin, at in found.items()}

    @property
    def bearings(self) -> Figure | None:
        """What the case bears of gear pairs."""
        return None if self._tally.bearings is None else self._figure(self._tally.bearings, self._shared)

    @property
    def ground(self) -> Figure | None:
        """All that the case exerts: on braked and grounded members, and through the bearings of pairs."""
        if self._tally.forces.open:
            return None
        return self._figure(-sum(self._tally.forces.acting.values()), self._shared)

    @property
    def indeterminate(self) -> tuple[str, ...]:
        """Elements, sets and members that share a load by their stiffness alone.

        Statics does not say their torques, and they are left out of the others.
        """
        return tuple(dict.fromkeys((*self._shares.open, *self._tally.open)))

    @property
    def _shared(self) -> int:
        return self._tally.forces.shared

    def _figures(self, torques: Mapping[str, int] | Mapping[str, Share]) -> dict[str, Figure]:
        return {name: self._figure(torque, self._shared) for name, torque in torques.items()}


def whole_speeds(layout: Layout, speeds: Mapping[str, Fraction]) -> tuple[tuple[int | None, ...], int]:
    """Speeds of the members and, last, of the case, as whole numbers over one denominator.

    Parameters
    ----------
    layout : Layout
        The train.
    speeds : Mapping[str, Fraction] [any unit of speed]
        Member to its speed; one that floats is left out.

    Returns
    -------
    tuple[tuple[int | None, ...], int] [-]
        The numerators, None for what floats, and the denominator that they share.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import GearPair
    >>> layout = Layout.of(("a", "b", "c"), [GearPair("Z", "a", "b", 2, 3)], ())
    >>> whole_speeds(layout, {"a": Fraction(1, 2), "b": Fraction(-1, 3)})
    ((3, -2, None, 0), 6)
    """
    if isinstance(speeds, Shared):
        # Speeds are whole over their own denominator.
        whole: Mapping[str, int] = speeds.numbers  # type: ignore[assignment]
        return (*map(whole.get, layout.members), 0), speeds.shared
    shared = lcm(*(speed.denominator for speed in speeds.values()))
    whole = {member: speed.numerator * (shared // speed.denominator) for member, speed in speeds.items()}
    return (*map(whole.get, layout.members), 0), shared


def torques_of(
    loading: Loading, lossless: Forces, lossy: Forces | None = None
) -> tuple[Torques[Fraction], Torques[float] | None]:
    """Every torque, exactly without losses, and rounded to figures with them.

    Parameters
    ----------
    loading : Loading
        What acts on the train.
    lossless : Forces
        The forces that balance it where nothing is lost.
    lossy : Forces, optional
        The forces that balance it with its losses.

    Returns
    -------
    tuple[Torques[Fraction], Torques[float] | None] [unit of the loads]
        The torques that statics says, without losses and with them.

    Raises
    ------
    TrainError
        The torques do not balance, which would be a fault of this program.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> layout = Layout.of(("S", "C", "R"), [SinglePinion("P", "S", "C", "R", 30, 72)], ())
    >>> loading = Loading(layout, [1, 2, 0, 0], [("B", (2, CASE))], {0: Fraction(1)}, [1], (17, 5, 0, 0))
    >>> found, _ = torques_of(loading, Forces([[5, 12]], {0: 5, 1: -17}, (), 5))
    >>> {member: str(torque) for member, torque in found.external.items()}
    {'S': '1', 'C': '-17/5', 'R': '12/5'}
    """
    without = _Tally.of(loading, lossless)
    tallies = [without] if lossy is None else [without, _Tally.of(loading, lossy)]
    shares = _shared_out(loading, lossless, tallies)
    _check(loading, tallies[0], shares[0], lossless=True)
    exact = Torques(loading, tallies[0], shares[0], Fraction)
    if lossy is None:
        return exact, None
    _check(loading, tallies[1], shares[1], lossless=False)
    return exact, Torques(loading, tallies[1], shares[1], _divided)


def _divided(torque: Share, shared: int) -> float:
    return float(torque / shared)


class _Tally(NamedTuple):
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
    def of(cls, loading: Loading, forces: Forces) -> _Tally:
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


class _Shares(NamedTuple):
    """Torque of each element, torque of the case on each member held to it, and what statics does not say."""

    held: dict[str, Share]
    at_case: dict[int, Share | None]
    open: list[str]


def _shared_out(loading: Loading, forces: Forces, tallies: Sequence[_Tally]) -> list[_Shares]:
    """What each element takes, for each tally; elements that join the same two places are told together only."""
    bundles: dict[Tie, list[str]] = {}
    for name, (first, second) in loading.ties:
        tie = (second, first) if (second, first) in bundles else (first, second)
        bundles.setdefault(tie, []).append(name)
    found = _share_equations(loading, forces, tuple(bundles), tallies)
    shares = [_Shares({}, {}, []) for _ in tallies]
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


def _share_equations(
    loading: Loading, forces: Forces, bundles: Sequence[Tie], tallies: Sequence[_Tally]
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
        raise TrainError(_FAULT.format("what acts on a member does not add up to zero"))
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


def _check(loading: Loading, tally: _Tally, shares: _Shares, *, lossless: bool) -> None:
    """Torques add up to zero, and the power that goes in is what the sets lose; both to the last digit."""
    acting = tally.forces.acting
    total: Share = sum(acting.values())
    if tally.bearings is not None and not tally.open:
        total += tally.bearings
        for share in shares.at_case.values():
            if share is None:
                break
            total += share
        else:
            if total:
                raise TrainError(_FAULT.format("the external torques do not add up to zero"))
    if tally.lost is None:
        return
    into = 0
    for place, torque in acting.items():
        into += torque * (loading.speeds[place] or 0)
    if into != tally.lost or tally.lost < 0 or (lossless and tally.lost):
        raise TrainError(_FAULT.format("the power that goes in is not the power that is lost"))


_FAULT = "{}; this is a fault of countershaft and not of the train. Please report it with the train."
