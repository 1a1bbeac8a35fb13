"""Where teeth meet, and what repeats there: meshes of sets and pairs, hunting tooth, assembly phase, planet phasing.

Teeth mesh in the frame of their carrier, so a mesh frequency is teeth times the wheel's speed against its carrier.
All meshes that one row of plain planets makes share one frequency; each step of a stepped planet has its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import gcd, lcm

from countershaft.errors import OutOfRange
from countershaft.mechanics.gear_sets import (
    CompoundPlanet,
    DoublePinion,
    GearPair,
    GearSet,
    Ravigneaux,
    SinglePinion,
    Teeth,
)

__all__ = ["PlanetPhasing", "ToothMesh", "ToothPair", "planet_phasing", "tooth_meshes", "tooth_pair"]


@dataclass(frozen=True, slots=True)
class ToothMesh:
    """Two wheels in mesh; `carrier` is None where their axes stand still.

    `first` and `second` are members, or say which planet of the set is meant.  `counted` is a member whose teeth set
    the pace, `counted_teeth` how many it has; teeth of a planet that are not known are None.
    """

    origin: str
    first: str
    first_teeth: int | None
    second: str
    second_teeth: int | None
    counted: str
    counted_teeth: int
    carrier: str | None = None


@dataclass(frozen=True, slots=True)
class ToothPair:
    """What repeats between two wheels.

    `phases` are the assembly phases: sets of teeth that never meet teeth of another set, as many as the greatest
    common factor of the two counts.  The same two teeth meet again after `meshes_to_repeat` meshes.
    """

    first_teeth: int
    second_teeth: int
    phases: int
    meshes_to_repeat: int

    def hunting_tooth(self, mesh_frequency: float) -> float:
        """How often the same two teeth meet."""
        return mesh_frequency / self.meshes_to_repeat

    def assembly_phase(self, mesh_frequency: float) -> float:
        """How often a tooth of one phase is in mesh."""
        return mesh_frequency / self.phases


@dataclass(frozen=True, slots=True)
class PlanetPhasing:
    """How equally spaced planets mesh with their ring, one after another.

    `phases` are the shares of a tooth by which each planet is ahead of the first.  `orders` are the multiples of the
    carrier's turns, nearest to the ring's teeth, at which a standing sensor hears the mesh of a sound set; where
    `mesh_heard` is False the mesh frequency itself is cancelled and only these stand beside it.
    """

    ring_teeth: int
    planets: int
    phases: tuple[Fraction, ...]
    orders: tuple[int, ...]

    @property
    def in_phase(self) -> bool:
        """Whether all planets mesh at the same moment."""
        return not any(self.phases)

    @property
    def mesh_heard(self) -> bool:
        """Whether the mesh frequency itself is among the orders."""
        return self.ring_teeth in self.orders


def tooth_pair(first_teeth: int, second_teeth: int) -> ToothPair:
    """Common factor of two wheels, and after how many meshes the same two teeth meet.

    Parameters
    ----------
    first_teeth, second_teeth : int [-]
        Teeth of the two wheels.

    Returns
    -------
    ToothPair
        Assembly phases and the number of meshes to repeat.

    Raises
    ------
    OutOfRange
        A wheel has no teeth.

    Notes
    -----
    One public glossary multiplies the greatest common factor with the shaft speed; that is no hunting tooth.

    References
    ----------
    Hunting-tooth frequency = mesh frequency · common factor / (z1 · z2), as condition-monitoring handbooks give it.

    Examples
    --------
    8 on 42 teeth, 20 turns of the pinion: a signal-processing manual prints an assembly phase of 80.

    >>> pair = tooth_pair(8, 42)
    >>> pair.assembly_phase(8 * 20), round(pair.hunting_tooth(8 * 20), 6)
    (80.0, 0.952381)
    """
    if first_teeth < 1 or second_teeth < 1:
        raise OutOfRange(f"a wheel with {min(first_teeth, second_teeth)} teeth; expected one or more.")
    return ToothPair(
        first_teeth, second_teeth, gcd(first_teeth, second_teeth), lcm(first_teeth, second_teeth)
    )


def planet_phasing(ring_teeth: int, planets: int) -> PlanetPhasing:
    """Phases of equally spaced planets, and what a standing sensor by a standing ring hears of them.

    Parameters
    ----------
    ring_teeth : int [-]
        Teeth of the ring.
    planets : int [-]
        Number of planets (of pairs of planets in a double-pinion set).

    Returns
    -------
    PlanetPhasing
        Phases, and the orders of the carrier's turns next to the mesh.

    Raises
    ------
    OutOfRange
        There are no planets or no teeth.

    References
    ----------
    McFadden P.D., Smith J.D., An explanation for the asymmetry of the modulation sidebands about the tooth meshing
    frequency in epicyclic gear vibration, Proc. Instn Mech. Engrs 199 C1 (1985) 65-70 (from memory): seen by a
    standing sensor only multiples of the number of planets add up, all others cancel.

    Examples
    --------
    >>> found = planet_phasing(95, 3)
    >>> found.mesh_heard, found.orders, [str(phase) for phase in found.phases]
    (False, (93, 96), ['0', '2/3', '1/3'])
    """
    if ring_teeth < 1 or planets < 1:
        raise OutOfRange(f"{planets} planets in a ring of {ring_teeth} teeth; expected one or more of each.")
    phases = tuple(Fraction(place * ring_teeth, planets) % 1 for place in range(planets))
    below = ring_teeth - ring_teeth % planets
    orders = (below,) if below == ring_teeth else (below, below + planets)
    return PlanetPhasing(ring_teeth, planets, phases, orders)


def tooth_meshes(part: GearSet | GearPair) -> tuple[ToothMesh, ...]:
    """Every place where teeth of a set or pair meet.

    Parameters
    ----------
    part : GearSet | GearPair
        The set or pair.

    Returns
    -------
    tuple[ToothMesh, ...]
        The meshes; none where only ratios are known, in a differential, and where a chain joins the wheels.

    References
    ----------
    The make-up of each kind of set, as told in `countershaft.mechanics.network`.

    Examples
    --------
    >>> [(mesh.first, mesh.second) for mesh in tooth_meshes(SinglePinion("P", "S", "C", "R", 30, 72))]
    [('S', 'planet of P'), ('planet of P', 'R')]
    """
    if isinstance(part, SinglePinion):
        return _row_of_planets(part)
    if isinstance(part, DoublePinion):
        return _two_rows(part)
    if isinstance(part, Ravigneaux):
        return _ravigneaux(part)
    if isinstance(part, CompoundPlanet):
        return _stepped(part)
    if isinstance(part, GearPair) and not part.chain:
        teeth = _counts(part.a_teeth, part.b_teeth)
        if teeth is not None:
            return (ToothMesh(part.id, part.a, teeth[0], part.b, teeth[1], part.a, teeth[0]),)
    return ()


def _counts(*teeth: Teeth) -> tuple[int, ...] | None:
    """Teeth where all are true counts; None where they stand in proportion only."""
    counts = tuple(count for count in teeth if isinstance(count, int))
    return counts if len(counts) == len(teeth) else None


def _known(teeth: Teeth | None) -> int | None:
    return teeth if isinstance(teeth, int) else None


def _row_of_planets(part: SinglePinion) -> tuple[ToothMesh, ...]:
    counts = _counts(part.sun_teeth, part.ring_teeth)
    if counts is None:
        return ()
    (sun, ring), planet = counts, _known(part.planet_teeth)
    name = part.planet or f"planet of {part.id}"
    return (
        ToothMesh(part.id, part.sun, sun, name, planet, part.sun, sun, part.carrier),
        ToothMesh(part.id, name, planet, part.ring, ring, part.ring, ring, part.carrier),
    )


def _two_rows(part: DoublePinion) -> tuple[ToothMesh, ...]:
    counts = _counts(part.sun_teeth, part.ring_teeth)
    if counts is None:
        return ()
    sun, ring = counts
    inner, outer = _known(part.inner_planet_teeth), _known(part.outer_planet_teeth)
    first = part.inner_planet or f"inner planet of {part.id}"
    second = part.outer_planet or f"outer planet of {part.id}"
    return (
        ToothMesh(part.id, part.sun, sun, first, inner, part.sun, sun, part.carrier),
        ToothMesh(part.id, first, inner, second, outer, part.sun, sun, part.carrier),
        ToothMesh(part.id, second, outer, part.ring, ring, part.ring, ring, part.carrier),
    )


def _ravigneaux(part: Ravigneaux) -> tuple[ToothMesh, ...]:
    counts = _counts(part.small_sun_teeth, part.large_sun_teeth, part.ring_teeth)
    if counts is None:
        return ()
    small, large, ring = counts
    short, long = _known(part.short_planet_teeth), _known(part.long_planet_teeth)
    first = part.short_planet or f"short planet of {part.id}"
    second = part.long_planet or f"long planet of {part.id}"
    return (
        ToothMesh(part.id, part.small_sun, small, first, short, part.small_sun, small, part.carrier),
        ToothMesh(part.id, first, short, second, long, part.small_sun, small, part.carrier),
        ToothMesh(part.id, part.large_sun, large, second, long, part.large_sun, large, part.carrier),
        ToothMesh(part.id, second, long, part.ring, ring, part.ring, ring, part.carrier),
    )


def _stepped(part: CompoundPlanet) -> tuple[ToothMesh, ...]:
    found = []
    for wheel in part.wheels:
        counts = _counts(wheel.teeth, wheel.planet_teeth)
        if counts is not None:
            teeth, step = counts
            found.append(
                ToothMesh(part.id, wheel.member, teeth, part.planet, step, wheel.member, teeth, part.carrier)
            )
    return tuple(found)
