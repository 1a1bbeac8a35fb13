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
from math import lcm, prod
from typing import NamedTuple

from countershaft.errors import TrainError
from countershaft.mechanics.layout import Layout, Spokes, Tie
from countershaft.mechanics.losses import Losses
from countershaft.mechanics.meshes import Mesh
from countershaft.mechanics.network import nearest
from countershaft.mechanics.rolling import Roller, Rolling
from countershaft.mechanics.sparse import IntRow, Reduced, reduce_rows, thin

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
    for name in losses.special:
        if name not in known:
            raise TrainError(
                f"there is no mesh or set {name!r} to lose power; {nearest(name, sorted(known))}"
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


class Kink(NamedTuple):
    """A port that loses power, the unknown and the sign that make its force, and the sense that it rolls in."""

    port: LossPort
    unknown: int
    sign: int
    sense: int


@dataclass(frozen=True, slots=True)
class Equations:
    """The equations of one loaded train, reduced.

    `kinks` are the ports that lose power, each with its unknown and the sign and sense that it rolls with.
    `settled` are the rows of the unknowns that statics says, `shared` the denominator of all of them.
    """

    loading: Loading
    kinks: Sequence[Kink]
    reduced: Reduced
    settled: Mapping[int, IntRow]
    shared: int
    unit: int

    @property
    def balanced(self) -> bool:
        """Whether the loads can be held at all, losses aside."""
        width = self.reduced.width
        return not any(width in rest for rest in self.reduced.rests)

    @property
    def open_kinks(self) -> list[LossPort]:
        """Ports that lose power and whose share of the load statics does not say."""
        return [kink.port for kink in self.kinks if kink.unknown not in self.settled]

    def loaded_kinks(self) -> list[int]:
        """The kinks that can carry power; the others have no load, and feel the losses of none that has."""
        width, rows = self.reduced.width, [self.reduced.pivots[kink.unknown] for kink in self.kinks]
        loaded = [place for place, row in enumerate(rows) if width in row]
        for kink in loaded:
            # The list grows while it is walked: what feels a loaded kink is loaded itself.
            for place, row in enumerate(rows):
                if place not in loaded and width + 1 + kink in row:
                    loaded.append(place)
        return loaded

    def rollers(self, loaded: Sequence[int]) -> list[Roller]:
        """The equations of the loaded kinks, among themselves."""
        width, found = self.reduced.width, []
        number = {width + 1 + place: index for index, place in enumerate(loaded)}
        for place in loaded:
            kink = self.kinks[place]
            row, base, pull = self.reduced.pivots[kink.unknown], 0, {}
            for column, value in row.items():
                if column in number:
                    pull[number[column]] = kink.sign * value
                elif column == width:
                    base = kink.sign * value
            efficiency = kink.port.efficiency
            pivot = row[kink.unknown]
            found.append(Roller(pivot, base, pull, kink.sense, efficiency.numerator, efficiency.denominator))
        return found

    def lossless(self) -> Forces:
        """The forces without losses."""
        width, shared = self.reduced.width, self.shared
        values: list[int | None] = [None] * width
        for unknown, row in self.settled.items():
            values[unknown] = row[width] * (shared // row[unknown]) if width in row else 0
        return self._forces(values, shared * self.unit)

    def lossy(self, way: Rolling, loaded: Sequence[int], rollers: Sequence[Roller]) -> Forces | None:
        """The forces as power rolls in one way; None where the losses themselves cannot be held."""
        width, part = self.reduced.width, way.shared
        shares, factors = {width: part}, []
        for place, roller, inward, number in zip(loaded, rollers, way.inward, way.numbers, strict=True):
            factor, _, over = roller.step(inward)
            shares[width + 1 + place] = -over * number
            factors.append(factor * number)
        for rest in self.reduced.rests:
            if sum(value * shares.get(column, 0) for column, value in rest.items()):
                return None
        values: list[int | None] = [None] * width
        for unknown, row in self.settled.items():
            total = 0
            for column, value in row.items():
                if column in shares:
                    total += value * shares[column]
            values[unknown] = total * (self.shared // row[unknown])
        forces = self._forces(values, self.shared * part * self.unit)
        for place, factor in zip(loaded, factors, strict=True):
            port = self.kinks[place].port
            size = self.loading.layout.spokes[port.star].sizes[port.port]
            forces.ports[port.star][port.port] = size * factor * self.shared
        return forces

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
    for place, member in enumerate(loading.reacting, first):
        rows[label[member]][place] = -1
    for spokes, start in zip(layout.spokes, starts, strict=True):
        _add_star(rows, label, spokes, start)
    unit = lcm(*[torque.denominator for torque in loading.loads.values()])
    for member, torque in loading.loads.items():
        row = rows[label[member]]
        row[width] = row.get(width, 0) + torque.numerator * (unit // torque.denominator)
    kinks = _kinks(loading, starts, ports)
    for column, kink in enumerate(kinks, width + 1):
        spokes, port = layout.spokes[kink.port.star], kink.port.port
        size, hub = spokes.sizes[port], rows[label[spokes.carrier]]
        rows[label[spokes.places[port]]][column] = size
        hub[column] = hub.get(column, 0) - size
    del rows[0]
    found = reduce_rows([thin(row) for row in rows], width)
    settled = _settled(found)
    shared = lcm(*[row[unknown] for unknown, row in settled.items()])
    return Equations(loading, kinks, found, settled, shared, unit)


def _settled(found: Reduced) -> dict[int, IntRow]:
    """The rows of the unknowns that follow from the right hand sides alone."""
    settled = {}
    for unknown, row in found.pivots.items():
        for column in row:
            if column < found.width and column != unknown:
                break
        else:
            settled[unknown] = row
    return settled


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


def _kinks(loading: Loading, starts: Sequence[int], ports: Sequence[LossPort]) -> list[Kink]:
    """The ports that turn against their carrier and lose power by it."""
    found = []
    for port in ports:
        spokes = loading.layout.spokes[port.star]
        speed, carrier = loading.speeds[spokes.places[port.port]], loading.speeds[spokes.carrier]
        if port.kept == 1 or speed is None or carrier is None or speed == carrier:
            continue
        if len(spokes.sizes) == 1:
            # The one wheel of a planet that drives nothing else turns it along and carries nothing.
            continue
        sense = 1 if (speed > carrier) == (spokes.sizes[port.port] > 0) else -1
        start = starts[port.star]
        simple = len(spokes.sizes) == 2
        found.append(Kink(port, start, -1, sense) if simple else Kink(port, start + port.port, 1, sense))
    return found
