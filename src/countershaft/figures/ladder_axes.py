"""Where the axes of a speed ladder stand: on levers where the sets have them, else evenly spaced."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from fractions import Fraction

from countershaft.mechanics.lever import Lever, levers
from countershaft.mechanics.network import Network

__all__ = ["Axes", "Axis", "place_axes"]


@dataclass(frozen=True, slots=True)
class Axis:
    """One upright line: its place from 0 to 1, the members that share it, and the lever that it stands on."""

    place: float
    members: tuple[str, ...]
    lever: Lever | None


@dataclass(frozen=True, slots=True)
class Axes:
    """All axes from left to right, and the levers that they stand on."""

    axes: tuple[Axis, ...]
    levers: tuple[Lever, ...]

    @property
    def all_on_one(self) -> bool:
        """Whether every axis stands on one lever."""
        return bool(self.levers) and all(axis.lever is self.levers[0] for axis in self.axes)


_Group = tuple[Lever | None, list[tuple[Fraction, tuple[str, ...]]]]


def place_axes(network: Network, members: Collection[str]) -> Axes:
    """Axes for the members that are asked for.

    A lever is as wide as as many evenly spaced axes would be; members on no lever stand one beside the other.
    Two places make no lever: a straight line goes through them wherever they stand.
    """
    groups = list(_groups(network, members))
    width = sum(max(len(points) - 1, 0) for _, points in groups) + len(groups) - 1
    axes, at = [], 0.0
    for lever, points in groups:
        room = len(points) - 1
        first, span = points[0][0], points[-1][0] - points[0][0]
        for place, names in points:
            share = float((place - first) / span) if span else 0.0
            axes.append(Axis((at + room * share) / width if width else 0.5, names, lever))
        at += room + 1
    return Axes(tuple(axes), tuple(lever for lever, _ in groups if lever is not None))


def _groups(network: Network, members: Collection[str]) -> Iterator[_Group]:
    """Levers and single members in the order of the train, the output last where it stands alone."""
    order = [member for member in network.members if member in members]
    drawn = [lever for lever in levers(network) if len(_points(lever, order)) > 2]
    on = {member: lever for lever in drawn for member in lever.positions}
    if network.output in order and network.output not in on:
        order.remove(network.output)
        order.append(network.output)
    done: list[Lever] = []
    for member in order:
        lever = on.get(member)
        if lever is None:
            yield None, [(Fraction(0), (member,))]
        elif lever not in done:
            done.append(lever)
            yield lever, _points(lever, order)


def _points(lever: Lever, order: list[str]) -> list[tuple[Fraction, tuple[str, ...]]]:
    places: dict[Fraction, list[str]] = {}
    for member in order:
        if member in lever.positions:
            places.setdefault(lever.positions[member], []).append(member)
    return [(place, tuple(names)) for place, names in sorted(places.items())]
