"""A train that a person types: what it makes of its chart, or what is wrong at which line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from countershaft.errors import Fault
from countershaft.mechanics.working import explain, show_working
from countershaft.model.train import Train
from countershaft.web.pages.shown import Working, decimal, exact

__all__ = ["EXAMPLE", "TypedGear", "TypedTrainPage", "typed_train_page"]

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


@dataclass(frozen=True, slots=True)
class TypedTrainPage:
    """The typed text, and what became of it."""

    text: str
    gears: tuple[TypedGear, ...]
    faults: tuple[str, ...]


def typed_train_page(text: str, train: Train | None, faults: tuple[Fault, ...]) -> TypedTrainPage:
    """The page as its template reads it."""
    return TypedTrainPage(text, _gears(train) if train else (), tuple(_said(fault) for fault in faults))


def _gears(train: Train) -> tuple[TypedGear, ...]:
    found = []
    for gear, state in train.states().items():
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


def _said(fault: Fault) -> str:
    """A fault as it is read beside the field: its line first."""
    where = f"Line {fault.line}: " if fault.line else ""
    key = f"{fault.key}: " if fault.key else ""
    expected = f"; expected {fault.expected}" if fault.expected else ""
    got = f", got {fault.got}" if fault.got else ""
    text = f"{where}{key}{fault.message}{expected}{got}"
    return f"{text}{'' if text.endswith(('.', '?')) else '.'} {fault.cure}".strip()
