"""The equations of torque balance of a train, and the forces that solve them, in whole numbers.

The rows that tie speeds together are, read downwards, the ways in which torque can pass: a row's coefficients times
one force are torques that do no work (duality, the principle of virtual work).  So the unknowns are one force per
row of every star, and the torques at the members that react; each node of members that turn as one gives an
equation.  Where a port loses power, its torque is its force times its efficiency where power goes out, and the force
over its efficiency where power comes in; the equations without losses are solved once with each such port's share as
a further right hand side, and the losses are put in afterwards.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import lcm, prod
from typing import NamedTuple

from countershaft.errors import TrainError
from countershaft.mechanics.layout import Layout, Spokes, Tie
from countershaft.mechanics.losses import Losses
from countershaft.mechanics.meshes import Mesh
from countershaft.mechanics.rolling import Roller, Rolling
from countershaft.mechanics.sparse import IntRow, Reduced, reduce_rows

__all__ = ["Equations", "Forces", "Loading", "LossPort", "PortMesh", "equations", "loss_ports"]


class PortMesh(NamedTuple):
    """A mesh on the way from a member to the hub.

    `near` says whether its first wheel is the one nearer to the member; `port` is the port whose member that first
    wheel is, None where it is a planet.
    """

    mesh: Mesh
    efficiency: float
    near: bool
    port: int | None


@dataclass(frozen=True, slots=True)
class LossPort:
    """A port of a star with its meshes, from its member inwards; of a star with two ports the second has them all.

    `kept` is the efficiency of all of them as a figure.
    """

    star: int
    port: int
    efficiency: Fraction
    kept: float
    meshes: tuple[PortMesh, ...]


def loss_ports(layout: Layout, losses: Losses) -> tuple[LossPort, ...]:
    """The ports of all stars with their meshes and efficiencies.

    Parameters
    ----------
    layout : Layout
        The train.
    losses : Losses
        Its efficiencies.

    Returns
    -------
    tuple[LossPort, ...]
        One for each star with two ports, one for each port of any other.

    Raises
    ------
    TrainError
        A single efficiency is given for a mesh or set that is not there.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.losses import MeshLosses
    >>> layout = Layout.of(("S", "C", "R"), [SinglePinion("P", "S", "C", "R", 30, 72)], ())
    >>> [port.efficiency for port in loss_ports(layout, MeshLosses("0.99", internal="0.995"))]
    [Fraction(19701, 20000)]
    """
    found: list[LossPort] = []
    for index, spokes in enumerate(layout.spokes):
        place = {port.member: number for number, port in enumerate(spokes.star.ports)}
        near = [[(*charge, True) for charge in charges] for charges in losses.charges(spokes.star)]
        if len(near) == 2:
            near = [[], near[1] + [(mesh, value, False) for mesh, value, _ in reversed(near[0])]]
        for port, charges in enumerate(near):
            if charges:
                whole = prod((value for _, value, _ in charges), start=Fraction(1))
                meshes = (
                    PortMesh(mesh, float(value), side, place.get(mesh.first)) for mesh, value, side in charges
                )
                found.append(LossPort(index, port, whole, float(whole), tuple(meshes)))
    known = {one.mesh.id for port in found for one in port.meshes}
    known |= {spokes.star.origin for spokes in layout.spokes}
    unknown = [name for name in losses.special if name not in known]
    if unknown:
        raise TrainError(
            f"there is no mesh or set {unknown[0]!r} to lose power; known are {', '.join(sorted(known))}."
        )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Loading:
    """What acts on a train: what holds, the given torques, and the members that react to them.

    `label` is the node of each member and, last, of the case; `ties` are the places held together, each with the
    name of what holds it, empty for a grounded member.  `speeds` are those of the members and, last, of the case, as
    whole numbers over `pace`; None where one floats.
    """

    layout: Layout
    label: Sequence[int]
    ties: Sequence[tuple[str, Tie]]
    loads: Mapping[int, Fraction]
    reacting: Sequence[int]
    speeds: Sequence[int | None]
    pace: int = 1


class Forces(NamedTuple):
    """Torque of every port, and of every load and reaction by its place, as whole numbers over `shared`.

    Where parts share a load by their stiffness alone, statics does not say a torque: the port's is None, and the
    place of a reaction stands under `open` and not under `acting`.
    """

    ports: list[list[int | None]]
    acting: dict[int, int]
    open: tuple[int, ...]
    shared: int


@dataclass(frozen=True)
class Equations:
    """The equations of one loaded train, reduced.

    `kinks` are the ports that lose power, each with its unknown and the sign and sense that it rolls with.
    """

    loading: Loading
    kinks: Sequence[tuple[LossPort, int, int, int]]
    reduced: Reduced
    unit: int

    @cached_property
    def _settled(self) -> tuple[dict[int, IntRow], int]:
        """The rows of the unknowns that statics says, and the denominator that they share."""
        width = self.reduced.width
        rows: dict[int, IntRow] = {}
        for unknown, row in self.reduced.pivots.items():
            for column in row:
                if column < width and column != unknown:
                    break
            else:
                rows[unknown] = row
        return rows, lcm(*[row[unknown] for unknown, row in rows.items()])

    @property
    def balanced(self) -> bool:
        """Whether the loads can be held at all, losses aside."""
        return not any(self.reduced.width in rest for rest in self.reduced.rests)

    @property
    def open_kinks(self) -> tuple[LossPort, ...]:
        """Ports that lose power and whose share of the load statics does not say."""
        return tuple(port for port, unknown, _, _ in self.kinks if unknown not in self._settled[0])

    @cached_property
    def loaded_kinks(self) -> list[int]:
        """The kinks that can carry power; the others have no load, and feel the losses of none that has."""
        width, rows = self.reduced.width, self.reduced.pivots
        loaded = [place for place, (_, unknown, _, _) in enumerate(self.kinks) if width in rows[unknown]]
        for column in (width + 1 + place for place in loaded):
            # The list grows while it is walked: what feels a loaded kink is loaded itself.
            for place, (_, unknown, _, _) in enumerate(self.kinks):
                if place not in loaded and column in rows[unknown]:
                    loaded.append(place)
        return sorted(loaded)

    def rollers(self) -> list[Roller]:
        """The equations of the ports that carry and lose power, among themselves."""
        width, found = self.reduced.width, []
        number = {width + 1 + place: index for index, place in enumerate(self.loaded_kinks)}
        for place in self.loaded_kinks:
            port, unknown, sign, sense = self.kinks[place]
            row, base, pull = self.reduced.pivots[unknown], 0, {}
            for column, value in row.items():
                if column in number:
                    pull[number[column]] = sign * value
                elif column == width:
                    base = sign * value
            kept, whole = port.efficiency.numerator, port.efficiency.denominator
            found.append(Roller(row[unknown], base, pull, sense, kept, whole))
        return found

    def lossless(self) -> Forces:
        """The forces without losses."""
        return self._forces(*self._unknowns({}, 1))

    def lossy(self, way: Rolling, rollers: Sequence[Roller]) -> Forces | None:
        """The forces as power rolls in one way; None where the losses themselves cannot be held."""
        shares, factors, first = {}, [], self.reduced.width + 1
        loaded = self.loaded_kinks
        for place, roller, inward, number in zip(loaded, rollers, way.inward, way.numbers, strict=True):
            factor, _, over = roller.step(inward)
            shares[first + place] = -over * number
            factors.append(factor * number)
        for rest in self.reduced.rests:
            if sum(value * shares.get(place, 0) for place, value in rest.items()):
                return None
        forces = self._forces(*self._unknowns(shares, way.shared))
        scale = forces.shared // (way.shared * self.unit)
        for place, factor in zip(loaded, factors, strict=True):
            port = self.kinks[place][0]
            size = self.loading.layout.spokes[port.star].sizes[port.port]
            forces.ports[port.star][port.port] = size * factor * scale
        return forces

    def _unknowns(self, shares: Mapping[int, int], part: int) -> tuple[list[int | None], int]:
        """Every unknown over one denominator, with each kink's share over `part`."""
        width = self.reduced.width
        settled, shared = self._settled
        values: list[int | None] = [None] * width
        for unknown, row in settled.items():
            total = 0
            for column, value in row.items():
                if column > width:
                    total += value * shares.get(column, 0)
                elif column == width:
                    total += value * part
            values[unknown] = total * (shared // row[unknown])
        return values, shared * part * self.unit

    def _forces(self, values: Sequence[int | None], shared: int) -> Forces:
        """The forces by port and place, kinks as if they lost nothing."""
        loading = self.loading
        starts, count = loading.layout.starts
        ports: list[list[int | None]] = []
        for spokes, start in zip(loading.layout.spokes, starts, strict=True):
            sizes = spokes.sizes
            if len(sizes) == 2:
                force = values[start]
                ports.append([None, None] if force is None else [sizes[0] * force, -sizes[1] * force])
            elif len(sizes) == 1:
                ports.append([0])
            else:
                pairs = zip(sizes, values[start : start + len(sizes)], strict=True)
                ports.append([None if force is None else size * force for size, force in pairs])
        acting = {
            place: torque.numerator * (shared // torque.denominator)
            for place, torque in loading.loads.items()
        }
        still_open = []
        for place, reaction in zip(loading.reacting, values[count:], strict=True):
            if reaction is None:
                still_open.append(place)
            else:
                acting[place] = reaction
        return Forces(ports, acting, tuple(still_open), shared)


def equations(loading: Loading, ports: Sequence[LossPort] = ()) -> Equations:
    """Set up and reduce the equations of a loaded train.

    Parameters
    ----------
    loading : Loading
        What acts on the train; no member is loaded and reacting at once.
    ports : Sequence[LossPort]
        What loses power; none for the torques without losses.

    Returns
    -------
    Equations
        The reduced equations.

    Examples
    --------
    Sun 30, ring 72 held, a torque of 1 on the sun:

    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> layout = Layout.of(("S", "C", "R"), [SinglePinion("P", "S", "C", "R", 30, 72)], ())
    >>> loading = Loading(layout, [1, 2, 0, 0], [("B", (2, -1))], {0: Fraction(1)}, [1], (17, 5, 0, 0))
    >>> equations(loading).lossless()
    Forces(ports=[[5, 12]], acting={0: 5, 1: -17}, open=(), shared=5)
    """
    layout, label = loading.layout, loading.label
    starts, first = layout.starts
    width = first + len(loading.reacting)
    rows: list[IntRow] = [{} for _ in range(max(label) + 1)]
    for spokes, start in zip(layout.spokes, starts, strict=True):
        _add_star(rows, label, spokes, start)
    for place, member in enumerate(loading.reacting, first):
        rows[label[member]][place] = -1
    unit = lcm(*[torque.denominator for torque in loading.loads.values()])
    for member, torque in loading.loads.items():
        row = rows[label[member]]
        row[width] = row.get(width, 0) + torque.numerator * (unit // torque.denominator)
    kinks = _kinks(loading, starts, ports)
    for column, (port, _, _, _) in enumerate(kinks, width + 1):
        spokes = layout.spokes[port.star]
        size, hub = spokes.sizes[port.port], label[spokes.carrier]
        rows[label[spokes.places[port.port]]][column] = size
        rows[hub][column] = rows[hub].get(column, 0) - size
    rows[0] = {}
    thin = [{column: value for column, value in row.items() if value} for row in rows]
    return Equations(loading, kinks, reduce_rows(thin, width), unit)


def _add_star(rows: list[IntRow], label: Sequence[int], spokes: Spokes, start: int) -> None:
    """Add a star's columns to the rows of its nodes; a star with more than two ports has a row for its hub too."""
    sizes, carrier = spokes.sizes, rows[label[spokes.carrier]]
    if len(sizes) == 2:
        (first, second), (size, other) = spokes.places, sizes
        rows[label[first]][start] = size
        row = rows[label[second]]
        row[start] = row.get(start, 0) - other
        carrier[start] = carrier.get(start, 0) + other - size
    elif len(sizes) > 2:
        for column, (place, size) in enumerate(zip(spokes.places, sizes, strict=True), start):
            rows[label[place]][column] = size
            carrier[column] = carrier.get(column, 0) - size
        rows.append(dict.fromkeys(range(start, start + len(sizes)), 1))


def _kinks(
    loading: Loading, starts: Sequence[int], ports: Sequence[LossPort]
) -> list[tuple[LossPort, int, int, int]]:
    """The ports that turn against their carrier and lose power by it: unknown, its sign, and the rolling sense."""
    found = []
    for port in ports:
        spokes = loading.layout.spokes[port.star]
        speed, carrier = loading.speeds[spokes.places[port.port]], loading.speeds[spokes.carrier]
        if port.kept == 1 or speed is None or carrier is None or speed == carrier:
            continue
        sense = 1 if (speed > carrier) == (spokes.sizes[port.port] > 0) else -1
        start = starts[port.star]
        found.append(
            (port, start, -1, sense) if len(spokes.sizes) == 2 else (port, start + port.port, 1, sense)
        )
    return found
