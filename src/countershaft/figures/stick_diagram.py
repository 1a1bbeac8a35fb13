"""The stick diagram: a gear train as a textbook draws it, at rest or in one gear.

Only the half above each axis is drawn, except for the wheels of shafts that lie side by side.
"""

from __future__ import annotations

from dataclasses import dataclass

from countershaft.figures.canvas import Canvas, wrap
from countershaft.figures.train_drawing import Drawing
from countershaft.figures.train_flow import PowerShares
from countershaft.figures.train_names import TEXT, Sheet, fitted
from countershaft.figures.train_words import describe, listed, outcome, still_members
from countershaft.mechanics.network import Network
from countershaft.mechanics.states import StateKind, TrainState

__all__ = ["StickDiagram", "stick_diagram"]

_LINE = 30.0
_MOST_ROWS = 4


@dataclass(frozen=True)
class StickDiagram:
    """A train to draw: with `state` in one gear, with `power` the lines as wide as the power in them.

    `bands` are the ids of the brakes that are bands.
    """

    network: Network
    title: str
    gear: str = ""
    state: TrainState | None = None
    power: PowerShares | None = None
    bands: frozenset[str] = frozenset()


def stick_diagram(diagram: StickDiagram) -> str:
    """Draw the train and return its SVG text."""
    sheet = fitted(diagram.network, diagram.bands)
    head, foot = _head(diagram, sheet), _foot(diagram, sheet)
    top = _LINE * len(head) + 14.0
    below = top + sheet.height + 16.0
    canvas = Canvas(
        sheet.width,
        below + _LINE * len(foot) + 4.0,
        title=f"{diagram.title}, {diagram.gear}" if diagram.gear else diagram.title,
        description=describe(sheet.layout.schematic, diagram.state, diagram.bands),
    )
    for index, row in enumerate(head):
        canvas.text(0, TEXT + _LINE * index, row, TEXT, "d-strong" if index == 0 else "")
    drawing = Drawing(
        sheet.layout, canvas, sheet.left, top + sheet.top, diagram.bands, diagram.state, diagram.power
    )
    drawing.draw()
    for name, spot in sheet.names:
        drawing.name(name, spot)
    for index, row in enumerate(foot):
        canvas.text(0, below + TEXT * 0.8 + _LINE * index, row, TEXT, "d-quiet")
    return canvas.svg()


def _head(diagram: StickDiagram, sheet: Sheet) -> list[str]:
    """The title, and what becomes of the gear."""
    rows = wrap(diagram.title, TEXT, sheet.width, 2)
    if diagram.state is None:
        return rows
    applied = listed(diagram.state.applied)
    said = [f"{applied} applied" if applied else "nothing applied", outcome(diagram.state)]
    if diagram.state.overrunning:
        said.insert(1, f"{listed(diagram.state.overrunning)} overrunning")
    gear = f"{diagram.gear}: " if diagram.gear else ""
    return [*rows, *wrap(f"{gear}{', '.join(said)}", TEXT, sheet.width, 3)]


def _foot(diagram: StickDiagram, sheet: Sheet) -> list[str]:
    """What the marks mean, of those that are there, and what could not be drawn."""
    state, network = diagram.state, diagram.network
    marks = []
    if state is not None and state.applied:
        marks.append("filled: applied")
    if still_members(network, state):
        marks.append("hatched: still")
    if state is not None and state.kind != StateKind.TIE_UP and state.floating:
        marks.append("dashed: free")
    if diagram.power is not None:
        marks.append("band: power")
    lines = [", ".join(marks)] if marks else []
    if sheet.layout.schematic.left_out:
        lines.append(f"Not drawn: {'; '.join(sheet.layout.schematic.left_out)}")
    if sheet.unnamed:
        lines.append(f"Not named in the drawing, for want of room: {listed(sheet.unnamed)}")
    return [row for line in lines for row in wrap(line, TEXT, sheet.width, _MOST_ROWS)]
