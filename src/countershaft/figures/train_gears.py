"""Gear sets and wheels of a stick diagram, each drawn from the places that the layout gives it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Protocol

from countershaft.figures.train_axes import Boxed
from countershaft.figures.train_bodies import BODY, PORT_HIGH, PORT_LOW, box_ports, steps_of
from countershaft.figures.train_layout import PlacedBody, PlacedMesh, PlacedWheel
from countershaft.figures.train_rows import HALF, MESH
from countershaft.figures.train_symbols import BAR, Pen
from countershaft.mechanics.gear_sets import (
    CompoundPlanet,
    Differential,
    DoublePinion,
    Ravigneaux,
    SinglePinion,
)

__all__ = ["draw_body", "draw_link", "draw_mesh", "draw_wheel"]

_TEETH = HALF - MESH
_STUB = 18.0
_ROW = 27.0


class Dress(Protocol):
    """How members are drawn: in ink, or as bands of power."""

    def __call__(self, member: str | None, draw: Callable[[], None]) -> None:
        """Draw in the member's manner."""

    def band(self, member: str, x1: float, y1: float, x2: float, y2: float) -> None:
        """Draw the power that a member hands to the set, inside the set."""

    def pin_band(self, x1: float, x2: float, far: float, y: float, by: str) -> None:
        """Draw along a pin, from the planet to its end at `x2`, the power of the line that leads on from there.

        Where `by`, the member that loads the planet, carries nothing, only what goes through to the end at `far`.
        """


def draw_body(pen: Pen, dress: Dress, body: PlacedBody) -> None:
    """Draw one gear set."""
    match body.body:
        case SinglePinion():
            _single(pen, dress, body, body.body)
        case DoublePinion():
            _double(pen, dress, body, body.body)
        case Ravigneaux():
            _ravigneaux(pen, dress, body, body.body)
        case CompoundPlanet():
            _compound(pen, dress, body, body.body)
        case Differential(spur=True):
            _spur_differential(pen, dress, body, body.body)
        case Differential():
            _differential(pen, dress, body, body.body)
        case Boxed():
            _box(pen, dress, body, body.body)
        case _:
            raise AssertionError(body.body)


def _planet(pen: Pen, x: float, low: float, high: float, pin: float, half: float = BAR) -> None:
    """A planet: a web with teeth inside and outside, turning on its pin."""
    pen.line(x, low, x, high, "d-shaft")
    pen.teeth(x, low, half)
    pen.teeth(x, high, half)
    pen.pivot(x, pin)


def _sun(pen: Pen, dress: Dress, body: PlacedBody, member: str, column: int, teeth_y: float) -> None:
    """A sun: teeth, and the web down to its shaft."""
    x = body.xs[column]
    joined = (column, PORT_LOW) in body.joined

    def draw() -> None:
        pen.teeth(x, teeth_y)
        pen.line(x, teeth_y, x, body.low_y if joined else teeth_y + _STUB)

    dress(member, draw)


def _ring(pen: Pen, dress: Dress, body: PlacedBody, member: str, column: int, half: float = BAR) -> None:
    """A ring: teeth, and the web out to its drum."""
    x, y = body.xs[column], body.middle - HALF
    joined = (column, PORT_HIGH) in body.joined

    def draw() -> None:
        pen.teeth(x, y, half)
        if not joined or body.high_y < y:
            pen.line(x, y, x, body.high_y if joined else y - _STUB)

    dress(member, draw)


def _pin(
    pen: Pen, dress: Dress, body: PlacedBody, member: str, row: int, ends: tuple[int, int], by: str = ""
) -> None:
    """A planet's pin, out to the carrier where it goes on, a little beyond the planet where not."""
    y = body.middle - (row - BODY - 2) * HALF / 2
    first, last = ends
    left, right = body.xs[first], body.xs[last]
    for column, end, far in ((first, left, right), (last, right, left)):
        if (column, row) in body.joined:
            dress.pin_band((left + right) / 2, end, far, y, by or member)

    def draw() -> None:
        x1 = left if (first, row) in body.joined else left + 10.0
        x2 = right if (last, row) in body.joined else right - 10.0
        pen.line(x1, y, x2, y, "d-shaft d-pin-line")

    dress(member, draw)


