"""What each kind of gear set asks of the routing grid: its columns, its ports, and what it keeps for itself.

Rows are counted from the axis outward: `PORT_LOW` lies just under the sun, `BODY` to `BODY + 4` hold the
set from the sun to the ring, `PORT_HIGH` lies just above the ring.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from countershaft.errors import TrainError
from countershaft.figures.canvas import text_width
from countershaft.figures.train_axes import Body, Boxed
from countershaft.mechanics.gear_sets import (
    CompoundPlanet,
    Differential,
    DoublePinion,
    Ravigneaux,
    SinglePinion,
)
from countershaft.mechanics.gear_sets import Wheel as PlanetWheel

__all__ = [
    "BODY",
    "BODY_STEP",
    "PORT_HIGH",
    "PORT_LOW",
    "TOP",
    "Blueprint",
    "blueprint",
    "box_columns",
    "box_ports",
    "steps_of",
]

BODY_STEP = 34.0
"""From one column of a set to the next, on paper."""

BODY = 6
PORT_LOW = BODY - 1
PORT_HIGH = BODY + 5
TOP = PORT_HIGH + 5
_BOX_TEXT = 22.0

Cell = tuple[int, int]
Port = tuple[str, tuple[Cell, ...]]


@dataclass(frozen=True, slots=True)
class Blueprint:
    """A set on the grid, columns counted from its left end.

    `ports` are the groups of cells at which a member can be joined; the cells of a group are joined inside.
    `closed` are cells that only the set itself may use; `plates` are lines of a member beside the set; `pins`
    are the cells at which a planet's pin or a box ends.
    """

    columns: int
    ports: tuple[Port, ...]
    closed: frozenset[Cell]
    plates: tuple[tuple[str, Cell, Cell], ...] = ()
    pins: frozenset[Cell] = frozenset()


def blueprint(body: Body, *, mirrored: bool = False) -> Blueprint:
    """What a set asks of the grid; `mirrored` turns it end for end."""
    plan = _plan(body)
    if not mirrored:
        return plan
    last = plan.columns - 1

    def turned(cell: Cell) -> Cell:
        return last - cell[0], cell[1]

    return Blueprint(
        plan.columns,
        tuple((member, tuple(turned(cell) for cell in cells)) for member, cells in plan.ports),
        frozenset(turned(cell) for cell in plan.closed),
        tuple((member, turned(a), turned(b)) for member, a, b in plan.plates),
        frozenset(turned(cell) for cell in plan.pins),
    )


def steps_of(part: CompoundPlanet) -> list[tuple[PlanetWheel, ...]]:
    """The wheels of a compound planet, sun and ring on one step of the planet together."""
    steps: list[tuple[PlanetWheel, ...]] = []
    for wheel in part.wheels:
        for index, step in enumerate(steps):
            other = step[0]
            if (
                len(step) == 1
                and other.planet_teeth == wheel.planet_teeth
                and other.internal != wheel.internal
            ):
                steps[index] = (other, wheel)
                break
        else:
            steps.append((wheel,))
    return steps


def _plan(body: Body) -> Blueprint:
    match body:
        case SinglePinion():
            return _single(body)
        case DoublePinion():
            return _double(body)
        case Ravigneaux():
            return _ravigneaux(body)
        case CompoundPlanet():
            return _compound(body)
        case Differential():
            return _differential(body)
        case Boxed():
            return _box(body)
        case _:
            raise TrainError(f"{body.id}: a set of this kind has no drawing; give it as a basic ratio.")


def _closed(*columns: int) -> frozenset[Cell]:
    return frozenset((column, row) for column in columns for row in range(BODY, BODY + 5))


def _single(part: SinglePinion) -> Blueprint:
    pin = BODY + 2
    ports = (
        (part.sun, ((1, PORT_LOW),)),
        (part.carrier, ((0, pin), (2, pin))),
        (part.ring, ((1, PORT_HIGH),)),
    )
    return Blueprint(3, ports, _closed(1), pins=frozenset({(0, pin), (2, pin)}))


def _double(part: DoublePinion) -> Blueprint:
    low, high = BODY + 1, BODY + 3
    plate = [(column, row) for column in (0, 2) for row in (low, low + 1, high)]
    ports = (
        (part.sun, ((1, PORT_LOW),)),
        (part.carrier, tuple(plate)),
        (part.ring, ((1, PORT_HIGH),)),
    )
    plates = tuple((part.carrier, (column, low), (column, high)) for column in (0, 2))
    pins = frozenset((column, row) for column in (0, 2) for row in (low, high))
    return Blueprint(3, ports, _closed(1), plates, pins)


def _ravigneaux(part: Ravigneaux) -> Blueprint:
    low, high = BODY + 1, BODY + 3
    carrier = ((0, high), (4, high), (4, low + 1), (4, low))
    ports = (
        (part.large_sun, ((1, PORT_LOW),)),
        (part.small_sun, ((3, PORT_LOW),)),
        (part.carrier, carrier),
        (part.ring, ((2, PORT_HIGH),)),
    )
    plates = ((part.carrier, (4, low), (4, high)),)
    return Blueprint(5, ports, _closed(1, 2, 3), plates, frozenset({(0, high), (4, high), (4, low)}))


def _compound(part: CompoundPlanet) -> Blueprint:
    steps, pin = steps_of(part), BODY + 2
    last = 2 * len(steps)
    ports: list[Port] = [(part.carrier, ((0, pin), (last, pin)))]
    ports += [
        (wheel.member, ((2 * index + 1, PORT_HIGH if wheel.internal else PORT_LOW),))
        for index, step in enumerate(steps)
        for wheel in step
    ]
    return Blueprint(
        last + 1, tuple(ports), _closed(*range(1, last)), pins=frozenset({(0, pin), (last, pin)})
    )


def _differential(part: Differential) -> Blueprint:
    if part.spur:
        pin = BODY + 2
        ports = (
            (part.first_side, ((1, PORT_LOW),)),
            (part.second_side, ((3, PORT_LOW),)),
            (part.carrier, ((0, pin), (4, pin))),
        )
        return Blueprint(5, ports, _closed(1, 2, 3), pins=frozenset({(0, pin), (4, pin)}))
    bevel = (
        (part.first_side, ((0, PORT_LOW),)),
        (part.second_side, ((2, PORT_LOW),)),
        (part.carrier, ((1, PORT_HIGH),)),
    )
    return Blueprint(3, bevel, _closed(0, 1, 2))


def _box(part: Boxed) -> Blueprint:
    wide = box_columns(part)
    ports: list[Port] = [(part.b, ((1 + (wide - 1) // 2, PORT_LOW),))]
    ports += [
        (member, ((column, PORT_HIGH),)) for member, column in zip(part.others, box_ports(part), strict=True)
    ]
    sides: frozenset[Cell] = frozenset()
    if part.carrier:
        sides = frozenset({(0, BODY + 2), (wide + 1, BODY + 2)})
        ports.append((part.carrier, ((0, BODY + 2), (wide + 1, BODY + 2))))
    return Blueprint(wide + 2, tuple(ports), _closed(*range(wide + 2)) - sides, pins=sides)


def box_columns(part: Boxed) -> int:
    """Columns inside a box: wide enough for its ratios, and one for each member on its top."""
    widest = max(text_width(line, _BOX_TEXT) for line in part.lines)
    return max(len(part.others), ceil((widest - 32.0) / BODY_STEP), 1)


def box_ports(part: Boxed) -> list[int]:
    """The columns of the members on the top of a box, spread over its width."""
    wide, count = box_columns(part), len(part.others)
    return [1 + (2 * index + 1) * wide // (2 * count) for index in range(count)]
