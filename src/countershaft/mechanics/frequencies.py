"""Every line that a train can sound at in a gear: shafts, meshes, planets, teeth, bearings, speed sensors.

Orders count per turn of the input and are exact wherever they come from teeth; frequencies are orders times the
input's turns per second.  What floats, or has no known teeth, is named as silent rather than left out unsaid.
Whether a mesh carries load is not looked at here: an unloaded mesh sounds too, only less.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from countershaft.errors import OutOfRange
from countershaft.mechanics.bearing_lines import BearingGeometry, BearingLines, bearing_lines
from countershaft.mechanics.constraints import number
from countershaft.mechanics.gear_sets import GearPair, GearSet
from countershaft.mechanics.network import Network
from countershaft.mechanics.states import StateKind, TrainState
from countershaft.mechanics.tooth_lines import ToothMesh, tooth_meshes, tooth_pair

__all__ = ["Bearing", "Line", "LineKind", "SpeedSensor", "TrainLines", "train_lines"]


class LineKind(StrEnum):
    """What a line comes from."""

    SHAFT = "shaft"
    MESH = "mesh"
    CHAIN = "chain links"
    ASSEMBLY_PHASE = "assembly phase"
    HUNTING_TOOTH = "hunting tooth"
    PLANET_PASS = "planet pass"  # noqa: S105 - it is planets that pass
    BAD_TOOTH = "bad tooth"
    BEARING = "bearing"
    SENSOR = "speed sensor"


@dataclass(frozen=True, slots=True)
class Bearing:
    """A bearing between two members; None where a ring sits in the case.

    `load` is the member with which the direction of the load turns, such as the carrier for a planet's bearing; None
    where the load stands in the case.
    """

    id: str
    geometry: BearingGeometry
    inner: str | None
    outer: str | None
    load: str | None = None


@dataclass(frozen=True, slots=True)
class SpeedSensor:
    """A sensor that counts the teeth of a wheel on a member."""

    id: str
    member: str
    teeth: int


@dataclass(frozen=True, slots=True)
class Line:
    """One line.

    `origin` is the member, set, pair, bearing or sensor.  `order` counts per input turn; `frequency` [Hz].
    `modulations` names what may stand beside it as sidebands, with the distance of each [Hz].
    """

    kind: LineKind
    origin: str
    label: str
    order: Fraction | float
    frequency: float
    modulations: tuple[tuple[str, float], ...]
    working: str


@dataclass(frozen=True, slots=True)
class TrainLines:
    """All lines of a gear at an input speed [1/s]; `silent` says what makes none, and why."""

    input_speed: float
    lines: tuple[Line, ...]
    silent: tuple[str, ...]

    def of(self, kind: LineKind) -> tuple[Line, ...]:
        """The lines of one kind."""
        return tuple(line for line in self.lines if line.kind == kind)


@dataclass(frozen=True, slots=True)
class _Gear:
    """Speeds of a gear per input turn, and the input's turns per second."""

    speeds: Mapping[str, Fraction]
    input_speed: float

    def against(self, member: str, frame: str | None) -> Fraction | None:
        """Speed of a member against another, or against the case; None where one floats."""
        speed, base = self.speeds.get(member), self.speeds.get(frame) if frame is not None else Fraction(0)
        return None if speed is None or base is None else speed - base

    def line(
        self,
        kind: LineKind,
        origin: str,
        label: str,
        order: Fraction,
        said: str,
        modulations: Sequence[tuple[str, Fraction | None]] = (),
    ) -> Line:
        """A line of an exact order, with the working that led to it."""
        frequency = float(order) * self.input_speed
        beside = tuple((name, float(abs(value)) * self.input_speed) for name, value in modulations if value)
        text = f"{said} = {number(order)} · {self.input_speed:.6g} /s = {frequency:.6g} Hz"
        return Line(kind, origin, label, order, frequency, beside, text)


