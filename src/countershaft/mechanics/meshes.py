"""The tooth meshes of gear sets and pairs: which wheel touches which, and how power passes between them.

Every set is a *star*: its members reach one planet wheel, the hub, each through one or more meshes in a row, and
all of it rides on one carrier.  Seen from the carrier every member turns in proportion to the hub,
size · (w_member − w_carrier) is the same for all of them, and what one member gives to the hub the others take.
A gear pair is a star of two members whose carrier is the case.

A planet that only idles in its set stays inside the star.  A planet that something else holds, drives or meshes
with becomes a member like any other, and a set where it stands midway falls into two stars.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from countershaft.mechanics.gear_sets import (
    BasicRatio,
    CompoundPlanet,
    Differential,
    DoublePinion,
    GearPair,
    GearSet,
    Ravigneaux,
    SinglePinion,
    Teeth,
)

__all__ = ["Mesh", "MeshKind", "Planet", "Port", "Star", "planets_of", "stars_of"]


class MeshKind(StrEnum):
    """What touches in a mesh; `unknown` where a set is known by its ratios only."""

    EXTERNAL = "external"
    INTERNAL = "internal"
    CHAIN = "chain"
    BEVEL = "bevel"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Mesh:
    """One tooth mesh of a set or pair; the central wheel, where there is one, is `first`."""

    id: str
    origin: str
    kind: MeshKind
    first: str
    second: str


@dataclass(frozen=True, slots=True)
class Planet:
    """A planet wheel or planet shaft.

    `size` times its speed against the carrier is what it is for every member of the star; None where neither
    teeth nor the concentric condition tell it, and `assumed` where only the concentric condition does.
    """

    name: str
    role: str
    size: Fraction | None
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Port:
    """A member of a star, its size, and the meshes between it and the hub, its own first."""

    member: str
    size: Fraction
    meshes: tuple[Mesh, ...] = ()


@dataclass(frozen=True, slots=True)
class Star:
    """Members that share one hub on one carrier; the carrier is None for a pair, which rides on the case.

    `reference` is the port that carries no loss where a loss is given for the set as a whole; None where every
    port carries the same.  `whole` is False where a planet is a member too, so that no such loss can be given.
    """

    origin: str
    carrier: str | None
    ports: tuple[Port, ...]
    planets: tuple[Planet, ...] = ()
    reference: int | None = 0
    whole: bool = True


@dataclass(frozen=True, slots=True)
class _Arm:
    """The way from a member to the hub: each mesh by its kind and the planet that it reaches."""

    member: str
    role: str
    size: Fraction
    steps: tuple[tuple[MeshKind, Planet], ...]


def stars_of(part: GearSet | GearPair, loaded: Collection[str] = ()) -> tuple[Star, ...]:
    """The stars of a set or pair.

    Parameters
    ----------
    part : GearSet | GearPair
        The set or pair.
    loaded : Collection[str] [-]
        Planets that something outside the set holds, drives or meshes with.

    Returns
    -------
    tuple[Star, ...]
        One star, and one more for each loaded planet that stands midway between a member and the hub.

    References
    ----------
    Müller H.W., Epicyclic Drive Trains, 1982: a planetary train seen from its carrier is an ordinary train whose
    power passes mesh by mesh (from memory).

    Examples
    --------
    >>> (star,) = stars_of(SinglePinion("P", "S", "C", "R", 30, 72))
    >>> [(port.member, str(port.size), [mesh.kind.value for mesh in port.meshes]) for port in star.ports]
    [('S', '30', ['external']), ('R', '-72', ['internal'])]
    >>> star.planets[0].size
    Fraction(-21, 1)
    """
    if isinstance(part, GearPair):
        kind = MeshKind.INTERNAL if part.internal else MeshKind.CHAIN if part.chain else MeshKind.EXTERNAL
        mesh = Mesh(part.id, part.id, kind, part.a, part.b)
        sense = -1 if kind is MeshKind.EXTERNAL else 1
        ports = (Port(part.a, Fraction(part.a_teeth), (mesh,)), Port(part.b, sense * Fraction(part.b_teeth)))
        return (Star(part.id, None, ports),)
    if isinstance(part, BasicRatio):
        return (_basic(part),)
    arms, reference = _arms(part)
    return tuple(_stars(part, arms, reference, loaded))


def planets_of(part: GearSet | GearPair) -> tuple[Planet, ...]:
    """The planets of a set, those that are known by no name of their own included.

    Parameters
    ----------
    part : GearSet | GearPair
        The set or pair.

    Returns
    -------
    tuple[Planet, ...]
        Its planets, from the first member inwards.

    Examples
    --------
    >>> [planet.name for planet in planets_of(Ravigneaux("P", "Ss", "Sl", "C", "R", 30, 36, 78))]
    ['P.short planet', 'P.long planet']
    """
    if isinstance(part, GearPair | BasicRatio):
        return ()
    return tuple(
        {planet.name: planet for arm in _arms(part)[0] for _, planet in arm.steps}.values(),
    )


def _basic(part: BasicRatio) -> Star:
    ports = [Port(part.b, Fraction(1))]
    for member, value in part.others:
        mesh = Mesh(f"{part.id} {member}", part.id, MeshKind.UNKNOWN, member, part.b)
        ports.append(Port(member, 1 / value, (mesh,)))
    return Star(part.id, part.carrier, tuple(ports))


def _arms(
    part: SinglePinion | DoublePinion | Ravigneaux | CompoundPlanet | Differential,
) -> tuple[tuple[_Arm, ...], int | None]:
    """The arms of a set, and the arm without loss where a loss is given for the set as a whole."""
    match part:
        case SinglePinion():
            return _single(part), 0
        case DoublePinion():
            return _double(part), 0
        case Ravigneaux():
            return _ravigneaux(part), 2
        case CompoundPlanet():
            return _compound(part), 0 if len(part.wheels) <= 2 else None
        case Differential():
            return _differential(part), 0


def _single(part: SinglePinion) -> tuple[_Arm, ...]:
    sun, ring = Fraction(part.sun_teeth), Fraction(part.ring_teeth)
    teeth = Fraction(part.planet_teeth) if part.planet_teeth else (ring - sun) / 2
    size = -teeth if teeth > 0 else None
    planet = Planet(part.planet or f"{part.id}.planet", "planet", size, assumed=part.planet_teeth is None)
    return (
        _Arm(part.sun, "sun", sun, ((MeshKind.EXTERNAL, planet),)),
        _Arm(part.ring, "ring", -ring, ((MeshKind.INTERNAL, planet),)),
    )


def _double(part: DoublePinion) -> tuple[_Arm, ...]:
    inner = _planet(part.id, part.inner_planet, "inner planet", part.inner_planet_teeth, sense=-1)
    outer = _planet(part.id, part.outer_planet, "outer planet", part.outer_planet_teeth, sense=1)
    across = ((MeshKind.EXTERNAL, inner), (MeshKind.EXTERNAL, outer))
    return (
        _Arm(part.sun, "sun", Fraction(part.sun_teeth), across),
        _Arm(part.ring, "ring", Fraction(part.ring_teeth), ((MeshKind.INTERNAL, outer),)),
    )


def _ravigneaux(part: Ravigneaux) -> tuple[_Arm, ...]:
    short = _planet(part.id, part.short_planet, "short planet", part.short_planet_teeth, sense=-1)
    long = _planet(part.id, part.long_planet, "long planet", part.long_planet_teeth, sense=1)
    across = ((MeshKind.EXTERNAL, short), (MeshKind.EXTERNAL, long))
    return (
        _Arm(part.small_sun, "small sun", Fraction(part.small_sun_teeth), across),
        _Arm(part.large_sun, "large sun", -Fraction(part.large_sun_teeth), ((MeshKind.EXTERNAL, long),)),
        _Arm(part.ring, "ring", Fraction(part.ring_teeth), ((MeshKind.INTERNAL, long),)),
    )


def _compound(part: CompoundPlanet) -> tuple[_Arm, ...]:
    planet = Planet(part.planet, "planet", Fraction(1))
    arms = []
    for wheel in part.wheels:
        kind = MeshKind.INTERNAL if wheel.internal else MeshKind.EXTERNAL
        size = Fraction(wheel.teeth) / Fraction(wheel.planet_teeth) * (1 if wheel.internal else -1)
        arms.append(_Arm(wheel.member, wheel.member, size, ((kind, planet),)))
    return tuple(arms)


def _differential(part: Differential) -> tuple[_Arm, ...]:
    one = Fraction(1)
    if not part.spur:
        pinion = Planet(f"{part.id}.pinion", "pinion", None)
        step = ((MeshKind.BEVEL, pinion),)
        return (
            _Arm(part.first_side, "first side", one, step),
            _Arm(part.second_side, "second side", -one, step),
        )
    first = Planet(f"{part.id}.first pinion", "first pinion", None)
    second = Planet(f"{part.id}.second pinion", "second pinion", None)
    across = ((MeshKind.EXTERNAL, first), (MeshKind.EXTERNAL, second))
    return (
        _Arm(part.first_side, "first side", one, across),
        _Arm(part.second_side, "second side", -one, ((MeshKind.EXTERNAL, second),)),
    )


def _planet(origin: str, name: str | None, role: str, teeth: Teeth | None, *, sense: int) -> Planet:
    return Planet(name or f"{origin}.{role}", role, sense * Fraction(teeth) if teeth else None)


def _stars(
    part: GearSet, arms: Sequence[_Arm], reference: int | None, loaded: Collection[str]
) -> Iterator[Star]:
    carrier, hub = part.carrier, arms[-1].steps[-1][1]
    ports: list[Port] = []
    parts: list[Star] = []
    for arm in arms:
        port, wheel, role = Port(arm.member, arm.size), arm.member, arm.role
        for kind, planet in arm.steps:
            mesh = Mesh(f"{part.id} {role}-{planet.role}", part.id, kind, wheel, planet.name)
            port = Port(port.member, port.size, (*port.meshes, mesh))
            if planet.name in loaded and planet is not hub and planet.size is not None:
                parts.append(Star(part.id, carrier, (port, Port(planet.name, planet.size)), whole=False))
                port = Port(planet.name, planet.size)
            wheel, role = planet.name, planet.role
        ports.append(port)
    whole = not parts and hub.name not in loaded
    if hub.name in loaded and hub.size is not None:
        ports.append(Port(hub.name, hub.size))
    # The planets ride with the last star, whose ports all turn in proportion to them.
    planets = tuple({planet.name: planet for arm in arms for _, planet in arm.steps}.values())
    yield from parts
    yield Star(part.id, carrier, tuple(ports), planets, reference, whole)