def _single(pen: Pen, dress: Dress, body: PlacedBody, part: SinglePinion) -> None:
    middle = body.middle
    _pin(pen, dress, body, part.carrier, BODY + 2, (0, 2))
    dress.band(part.sun, body.xs[1], middle + HALF, body.xs[1], middle)
    dress.band(part.ring, body.xs[1], middle - HALF, body.xs[1], middle)
    dress(part.planet, lambda: _planet(pen, body.xs[1], middle + _TEETH, middle - _TEETH, middle))
    _sun(pen, dress, body, part.sun, 1, middle + HALF)
    _ring(pen, dress, body, part.ring, 1)


def _double(pen: Pen, dress: Dress, body: PlacedBody, part: DoublePinion) -> None:
    x, middle, pin, near = body.xs[1], body.middle, HALF / 2, MESH / 2
    for row in (BODY + 1, BODY + 3):
        _pin(pen, dress, body, part.carrier, row, (0, 2))
    dress.band(part.sun, x, middle + HALF, x, middle)
    dress.band(part.ring, x, middle - HALF, x, middle)
    dress(part.inner_planet, lambda: _planet(pen, x, middle + _TEETH, middle + near, middle + pin))
    dress(part.outer_planet, lambda: _planet(pen, x, middle - near, middle - _TEETH, middle - pin))
    _sun(pen, dress, body, part.sun, 1, middle + HALF)
    _ring(pen, dress, body, part.ring, 1)


def _ravigneaux(pen: Pen, dress: Dress, body: PlacedBody, part: Ravigneaux) -> None:
    middle, pin, near = body.middle, HALF / 2, MESH / 2
    columns = (3, 1, 4, 0) if not body.mirrored else (1, 3, 0, 4)
    small, large, plate, open_end = columns
    _pin(pen, dress, body, part.carrier, BODY + 3, (min(open_end, plate), max(open_end, plate)))
    _pin(pen, dress, body, part.carrier, BODY + 1, (min(2, plate), max(2, plate)), by=part.small_sun)
    for member, column, teeth_y in (
        (part.small_sun, small, middle + HALF),
        (part.large_sun, large, middle + near),
    ):
        dress.band(member, body.xs[column], teeth_y, body.xs[column], middle - pin)
        dress.band(member, body.xs[column], middle - pin, body.xs[2], middle - pin)
    dress.band(part.ring, body.xs[2], middle - HALF, body.xs[2], middle - pin)
    dress(
        part.short_planet, lambda: _planet(pen, body.xs[small], middle + _TEETH, middle + near, middle + pin)
    )

    def long_planet() -> None:
        left, right = sorted((body.xs[small], body.xs[large]))
        for y in (middle - near, middle - _TEETH):
            pen.line(left - BAR, y, right + BAR, y, "d-teeth")
        pen.line(body.xs[2], middle - near, body.xs[2], middle - _TEETH)
        pen.pivot(body.xs[2], middle - pin)

    dress(part.long_planet, long_planet)
    _sun(pen, dress, body, part.small_sun, small, middle + HALF)
    _sun(pen, dress, body, part.large_sun, large, middle + near)
    _ring(pen, dress, body, part.ring, 2)


def _compound(pen: Pen, dress: Dress, body: PlacedBody, part: CompoundPlanet) -> None:
    steps = steps_of(part)
    middle = body.middle
    largest = max(wheel.planet_teeth for step in steps for wheel in step)
    order = range(len(steps))
    radii = [_TEETH * (0.55 + 0.45 * float(steps[index][0].planet_teeth / largest)) for index in order]

    def shaft() -> None:
        pen.line(body.xs[0], middle, body.xs[-1], middle)
        for index in order:
            x = body.xs[2 * index + 1]
            pen.line(x, middle + radii[index], x, middle - radii[index])
            pen.teeth(x, middle + radii[index])
            pen.teeth(x, middle - radii[index])
            pen.circle(x, middle, 3.5, "d-joint")

    dress(part.planet, shaft)
    for index in order:
        x = body.xs[2 * index + 1]
        for wheel in steps[index]:
            _central(pen, dress, body, wheel.member, 2 * index + 1, x, radii[index], internal=wheel.internal)
    for column in (0, len(body.xs) - 1):
        dress(part.carrier, partial(_bearing, pen, body, column))


