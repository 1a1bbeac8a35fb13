"""What the shift elements must hold and can hold, as `countershaft train` says it."""

from __future__ import annotations

from typing import Any

from countershaft.desk.element_loads import Duty, tightest
from countershaft.desk.train import element_label
from countershaft.mechanics.element_load import ElementLoad
from countershaft.model.train import Train

__all__ = ["duties_text", "plain_duties"]


def plain_duties(duties: tuple[Duty, ...]) -> list[dict[str, Any]]:
    """Loads of elements as JSON, with the unit in each key and the working of each figure."""
    return [
        {
            "gear": duty.gear,
            "element": duty.element,
            "case": duty.case,
            "required_nm": duty.required,
            "new": _plain(duty.new),
            "run_in": _plain(duty.run_in),
            "without_balance_chamber": _plain(duty.unbalanced),
            "factor": duty.factor,
            "not_computed_because": duty.because or None,
            "remarks": list(duty.remarks),
            "notes": list(duty.notes),
        }
        for duty in duties
    ]


def _plain(load: ElementLoad | None) -> dict[str, Any] | None:
    if load is None:
        return None
    return {
        "capacity_nm": load.capacity,
        "pressure_kpa": None if load.pressure is None else load.pressure / 1e3,
        "pressure_needed_kpa": None if load.pressure_needed is None else load.pressure_needed / 1e3,
        "factor": load.factor,
        "working": list(load.working),
    }


def duties_text(train: Train, duties: tuple[Duty, ...], *, every: bool = False) -> list[str]:
    """Loads of elements, to read at a terminal; `every` heads each gear and closes with the smallest factors."""
    lines = [
        "What the elements hold: torque in N·m with new and with run-in linings, the smaller factor, and the pressure",
        "in kPa that run-in linings need. No margin is added.",
    ]
    width = max((len(element_label(train, duty.element)) for duty in duties), default=0) + 2
    before = ""
    for duty in duties:
        head = f"{duty.gear}, {duty.case}" if every else duty.case
        if head != before:
            lines += ["", head, f"  {'':<{width}}{'must':>8}{'new':>8}{'run in':>8}{'factor':>8}{'needs':>8}"]
        before = head
        lines.append(_row(element_label(train, duty.element), width, duty))
    reasons = [
        f"{element_label(train, duty.element)}: not computed, because {duty.because}."
        for duty in duties
        if duty.because
    ]
    reasons += [f"{element_label(train, duty.element)}: {one}" for duty in duties for one in duty.remarks]
    if reasons:
        lines += ["", *dict.fromkeys(reasons)]
    if every:
        lines += ["", "Smallest factor of each:"]
        lines += [
            f"  {element_label(train, duty.element)}: {duty.factor:.2f} in {duty.gear} ({duty.case})"
            for duty in tightest(duties)
        ]
    return lines


def _row(name: str, width: int, duty: Duty) -> str:
    required = "shared" if duty.required is None else f"{abs(duty.required):.0f}"
    factor = "-" if duty.factor is None else f"{duty.factor:.2f}"
    needs = duty.new if duty.run_in is None else duty.run_in
    pressure = "-" if needs is None or needs.pressure_needed is None else f"{needs.pressure_needed / 1e3:.0f}"
    row = f"  {name:<{width}}{required:>8}{_held(duty.new):>8}{_held(duty.run_in):>8}{factor:>8}{pressure:>8}"
    return f"{row}  slips" if duty.factor is not None and duty.factor < 1 else row


def _held(load: ElementLoad | None) -> str:
    return "-" if load is None or load.capacity is None else f"{load.capacity:.0f}"