def train_lines(
    network: Network,
    state: TrainState,
    *,
    input_speed: float,
    planets: Mapping[str, int] | None = None,
    bearings: Sequence[Bearing] = (),
    sensors: Sequence[SpeedSensor] = (),
) -> TrainLines:
    """Lines of a train in one gear.

    Parameters
    ----------
    network : Network
        The gear train.
    state : TrainState
        The gear, solved.
    input_speed : float [1/s]
        Turns of the input per second.
    planets : Mapping[str, int], optional [-]
        Set to its number of planets (pairs of planets in a double-pinion set); without it lines of passing planets
        are left out.
    bearings : Sequence[Bearing]
        Bearings with their geometry.
    sensors : Sequence[SpeedSensor]
        Speed sensors.

    Returns
    -------
    TrainLines
        Shafts first, then sets and pairs in their order, bearings, sensors.

    Raises
    ------
    OutOfRange
        The input speed is below zero.

    References
    ----------
    Mesh frequency in the carrier's frame, and what passes a tooth: McFadden P.D., Smith J.D., Proc. Instn Mech. Engrs
    199 C1 (1985) 65-70 (from memory); bearings as in `bearing_lines`.

    Examples
    --------
    Ring 95 held, sun 31, three planets of 31, carrier once a second: the published note has its mesh at 95 Hz.

    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.states import solve_state
    >>> set_ = SinglePinion("P", "S", "C", "R", 31, 95, planet_teeth=31)
    >>> train = Network("C", "S", sets=(set_,), grounded=("R",))
    >>> found = train_lines(train, solve_state(train, []), input_speed=1, planets={"P": 3})
    >>> print(found.of(LineKind.MESH)[0].working)
    31 · |S − C| = 95 · 1 /s = 95 Hz
    >>> [(line.label, round(line.frequency, 4)) for line in found.of(LineKind.BAD_TOOTH)]
    [('tooth of S', 9.1935), ('tooth of planet of P', 6.129), ('tooth of R', 3.0)]
    """
    if input_speed < 0:
        raise OutOfRange(
            f"an input speed of {input_speed:g} turns per second is below zero; give it as it turns."
        )
    if state.kind == StateKind.TIE_UP:
        return TrainLines(input_speed, (), ("nothing turns: the train is tied up",))
    gear = _Gear(state.speeds, input_speed)
    found = [
        *_shafts(gear, network),
        *(one for part in network.sets for one in _set(gear, part, (planets or {}).get(part.id))),
        *(one for part in network.pairs for one in _pair(gear, part)),
        *(one for bearing in bearings for one in _bearing(gear, bearing)),
        *(one for sensor in sensors for one in _sensor(gear, sensor)),
    ]
    lines = tuple(one for one in found if isinstance(one, Line))
    return TrainLines(input_speed, lines, tuple(one for one in found if isinstance(one, str)))


_Said = Iterator[Line | str]


def _shafts(gear: _Gear, network: Network) -> _Said:
    for member in network.members:
        speed = gear.speeds.get(member)
        if speed is None:
            yield f"{member} floats"
        elif speed:
            yield gear.line(LineKind.SHAFT, member, member, abs(speed), f"|{member}|")


def _set(gear: _Gear, part: GearSet, planets: int | None) -> _Said:
    meshes = tooth_meshes(part)
    if not meshes:
        yield f"{part.id}: no teeth are known, so it has no mesh line"
        return
    carrier = meshes[0].carrier
    by_order: dict[Fraction, list[ToothMesh]] = {}
    for mesh in meshes:
        speed = gear.against(mesh.counted, carrier)
        if speed is not None:
            by_order.setdefault(abs(mesh.counted_teeth * speed), []).append(mesh)
    if not by_order:
        yield f"{part.id} floats, so its mesh is not known"
    for order, alike in by_order.items():
        if not order:
            yield f"{part.id} turns as one piece, so its teeth do not mesh"
            continue
        yield _mesh_line(gear, alike, order)
        for mesh in alike:
            yield from _repeats(gear, mesh, order)
        yield from _bad_teeth(gear, alike, order, planets)
    if planets and carrier is not None and gear.speeds.get(carrier):
        said = f"{planets} · |{carrier}|"
        order = planets * abs(gear.speeds[carrier])
        yield gear.line(LineKind.PLANET_PASS, part.id, f"planets of {part.id} pass the case", order, said)


def _mesh_line(gear: _Gear, meshes: Sequence[ToothMesh], order: Fraction) -> Line:
    """One line for all meshes of one frequency, with the turns of every wheel in it as sidebands."""
    first = meshes[0]
    frame = f" − {first.carrier}" if first.carrier else ""
    said = f"{first.counted_teeth} · |{first.counted}{frame}|"
    beside: dict[str, Fraction | None] = {
        name: order / teeth for name, teeth in _wheels(meshes).items() if teeth is not None
    }
    if first.carrier is not None:
        beside[first.carrier] = gear.speeds.get(first.carrier)
    label = "mesh " + ", ".join(f"{mesh.first} – {mesh.second}" for mesh in meshes)
    return gear.line(LineKind.MESH, first.origin, label, order, said, tuple(beside.items()))


