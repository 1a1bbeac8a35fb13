"""A train on paper: every line, gear set, wheel and shift element with its place, without texts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from countershaft.figures.train_axes import Body, Plane, Schematic
from countershaft.figures.train_bodies import PORT_HIGH, PORT_LOW
from countershaft.figures.train_columns import Spacing, column_places
from countershaft.figures.train_router import ACROSS, Cell
from countershaft.figures.train_routes import routed
from countershaft.figures.train_rows import Rows, row_places
from countershaft.figures.train_strips import Site, Strip, Tracks
from countershaft.figures.train_wires import crossings, degree, stretches
from countershaft.mechanics.gear_sets import GearPair, Teeth
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Sleeve

__all__ = [
    "Layout",
    "PlacedBody",
    "PlacedElement",
    "PlacedMesh",
    "PlacedWheel",
    "Tap",
    "Wire",
    "lay_out",
]


@dataclass(frozen=True, slots=True)
class Wire:
    """A straight line of a member between two corners; `ends` are the cells that it joins."""

    member: str
    x1: float
    y1: float
    x2: float
    y2: float
    axis: int
    ends: tuple[Cell, Cell]

    @property
    def flat(self) -> bool:
        """Whether it runs along the axis."""
        return self.ends[0][1] == self.ends[1][1]


@dataclass(frozen=True, slots=True)
class PlacedBody:
    """A set with the x of its columns, the y of the middle of its planets, and of the rows under and above it.

    `joined` are the ports, by column and row of the set, to which a line leads.
    """

    body: Body
    xs: tuple[float, ...]
    middle: float
    low_y: float
    high_y: float
    axis_y: float
    mirrored: bool
    joined: frozenset[Cell]


@dataclass(frozen=True, slots=True)
class PlacedElement:
    """A shift element, or the sign of the case on a grounded member, from `x1` to `x2` at `y`."""

    site: Site
    xs: tuple[float, ...]
    y: float


@dataclass(frozen=True, slots=True)
class PlacedWheel:
    """A wheel on an axis: its teeth lie `up` above and `down` below the axis, 0 where they are not drawn.

    `hub_y` is where its stem meets the lines of its member; `passing` are the lines of others that it lets by.
    """

    member: str
    teeth: Teeth
    x: float
    axis_y: float
    stem_y: float
    hub_y: float
    up: float
    down: float
    passing: tuple[float, ...]
    lone: bool
    ring_over: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class PlacedMesh:
    """A gear pair: its wheels' teeth at `y1` and `y2`; `apart` where other axes lie between them.

    It leads `around` a wheel that lies between them in the same plane.
    """

    pair: GearPair
    x: float
    y1: float
    y2: float
    apart: bool
    around: bool


@dataclass(frozen=True, slots=True)
class Tap:
    """A place where power enters or leaves the lines of a member: a set or pair, an element, or a shaft end.

    Of an element between two members the first has the sign -1, the second +1.
    """

    member: str
    cells: tuple[Cell, ...]
    part: str = ""
    element: str = ""
    sign: int = 0
    end: str = ""


@dataclass(frozen=True)
class Layout:
    """A train on paper, y downward; `width` and `height` are what it covers, without its texts."""

    schematic: Schematic
    width: float
    height: float
    axes: tuple[float, ...]
    wires: tuple[Wire, ...]
    joints: tuple[tuple[float, float, str], ...]
    crossings: tuple[tuple[float, float], ...]
    bodies: tuple[PlacedBody, ...]
    elements: tuple[PlacedElement, ...]
    wheels: tuple[PlacedWheel, ...]
    meshes: tuple[PlacedMesh, ...]
    ends: tuple[tuple[str, float, float], ...]
    taps: tuple[Tap, ...]


def lay_out(network: Network, spacing: Spacing) -> Layout:
    """Give every column and row of the routed train its place."""
    schematic, tracks, strips = routed(network)
    xs = column_places(schematic, tracks, strips, spacing)
    rows = row_places(schematic, strips, spacing)
    return _Assembly(schematic, tracks, strips, xs, rows).layout()


@dataclass(frozen=True)
class _Assembly:
    schematic: Schematic
    tracks: Tracks
    strips: tuple[Strip, ...]
    xs: dict[int, float]
    rows: Rows

    def layout(self) -> Layout:
        wheels = tuple(self._wheels())
        return Layout(
            schematic=self.schematic,
            width=max(self.xs.values()),
            height=self.rows.bottom,
            axes=self.rows.axis_y,
            wires=tuple(wire for strip in self.strips for wire in self._wires(strip)),
            joints=tuple(joint for strip in self.strips for joint in self._joints(strip)),
            crossings=tuple(
                (self.xs[column], self.rows.y(strip.axis, row))
                for strip in self.strips
                for column, row in crossings(strip)
            ),
            bodies=tuple(body for strip in self.strips for body in self._bodies(strip)),
            elements=tuple(element for strip in self.strips for element in self._elements(strip)),
            wheels=wheels,
            meshes=tuple(self._meshes()),
            ends=tuple(self._ends()),
            taps=tuple(tap for strip in self.strips for tap in self._taps(strip)),
        )

    def _wires(self, strip: Strip) -> Iterator[Wire]:
        for line in stretches(strip):
            (c1, r1), (c2, r2) = line.start, line.end
            y1, y2 = self.rows.y(strip.axis, r1), self.rows.y(strip.axis, r2)
            if (self.xs[c1], y1) != (self.xs[c2], y2):
                yield Wire(line.member, self.xs[c1], y1, self.xs[c2], y2, strip.axis, (line.start, line.end))

    def _joints(self, strip: Strip) -> Iterator[tuple[float, float, str]]:
        for cell in sorted(strip.board.corners):
            if degree(strip, cell) > 2 and cell not in strip.hubs_of_sleeves:
                yield self.xs[cell[0]], self.rows.y(strip.axis, cell[1]), strip.board.corners[cell]

    def _bodies(self, strip: Strip) -> Iterator[PlacedBody]:
        for index, plan in strip.blueprints.items():
            start = self.tracks.starts[index]
            body = self.schematic.columns[index]
            assert not isinstance(body, Plane)
            joined = {
                cell
                for _, cells in plan.ports
                for cell in cells
                if degree(strip, (start + cell[0], cell[1])) > 1
            }
            yield PlacedBody(
                body,
                tuple(self.xs[start] + self._step(start, column) for column in range(plan.columns)),
                self.rows.middle(strip.axis),
                self.rows.y(strip.axis, PORT_LOW),
                self.rows.y(strip.axis, PORT_HIGH),
                self.rows.axis_y[strip.axis],
                strip.mirrored(index),
                frozenset(joined),
            )

    def _step(self, start: int, column: int) -> float:
        return self.xs[start + column] - self.xs[start]

    def _elements(self, strip: Strip) -> Iterator[PlacedElement]:
        for site in strip.sites:
            column, row = site.cell
            last = column + (2 if site.hub else 1 if site.right else 0)
            xs = tuple(self.xs[c] for c in range(column, last + 1))
            yield PlacedElement(site, xs, self.rows.y(strip.axis, row))

    def _wheels(self) -> Iterator[PlacedWheel]:
        for strip in self.strips:
            for (index, member), stem in strip.stems.items():
                plane = self.schematic.columns[index]
                assert isinstance(plane, Plane)
                wheel = next(wheel for wheel in plane.wheels if wheel.member == member)
                up, down = self.rows.reach[index, member]
                lowest = strip.lowest(stem)
                passing = [
                    self.rows.y(strip.axis, row)
                    for row in range(strip.board.height)
                    if row != lowest and strip.board.across.get((stem.column, row)) not in (None, member)
                ]
                yield PlacedWheel(
                    member=member,
                    teeth=wheel.teeth,
                    x=self.xs[stem.column],
                    axis_y=self.rows.axis_y[strip.axis],
                    stem_y=self.rows.y(strip.axis, strip.top if stem.upward else lowest),
                    hub_y=self.rows.y(strip.axis, lowest),
                    up=up,
                    down=down,
                    passing=tuple(passing),
                    lone=not any(
                        (cell, ACROSS) in strip.board.edges
                        for cell in ((stem.column, lowest), (stem.column - 1, lowest))
                    ),
                    ring_over=self._ring_over(plane, index, member),
                )

    def _ring_over(self, plane: Plane, index: int, member: str) -> tuple[float, float] | None:
        """Where the inner teeth of a wheel lie: x of the wheel inside it and y of its far side."""
        if plane.ring is None or plane.ring.member != member:
            return None
        inner = next(wheel.member for wheel in plane.wheels if wheel.member != member)
        mine, its = self.schematic.axis_of[member], self.schematic.axis_of[inner]
        up, down = self.rows.reach[index, inner]
        far = self.rows.axis_y[its] + (down if its > mine else -up)
        return self.xs[self.tracks.starts[index]], far

    def _meshes(self) -> Iterator[PlacedMesh]:
        for index, plane in enumerate(self.schematic.columns):
            if not isinstance(plane, Plane):
                continue
            for pair in plane.pairs:
                a, b = sorted(pair.members, key=lambda member: self.schematic.axis_of[member])
                upper, lower = self.schematic.axis_of[a], self.schematic.axis_of[b]
                y1 = self.rows.axis_y[upper] + self.rows.reach[index, a][1]
                y2 = self.rows.axis_y[lower] - self.rows.reach[index, b][0]
                between = any(upper < self.schematic.axis_of[w.member] < lower for w in plane.wheels)
                yield PlacedMesh(pair, self.xs[self.tracks.starts[index]], y1, y2, lower > upper + 1, between)

    def _ends(self) -> Iterator[tuple[str, float, float]]:
        network = self.schematic.network
        for name, column in ((network.input, 0), (network.output, self.tracks.total - 1)):
            if name in self.schematic.axis_of:
                axis = self.schematic.axis_of[name]
                yield name, self.xs[column], self.rows.y(axis, 0)

    def _taps(self, strip: Strip) -> Iterator[Tap]:
        network, last = self.schematic.network, self.tracks.total - 1
        for name, column, end in ((network.input, 0, "in"), (network.output, last, "out")):
            if self.schematic.axis_of.get(name) == strip.axis:
                yield Tap(name, ((column, 0),), end=end)
        for index, plan in strip.blueprints.items():
            start, body = self.tracks.starts[index], self.schematic.columns[index]
            assert not isinstance(body, Plane)
            for member, cells in plan.ports:
                yield Tap(member, tuple((start + c, r) for c, r in cells), part=body.id)
        for (index, member), stem in strip.stems.items():
            plane = self.schematic.columns[index]
            assert isinstance(plane, Plane)
            for pair in plane.pairs:
                if member in pair.members:
                    yield Tap(member, ((stem.column, strip.lowest(stem)),), part=pair.id)
        for site in strip.sites:
            yield from _site_taps(site)


def _site_taps(site: Site) -> Iterator[Tap]:
    """Where a shift element takes hold of its members."""
    element, (column, row) = site.element, site.cell
    if element is None or not site.right:
        return
    ends = {site.left: (column, row), site.right: (column + (2 if site.hub else 1), row)}
    if isinstance(element, Sleeve):
        for name, (first, second) in element.positions:
            key = f"{element.id}:{name}"
            if site.part in ("", name):
                hub = (column + 1, row) if site.hub else None
                yield Tap(first, (ends.get(first) or hub or site.cell,), element=key, sign=-1)
                yield Tap(second, (ends.get(second) or hub or site.cell,), element=key, sign=1)
        return
    first, second = element.members
    yield Tap(first, (ends[first],), element=element.id, sign=-1)
    yield Tap(second, (ends[second],), element=element.id, sign=1)
