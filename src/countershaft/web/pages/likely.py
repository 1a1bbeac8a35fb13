"""Likely values: one step of the scale apart, around what the next reading will be near."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Final

from countershaft import units
from countershaft.desk.desk import OpenJob
from countershaft.errors import QuantityError
from countershaft.job.entry import Entry
from countershaft.web.forms.figures import figure_in, number, turned
from countershaft.web.forms.form import Aim, Form
from countershaft.web.forms.walk import Cell, Walk, cells
from countershaft.web.pages.earlier import before, value_of

__all__ = ["Likely", "figure_of", "strip"]

#: Likely values beside each other.
STRIP: Final = 5

#: One step of a scale where nobody says it: as fine as a bench usually reads (common practice, no source).
_USUAL: Final[dict[str, str]] = {
    "mm": "0.01",
    "in": "0.0005",
    "thou": "0.5",
    "kPa": "5",
    "psi": "1",
    "bar": "0.1",
}


@dataclass(frozen=True, slots=True)
class Likely:
    """A value to take with one tap; `middle` is the one that the strip is built around."""

    text: str
    tap: str
    middle: bool


def strip(
    job: OpenJob,
    form: Form,
    walk: Walk,
    cell: Cell,
    unit: str,
    step: Decimal | None,
    elsewhere: tuple[str, Entry] | None,
) -> tuple[Likely, ...]:
    """Likely values, one step of the scale apart, around the reading before, else around what is expected."""
    if cell.field.name == "resolution":
        return tuple(Likely(one, f"take:{one}", False) for one in _STEPS.get(unit, ()))
    aim = cell.field.aim
    if form.unaided or (aim is not None and cell.field.unit not in ("", aim.unit)):
        return ()
    step = step or number(_USUAL.get(unit, "")) or _last_digit(walk.text(cell))
    centre = _centre(job, walk, form, cell, unit, elsewhere)
    if centre is None or step is None or step <= 0:
        return ()
    middle = (centre / step).to_integral_value(ROUND_HALF_EVEN) + walk.shift * STRIP
    first = middle - STRIP // 2
    if aim is not None and aim.lowest is not None:
        lowest = turned(aim.lowest, aim.unit, unit) / step
        first = max(first, lowest.to_integral_value(ROUND_HALF_EVEN))
    places = units.decimals(step)
    values = [(first + place) * step for place in range(STRIP)]
    return tuple(
        Likely(
            f"{value:.{places}f}".replace("-", "−"),
            f"take:{value:.{places}f}",
            not walk.shift and value == middle * step,
        )
        for value in values
    )


def _centre(
    job: OpenJob, walk: Walk, form: Form, cell: Cell, unit: str, elsewhere: tuple[str, Entry] | None
) -> Decimal | None:
    """What the next reading will be near: what stands there, the reading before, the last job's, the goal."""
    row = [
        one for one in cells(form, walk.due) if one.field.name == cell.field.name and one.index <= cell.index
    ]
    for one in reversed(row):
        near = figure_of(walk.text(one), unit)
        if near is not None:
            return near
    aim = cell.field.aim
    if aim is None:
        return None
    earlier = before(job, aim)
    for entry in (elsewhere[1] if elsewhere else None, earlier if aim.judged else None):
        found = value_of(entry.body, cell.field.name, unit, at=cell.index) if entry is not None else None
        if found is not None:
            return found[0]
    expected = aim.goal if aim.goal is not None and aim.judged else _middle(aim)
    return None if expected is None else turned(expected, aim.unit, unit)


def _middle(aim: Aim) -> Decimal | None:
    if aim.lower is not None and aim.upper is not None:
        return (aim.lower + aim.upper) / 2
    if aim.upper is not None:
        return aim.upper / 2 if aim.lowest == 0 else aim.upper
    return aim.lower


def figure_of(text: str, unit: str) -> Decimal | None:
    """What was typed as a number in a unit; None where it is none."""
    try:
        return number(figure_in(text, unit)) if text else None
    except QuantityError:
        return None


def _last_digit(text: str) -> Decimal | None:
    value = number(text)
    return None if value is None else Decimal(1).scaleb(-units.decimals(value))


#: Steps that scales have, by unit, to be tapped (common practice, no source).
_STEPS: Final[dict[str, tuple[str, ...]]] = {
    "mm": ("0.001", "0.002", "0.01", "0.02", "0.05"),
    "in": ("0.0001", "0.0005", "0.001", "0.002", "0.005"),
    "thou": ("0.1", "0.5", "1", "2", "5"),
    "kPa": ("1", "2", "5", "10", "20"),
    "psi": ("0.5", "1", "2", "5", "10"),
    "bar": ("0.01", "0.02", "0.05", "0.1", "0.2"),
}
