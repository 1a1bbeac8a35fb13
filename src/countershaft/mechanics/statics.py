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

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Generic, TypeVar

from countershaft.errors import TrainError
from countershaft.mechanics.exact import Shared
from countershaft.mechanics.forces import Forces, Loading
from countershaft.mechanics.layout import Layout
from countershaft.mechanics.meshes import Star
from countershaft.mechanics.sharing import Share, Shares, Tally, share_out

__all__ = ["Torques", "torques_of", "whole_speeds"]

#: Fractions without losses, floats with them.
Figure = TypeVar("Figure")


@dataclass(frozen=True, slots=True, repr=False)
class Torques(Generic[Figure]):
    """Every torque of a train in balance, checked when made; a torque becomes a figure when it is asked for."""

    _loading: Loading
    _tally: Tally
    _shares: Shares
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
    >>> loading = Loading(layout, [1, 2, 0, 0], [("B", (2, -1))], {0: Fraction(1)}, [1], (17, 5, 0, 0))
    >>> found, _ = torques_of(loading, Forces([[5, 12]], {0: 5, 1: -17}, (), 5))
    >>> {member: str(torque) for member, torque in found.external.items()}
    {'S': '1', 'C': '-17/5', 'R': '12/5'}
    """
    without = Tally.of(loading, lossless)
    tallies = [without] if lossy is None else [without, Tally.of(loading, lossy)]
    shares = share_out(loading, lossless, tallies)
    _check(loading, tallies[0], shares[0], lossless=True)
    exact = Torques(loading, tallies[0], shares[0], Fraction)
    if lossy is None:
        return exact, None
    _check(loading, tallies[1], shares[1], lossless=False)
    return exact, Torques(loading, tallies[1], shares[1], _divided)


def _divided(torque: Share, shared: int) -> float:
    return float(torque / shared)


def _check(loading: Loading, tally: Tally, shares: Shares, *, lossless: bool) -> None:
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
