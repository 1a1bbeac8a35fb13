"""What lies where in a train: its axes from top to bottom, and its gear sets and planes from left to right.

Members that a set, a clutch, a one-way clutch or a sleeve ties together turn about one axis; a gear pair
leads from one axis to another.
A plane holds the wheels that mesh at one place along the axes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise, permutations

from countershaft.mechanics.gear_sets import (
    BasicRatio,
    CompoundPlanet,
    DoublePinion,
    GearPair,
    GearSet,
    Ravigneaux,
    SinglePinion,
    Teeth,
)
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Clutch, Element, OneWayBetween, Sleeve

__all__ = ["Body", "Boxed", "Column", "Plane", "Schematic", "Wheel", "arrange", "members_of", "planets_of"]

_MOST_PERMUTED = 6


@dataclass(frozen=True, slots=True)
class Wheel:
    """A wheel of a plane: the member that it sits on and its teeth."""

    member: str
    teeth: Teeth


@dataclass(frozen=True, slots=True)
class Plane:
    """Gear pairs that mesh at one place along the axes; a wheel that two of them share is there once."""

    pairs: tuple[GearPair, ...]

    @property
    def wheels(self) -> tuple[Wheel, ...]:
        """The wheels, each once."""
        both = ((Wheel(p.a, p.a_teeth), Wheel(p.b, p.b_teeth)) for p in self.pairs)
        return tuple(dict.fromkeys(wheel for pair in both for wheel in pair))

    @property
    def ring(self) -> Wheel | None:
        """The wheel with inner teeth of an internal pair: the one with more teeth."""
        if not self.pairs[0].internal:
            return None
        return max(self.wheels, key=lambda wheel: wheel.teeth)


@dataclass(frozen=True, slots=True)
class Boxed:
    """A relation of speeds that has no gears to draw: a box with its ratios written in it."""

    id: str
    carrier: str | None
    b: str
    others: tuple[str, ...]
    lines: tuple[str, ...]


Body = SinglePinion | DoublePinion | Ravigneaux | CompoundPlanet | Boxed | GearSet
Column = Body | Plane


@dataclass(frozen=True)
class Schematic:
    """Axes from top to bottom, each a tuple of members; bodies and planes from left to right; what is left out."""

    network: Network
    axes: tuple[tuple[str, ...], ...]
    columns: tuple[Column, ...]
    elements: tuple[Element, ...]
    left_out: tuple[str, ...]

    @cached_property
    def axis_of(self) -> dict[str, int]:
        """Member to the number of its axis; planets have none."""
        return {member: index for index, axis in enumerate(self.axes) for member in axis}

    def axis_of_body(self, column: Body) -> int:
        """The axis that a set lies on."""
        member = column.b if isinstance(column, Boxed | BasicRatio) else column.carrier
        return self.axis_of[member]


def planets_of(part: GearSet) -> tuple[str, ...]:
    """The planets of a set that are members by name."""
    match part:
        case SinglePinion():
            names: tuple[str | None, ...] = (part.planet,)
        case DoublePinion():
            names = (part.inner_planet, part.outer_planet)
        case Ravigneaux():
            names = (part.short_planet, part.long_planet)
        case CompoundPlanet():
            names = (part.planet,)
        case _:
            names = ()
    return tuple(name for name in names if name)


def arrange(network: Network) -> Schematic:
    """Sort a network into axes and columns, for drawing."""
    planets = {planet for part in network.sets for planet in planets_of(part)}
    on_axes = [part for part in network.sets if not planets & set(_central(part))]
    elements = [element for element in network.elements if not planets & set(element.members)]
    free = [pair for pair in network.pairs if not planets & set(pair.members)]
    drawn = [*(_central(part) for part in on_axes), *(part.members for part in (*elements, *free))]
    touched = {network.input, network.output}.union(*drawn)
    members = [member for member in network.members if member not in planets and member in touched]
    left_out = [
        *(f"set {part.id}, which drives a planet" for part in network.sets if part not in on_axes),
        *(f"{element.id}, on a planet" for element in network.elements if element not in elements),
        *(f"pair {pair.id}, on a planet" for pair in network.pairs if pair not in free),
    ]
    lonely = [name for name in network.members if name not in touched | planets]
    if lonely:
        left_out.append(f"{', '.join(lonely)}: nothing here touches {'them' if lonely[1:] else 'it'}")
    groups = _groups(members, [*(_central(part) for part in on_axes), *_tied(elements)])
    within = [pair for pair in free if any({pair.a, pair.b} <= set(group) for group in groups)]
    planes = _planes([pair for pair in free if pair not in within], groups)
    axes = _stacked(groups, planes)
    bodies: list[Body] = [*(_boxed(part) for part in on_axes), *(_pair_box(pair) for pair in within)]
    columns = _interleaved(network, bodies, planes)
    return Schematic(network, axes, columns, tuple(elements), tuple(left_out))


def _central(part: GearSet) -> tuple[str, ...]:
    planets = planets_of(part)
    return tuple(member for member in part.members if member not in planets)


def _tied(elements: Iterable[Element]) -> Iterator[tuple[str, ...]]:
    for element in elements:
        if isinstance(element, Clutch | OneWayBetween | Sleeve):
            yield element.members


def _groups(members: Sequence[str], ties: Iterable[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """Members gathered by what ties them, in the order of their first member."""
    root = {member: member for member in members}

    def find(member: str) -> str:
        while root[member] != member:
            member = root[member]
        return member

    for tie in ties:
        for member in tie[1:]:
            root[find(member)] = find(tie[0])
    gathered: dict[str, list[str]] = {}
    for member in members:
        gathered.setdefault(find(member), []).append(member)
    return [tuple(group) for group in gathered.values()]


def _planes(pairs: Sequence[GearPair], groups: Sequence[tuple[str, ...]]) -> list[Plane]:
    """Pairs as planes; pairs lie in one plane if they share the only wheel of an idler or of a final drive."""
    axis = {member: index for index, group in enumerate(groups) for member in group}
    wheels = {wheel for pair in pairs for wheel in Plane((pair,)).wheels}
    single = [wheel for wheel in wheels if sum(other.member == wheel.member for other in wheels) == 1]
    planes: list[Plane] = []
    for pair in pairs:
        for index, plane in enumerate(planes):
            joined = Plane((*plane.pairs, pair))
            places = [axis[wheel.member] for wheel in joined.wheels]
            shares = any(wheel in single for wheel in plane.wheels if wheel in Plane((pair,)).wheels)
            straight = not (pair.internal or pair.chain or plane.pairs[0].internal or plane.pairs[0].chain)
            if shares and straight and len(set(places)) == len(places):
                planes[index] = joined
                break
        else:
            planes.append(Plane((pair,)))
    return planes


def _stacked(groups: Sequence[tuple[str, ...]], planes: Sequence[Plane]) -> tuple[tuple[str, ...], ...]:
    """Axes in the order that puts meshing ones beside each other, the first one as high as that allows."""
    axis = {member: index for index, group in enumerate(groups) for member in group}
    meshes = [(axis[pair.a], axis[pair.b]) for plane in planes for pair in plane.pairs]
    used = [i for i in range(len(groups)) if i == 0 or any(i in mesh for mesh in meshes)]
    used += [i for i in range(len(groups)) if i not in used]
    if len(used) > _MOST_PERMUTED:
        return tuple(groups[index] for index in used)

    def cost(order: tuple[int, ...]) -> tuple[int, tuple[int, ...]]:
        place = {index: at for at, index in enumerate(order)}
        apart = [abs(place[a] - place[b]) - 1 for a, b in meshes]
        return sum(10 * min(gap, 1) + gap for gap in apart) + place[0], order

    return tuple(groups[index] for index in min(permutations(used), key=cost))


def _boxed(part: GearSet) -> Body:
    if not isinstance(part, BasicRatio):
        return part
    lines = tuple(f"{member}/{part.b} = {_ratio(value)}" for member, value in part.others)
    return Boxed(part.id, part.carrier, part.b, tuple(member for member, _ in part.others), lines)


def _pair_box(pair: GearPair) -> Boxed:
    """A pair whose members turn about one axis cannot be drawn as wheels."""
    sign = "" if pair.internal or pair.chain else "−"
    return Boxed(
        pair.id, None, pair.a, (pair.b,), (f"{pair.b}/{pair.a} = {sign}{pair.a_teeth}/{pair.b_teeth}",)
    )


def _ratio(value: object) -> str:
    return str(value).replace("-", "−")


def _interleaved(network: Network, bodies: Sequence[Body], planes: Sequence[Plane]) -> tuple[Column, ...]:
    """Bodies in their own order and planes among them, moved about so that every member spans few columns."""
    columns: tuple[Column, ...] = (*planes, *bodies)
    span = _span(network, columns)
    for _ in range(len(planes) * len(columns)):
        trials = [trial for plane in planes for trial in _moved(columns, plane)]
        best = min(trials, key=lambda trial: _span(network, trial), default=columns)
        if _span(network, best) >= span:
            break
        columns, span = best, _span(network, best)
    return columns


def _moved(columns: tuple[Column, ...], plane: Plane) -> Iterator[tuple[Column, ...]]:
    """The columns with one plane in every other place."""
    rest = [column for column in columns if column is not plane]
    for at in range(len(columns)):
        yield (*rest[:at], plane, *rest[at:])


def _span(network: Network, columns: Sequence[Column]) -> int:
    places: dict[str, list[int]] = {network.input: [0], network.output: [len(columns) + 1]}
    for at, column in enumerate(columns, 1):
        for member in members_of(column):
            places.setdefault(member, []).append(at)
    spans = sum(max(at) - min(at) for at in places.values())
    for tie in _tied(network.elements):
        known = [places[member] for member in tie if member in places]
        for one, other in pairwise(known):
            spans += min(abs(a - b) for a in one for b in other)
    return spans


def members_of(column: Column) -> tuple[str, ...]:
    """The members that a column leads out to the shafts."""
    match column:
        case Plane():
            return tuple(wheel.member for wheel in column.wheels)
        case Boxed():
            return (column.b, *column.others, *((column.carrier,) if column.carrier else ()))
        case _:
            return _central(column)
