"""The shift matrix: gears in rows, shift elements in columns, and on the line between two gears what the shift changes.

A solid block is an element that is applied, a disc a one-way clutch that holds, a ring one that overruns.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from countershaft.errors import OutOfRange
from countershaft.figures.canvas import Box, Canvas, text_width, wrap
from countershaft.figures.matrix_cells import (
    Also,
    Cell,
    Change,
    Row,
    also_possible,
    changes,
    columns_of,
    in_words,
    rows_of,
)
from countershaft.figures.matrix_sheet import LINE, ROW, TEXT, Sheet, lay_out
from countershaft.figures.train_words import listed
from countershaft.mechanics.chart_check import IDLE_GEARS, ChartCheck, check_chart
from countershaft.mechanics.gears import GearLoad, solve_gears
from countershaft.mechanics.network import Network

__all__ = ["ShiftMatrix", "matrix_of", "shift_matrix"]

_BLOCK = 13.0
_DISC = 12.0
_ARROW = 8.0
_MOST_ALSO = 6


@dataclass(frozen=True)
class ShiftMatrix:
    """A chart with what its gears do on drive and on coast; `gear` is the one in hand.

    Without a `check` there are no steps, and nothing is said of what else the train could do.
    """

    network: Network
    title: str
    drive: Mapping[str, GearLoad] = field(default_factory=dict)
    coast: Mapping[str, GearLoad] = field(default_factory=dict)
    check: ChartCheck | None = None
    gear: str = ""


def matrix_of(
    network: Network, chart: Mapping[str, Sequence[str]], title: str, *, gear: str = ""
) -> ShiftMatrix:
    """The matrix of a chart; without its check where the train has more combinations than can be tried."""
    drive = solve_gears(network, chart)
    coast = solve_gears(network, chart, input_torque=-1)
    try:
        check = check_chart(network, chart)
    except OutOfRange:
        check = None
    return ShiftMatrix(network, title, drive, coast, check, gear)


def shift_matrix(matrix: ShiftMatrix) -> str:
    """Draw the matrix and return its SVG text."""
    if matrix.gear and matrix.gear not in matrix.drive:
        known = ", ".join(matrix.drive) or "none"
        raise OutOfRange(f"shift matrix {matrix.title!r}: there is no gear {matrix.gear!r}; known: {known}.")
    columns = columns_of(matrix.network)
    rows = rows_of(matrix.network, matrix.drive, matrix.coast)
    shifts = changes(rows, matrix.check)
    also = also_possible(matrix.network, matrix.check)
    sheet = lay_out(matrix.title, columns, rows, shifts, also[:_MOST_ALSO])
    foot = [row for note in _notes(matrix, sheet, also) for row in wrap(note, TEXT, sheet.width, 12)]
    marks = _marks(rows, also, shifts)
    key = _key_places(marks, sheet.width)
    key_top = sheet.bottom + 12.0
    foot_top = key_top + LINE * (1 + max((line for _, line in key), default=-1))
    canvas = Canvas(
        sheet.width,
        foot_top + LINE * len(foot) + 6.0,
        title=f"Shift matrix: {matrix.title}" + (f", gear {matrix.gear}" if matrix.gear else ""),
        description=". ".join([*in_words(columns, rows, shifts), *_also_in_words(columns, also)]) + ".",
    )
    _head(canvas, sheet)
    for place, row in enumerate(rows):
        _row(canvas, sheet, row, sheet.top + ROW * place, row.gear == matrix.gear)
    for place, change in enumerate(shifts):
        _between(canvas, sheet, change, sheet.top + ROW * (place + 1))
    _also(canvas, sheet, also[:_MOST_ALSO])
    for (name, text), (x, line) in zip(marks, key, strict=True):
        y = key_top + TEXT * 0.5 + LINE * line
        _mark(canvas, name, x + _BLOCK, y, 0.8)
        canvas.text(x + 2 * _BLOCK + 8.0, y + TEXT * 0.35, text, TEXT, "d-quiet")
    for index, text in enumerate(foot):
        canvas.text(0, foot_top + TEXT * 0.8 + LINE * index, text, TEXT, "d-quiet")
    return canvas.svg()


def _notes(matrix: ShiftMatrix, sheet: Sheet, also: Sequence[Also]) -> list[str]:
    """What the check of the chart says, in sentences."""
    notes = [f"Elements: {sheet.key}."] if sheet.key else []
    check = matrix.check
    if check is None:
        return [*notes, "Steps, and what else is possible: not worked out, too many combinations."]
    if check.spread is not None and check.spread != 1:
        notes.append(f"Spread {float(check.spread):.3f}.")
    notes += [f"Same ratio: {listed(names)}." for names in check.doubles]
    notes += [f"{dead.gear} drives nothing: {dead.kind.value}." for dead in check.dead]
    idle = [gear for gear, load in matrix.drive.items() if gear in IDLE_GEARS and load.ratio is not None]
    notes += [f"{gear} drives, though it should not." for gear in idle]
    if len(also) > _MOST_ALSO:
        notes.append(f"{len(also) - _MOST_ALSO} more ratios are possible.")
    return notes


def _also_in_words(columns: Sequence[str], also: Sequence[Also]) -> list[str]:
    said = []
    for one in also:
        names = [column for column, cell in zip(columns, one.cells, strict=True) if cell is not Cell.OFF]
        others = f" or {one.others} other ways" if one.others > 1 else " or 1 other way" if one.others else ""
        ratio = f"{float(one.ratio):.3f}".replace("-", "−")
        said.append(f"{ratio} by {listed(names) or 'nothing applied'}{others}")
    return [f"Also possible: {'; '.join(said)}"] if said else []


def _marks(
    rows: Sequence[Row], also: Sequence[Also], shifts: Sequence[Change | None]
) -> list[tuple[str, str]]:
    """The marks that occur, each with what it means."""
    cells = {cell for row in rows for cell in row.cells} | {cell for one in also for cell in one.cells}
    marks = [(cell.value, cell.value) for cell in Cell if cell in cells and cell is not Cell.OFF]
    if any(change and change.off for change in shifts):
        marks.append(("lets go", "lets go"))
    if any(change and change.on for change in shifts):
        marks.append(("takes hold", "takes hold"))
    return marks


def _key_places(marks: Sequence[tuple[str, str]], width: float) -> list[tuple[float, int]]:
    """Left end and line of each mark of the key."""
    places, x, line = [], 0.0, 0
    for _, text in marks:
        wide = 2 * _BLOCK + 8.0 + text_width(text, TEXT)
        if x and x + wide > width:
            x, line = 0.0, line + 1
        places.append((x, line))
        x += wide + 16.0
    return places


def _head(canvas: Canvas, sheet: Sheet) -> None:
    """Title, and what stands in each column."""
    for index, row in enumerate(sheet.head):
        canvas.text(0, TEXT + LINE * index, row, TEXT, "d-strong")
    base = sheet.top - 10.0
    canvas.text(0, base, "gear", TEXT, "d-quiet")
    farther = max((place.row for place in sheet.names), default=0)
    for x, text, place in zip(sheet.xs, sheet.texts, sheet.names, strict=True):
        y = base - LINE * place.row
        canvas.text(place.x, y, text, TEXT, "d-strong", "middle")
        if place.row and farther:
            canvas.line(x, y + 7.0, x, sheet.top - 3.0, "d-hair")
    canvas.text(sheet.ratio_end, base, "ratio", TEXT, "d-quiet", "end")
    if sheet.step_end:
        canvas.text(sheet.step_end, base, "step", TEXT, "d-quiet", "end")
    canvas.text(sheet.width - 1.0, base - LINE, "engine", TEXT, "d-quiet", "end")
    canvas.text(sheet.width - 1.0, base, "brakes", TEXT, "d-quiet", "end")
    canvas.line(0, sheet.top, sheet.width, sheet.top, "d-rule")


def _row(canvas: Canvas, sheet: Sheet, row: Row, top: float, now: bool) -> None:
    """One gear: marks, ratio, engine braking; the one in hand on a ground, with a bar at its left."""
    middle, base = top + ROW / 2, top + ROW / 2 + TEXT * 0.35
    if now:
        canvas.rect(Box(0, top, sheet.width, top + ROW), "d-row-now")
        canvas.line(3.0, top + 3.0, 3.0, top + ROW - 3.0, "d-gear-now")
    strong = "d-strong" if now else ""
    canvas.text(12.0, base, row.gear, TEXT, strong)
    for x, cell in zip(sheet.xs, row.cells, strict=True):
        _mark(canvas, cell.value, x, middle, 1.0)
    said = f"{float(row.ratio):.3f}".replace("-", "−") if row.ratio is not None else row.kind
    canvas.text(sheet.ratio_end, base, said, TEXT, strong, "end")
    if row.braking is not None:
        canvas.text(sheet.width - 1.0, base, "yes" if row.braking else "no", TEXT, strong, "end")
    canvas.line(0, top + ROW, sheet.width, top + ROW, "d-hair")


def _between(canvas: Canvas, sheet: Sheet, change: Change | None, y: float) -> None:
    """On the line between two gears: what lets go, what takes hold, and the step."""
    if change is None:
        return
    for at in change.off:
        _mark(canvas, "lets go", sheet.xs[at], y, 1.0)
    for at in change.on:
        _mark(canvas, "takes hold", sheet.xs[at], y, 1.0)
    if change.step is not None:
        text = f"{float(change.step):.3f}"
        wide = text_width(text, TEXT)
        canvas.rect(Box(sheet.step_end - wide - 4.0, y - 3.0, sheet.step_end + 4.0, y + 3.0), "d-halo")
        canvas.text(sheet.step_end, y + TEXT * 0.35, text, TEXT, "", "end")


def _also(canvas: Canvas, sheet: Sheet, also: Sequence[Also]) -> None:
    """The ratios that no gear uses, in smaller marks."""
    if not also:
        return
    canvas.text(0, sheet.also_top + TEXT * 0.8, "Also possible, in no gear of the chart", TEXT, "d-quiet")
    for place, one in enumerate(also):
        top = sheet.also_top + LINE * 1.3 + sheet.also_row * place
        middle, base = top + sheet.also_row / 2, top + sheet.also_row / 2 + TEXT * 0.35
        canvas.line(0, top, sheet.width, top, "d-hair")
        for x, cell in zip(sheet.xs, one.cells, strict=True):
            _mark(canvas, cell.value, x, middle, 0.7)
        canvas.text(
            sheet.ratio_end, base, f"{float(one.ratio):.3f}".replace("-", "−"), TEXT, "d-quiet", "end"
        )
        if one.others:
            said = f"+{one.others} way" + ("s" if one.others > 1 else "")
            canvas.text(sheet.width - 1.0, base, said, TEXT, "d-quiet", "end")


def _mark(canvas: Canvas, name: str, x: float, y: float, size: float) -> None:
    """One mark about its middle."""
    block, disc, arrow = _BLOCK * size, _DISC * size, _ARROW * size
    match name:
        case Cell.APPLIED:
            canvas.rect(Box(x - block, y - block, x + block, y + block), "d-applied")
        case Cell.HOLDS:
            canvas.circle(x, y, disc, "d-applied")
        case Cell.OVERRUNS:
            canvas.circle(x, y, disc, "d-open")
        case Cell.SLACK:
            canvas.line(x - disc, y, x + disc, y, "d-rule")
        case "lets go":
            corners = [(x - arrow, y + arrow * 0.7), (x + arrow, y + arrow * 0.7), (x, y - arrow * 0.9)]
            canvas.path(corners, "d-open", closed=True)
        case "takes hold":
            corners = [(x - arrow, y - arrow * 0.7), (x + arrow, y - arrow * 0.7), (x, y + arrow * 0.9)]
            canvas.path(corners, "d-solid", closed=True)
