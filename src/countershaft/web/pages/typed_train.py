"""A train that a person types: what it makes of its chart, or what is wrong at which line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from countershaft.desk.train import TypedTrain, gear_power
from countershaft.desk.worked_chart import worked_chart
from countershaft.errors import Fault
from countershaft.figures.stick_diagram import StickDiagram, stick_diagram
from countershaft.mechanics.working import explain, show_working
from countershaft.model.train import Train
from countershaft.web.pages.shown import Working, decimal, exact
from countershaft.web.pages.train import bands_of, drawn, laddered, shifted

__all__ = ["EXAMPLE", "KINDS", "Said", "TypedGear", "TypedTrainPage", "typed_train_page"]

_TITLE: Final = "The train as typed"

#: What stands in the field at first: a set with its ring held, by hand 1 + 60/30 = 3.
EXAMPLE: Final = """train:
  input: in
  output: out
  sets:
    - {id: P, kind: single_pinion, sun: in, carrier: out, ring: R, teeth: {sun: 30, ring: 60}}
  elements:
    B: {kind: brake, member: R}
    K: {kind: clutch, members: [in, out]}
  chart:
    "1": [B]
    "2": [K]
"""


@dataclass(frozen=True, slots=True)
class TypedGear:
    """A gear of the typed chart."""

    gear: str
    applied: str
    exact: str
    decimal: str
    words: str
    working: Working


#: How each kind of set, pair and element is written: what it is, and a line of its own section.
KINDS: Final = (
    (
        "sun, carrier, ring",
        "sets",
        "{id: P, kind: single_pinion, sun: S, carrier: C, ring: R, teeth: {sun: 30, ring: 72}}",
    ),
    (
        "two pinions in a row",
        "sets",
        "{id: P, kind: double_pinion, sun: S, carrier: C, ring: R, teeth: {sun: 30, ring: 72}}",
    ),
    (
        "two suns, one ring",
        "sets",
        (
            "{id: P, kind: ravigneaux, small_sun: S, large_sun: L, carrier: C, ring: R, "
            "teeth: {small_sun: 30, large_sun: 36, ring: 78}}"
        ),
    ),
    (
        "stepped planets",
        "sets",
        (
            "{id: P, kind: compound_planet, carrier: C, wheels: [{member: S, teeth: 40, planet_teeth: 20}, "
            "{member: R, teeth: 80, planet_teeth: 18, internal: true}]}"
        ),
    ),
    ("differential", "sets", "{id: P, kind: differential, carrier: C, sides: [S, R]}"),
    ("only the ratio known", "sets", "{id: P, kind: basic_ratio, carrier: C, b: R, others: {S: -12/5}}"),
    ("a pair of gears on standing axes", "pairs", "{id: Z, a: S, b: R, teeth: [18, 35]}"),
    ("clutch", "elements", "K: {kind: clutch, members: [S, R]}"),
    ("brake or band", "elements", "B: {kind: brake, member: R}"),
    (
        "one-way clutch to the case",
        "elements",
        'F: {kind: one_way_to_ground, member: C, free_direction: "+"}',
    ),
    (
        "one-way clutch between two members",
        "elements",
        'F: {kind: one_way, members: [S, R], free_direction: "+"}',
    ),
    (
        "sleeve, in the chart D:low or D:high",
        "elements",
        "D: {kind: sleeve, positions: {low: [S, C], high: [S, R]}}",
    ),
    ("a member that is fixed to the case", "grounded", "grounded: [S]"),
)


@dataclass(frozen=True, slots=True)
class Said:
    """A fault or a warning: its line, the text that stands there, and the words."""

    line: str
    typed: str
    words: str


@dataclass(frozen=True, slots=True)
class TypedTrainPage:
    """The typed text, and what became of it.  `gear` is the one that is drawn; without a chart, the train at rest."""

    text: str
    rows: int
    gears: tuple[TypedGear, ...]
    gear: str
    drawing: str
    ladder: str
    matrix: str
    faults: tuple[Said, ...]
    warnings: tuple[Said, ...]
    kinds: tuple[tuple[str, str, str], ...] = KINDS


def typed_train_page(text: str, typed: TypedTrain, gear: str = "") -> TypedTrainPage:
    """The page as its template reads it; a gear that the chart has not is left for its first that works."""
    lines = text.splitlines()
    train = typed.train
    chosen = _chosen(train, gear) if train else ""
    return TypedTrainPage(
        text=text,
        rows=min(max(len(lines) + 2, 12), 40),
        gears=_gears(train) if train else (),
        gear=chosen,
        drawing=_drawing(train, chosen) if train else "",
        ladder=laddered(train, _TITLE, chosen, None) if train and chosen else "",
        matrix=shifted(train, _TITLE, chosen) if train and chosen else "",
        faults=tuple(_said(fault, lines) for fault in typed.faults),
        warnings=tuple(_said(fault, lines) for fault in typed.warnings),
    )


def _chosen(train: Train, gear: str) -> str:
    if gear in train.chart:
        return gear
    return next(
        (name for name, state in worked_chart(train).states.items() if state.ratio is not None),
        next(iter(train.chart), ""),
    )


def _drawing(train: Train, gear: str) -> str:
    if gear:
        return drawn(train, _TITLE, gear, *gear_power(train, gear))
    return stick_diagram(StickDiagram(train.network(), _TITLE, bands=bands_of(train)))


def _gears(train: Train) -> tuple[TypedGear, ...]:
    found = []
    for gear, state in worked_chart(train).states.items():
        work = show_working(state)
        found.append(
            TypedGear(
                gear,
                " + ".join(state.applied) or "nothing",
                exact(state.ratio) if state.ratio is not None else "",
                decimal(state.ratio) if state.ratio is not None else state.kind.value,
                explain(state),
                Working((*work.constraints, *work.speeds), "tooth counts as typed"),
            )
        )
    return tuple(found)


def _said(fault: Fault, lines: list[str]) -> Said:
    """A fault as it is read beside the text: its line first, with what stands there.

    A fault of what the page adds behind the text began at the last line that was typed.
    """
    at = min(fault.line, len(lines))
    key = f"{fault.key}: " if fault.key else ""
    expected = f"; expected {fault.expected}" if fault.expected else ""
    got = f", got {fault.got}" if fault.got else ""
    text = f"{key}{fault.message}{expected}{got}"
    words = f"{text}{'' if text.endswith(('.', '?')) else '.'} {fault.cure}".strip()
    return Said(f"Line {at}" if at else "", lines[at - 1].strip() if at else "", words)
