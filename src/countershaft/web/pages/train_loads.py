"""What the shift elements must hold and can hold, as the page of a gear shows it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from countershaft.desk.element_loads import Duty, tightest
from countershaft.desk.train import element_label
from countershaft.mechanics.element_load import ElementLoad
from countershaft.model.train import Train
from countershaft.web.pages.shown import Working
from countershaft.web.pages.train_rows import Cell, signed

__all__ = ["LoadsShown", "loads_shown"]

_SOURCE = "pack or band of the file; no margin is added"


@dataclass(frozen=True, slots=True)
class Group:
    """The elements of one gear under one case, which `words` names."""

    gear: str
    words: str
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True)
class LoadsShown:
    """Loads of elements.  `groups_here` are those of the gear that is asked, `groups` those of every gear.

    `tight` are the smallest factors of the whole unit; `because` says why nothing is computed.
    """

    groups_here: tuple[Group, ...]
    remarks: tuple[str, ...]
    tight: tuple[tuple[str, ...], ...]
    groups: tuple[Group, ...]
    because: str

    @property
    def every_row(self) -> tuple[tuple[Cell, ...], ...]:
        """The rows of all gears, each with its gear before its name."""
        return tuple(
            (Cell(f"{group.gear}, {row[0].text}"), *row[1:]) for group in self.groups for row in group.rows
        )


def loads_shown(train: Train, here: tuple[Duty, ...], chart: tuple[Duty, ...], because: str) -> LoadsShown:
    """The loads as the template reads them."""
    return LoadsShown(
        groups_here=tuple(_groups(train, here)),
        remarks=tuple(dict.fromkeys(_remarks(train, here))),
        tight=tuple(
            (element_label(train, duty.element), f"{duty.factor:.2f}", duty.gear, duty.case)
            for duty in tightest(chart)
        ),
        groups=tuple(_groups(train, chart)),
        because=because,
    )


def _groups(train: Train, duties: tuple[Duty, ...]) -> Iterator[Group]:
    for (gear, words), found in groupby(duties, key=lambda duty: (duty.gear, duty.case)):
        yield Group(gear, words, tuple(_row(train, duty) for duty in found))


def _remarks(train: Train, duties: tuple[Duty, ...]) -> Iterator[str]:
    """Why something is not computed, what the fluid does, and what was counted."""
    for duty in duties:
        name = element_label(train, duty.element)
        if duty.because:
            yield f"{name}: what it holds is not computed, because {duty.because}."
        if duty.new is not None and duty.unbalanced is not None and duty.new.capacity is not None:
            yield (
                f"{name}: the fluid that turns with it counts; without its balance chamber it would hold "
                f"{signed(duty.unbalanced.capacity or 0, 0)} N·m at this speed, with it {signed(duty.new.capacity, 0)}."
            )
        for remark in duty.remarks:
            yield f"{name}: {remark[:1].lower()}{remark[1:]}"


def _row(train: Train, duty: Duty) -> tuple[Cell, ...]:
    """Name, must hold, holds new and run in, factor, pressure needed."""
    new, run_in = duty.new, duty.run_in
    hold = signed(abs(duty.required), 0) if duty.required is not None else "shared, not determined"
    return (
        Cell(element_label(train, duty.element)),
        Cell(hold, Working(duty.share, "statics of the train, engine and converter") if duty.share else None),
        _held(new, "held new, pressed evenly:"),
        _held(run_in, "held run in, worn evenly:"),
        _factor(duty),
        _needed(duty, new if run_in is None else run_in),
    )


def _held(load: ElementLoad | None, words: str) -> Cell:
    if load is None or load.capacity is None:
        return Cell("")
    own = [line for line in load.working[1:] if "needed" not in line and not line.startswith("factor")]
    lines = tuple(line.replace("held:", words) for line in own)
    return Cell(signed(load.capacity, 0), Working(lines, _SOURCE))


def _factor(duty: Duty) -> Cell:
    """The smaller factor of new and run-in linings; below one it is said in words."""
    if duty.factor is None:
        return Cell("not computed")
    loads = [one for one in (duty.new, duty.run_in) if one is not None and one.factor == duty.factor]
    text = f"{duty.factor:.2f}" if duty.factor >= 1 else f"{duty.factor:.2f}, slips"
    return Cell(text, Working(loads[0].working[-1:], _SOURCE))


def _needed(duty: Duty, load: ElementLoad | None) -> Cell:
    if load is None or load.pressure_needed is None:
        return Cell("")
    lines = tuple(line for line in load.working if "needed" in line)
    text = "none" if load.pressure_needed <= 0 else signed(load.pressure_needed / 1e3, 0)
    return Cell(text, Working((*lines, *duty.notes), _SOURCE))
