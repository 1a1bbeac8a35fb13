"""What the shift elements must hold and can hold, as the page of a gear shows it."""

from __future__ import annotations

from dataclasses import dataclass

from countershaft.desk.element_loads import Duty, tightest
from countershaft.desk.train import element_label
from countershaft.mechanics.element_load import ElementLoad
from countershaft.model.train import Train
from countershaft.web.pages.shown import Working
from countershaft.web.pages.train_rows import Cell, signed

__all__ = ["LoadsShown", "duty_remarks", "loads_shown"]

_SOURCE = "pack or band of the file; no margin is added"


@dataclass(frozen=True, slots=True)
class LoadsShown:
    """Loads of elements.  `here` are those of the gear that is asked, `all` those of every gear.

    `cases` says under what those of this gear are; `tight` are the smallest factors of the whole unit; `because` says
    why nothing is computed.
    """

    cases: tuple[str, ...]
    here: tuple[tuple[Cell, ...], ...]
    remarks: tuple[str, ...]
    tight: tuple[str, ...]
    all: tuple[tuple[Cell, ...], ...]
    because: str


def loads_shown(train: Train, here: tuple[Duty, ...], chart: tuple[Duty, ...], because: str) -> LoadsShown:
    """The loads as the template reads them."""
    return LoadsShown(
        cases=tuple(dict.fromkeys(duty.case for duty in here)),
        here=tuple(_row(train, duty) for duty in here),
        remarks=duty_remarks(train, here),
        tight=tuple(
            f"{element_label(train, duty.element)}: {duty.factor:.2f} in {duty.gear} ({duty.case})"
            for duty in tightest(chart)
        ),
        all=tuple((Cell(duty.gear), Cell(duty.case), *_row(train, duty)) for duty in chart),
        because=because,
    )


def duty_remarks(train: Train, duties: tuple[Duty, ...]) -> tuple[str, ...]:
    """Why something is not computed, what the fluid does, and what was counted; each said once."""
    words: list[str] = []
    for duty in duties:
        name = element_label(train, duty.element)
        if duty.because:
            words.append(f"{name}: what it holds is not computed, because {duty.because}.")
        if duty.new is not None and duty.unbalanced is not None and duty.new.capacity is not None:
            words.append(
                f"{name}: without its balance chamber it would hold {signed(duty.unbalanced.capacity or 0, 0)} N·m at "
                f"this speed, with it {signed(duty.new.capacity, 0)} N·m."
            )
        words += [f"{name}: {remark}" for remark in duty.remarks]
    return tuple(dict.fromkeys(words))


def _row(train: Train, duty: Duty) -> tuple[Cell, ...]:
    """Name, must hold, holds new and run in, factor, pressure needed."""
    new, run_in = duty.new, duty.run_in
    hold = f"{signed(duty.required, 0)}" if duty.required is not None else "shared, not determined"
    lines = new.working[:1] if new is not None else ()
    return (
        Cell(element_label(train, duty.element)),
        Cell(hold, Working(lines, "statics of the train, engine and converter") if lines else None),
        _held(new),
        _held(run_in),
        _factor(duty),
        _needed(new if run_in is None else run_in),
    )


def _held(load: ElementLoad | None) -> Cell:
    if load is None or load.capacity is None:
        return Cell("")
    return Cell(signed(load.capacity, 0), Working(load.working[1:], _SOURCE))


def _factor(duty: Duty) -> Cell:
    """The smaller factor of new and run-in linings; below one it is said in words."""
    if duty.factor is None:
        return Cell("not computed")
    loads = [one for one in (duty.new, duty.run_in) if one is not None and one.factor == duty.factor]
    text = f"{duty.factor:.2f}" if duty.factor >= 1 else f"{duty.factor:.2f}, slips"
    return Cell(text, Working(loads[0].working[-1:], _SOURCE))


def _needed(load: ElementLoad | None) -> Cell:
    if load is None or load.pressure_needed is None:
        return Cell("")
    if load.pressure_needed <= 0:
        return Cell("none", Working(load.working, _SOURCE))
    return Cell(signed(load.pressure_needed / 1e3, 0), Working(load.working, _SOURCE))