def _wheels(meshes: Sequence[ToothMesh]) -> dict[str, int | None]:
    """Wheels of some meshes with their teeth."""
    ends = [((mesh.first, mesh.first_teeth), (mesh.second, mesh.second_teeth)) for mesh in meshes]
    return {name: teeth for both in ends for name, teeth in both}


def _repeats(gear: _Gear, mesh: ToothMesh, order: Fraction) -> Iterator[Line]:
    """Assembly phase and hunting tooth of two wheels whose teeth are both known."""
    if mesh.first_teeth is None or mesh.second_teeth is None:
        return
    pair = tooth_pair(mesh.first_teeth, mesh.second_teeth)
    names = f"{mesh.first} {mesh.first_teeth} on {mesh.second} {mesh.second_teeth}"
    if pair.phases > 1:
        said = f"{number(order)} / {pair.phases}"
        yield gear.line(LineKind.ASSEMBLY_PHASE, mesh.origin, names, order / pair.phases, said)
    said = f"{number(order)} / {pair.meshes_to_repeat}"
    yield gear.line(LineKind.HUNTING_TOOTH, mesh.origin, names, order / pair.meshes_to_repeat, said)


def _bad_teeth(
    gear: _Gear, meshes: Sequence[ToothMesh], order: Fraction, planets: int | None
) -> Iterator[Line]:
    """How often one bad tooth meets another wheel: a central one once per planet, a planet's once per mesh of it."""
    wheels = _wheels(meshes)
    central = {mesh.counted for mesh in meshes}
    for name, teeth in wheels.items():
        met = planets if name in central else sum(name in (mesh.first, mesh.second) for mesh in meshes)
        if teeth is not None and met:
            said = f"{met} · {number(order)} / {teeth}"
            yield gear.line(
                LineKind.BAD_TOOTH, meshes[0].origin, f"tooth of {name}", met * order / teeth, said
            )


def _pair(gear: _Gear, part: GearPair) -> _Said:
    speed = gear.speeds.get(part.a)
    if speed is None:
        yield f"{part.id} floats, so its mesh is not known"
        return
    if not speed:
        return
    if part.chain:
        if isinstance(part.a_teeth, int):
            order = abs(part.a_teeth * speed)
            beside = [(member, gear.speeds.get(member)) for member in part.members]
            said = f"{part.a_teeth} · |{part.a}|"
            yield gear.line(LineKind.CHAIN, part.id, f"links of {part.id}", order, said, beside)
        return
    for mesh in tooth_meshes(part):
        order = abs(mesh.counted_teeth * speed)
        yield _mesh_line(gear, [mesh], order)
        yield from _repeats(gear, mesh, order)


def _bearing(gear: _Gear, bearing: Bearing) -> _Said:
    rings = {name: gear.speeds.get(name) for name in (bearing.inner, bearing.outer, bearing.load) if name}
    floating = [name for name, speed in rings.items() if speed is None]
    if floating:
        yield f"bearing {bearing.id}: {' and '.join(floating)} float{'s' if len(floating) == 1 else ''}"
        return

    def turns(member: str | None) -> float:
        return float(rings[member] or 0) if member else 0.0

    found = bearing_lines(
        bearing.geometry,
        inner_speed=turns(bearing.inner),
        outer_speed=turns(bearing.outer),
        load_speed=turns(bearing.load),
    )
    if not found.outer_pass:
        yield f"bearing {bearing.id} turns as one piece"
        return
    yield from _bearing_parts(gear, bearing.id, found)


def _bearing_parts(gear: _Gear, name: str, found: BearingLines) -> Iterator[Line]:
    cage, outer, inner, spin = found.working[2:]
    for part, order, through_load, said in (
        ("outer ring", found.outer_pass, found.outer_modulation, outer),
        ("inner ring", found.inner_pass, found.inner_modulation, inner),
        ("rolling element", found.element_strikes, found.element_modulation, spin),
        ("cage", abs(found.cage), 0.0, cage),
    ):
        frequency = order * gear.input_speed
        beside = (("through the load", through_load * gear.input_speed),) if through_load else ()
        working = f"{said} per input turn · {gear.input_speed:.6g} /s = {frequency:.6g} Hz"
        yield Line(LineKind.BEARING, name, f"{name} {part}", order, frequency, beside, working)


def _sensor(gear: _Gear, sensor: SpeedSensor) -> _Said:
    speed = gear.speeds.get(sensor.member)
    if speed is None:
        yield f"sensor {sensor.id}: {sensor.member} floats"
    elif speed:
        said = f"{sensor.teeth} · |{sensor.member}|"
        yield gear.line(LineKind.SENSOR, sensor.id, f"sensor {sensor.id}", abs(sensor.teeth * speed), said)
