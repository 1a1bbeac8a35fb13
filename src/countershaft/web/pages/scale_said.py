"""What a form makes of the figures so far: on which scale they were read, and how they stand in their slot."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from countershaft import units
from countershaft.errors import BadInput, FormError
from countershaft.job.entry import Body, Reading, Remeasured
from countershaft.stages.measuring import estimated, judged
from countershaft.web.forms.figures import asked, turned
from countershaft.web.forms.form import Answers, Form
from countershaft.web.forms.walk import Cell, Walk, cells
from countershaft.web.pages.shown import Answer, Window, answer

__all__ = ["ScaleSaid", "missing_step", "scale_said", "so_far"]


#: Fields that say on which scale the figures were read.
_OF_SCALE: Final = frozenset({"unit", "used", "instrument", "resolution"})


@dataclass(frozen=True, slots=True)
class ScaleSaid:
    """The step of the scale, None while it is not known, and what the form objects to."""

    step: Decimal | None
    wrong: dict[str, str]


def scale_said(form: Form, answers: Answers, unit: str) -> ScaleSaid:
    """The step of the scale in a unit, and what the form objects to about unit, step and instrument."""
    figures = [one for one in form.shown if one.kind in ("readings", "figure")]
    needed = [one for one in figures if one.needed] or figures
    filled = {one.name: ("1",) * max(one.count, 1) for one in needed}
    try:
        bodies = form.read(Answers({**answers.texts, **filled}))
    except FormError as fault:
        return ScaleSaid(None, {name: text for name, text in fault.fields.items() if name in _OF_SCALE})
    except BadInput:
        return ScaleSaid(None, {})
    return ScaleSaid(_step(bodies[0], unit) if bodies else None, {})


def _step(body: Body, unit: str) -> Decimal | None:
    """One step of the scale of an entry, in a unit of the same kind."""
    for name, own in (("resolution", getattr(body, "unit", unit)), ("resolution_mm", "mm")):
        step = getattr(body, name, None)
        if isinstance(step, Decimal) and unit in units.UNITS and unit in units.KINDS[units.UNITS[own][0]]:
            return turned(step, own, unit)
    return None


def missing_step(form: Form, walk: Walk) -> Walk:
    """The walk with the step of the scale to be typed first, where the unit that was tapped leaves it unknown."""
    wrong = scale_said(form, walk.answers(form), "").wrong
    if "resolution" not in wrong or "resolution" in walk.due:
        return walk
    due = (*walk.due, "resolution")
    texts = {**walk.texts, "resolution": ()}
    return replace(walk, due=due, texts=texts, at=cells(form, due)[0].name, typed="", shift=0)


def so_far(form: Form, answers: Answers, cell: Cell) -> Answer | None:
    """The readings so far in their slot; nothing where the figures themselves are not held against a limit."""
    aim = cell.field.aim
    if aim is None or not aim.judged or (aim.lower is None and aim.upper is None):
        return None
    try:
        body = form.read(asked(form, answers))[0]
    except BadInput:
        return None
    if isinstance(body, Reading):
        values, unit, step = body.values, body.unit, body.resolution
    elif isinstance(body, Remeasured):
        values, unit, step = body.values_mm, "mm", body.resolution_mm
    else:
        return None
    digits = max(
        units.decimals(turned(step, unit, aim.unit)), *(_places(end) for end in (aim.lower, aim.upper))
    )
    ends = [None if end is None else float(end) for end in (aim.lower, aim.upper)]
    value = estimated(values, unit, resolution=step, to=aim.unit, taken=body.taken)
    verdict = judged(
        value, lower=ends[0], upper=ends[1], unit=aim.unit, digits=min(digits, 6), taken=body.taken
    )
    goal = None if aim.goal is None else float(aim.goal)
    window = Window(
        f"{form.title}, {len(values)} so far", ends[0], ends[1], goal, aim.unit, min(digits, 6), ""
    )
    return answer(window, value, verdict, when="", entry=None)


def _places(end: Decimal | None) -> int:
    return 0 if end is None else units.decimals(end)
