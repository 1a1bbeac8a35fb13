"""A laid-out train drawn on a canvas, in the manner of one gear."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial

from countershaft.figures.canvas import Canvas
from countershaft.figures.train_flow import PowerShares, level, wire_shares
from countershaft.figures.train_gears import draw_body, draw_link, draw_mesh, draw_wheel
from countershaft.figures.train_labels import Label, Spot
from countershaft.figures.train_layout import Layout, PlacedElement, Wire
from countershaft.figures.train_symbols import (
    SHADE,
    Pen,
    State,
    band,
    brake,
    case,
    clutch,
    dog,
    one_way,
    roller,
    sleeve,
)
from countershaft.figures.train_words import still_members
from countershaft.mechanics.shift_elements import Brake, Clutch, OneWayBetween, OneWayToGround, Sleeve
from countershaft.mechanics.states import StateKind, TrainState

__all__ = ["Drawing", "Name"]

_ARROW = 34.0
_PITCH = 12.0


@dataclass(frozen=True, slots=True)
class Name:
    """A name in the drawing: its label, and the element, set or member that it names."""

    label: Label
    element: str = ""
    quiet: bool = False


class _BandPen(Pen):
    """Draws every shaft as a band of one width and leaves all else out."""

    width = 0

    def line(self, x1: float, y1: float, x2: float, y2: float, style: str = "d-shaft") -> None:
        """Draw a band."""
        if style == "d-shaft" and self.width:
            super().line(x1, y1, x2, y2, f"d-flow d-flow-{self.width}")

    def box(self, left: float, top: float, right: float, bottom: float, style: str) -> None:
        """Draw nothing."""

    def circle(self, x: float, y: float, radius: float, style: str) -> None:
        """Draw nothing."""

    def text(
        self, x: float, y: float, text: str, size: float, style: str = "", anchor: object = "start"
    ) -> None:
        """Draw nothing."""


@dataclass
class _Ink:
    """Draws members in ink: turning plainly, free ones dashed."""

    pen: Pen
    styles: dict[str, str]

    def __call__(self, member: str | None, draw: Callable[[], None]) -> None:
        style = self.styles.get(member or "", "")
        self.pen.member = member or ""
        if style:
            self.pen.canvas.begin(style)
        draw()
        if style:
            self.pen.canvas.end()
        self.pen.member = ""

    def band(self, member: str, x1: float, y1: float, x2: float, y2: float) -> None:
        """Power is not drawn in ink."""

    def pin_band(self, x1: float, x2: float, far: float, y: float, by: str) -> None:
        """Power is not drawn in ink."""


@dataclass
class _Bands:
    """Draws what members hand to one set or pair as bands; `leading` is the power of the lines that end at a point."""

    pen: _BandPen
    shares: dict[str, float]
    leading: dict[tuple[float, float], float]

    def pin_band(self, x1: float, x2: float, far: float, y: float, by: str) -> None:
        """Draw along a pin the power of the line that leads on from its end."""
        power = self.leading.get((x2, y), 0.0)
        if not level(self.shares.get(by, 0.0)):
            power = min(power, self.leading.get((far, y), 0.0))
        self.pen.width = level(power)
        self.pen.line(x1, y, x2, y)

    def __call__(self, member: str | None, draw: Callable[[], None]) -> None:
        self.pen.width = level(self.shares.get(member or "", 0.0))
        draw()

    def band(self, member: str, x1: float, y1: float, x2: float, y2: float) -> None:
        """Draw the power that a member hands to the set, inside the set."""
        self.pen.width = level(self.shares.get(member, 0.0))
        self.pen.line(x1, y1, x2, y2)


def _same_element(one: str, other: str) -> bool:
    """Whether two names mean one element; a sleeve's id stands for any of its positions."""
    return one == other or other in one.split(":")[:1] or one in other.split(":")[:1]


