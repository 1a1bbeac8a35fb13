"""The equations of torque balance of a train, and the forces that solve them, in whole numbers.

The rows that tie speeds together are, read downwards, the ways in which torque can pass: a row's coefficients times
one force are torques that do no work (duality, the principle of virtual work).  So the unknowns are one force per
row of every star, and the torques at the members that react; each node of members that turn as one gives an
equation.  Where a port loses power, its torque is its force times its efficiency where power goes out, and the force
over its efficiency where power comes in; the equations without losses are solved once with each such port's share as
a further right hand side, and the losses are put in afterwards.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm, prod

from countershaft.errors import TrainError
from countershaft.mechanics.layout import Layout, Spokes
from countershaft.mechanics.losses import Losses
from countershaft.mechanics.meshes import Mesh
from countershaft.mechanics.rolling import Roller, Rolling
from countershaft.mechanics.sparse import IntRow, Reduced, reduce_rows

__all__ = ["Equations", "Forces", "LossPort", "equations", "loss_ports"]


@dataclass(frozen=True, slots=True)
class LossPort:
    """A port of a star with its meshes, from its member inwards; of a star with two ports the second has them all.

    `charges` holds each mesh, its efficiency, and whether its first wheel is the one nearer to the member.
    """

    star: int
    port: int
    efficiency: Fraction
    charges: tuple[tuple[Mesh, Fraction, bool], ...]


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
        near = [[(*charge, True) for charge in charges] for charges in losses.charges(spokes.star)]
        if len(near) == 2:
            near = [[], near[1] + [(mesh, value, False) for mesh, value, _ in reversed(near[0])]]
        found += [
            LossPort(index, port, prod((value for _, value, _ in charges), start=Fraction(1)), tuple(charges))
            for port, charges in enumerate(near)
            if charges
        ]
    known = {charge[0].id for port in found for charge in port.charges}
    known |= {spokes.star.origin for spokes in layout.spokes}
    unknown = [name for name in losses.special if name not in known]
    if unknown:
        raise TrainError(
            f"there is no mesh or set {unknown[0]!r} to lose power; known are {', '.join(sorted(known))}."
        )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Forces:
    """Torque of every port and of every reacting member, as whole numbers over `shared`.

    None stands where statics does not say a torque, since parts share the load by their stiffness alone.
    """

    ports: tuple[tuple[int | None, ...], ...]
    reactions: tuple[int | None, ...]
    shared: int


@dataclass(frozen=True)
class Equations:
    """The equations of one loaded train, reduced.

    `label` is each member's node, `starts` the first unknown of each star and of the reactions.  `kinks` are the
    ports that lose power, each with its unknown and the sign and sense that it rolls with.
    """

    layout: Layout
    label: tuple[int, ...]
    starts: tuple[int, ...]
    kinks: tuple[tuple[LossPort, int, int, int], ...]
    reduced: Reduced
    unit: int

    @property
    def balanced(self) -> bool:
        """Whether the loads can be held at all, losses aside."""
        return not any(self.reduced.width in rest for rest in self.reduced.rests)

    @property
    def open_kinks(self) -> tuple[LossPort, ...]:
        """Ports that lose power and whose share of the load statics does not say."""
        return tuple(port for port, unknown, _, _ in self.kinks if not self.reduced.settles(unknown))

    def rollers(self) -> list[Roller]:
        """The equations of the ports that lose power, among themselves."""
        width, found = self.reduced.width, []
        for port, unknown, sign, sense in self.kinks:
            row = self.reduced.pivots[unknown]
            pull = {column - width - 1: sign * value for column, value in row.items() if column > width}
            found.append(Roller(row[unknown], sign * row.get(width, 0), pull, sense, port.efficiency))
        return found

    def lossless(self) -> Forces:
        """The forces without losses."""
        values, shared = self._unknowns({}, 1)
        return Forces(tuple(self._torques(values)), tuple(self._reactions(values)), shared)

    def lossy(self, way: Rolling, rollers: Sequence[Roller]) -> Forces | None:
        """The forces as power rolls in one way; None where the losses themselves cannot be held."""
        width = self.reduced.width
        steps = [roller.step(inward) for roller, inward in zip(rollers, way.inward, strict=True)]
        shares = {
            width + 1 + place: -step[2] * number
            for place, (step, number) in enumerate(zip(steps, way.numbers, strict=True))
        }
        for rest in self.reduced.rests:
            if sum(value * shares.get(column, 0) for column, value in rest.items()):
                return None
        values, shared = self._unknowns(shares, way.shared)
        ports = [list(torques) for torques in self._torques(values)]
        scale = shared // (way.shared * self.unit)
        for (port, _, _, _), step, number in zip(self.kinks, steps, way.numbers, strict=True):
            size = self.layout.spokes[port.star].sizes[port.port]
            ports[port.star][port.port] = size * step[0] * number * scale
        return Forces(tuple(map(tuple, ports)), tuple(self._reactions(values)), shared)

    def _unknowns(self, shares: Mapping[int, int], part: int) -> tuple[list[int | None], int]:
        """Every unknown over one denominator, with each kink's share over `part`."""
        width, pivots = self.reduced.width, self.reduced.pivots
        settled = {column: row for column, row in pivots.items() if sum(place < width for place in row) == 1}
        shared = lcm(*(row[column] for column, row in settled.items()))
        values: list[int | None] = [None] * width
        for column, row in settled.items():
            total = part * row.get(width, 0)
            if shares:
                total += sum(value * shares[place] for place, value in row.items() if place > width)
            values[column] = total * (shared // row[column])
        return values, shared * part * self.unit

    def _torques(self, values: Sequence[int | None]) -> Iterator[tuple[int | None, ...]]:
        for spokes, start in zip(self.layout.spokes, self.starts[:-1], strict=True):
            sizes = spokes.sizes
            if len(sizes) == 2:
                force = values[start]
                yield (None, None) if force is None else (sizes[0] * force, -sizes[1] * force)
            elif len(sizes) == 1:
                yield (0,)
            else:
                yield tuple(
                    None if force is None else size * force
                    for size, force in zip(sizes, values[start:], strict=False)
                )

    def _reactions(self, values: Sequence[int | None]) -> Iterator[int | None]:
        yield from values[self.starts[-1] :]


def equations(
    layout: Layout,
    label: Sequence[int],
    *,
    loads: Mapping[int, Fraction],
    reacting: Sequence[int],
    speeds: Sequence[int | None],
    ports: Sequence[LossPort] = (),
) -> Equations:
    """Set up and reduce the equations of a loaded train.

    Parameters
    ----------
    layout : Layout
        The train.
    label : Sequence[int] [-]
        Node of each member and, last, of the case.
    loads : Mapping[int, Fraction] [any unit of torque]
        Place of a member to the torque given there.
    reacting : Sequence[int] [-]
        Places of the members whose torque is to be found.
    speeds : Sequence[int | None] [-]
        Speed of each member and, last, of the case, as whole numbers in one proportion; None where one floats.
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
    >>> found = equations(layout, (1, 2, 0, 0), loads={0: Fraction(1)}, reacting=(1,), speeds=(17, 5, 0, 0))
    >>> found.lossless()
    Forces(ports=((5, 12),), reactions=(-17,), shared=5)
    """
    starts, width = _starts(layout)
    kinks = tuple(_kinks(layout, starts, speeds, ports))
    first, width = width, width + len(reacting)
    rows: list[IntRow] = [{} for _ in range(max(label) + 1)]
    for spokes, start in zip(layout.spokes, starts, strict=True):
        _add_star(rows, label, spokes, start)
        if len(spokes.sizes) > 2:
            rows.append({start + port: 1 for port in range(len(spokes.sizes))})
    for place, member in enumerate(reacting, first):
        rows[label[member]][place] = -1
    unit = lcm(*(torque.denominator for torque in loads.values()))
    for member, torque in loads.items():
        _add(rows[label[member]], width, torque.numerator * (unit // torque.denominator))
    for column, (port, _, _, _) in enumerate(kinks, width + 1):
        spokes = layout.spokes[port.star]
        size = spokes.sizes[port.port]
        _add(rows[label[spokes.places[port.port]]], column, size)
        _add(rows[label[spokes.carrier]], column, -size)
    thin = ({column: value for column, value in row.items() if value} for row in rows[1:])
    return Equations(layout, tuple(label), (*starts, first), kinks, reduce_rows(thin, width), unit)


def _starts(layout: Layout) -> tuple[list[int], int]:
    """First unknown of each star: a star with two ports has one force, one with more has one for each port."""
    starts, width = [], 0
    for spokes in layout.spokes:
        starts.append(width)
        count = len(spokes.sizes)
        width += count if count > 2 else count - 1
    return starts, width


def _add_star(rows: Sequence[IntRow], label: Sequence[int], spokes: Spokes, start: int) -> None:
    sizes, carrier = spokes.sizes, rows[label[spokes.carrier]]
    if len(sizes) == 2:
        first, second = (rows[label[place]] for place in spokes.places)
        _add(first, start, sizes[0])
        _add(second, start, -sizes[1])
        _add(carrier, start, sizes[1] - sizes[0])
    elif len(sizes) > 2:
        for column, (place, size) in enumerate(zip(spokes.places, sizes, strict=True), start):
            _add(rows[label[place]], column, size)
            _add(carrier, column, -size)


def _kinks(
    layout: Layout, starts: Sequence[int], speeds: Sequence[int | None], ports: Sequence[LossPort]
) -> Iterator[tuple[LossPort, int, int, int]]:
    """The ports that turn against their carrier and lose power by it: unknown, its sign, and the rolling sense."""
    for port in ports:
        spokes = layout.spokes[port.star]
        place, carrier = speeds[spokes.places[port.port]], speeds[spokes.carrier]
        if port.efficiency == 1 or place is None or carrier is None or place == carrier:
            continue
        rolling = spokes.sizes[port.port] * (place - carrier)
        sense = 1 if rolling > 0 else -1
        if len(spokes.sizes) == 2:
            yield port, starts[port.star], -1, sense
        else:
            yield port, starts[port.star] + port.port, 1, sense


def _add(row: IntRow, column: int, value: int) -> None:
    row[column] = row.get(column, 0) + value
