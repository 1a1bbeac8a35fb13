"""Names for a laid-out train, and the spacing at which all of them find a place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from countershaft.figures.canvas import Box, Canvas, text_width, wrap
from countershaft.figures.train_axes import Plane
from countershaft.figures.train_columns import Spacing
from countershaft.figures.train_drawing import Drawing, Name
from countershaft.figures.train_labels import Label, Spot, Stroke, beside_strokes, place
from countershaft.figures.train_layout import Layout, PlacedElement, lay_out
from countershaft.figures.train_symbols import BAR, PLATE, Pen
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Sleeve

__all__ = ["TEXT", "Sheet", "fitted"]

TEXT = 22.0
"""Size of all text: on a tablet at arm's length the smallest that is read without trouble."""

_WIDTH = 760.0
_SIDE = 46.0
_LONGEST = 170.0
_ROWS = (62.0, 64.0, 68.0, 72.0, 74.0, 84.0, 100.0)


@dataclass(frozen=True)
class Sheet:
    """A layout with its names: how wide and high it is, and where its left end and its top lie in that."""

    layout: Layout
    names: tuple[tuple[Name, Spot], ...]
    width: float
    height: float
    left: float
    top: float
    unnamed: tuple[str, ...]


@lru_cache(maxsize=64)
def fitted(network: Network, bands: frozenset[str]) -> Sheet:
    """The closest spacing at which every name stands free."""
    best: Sheet | None = None
    wider: dict[int, float] = {}
    for row in _ROWS:
        sheet = _sheet(lay_out(network, Spacing(row, tuple(sorted(wider.items())))), bands)
        if best is None or len(sheet.unnamed) < len(best.unnamed):
            best = sheet
        if not sheet.unnamed:
            break
        _widen(sheet, wider)
    assert best is not None
    return best


def _widen(sheet: Sheet, wider: dict[int, float]) -> None:
    """Ask for more room where a name found none."""
    for name in sheet.unnamed:
        need = text_width(name, TEXT) / 2
        for placed in sheet.layout.elements:
            if placed.site.element is not None and placed.site.element.id == name.partition(":")[0]:
                column = placed.site.cell[0]
                wider[column] = wider.get(column, 0.0) + need
        for wire in sheet.layout.wires:
            if wire.member == name and wire.flat:
                column = min(wire.ends)[0]
                wider[column] = wider.get(column, 0.0) + need


def _sheet(layout: Layout, bands: frozenset[str]) -> Sheet:
    width = max(_WIDTH, layout.width + 2 * _SIDE)
    left = (width - layout.width) / 2
    scratch = Drawing(layout, Canvas(width, layout.height, title="", description=""), 0.0, 0.0, bands)
    scratch.draw()
    names = [*_element_names(layout, bands), *_member_names(layout, scratch.pen), *_part_names(layout)]
    frame = Box(-left, -40.0, width - left, layout.height + 40.0)
    axes = [Box(-left, y - 1.0, width - left, y + 1.0) for y in layout.axes]
    covered = [*scratch.pen.covered, *scratch.pen.shades, *axes]
    spots = place([name.label for name in names], covered, frame)
    placed = tuple((name, spot) for name, spot in zip(names, spots, strict=True) if spot is not None)
    boxes = [*covered, *(name.label.box(spot) for name, spot in placed)]
    high, low = min(box.top for box in boxes), max(box.bottom for box in boxes)
    unnamed = tuple(
        name.label.text for name, spot in zip(names, spots, strict=True) if spot is None and not name.quiet
    )
    return Sheet(layout, placed, width, low - high, left, -high, unnamed)


def _element_names(layout: Layout, bands: frozenset[str]) -> Iterator[Name]:
    for placed in layout.elements:
        site = placed.site
        if site.element is not None:
            text = f"{site.element.id}:{site.part}" if site.part else site.element.id
            shown = wrap(text, TEXT, _LONGEST, 1)[0]
            wide = 4.0 if site.element.id in bands else 0.0
            yield Name(Label(shown, TEXT, tuple(_element_spots(placed, wide)), padded=True), text)


def _element_spots(placed: PlacedElement, wide: float) -> Iterator[Spot]:
    x, y = sum(placed.xs) / len(placed.xs), placed.y
    drop = TEXT * 0.76
    if placed.site.right:
        tall = 20.0 if isinstance(placed.site.element, Sleeve) else PLATE
        yield Spot(x, y - tall - 13.0, "middle", 0.0)
        yield Spot(x, y + PLATE + 9.0 + drop, "middle", 1.0)
        yield Spot(x + 20.0, y - 13.0, "start", 2.0)
        yield Spot(x - 20.0, y - 13.0, "end", 2.5)
        yield Spot(x + 20.0, y + 12.0 + drop, "start", 3.0)
        yield Spot(x - 20.0, y + 12.0 + drop, "end", 3.5)
        return
    yield Spot(x + PLATE + wide + 14.0, y - 14.0, "start", 0.0)
    yield Spot(x - PLATE - wide - 14.0, y - 14.0, "end", 0.5)
    yield Spot(x + 14.0, y + 14.0, "start", 2.0)
    yield Spot(x - 14.0, y + 14.0, "end", 2.5)
    yield Spot(x, y - 68.0, "middle", 3.0)


def _member_names(layout: Layout, pen: Pen) -> Iterator[Name]:
    network = layout.schematic.network
    ends = {name: (x, y) for name, x, y in layout.ends}
    for member in network.members:
        shown = wrap(member, TEXT, _LONGEST, 1)[0]
        strokes = []
        for owner, x1, y1, x2, y2, style in pen.strokes:
            if owner == member and (x1 == x2 or y1 == y2):
                at_end = member in ends and y1 == y2 == ends[member][1] and ends[member][0] in (x1, x2)
                rank = -6.0 if at_end else 4.0 if style.startswith("d-shaft") else 9.0
                strokes.append(Stroke(x1, y1, x2, y2, rank))
        if strokes:
            yield Name(Label(shown, TEXT, beside_strokes(shown, TEXT, strokes)))


def _part_names(layout: Layout) -> Iterator[Name]:
    """Ids of sets under their axis and of pairs beyond their wheels, where there is room."""
    for body in layout.bodies:
        x = (body.xs[0] + body.xs[-1]) / 2
        spots = tuple(
            Spot(x + shift, body.axis_y + 8.0 + TEXT * 0.76, "middle", abs(shift))
            for shift in (0.0, 20.0, -20.0)
        )
        yield Name(Label(wrap(body.body.id, TEXT, _LONGEST, 1)[0], TEXT, spots), quiet=True)
    for column in layout.schematic.columns:
        if isinstance(column, Plane):
            pair = column.pairs[0]
            if pair.id != f"{pair.a}-{pair.b}":
                yield Name(Label(pair.id, TEXT, tuple(_pair_spots(layout, column))), quiet=True)


def _pair_spots(layout: Layout, plane: Plane) -> Iterator[Spot]:
    meshes = [mesh for mesh in layout.meshes if mesh.pair in plane.pairs]
    wheels = [wheel for wheel in layout.wheels if abs(wheel.x - meshes[0].x) < 1.0]
    top = min(wheel.axis_y - wheel.up for wheel in wheels)
    bottom = max(wheel.axis_y + wheel.down for wheel in wheels)
    for y, cost in ((top - 12.0, 0.0), (bottom + 8.0 + TEXT * 0.76, 1.0)):
        yield Spot(meshes[0].x, y, "middle", cost)
        yield Spot(meshes[0].x - BAR, y, "start", cost + 2.0)
        yield Spot(meshes[0].x + BAR, y, "end", cost + 2.0)