@dataclass
class Drawing:
    """A layout on its way to a canvas, its left end at `left` and its top at `top`."""

    layout: Layout
    canvas: Canvas
    left: float
    top: float
    bands: frozenset[str] = frozenset()
    state: TrainState | None = None
    power: PowerShares | None = None
    pen: Pen = field(init=False)

    def __post_init__(self) -> None:
        self.pen = Pen(self.canvas, self.left, self.top)

    def draw(self) -> None:
        """Draw axes, power, hatching, lines, gears and elements, in this order."""
        for y in self.layout.axes:
            self.canvas.line(0, y + self.top, self.canvas.frame.right, y + self.top, "d-chain")
        if self.power is not None:
            self._bands(self.power)
        ink = _Ink(self.pen, self._styles())
        for wire in self.layout.wires:
            ink(wire.member, partial(self._wire, wire))
        self._ends(ink)
        for body in self.layout.bodies:
            draw_body(self.pen, ink, body)
        for wheel in self.layout.wheels:
            draw_wheel(self.pen, ink, wheel)
        for mesh in self.layout.meshes:
            draw_mesh(self.pen, mesh)
        for x, y, _ in self.layout.joints:
            self.pen.circle(x, y, 4.0, "d-solid")
        for element in self.layout.elements:
            self._element(element)
        self._hatching()

    def _wire(self, wire: Wire) -> None:
        """Draw a line of a member; an upright one is open where it crosses another member."""
        if wire.flat:
            self.pen.line(wire.x1, wire.y1, wire.x2, wire.y2)
            return
        top, bottom = sorted((wire.y1, wire.y2))
        self.pen.broken(wire.x1, top, bottom, (y for x, y in self.layout.crossings if x == wire.x1))

    def _styles(self) -> dict[str, str]:
        if self.state is None or self.state.kind == StateKind.TIE_UP:
            return {}
        return dict.fromkeys(self.state.floating, "d-idle")

    def _ends(self, ink: _Ink) -> None:
        """Draw input and output as arrows."""
        network = self.layout.schematic.network
        for name, x, y in self.layout.ends:
            start, tip = (x - _ARROW, x - _ARROW + 14.0) if name == network.input else (x, x + _ARROW)

            def draw(x: float = x, y: float = y, start: float = start, tip: float = tip) -> None:
                self.pen.line(min(start + 6.0, x), y, max(x, tip - 10.0), y)
                self.pen.wedge(tip, y, 14.0, 7.0)

            ink(name, draw)

    def _element(self, placed: PlacedElement) -> None:
        site, xs, y = placed.site, placed.xs, placed.y
        element = site.element
        state = self._element_state(placed)
        match element:
            case None:
                case(self.pen, xs[0], y, site.ground)
            case Sleeve() if site.hub:
                sleeve(self.pen, (xs[0], xs[1], xs[2]), y, self._engaged(placed))
            case Sleeve():
                dog(self.pen, xs[0], xs[1], y, state)
            case Clutch():
                clutch(self.pen, xs[0], xs[1], y, state)
            case OneWayBetween():
                one_way(self.pen, xs[0], xs[1], y, state)
            case OneWayToGround():
                roller(self.pen, xs[0], y, state)
            case Brake():
                (band if element.id in self.bands else brake)(self.pen, xs[0], y, state)

    def _element_state(self, placed: PlacedElement) -> State:
        element = placed.site.element
        if element is None or self.state is None:
            return "open"
        return self.state_of(f"{element.id}:{placed.site.part}" if placed.site.part else element.id)

    def state_of(self, name: str) -> State:
        """How an element stands in this gear; of a sleeve with one sign, whether it is engaged at all.

        A sleeve of one position may be applied by its id alone.
        """
        if self.state is None:
            return "open"
        if name in self.state.overrunning:
            return "overruns"
        held = (*self.state.applied, *self.state.catching)
        return "applied" if any(_same_element(name, other) for other in held) else "open"

    def _engaged(self, placed: PlacedElement) -> str:
        site = placed.site
        if self.state is None or not isinstance(site.element, Sleeve):
            return ""
        for name, pair in site.element.positions:
            if f"{site.element.id}:{name}" in self.state.applied:
                return "left" if site.left in pair else "right"
        return ""

    def _hatching(self) -> None:
        """Hatch the lines of every member that stands still, under flat lines and left of upright ones."""
        still = still_members(self.layout.schematic.network, self.state)
        for member, x1, y1, x2, y2, style in list(self.pen.strokes):
            if member in still and style == "d-shaft":
                length = abs(x2 - x1) + abs(y2 - y1)
                count = int((length - 8.0) // _PITCH)
                for index in range(count):
                    along = (length - _PITCH * (count - 1)) / 2 + _PITCH * index
                    if y1 == y2:
                        x = min(x1, x2) + along
                        self._tick(x + 3.0, y1 + 1.0, x - 3.0, y1 + SHADE)
                    else:
                        y = min(y1, y2) + along
                        self._tick(x1 - 1.0, y - 3.0, x1 - SHADE, y + 3.0)

    def _tick(self, x1: float, y1: float, x2: float, y2: float) -> None:
        self.canvas.line(x1 + self.left, y1 + self.top, x2 + self.left, y2 + self.top, "d-case")

    def _bands(self, power: PowerShares) -> None:
        """Draw the power in every line, wheel and set as bands under the ink."""
        pen = _BandPen(self.canvas, self.left, self.top)
        leading: dict[tuple[float, float], float] = {}
        for wire, share in wire_shares(self.layout, power).items():
            pen.width = level(share)
            pen.line(wire.x1, wire.y1, wire.x2, wire.y2)
            for point in ((wire.x1, wire.y1), (wire.x2, wire.y2)):
                leading[point] = max(leading.get(point, 0.0), share)
        network = self.layout.schematic.network
        for name, x, y in self.layout.ends:
            pen.width = level(1.0)
            if name == network.input:
                pen.line(x - _ARROW + 10.0, y, x, y)
            else:
                pen.line(x, y, x + _ARROW - 10.0, y)
        for body in self.layout.bodies:
            draw_body(pen, _Bands(pen, dict(power.parts.get(body.body.id, {})), leading), body)
        for mesh in self.layout.meshes:
            for member, share in power.parts.get(mesh.pair.id, {}).items():
                for wheel in self.layout.wheels:
                    if wheel.member == member and abs(wheel.x - mesh.x) < 1.0:
                        pen.width = level(share)
                        teeth = mesh.y1 if wheel.axis_y < mesh.y1 else mesh.y2
                        pen.line(wheel.x, wheel.hub_y, wheel.x, teeth)
                        draw_link(pen, mesh)
        self._element_bands(pen, power)

    def _element_bands(self, pen: _BandPen, power: PowerShares) -> None:
        """Draw the power through clutches and sleeves."""
        for placed in self.layout.elements:
            site = placed.site
            if site.element is None or not site.right:
                continue
            for name, share in power.elements.items():
                element, _, position = name.partition(":")
                if element != site.element.id or (site.part and position and site.part != position):
                    continue
                left, right = placed.xs[0], placed.xs[-1]
                if site.hub:
                    side = self._engaged(placed)
                    left, right = (left, placed.xs[1]) if side == "left" else (placed.xs[1], right)
                pen.width = level(share)
                pen.line(left, placed.y, right, placed.y)

    def name(self, name: Name, spot: Spot) -> None:
        """Write a name where it was placed; an applied element stands out on a ground of its own."""
        label = name.label
        style = "d-quiet" if name.quiet else "d-strong" if name.element else ""
        if name.element and self.state_of(name.element) == "applied":
            box = label.box(spot)
            self.pen.box(box.left, box.top, box.right, box.bottom, "d-applied")
            style = "d-strong d-ontag"
        self.pen.text(spot.x, spot.y, label.text, label.size, style, spot.anchor)