def _bearing(pen: Pen, body: PlacedBody, column: int) -> None:
    """The end of a planet shaft in its carrier."""
    if (column, BODY + 2) not in body.joined:
        pen.line(body.xs[column], body.middle - 9.0, body.xs[column], body.middle + 9.0)
    pen.pivot(body.xs[column], body.middle)


def _central(
    pen: Pen,
    dress: Dress,
    body: PlacedBody,
    member: str,
    column: int,
    x: float,
    radius: float,
    *,
    internal: bool,
) -> None:
    """A central wheel that meshes with one step of a compound planet."""
    sign = -1.0 if internal else 1.0
    port = (column, PORT_HIGH if internal else PORT_LOW)
    teeth_y = body.middle + sign * (radius + MESH)
    out = body.high_y if internal else body.low_y

    dress.band(member, x, teeth_y, x, body.middle)

    def draw() -> None:
        pen.teeth(x, teeth_y)
        end = out if port in body.joined else body.middle + sign * (HALF + _STUB)
        pen.line(x, teeth_y, x, end)

    dress(member, draw)


def _differential(pen: Pen, dress: Dress, body: PlacedBody, part: Differential) -> None:
    """Bevel gears: a pinion on a pin of the case, and a side gear on either side."""
    x, middle = body.xs[1], body.middle
    ports = ((part.first_side, 0, -1.0), (part.second_side, 2, 1.0))
    for member, column, side in ports:
        shaft_x, joined = body.xs[column], (column, PORT_LOW) in body.joined
        end = body.low_y if joined else middle + HALF + _STUB

        def gear(shaft_x: float = shaft_x, side: float = side, end: float = end) -> None:
            pen.line(x + side * 30.0, middle - 20.0, x + side * 19.0, middle + 14.0, "d-teeth")
            pen.line(x + side * 24.5, middle - 3.0, shaft_x, middle - 3.0)
            pen.line(shaft_x, middle - 3.0, shaft_x, end)

        dress.band(member, x, middle - 3.0, shaft_x, middle - 3.0)
        dress(member, gear)
    dress.band(part.carrier, x, middle - HALF, x, middle - 3.0)

    def pin() -> None:
        pen.line(x, middle + 20.0, x, body.high_y if (1, PORT_HIGH) in body.joined else middle - HALF)

    dress(part.carrier, pin)

    def pinion() -> None:
        pen.line(x - 22.0, middle - 22.0, x + 22.0, middle - 22.0)
        pen.line(x - 11.0, middle + 12.0, x + 11.0, middle + 12.0)
        for side in (-1.0, 1.0):
            pen.line(x + side * 22.0, middle - 22.0, x + side * 11.0, middle + 12.0, "d-teeth")
        pen.pivot(x, middle - 4.0)

    dress(None, pinion)


def _spur_differential(pen: Pen, dress: Dress, body: PlacedBody, part: Differential) -> None:
    """Two planets side by side, each on one of the suns, that mesh with each other out of the plane of the paper."""
    middle = body.middle
    _pin(pen, dress, body, part.carrier, BODY + 2, (0, 4))
    for member, column in ((part.first_side, 1), (part.second_side, 3)):
        x = body.xs[column]
        dress.band(member, x, middle + HALF, x, middle)
        dress(None, partial(_planet, pen, x, middle + _TEETH, middle - _TEETH, middle))
        _sun(pen, dress, body, member, column, middle + HALF)
    y = middle - _TEETH
    pen.line(body.xs[1] + BAR, y, body.xs[3] - BAR, y, "d-link")


