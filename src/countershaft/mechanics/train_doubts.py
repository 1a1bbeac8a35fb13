"""What a gear train says that can hardly be so: teeth that cannot mesh, parts that nothing ties, loops that lock it.

A doubt is no fault: the train is solved as it stands.  Published trains break the concentric condition too, and wheels
with profile shift run a tooth or two beside it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from countershaft.mechanics.gear_sets import (
    CompoundPlanet,
    Differential,
    DoublePinion,
    GearPair,
    GearSet,
    Ravigneaux,
    SinglePinion,
    Teeth,
)
from countershaft.mechanics.layout import merge
from countershaft.mechanics.meshes import planets_of
from countershaft.mechanics.network import Network

__all__ = ["Doubt", "DoubtKind", "train_doubts"]


class DoubtKind(StrEnum):
    """What is doubted: teeth, assembly, a member that nothing ties, parts that stand apart, a loop that locks."""

    TEETH = "teeth"
    ASSEMBLY = "assembly"
    UNTIED = "untied"
    APART = "apart"
    LOCKED = "locked"


@dataclass(frozen=True, slots=True)
class Doubt:
    """One doubt: the set, pair or member that it is about, what is wrong, and what to do.

    `along` names further sets, pairs or members that belong to it.
    """

    kind: DoubtKind
    about: str
    text: str
    cure: str
    along: tuple[str, ...] = ()


def train_doubts(network: Network, *, planets: Mapping[str, int] | None = None) -> tuple[Doubt, ...]:
    """Everything about a train that can hardly be so.

    Parameters
    ----------
    network : Network
        The gear train.
    planets : Mapping[str, int], optional [-]
        Set to how many planets (of two rows: pairs of planets) stand round its sun, where that is known.

    Returns
    -------
    tuple[Doubt, ...]
        The doubts: of teeth by set, then of what nothing ties, then of loops.  Teeth that are given in proportion only
        are not doubted.

    References
    ----------
    Müller H.W., Epicyclic Drive Trains, 1982: the concentric and the assembly condition (from memory).

    Examples
    --------
    >>> train = Network("S", "C", sets=(SinglePinion("P", "S", "C", "R", 30, 73),), grounded=("R",))
    >>> print(train_doubts(train)[0].text)
    P: no planet fits between a sun of 30 and a ring of 73 teeth, since 73 − 30 is odd
    """
    counts = planets or {}
    found: list[Doubt] = []
    for part in (*network.sets, *network.pairs):
        found += _of_teeth(part)
        if part.id in counts and not isinstance(part, GearPair):
            found += _of_assembly(part, counts[part.id])
    found += _untied(network)
    found += _apart(network)
    found += _locked(network)
    return tuple(found)


# --- teeth ---

_LOOK = "Count the teeth again; where they are so, the wheels run with profile shift."


def _doubt(part: GearSet | GearPair, text: str) -> Doubt:
    return Doubt(DoubtKind.TEETH, part.id, f"{part.id}: {text}", _LOOK)


def _counted(*teeth: Teeth | None) -> bool:
    """Whether tooth counts are counts, and no mere proportions."""
    return all(count is None or isinstance(count, int) for count in teeth)


def _of_teeth(part: GearSet | GearPair) -> Iterator[Doubt]:
    match part:
        case SinglePinion():
            if _counted(part.sun_teeth, part.ring_teeth, part.planet_teeth):
                yield from _between(part, "sun", part.sun_teeth, part.ring_teeth, part.planet_teeth)
        case DoublePinion():
            yield from _double(part)
        case Ravigneaux():
            yield from _ravigneaux(part)
        case CompoundPlanet():
            yield from _stepped(part)
        case GearPair():
            if part.internal and part.a_teeth == part.b_teeth and _counted(part.a_teeth, part.b_teeth):
                text = f"a pinion of {part.a_teeth} teeth does not fit into a ring of {part.b_teeth}"
                yield _doubt(part, text)


def _between(
    part: GearSet, name: str, sun: Teeth, ring: Teeth, planet: Teeth | None, word: str = "planet"
) -> Iterator[Doubt]:
    """A planet that meshes with a sun and a ring round it: ring = sun + 2 · planet."""
    if ring <= sun:
        yield _doubt(part, f"a ring of {ring} teeth does not fit round a {name} of {sun}")
    elif planet is not None and sun + 2 * planet != ring:
        sums = f"{sun} + 2 · {planet} = {sun + 2 * planet}"
        yield _doubt(
            part, f"{name} {sun}, {word} {planet} and ring {ring} do not stand on one centre: {sums}"
        )
    elif planet is None and (ring - sun) % 2:
        fit = f"no {word} fits between a {name} of {sun} and a ring of {ring} teeth"
        yield _doubt(part, f"{fit}, since {ring} − {sun} is odd")


def _double(part: DoublePinion) -> Iterator[Doubt]:
    sun, ring, inner, outer = (
        part.sun_teeth,
        part.ring_teeth,
        part.inner_planet_teeth,
        part.outer_planet_teeth,
    )
    if not _counted(sun, ring, inner, outer):
        return
    if ring <= sun:
        yield _doubt(part, f"a ring of {ring} teeth does not fit round a sun of {sun}")
    elif inner is not None and outer is not None:
        yield from _triangle(part, ("sun", sun), ("inner planet", inner), ("outer planet", outer), ring)


def _ravigneaux(part: Ravigneaux) -> Iterator[Doubt]:
    small, large, ring = part.small_sun_teeth, part.large_sun_teeth, part.ring_teeth
    short, long = part.short_planet_teeth, part.long_planet_teeth
    if not _counted(small, large, ring, short, long):
        return
    told = list(_between(part, "large sun", large, ring, long, "long planet"))
    yield from told
    if ring <= small:
        yield _doubt(part, f"a ring of {ring} teeth does not fit round a small sun of {small}")
    elif short is not None and not told:
        middle = Fraction(ring - large, 2)
        yield from _triangle(
            part, ("small sun", small), ("short planet", short), ("long planet", middle), ring
        )


def _triangle(
    part: GearSet, sun: tuple[str, Teeth], inner: tuple[str, Teeth], outer: tuple[str, Teeth], ring: Teeth
) -> Iterator[Doubt]:
    """Two planets in a row reach from sun to ring: their centres and the middle make a triangle, in half teeth."""
    first, between = Fraction(sun[1] + inner[1]), Fraction(inner[1] + outer[1])
    second = Fraction(ring - outer[1])
    if abs(second - first) <= between <= first + second:
        return
    names = f"{sun[0]} {sun[1]}, {inner[0]} {inner[1]}, {outer[0]} {outer[1]}"
    yield _doubt(part, f"{names} and ring {ring} do not reach each other, wherever the planets stand")


def _stepped(part: CompoundPlanet) -> Iterator[Doubt]:
    """Wheels on one step of a planet shaft stand at one distance; other steps may have another module."""
    steps: dict[Teeth, list[tuple[Teeth, str]]] = {}
    for wheel in part.wheels:
        if _counted(wheel.teeth, wheel.planet_teeth):
            reach = wheel.teeth - wheel.planet_teeth if wheel.internal else wheel.teeth + wheel.planet_teeth
            steps.setdefault(wheel.planet_teeth, []).append((reach, f"{wheel.member} {wheel.teeth}"))
            if wheel.internal and wheel.teeth <= wheel.planet_teeth:
                fit = f"a planet of {wheel.planet_teeth} teeth does not fit into {wheel.member}"
                yield _doubt(part, f"{fit}, a ring of {wheel.teeth}")
    for planet, wheels in steps.items():
        if len({reach for reach, _ in wheels}) > 1:
            names = ", ".join(name for _, name in wheels)
            yield _doubt(part, f"{names} mesh with one planet of {planet} and do not stand on one centre")


def _of_assembly(part: GearSet, count: int) -> Iterator[Doubt]:
    """Planets stand at equal angles only where the teeth of both central wheels allow it."""
    sums: list[tuple[str, Teeth]] = []
    if isinstance(part, SinglePinion):
        sums.append(("sun + ring", part.sun_teeth + part.ring_teeth))
    elif isinstance(part, DoublePinion):
        sums.append(("ring − sun", part.ring_teeth - part.sun_teeth))
    elif isinstance(part, Ravigneaux):
        sums.append(("large sun + ring", part.large_sun_teeth + part.ring_teeth))
        sums.append(("ring − small sun", part.ring_teeth - part.small_sun_teeth))
    for words, total in sums:
        if isinstance(total, int) and total % count:
            yield Doubt(
                DoubtKind.ASSEMBLY,
                part.id,
                f"{part.id}: {count} planets do not go in at equal angles: {words} = {total}, "
                f"which {count} does not divide",
                "Count teeth and planets again; where they are so, the planets stand at unequal angles.",
            )


# --- what ties the train together ---


def _untied(network: Network) -> Iterator[Doubt]:
    """Members that only one set or pair knows, and nothing holds, drives or takes."""
    parts = (*network.sets, *network.pairs)
    planets = {planet.name for part in parts for planet in planets_of(part)}
    uses = Counter(member for part in parts for member in part.members)
    tied = {network.input, network.output, *network.grounded}
    tied |= {member for element in network.elements for member in element.members}
    # The sides of a differential go to the road wheels.
    tied |= {side for part in parts if isinstance(part, Differential) for side in part.members[1:]}
    for part, _ in _islands(network)[0]:
        for member in part.members:
            if uses[member] == 1 and member not in tied and member not in planets:
                yield Doubt(
                    DoubtKind.UNTIED,
                    member,
                    f"{part.id}: nothing holds, drives or takes {member!r}; unless it is one more output, "
                    "it carries nothing in any gear",
                    "Give it the name of what it turns with, ground it, or tie it by a shift element.",
                    (part.id,),
                )
    for member in network.further:
        if member not in uses and member not in tied:
            yield Doubt(
                DoubtKind.UNTIED,
                member,
                f"no set, pair or shift element has the member {member!r}",
                "Take it out, or name it where it belongs.",
            )


_Placed = list[tuple[GearSet | GearPair, int]]


def _islands(network: Network) -> tuple[_Placed, _Placed, bool]:
    """Sets and pairs that something joins to the input or output, and those that nothing does, each with its island.

    The third says whether input and output are joined.
    """
    place = {member: index for index, member in enumerate(network.members)}
    groups = [part.members for part in (*network.sets, *network.pairs)]
    groups += [row.members for row in map(network.held, network.ties)]
    island = merge(len(place), [(place[group[0]], place[other]) for group in groups for other in group[1:]])
    ends = {island[place[network.input]], island[place[network.output]]}
    placed = [(part, island[place[part.members[0]]]) for part in (*network.sets, *network.pairs)]
    joined = [each for each in placed if each[1] in ends]
    return joined, [each for each in placed if each[1] not in ends], len(ends) == 1


def _apart(network: Network) -> Iterator[Doubt]:
    """Parts that no set, pair or element joins to the input, whatever is applied."""
    _, lonely, joined = _islands(network)
    if not joined:
        yield Doubt(
            DoubtKind.APART,
            network.output,
            f"no set, pair or shift element leads from the input {network.input!r} to the output {network.output!r}",
            "Look for a shaft that goes by two names.",
            (network.input,),
        )
    for island in dict.fromkeys(number for _, number in lonely):
        parts = [part for part, number in lonely if number == island]
        names = ", ".join(dict.fromkeys(member for part in parts for member in part.members))
        yield Doubt(
            DoubtKind.APART,
            parts[0].id,
            f"{', '.join(part.id for part in parts)}: nothing ties {names} to the rest of the train",
            "Look for a shaft that goes by two names, or take the part out.",
            tuple(part.id for part in parts[1:]),
        )


def _locked(network: Network) -> Iterator[Doubt]:
    """Sets and pairs that by themselves hold the input or the output still."""
    told: set[tuple[str, ...]] = set()
    for member, word in ((network.input, "input"), (network.output, "output")):
        factors = network.structure.multipliers({member: Fraction(1)})
        if factors is None:
            continue
        rows = [row for factor, row in zip(factors, network.structure.rows, strict=True) if factor]
        names = tuple(dict.fromkeys(row.origin for row in rows))
        if names in told:
            continue
        told.add(names)
        yield Doubt(
            DoubtKind.LOCKED,
            names[0],
            f"{_listed(names)} {word} {member!r} still, whatever is applied",
            "Take one of them out, or let a shift element tie what is now one member.",
            names[1:],
        )


def _listed(names: Sequence[str]) -> str:
    return f"{names[0]} holds the" if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]} hold the"
