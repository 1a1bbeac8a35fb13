"""One gear of a train: what turns how fast, what carries how much, what would slip, and what sounds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from urllib.parse import urlencode

from countershaft.desk.element_loads import Duty
from countershaft.desk.measured_speeds import speeds_said
from countershaft.desk.train import TrainAnswer
from countershaft.desk.worked_chart import worked_chart
from countershaft.figures.shift_matrix import ShiftMatrix, shift_matrix
from countershaft.figures.speed_ladder import SpeedLadder, speed_ladder
from countershaft.figures.stick_diagram import StickDiagram, stick_diagram
from countershaft.figures.train_flow import power_shares
from countershaft.mechanics.powerflow import PowerFlow
from countershaft.mechanics.states import TrainState
from countershaft.mechanics.working import explain, show_working
from countershaft.model.train import Train
from countershaft.web.pages.shown import Working, decimal
from countershaft.web.pages.train_loads import LoadsShown, loads_shown
from countershaft.web.pages.train_power import PowerShown, power_shown
from countershaft.web.pages.train_rows import (
    Cell,
    ElementRow,
    Rows,
    efficiency,
    element_rows,
    line_rows,
    member_rows,
    mesh_loss_rows,
    remarks,
    role_rows,
    shift_rows,
    skipped_rows,
    step_rows,
)

__all__ = [
    "Asked",
    "GearAnswer",
    "GearLink",
    "TrainPage",
    "bands_of",
    "drawn",
    "gear_answer",
    "laddered",
    "shifted",
    "train_page",
]

#: Characters of a result that stand in one line of a tablet at the size of a figure.
_LINE: Final = 32


@dataclass(frozen=True, slots=True)
class GearLink:
    """A gear to pick."""

    gear: str
    ratio: str
    href: str
    now: bool


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed, and what is wrong with it, by field."""

    values: dict[str, str]
    errors: dict[str, str]


@dataclass(frozen=True, slots=True)
class GearAnswer:
    """What the page shows of an answered gear; `short` is whether the result is a ratio and no sentence."""

    drawing: str
    ladder: str
    matrix: str
    result: str
    short: bool
    working: Working
    members: tuple[tuple[Cell, ...], ...]
    elements: tuple[ElementRow, ...]
    efficiency: tuple[str, ...]
    meshes: tuple[tuple[Cell, ...], ...]
    power: PowerShown | None
    loads: LoadsShown
    remarks: tuple[str, ...]
    slip: tuple[str, ...]
    slip_working: Working | None
    steps: Rows
    spread: str
    shifts: Rows
    roles: Rows
    skipped: Rows
    lines: Rows
    silent: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TrainPage:
    """A gear of a train; `answer` is None where the question had a fault, and then `at_rest` draws the train alone."""

    title: str
    file_href: str
    action: str
    gears: tuple[GearLink, ...]
    gear: str
    values: dict[str, str]
    errors: dict[str, str]
    heading: str
    at_rest: str
    answer: GearAnswer | None


def train_page(train: Train, digest: str, title: str, asked: Asked, answer: GearAnswer | None) -> TrainPage:
    """A gear as its template reads it; without an answer only the gears, the form and its faults."""
    gear = asked.values["gear"]
    kept = {name: text for name, text in asked.values.items() if text and name != "gear"}
    here, states = f"/files/{digest}/train", worked_chart(train).states
    state = states.get(gear)
    heading = f"Gear {gear}" if train.chart else "No gear"
    if state is not None:
        heading += f": {state.kind.value if state.ratio is None else f'{decimal(state.ratio)} to 1'}"
    return TrainPage(
        title=title,
        file_href=f"/files/{digest}",
        action=here,
        gears=tuple(
            GearLink(
                name,
                decimal(one.ratio) if one.ratio is not None else one.kind.value,
                f"{here}?{urlencode({'gear': name, **kept})}",
                name == gear,
            )
            for name, one in states.items()
        ),
        gear=gear,
        values=asked.values,
        errors=asked.errors,
        heading=heading,
        at_rest="" if answer else stick_diagram(StickDiagram(train.network(), title, bands=bands_of(train))),
        answer=answer,
    )


def gear_answer(
    train: Train,
    title: str,
    found: TrainAnswer,
    duties: tuple[tuple[Duty, ...], tuple[Duty, ...]],
    because: str,
) -> GearAnswer:
    """What a gear's page shows; `duties` are those of this gear and those of the chart."""
    work = show_working(found.state)
    (here, chart), gear = duties, found.question.gear
    return GearAnswer(
        drawing=drawn(train, title, gear, found.load.state, found.flow),
        matrix=shifted(train, title, gear),
        ladder=laddered(train, title, gear, found.question.rpm or None),
        result=explain(found.state),
        short=found.state.ratio is not None and len(explain(found.state)) <= _LINE,
        working=Working((*work.constraints, *work.speeds), "tooth counts of the file"),
        members=tuple(member_rows(found)),
        elements=tuple(element_rows(train, found)),
        efficiency=efficiency(found),
        meshes=tuple(mesh_loss_rows(found)),
        power=power_shown(train, found),
        loads=loads_shown(train, here, chart, because),
        remarks=tuple(remarks(train, found)),
        slip=speeds_said(train, found),
        slip_working=Working(found.slip.working, "both speeds read to 10 rpm") if found.slip else None,
        steps=step_rows(found),
        spread=decimal(found.chart.spread) if found.chart and found.chart.spread is not None else "",
        shifts=shift_rows(train, found),
        roles=role_rows(train, found),
        skipped=skipped_rows(found),
        lines=line_rows(found),
        silent=found.lines.silent if found.lines else (),
    )


def laddered(train: Train, title: str, gear: str, rpm: float | None) -> str:
    """The speeds of all gears on one ladder, with one of them marked."""
    return speed_ladder(SpeedLadder(train.network(), title, worked_chart(train).states, gear, rpm))


def shifted(train: Train, title: str, gear: str) -> str:
    """Which element each gear takes, with one of the gears marked."""
    worked = worked_chart(train)
    return shift_matrix(ShiftMatrix(worked.network, title, worked.drive, worked.coast, worked.check, gear))


def bands_of(train: Train) -> frozenset[str]:
    """Elements that are bands."""
    return frozenset(name for name, element in train.elements.items() if element.kind == "band")


def drawn(train: Train, title: str, gear: str, state: TrainState, flow: PowerFlow | None) -> str:
    """The train in a gear, with the power in its lines."""
    power = power_shares(flow) if flow is not None else None
    return stick_diagram(StickDiagram(train.network(), title, f"gear {gear}", state, power, bands_of(train)))
