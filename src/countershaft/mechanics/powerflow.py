"""Where the power of a loaded train flows: through elements, sets and meshes, and how much of it goes round.

All of it is without losses and exact.  Power is torque times speed, with speeds per turn of the input, so that the
power at the input is the input torque.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from countershaft.errors import TrainError
from countershaft.mechanics.constraints import number
from countershaft.mechanics.load import Load
from countershaft.mechanics.meshes import planets_of, stars_of
from countershaft.mechanics.network import Network
from countershaft.mechanics.statics import Torques

__all__ = ["Loop", "PlanetMotion", "PowerFlow", "SetFlow", "power_flow"]


@dataclass(frozen=True, slots=True)
class SetFlow:
    """Power of one set or pair.

    `into` is what each member gives to it, the carrier among them.  `rolling` is the same seen from the carrier, where
    only the teeth turn: torque times speed against the carrier.  `meshes` is what each mesh passes on from its first
    wheel to its second.
    """

    origin: str
    into: Mapping[str, Fraction]
    rolling: Mapping[str, Fraction]
    meshes: Mapping[str, Fraction]

    @property
    def rolling_power(self) -> Fraction:
        """Rolling power of the first member, the sun of a plain set; positive from sun to ring."""
        return next(iter(self.rolling.values()))


@dataclass(frozen=True, slots=True)
class PlanetMotion:
    """How a planet turns: by itself, and against its carrier, which is what its bearing sees.

    `assumed` says that its teeth were not given and follow from suns and ring only.  Speeds are per turn of the
    input, and `working` says how the second follows.
    """

    origin: str
    name: str
    speed: Fraction
    against_carrier: Fraction
    assumed: bool
    working: str


@dataclass(frozen=True, slots=True)
class Loop:
    """Power that goes round: how much, and the elements, sets and pairs that it passes in its direction."""

    power: Fraction
    through: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PowerFlow:
    """The power of a loaded train.

    `entering` is the power that goes in.  `elements` is what each element passes on, from the first of its members to
    the second; a brake passes nothing.  `at_rest` are members that stand still, `idle` those that turn and carry no
    torque, planets aside, `floating` those whose speed is open.
    `loops` is what goes round, once each; together they are all that has to be taken away to leave power that only
    runs from where it enters to where it leaves.  `indeterminate` names what statics does not say, as in `Torques`.
    """

    entering: Fraction
    elements: Mapping[str, Fraction]
    sets: tuple[SetFlow, ...]
    planets: tuple[PlanetMotion, ...]
    at_rest: tuple[str, ...]
    idle: tuple[str, ...]
    floating: tuple[str, ...]
    loops: tuple[Loop, ...]
    indeterminate: tuple[str, ...]

    @property
    def circulating(self) -> Fraction:
        """Power that goes round, as a share of the power that enters; 0 where none enters."""
        total = sum((loop.power for loop in self.loops), Fraction(0))
        return total / self.entering if self.entering else Fraction(0)


def power_flow(network: Network, load: Load) -> PowerFlow:
    """Trace the power of a loaded train.

    Parameters
    ----------
    network : Network
        The gear train.
    load : Load
        Its speeds and torques.

    Returns
    -------
    PowerFlow
        Power through elements, sets and meshes, what goes round, and how the planets turn.

    Raises
    ------
    TrainError
        The load has no torques, since nothing holds it.

    References
    ----------
    Müller H.W., Epicyclic Drive Trains, 1982: coupling power, rolling power, and power that circulates (from memory).

    Examples
    --------
    Sun 30 drives, ring 72 stands: 72 of 102 parts of the power roll, the rest turns the carrier as a whole.

    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.gears import load_gear
    >>> from countershaft.mechanics.shift_elements import Brake
    >>> sets, elements = (SinglePinion("P", "S", "C", "R", 30, 72),), (Brake("B", "R"),)
    >>> train = Network("S", "C", sets=sets, elements=elements)
    >>> flow = power_flow(train, load_gear(train, ["B"]).load)
    >>> flow.sets[0].rolling_power, flow.at_rest, flow.circulating
    (Fraction(12, 17), ('R',), Fraction(0, 1))
    >>> flow.planets[0].against_carrier
    Fraction(-120, 119)
    """
    if load.torques is None:
        raise TrainError(
            "nothing holds this load, so that no power flows; apply an element, or let a member react."
        )
    torques, speeds = load.torques, load.speeds
    external = torques.external
    elements = {
        name: torque * _common_speed(network, name, speeds) for name, torque in torques.elements.items()
    }
    sets = tuple(_set_flows(speeds, torques))
    planets = {planet.name for part in (*network.sets, *network.pairs) for planet in planets_of(part)}
    powers = [torque * speeds.get(member, Fraction(0)) for member, torque in external.items()]
    loaded = {member for at in torques.sets.values() for member, torque in at.items() if torque}
    loaded |= {member for member, torque in external.items() if torque}
    loaded |= {
        member for name, torque in torques.elements.items() if torque for member in network.held(name).members
    }
    return PowerFlow(
        entering=sum((power for power in powers if power > 0), Fraction(0)),
        elements=elements,
        sets=sets,
        planets=tuple(_planets(network, speeds)),
        at_rest=tuple(member for member in network.members if speeds.get(member) == 0),
        idle=tuple(
            member
            for member in network.members
            if speeds.get(member) and member not in loaded and member not in planets
        ),
        floating=tuple(member for member in network.members if member not in speeds),
        loops=tuple(_loops(_edges(network, elements, sets))),
        indeterminate=torques.indeterminate,
    )


def _common_speed(network: Network, name: str, speeds: Mapping[str, Fraction]) -> Fraction:
    """Speed at which an element passes power on; a brake stands still."""
    members = network.held(name).members
    return speeds.get(members[0], Fraction(0)) if len(members) > 1 else Fraction(0)


def _set_flows(speeds: Mapping[str, Fraction], torques: Torques[Fraction]) -> Iterator[SetFlow]:
    zero = Fraction(0)
    rolling: dict[str, dict[str, Fraction]] = {}
    meshes: dict[str, dict[str, Fraction]] = {}
    for star, at in torques.stars:
        carrier = zero if star.carrier is None else speeds.get(star.carrier, zero)
        for port in star.ports:
            power = at[port.member] * (speeds.get(port.member, zero) - carrier)
            rolling.setdefault(star.origin, {})[port.member] = power
            meshes.setdefault(star.origin, {}).update((mesh.id, power) for mesh in port.meshes)
    for origin, members in torques.sets.items():
        into = {member: torque * speeds.get(member, zero) for member, torque in members.items()}
        yield SetFlow(origin, into, rolling[origin], meshes.get(origin, {}))


def _planets(network: Network, speeds: Mapping[str, Fraction]) -> Iterator[PlanetMotion]:
    """Every planet whose size is known and whose set turns at speeds that are known."""
    for part in (*network.sets, *network.pairs):
        for star in stars_of(part):
            port = star.ports[0]
            carrier = Fraction(0) if star.carrier is None else speeds.get(star.carrier)
            speed = speeds.get(port.member)
            if carrier is None or speed is None:
                continue
            for planet in star.planets:
                if planet.size is not None:
                    against = port.size * (speed - carrier) / planet.size
                    working = (
                        f"{port.member} against {star.carrier or 'the case'}: {number(speed - carrier)} per turn; "
                        f"times {number(port.size / planet.size)} (teeth): {number(against)}"
                    )
                    yield PlanetMotion(
                        part.id, planet.name, carrier + against, against, planet.assumed, working
                    )


@dataclass(frozen=True, slots=True)
class _Edge:
    """Power that passes from one place to another; `through` is the element or set beside a member."""

    start: tuple[str, str]
    end: tuple[str, str]
    through: str
    power: Fraction


def _edges(network: Network, elements: Mapping[str, Fraction], sets: Sequence[SetFlow]) -> Iterator[_Edge]:
    """All power that flows between members, and between members and sets, each in its direction."""
    for name, power in elements.items():
        if power:
            ends = [("member", member) for member in network.held(name).members]
            start, end = ends if power > 0 else reversed(ends)
            yield _Edge(start, end, name, abs(power))
    for flow in sets:
        for member, power in flow.into.items():
            if power:
                ends = [("member", member), ("set", flow.origin)]
                start, end = ends if power > 0 else reversed(ends)
                yield _Edge(start, end, flow.origin, abs(power))


def _loops(edges: Iterable[_Edge]) -> Iterator[Loop]:
    """Circles of power, each taken away from the flow before the next is looked for."""
    flow = list(edges)
    while circle := _circle(flow):
        power = min(edge.power for edge in circle)
        yield Loop(power, tuple(dict.fromkeys(edge.through for edge in circle)))
        flow = [replace(edge, power=edge.power - power) if edge in circle else edge for edge in flow]
        flow = [edge for edge in flow if edge.power]


def _circle(edges: Sequence[_Edge]) -> list[_Edge]:
    """The edges of some circle; empty where there is none."""
    for first in edges:
        ways: dict[tuple[str, str], list[_Edge]] = {first.end: [first]}
        reached = [first.end]
        for place in reached:
            for edge in edges:
                if edge.start == place and edge.end not in ways:
                    ways[edge.end] = [*ways[place], edge]
                    reached.append(edge.end)
        if first.start in ways:
            return ways[first.start]
    return []