def _box(pen: Pen, dress: Dress, body: PlacedBody, part: Boxed) -> None:
    """A box with its ratios, its members joined where the ports are."""
    left, right = body.xs[0] + 6.0, body.xs[-1] - 6.0
    top, bottom = body.middle - HALF, body.middle + HALF
    columns = {PORT_LOW: [1 + (len(body.xs) - 3) // 2], PORT_HIGH: box_ports(part)}
    for row, members in ((PORT_LOW, (part.b,)), (PORT_HIGH, part.others)):
        for column, member in zip(columns[row], members, strict=True):
            edge, out, sign = (bottom, body.low_y, 1) if row == PORT_LOW else (top, body.high_y, -1)
            end = out if (column, row) in body.joined else edge + sign * _STUB
            x = body.xs[column]
            dress(member, partial(pen.line, x, edge, x, end))
    if part.carrier:
        joined = [at for at in (0, len(body.xs) - 1) if (at, BODY + 2) in body.joined]
        for column in joined or [0]:
            side, out = (right, 6.0) if column else (left, -6.0)
            start = body.xs[column] + (0.0 if joined else out)
            dress(part.carrier, partial(pen.line, start, body.middle, side, body.middle))
    pen.box(left, top, right, bottom, "d-head")
    base = body.middle - _ROW * (len(part.lines) - 1) / 2 + 8.0
    for index, line in enumerate(part.lines):
        pen.text((left + right) / 2, base + _ROW * index, line, 22.0, "", "middle")


def draw_wheel(pen: Pen, dress: Dress, wheel: PlacedWheel) -> None:
    """Draw a wheel of a plane: its stem from teeth to teeth, broken where it lets a shaft through."""

    def draw() -> None:
        if wheel.ring_over is not None:
            _ring_wheel(pen, wheel, *wheel.ring_over)
            return
        if wheel.up:
            pen.broken(wheel.x, wheel.axis_y - wheel.up, wheel.stem_y, wheel.passing)
            pen.teeth(wheel.x, wheel.axis_y - wheel.up)
        if wheel.down:
            pen.broken(wheel.x, wheel.hub_y, wheel.axis_y + wheel.down, wheel.passing)
            pen.teeth(wheel.x, wheel.axis_y + wheel.down)
        if wheel.lone:
            pen.line(wheel.x - BAR, wheel.hub_y, wheel.x + BAR, wheel.hub_y)

    dress(wheel.member, draw)


def _ring_wheel(pen: Pen, wheel: PlacedWheel, inner_x: float, far_y: float) -> None:
    """A wheel with inner teeth: its web beside the wheel inside it, its rim around the far side."""
    down = far_y > wheel.axis_y
    y = far_y + (MESH if down else -MESH)
    start = wheel.hub_y if down else wheel.stem_y
    pen.line(wheel.x, start, wheel.x, y)
    pen.line(wheel.x, y, inner_x - BAR, y, "d-teeth")


def draw_mesh(pen: Pen, mesh: PlacedMesh) -> None:
    """Draw a chain between its wheels, or the link of two wheels that mesh out of the plane of the paper."""
    if mesh.pair.chain:
        for x in (mesh.x - 5.0, mesh.x + 5.0):
            pen.line(x, mesh.y1, x, mesh.y2, "d-chain-run")
    else:
        draw_link(pen, mesh, "d-link")


def draw_link(pen: Pen, mesh: PlacedMesh, style: str = "d-shaft") -> None:
    """Draw the way from one wheel to another between which other axes lie."""
    if mesh.around:
        out = mesh.x + BAR + 9.0
        pen.line(mesh.x + BAR, mesh.y1, out, mesh.y1, style)
        pen.line(out, mesh.y1, out, mesh.y2, style)
        pen.line(mesh.x + BAR, mesh.y2, out, mesh.y2, style)
    elif mesh.apart or mesh.pair.chain:
        pen.line(mesh.x, mesh.y1 + 4.0, mesh.x, mesh.y2 - 4.0, style)
