"""The measurements of a sheet of paper: one form for each, with names of their own on one page."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError
from countershaft.job.entry import Body
from countershaft.job.taken import Taken
from countershaft.model.fits import Fit
from countershaft.model.limits import Limit
from countershaft.stages.fit import follow
from countershaft.stages.inspection import checked
from countershaft.web.forms import fit, inspection
from countershaft.web.forms.converter import converter_answers
from countershaft.web.forms.form import Answers, Form
from countershaft.web.forms.housing import sweep_answers
from countershaft.web.forms.tools import used_on

__all__ = ["SheetLine", "answers_of_line", "measured_by", "named", "sheet_lines", "typed_in"]

_CELLS: Final = ("readings", "figure", "number")


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One measurement on the sheet: its number, what it is of, and the form that its figures go through."""

    number: int
    about: Limit | Fit
    form: Form

    @property
    def prefix(self) -> str:
        """What stands before the names of its fields."""
        return f"{self.about.id}:"

    @property
    def blanks(self) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
        """Each quantity on the paper: what it is, its unit (empty where that is to be written), and its blanks."""
        asked = [one for one in self.form.shown if one.kind in _CELLS]
        return tuple(
            (
                "" if len(asked) == 1 else one.label,
                one.unit,
                tuple(label or str(place) for place, (_, label) in enumerate(one.labelled, start=1)),
            )
            for one in asked
        )


def sheet_lines(job: OpenJob, *, every: bool) -> tuple[SheetLine, ...]:
    """What is to be measured next, check by check and fit by fit; with `every` also what was measured already."""
    found = tuple(_lines(job, every))
    return tuple(SheetLine(number, about, form) for number, (about, form) in enumerate(found, start=1))


def _lines(job: OpenJob, every: bool) -> Iterator[tuple[Limit | Fit, Form]]:
    asked: dict[str, list[Limit]] = {}
    for limit in job.transmission.limits:
        if limit.measured and (every or not checked(job.transmission, job.state, limit).answered):
            # One sweep of the housing answers two limits, and is asked for once.
            shared = _asked_with(job, limit)
            asked.setdefault(shared, []).append(limit)
    for limits in asked.values():
        names = ", ".join(one.name for one in limits)
        yield limits[0], replace(inspection.reading(job, limits[0].id), title=names)
    for one in job.transmission.all_fits:
        now = follow(job.transmission, job.state, one)
        if now.chosen is not None and (every or not now.closed):
            yield one, fit.remeasure(job, one.id)
        elif now.chosen is None and (every or now.measured is None):
            yield one, fit.first(job, one.id)


def _asked_with(job: OpenJob, limit: Limit) -> str:
    """What a limit is asked for together with: a sweep of the housing, the converter's depths, or nothing else."""
    if sweep_answers(job, limit.id):
        return "the housing is swept"
    return "the converter is measured" if converter_answers(job, limit.id) else limit.id


def named(line: SheetLine) -> Form:
    """The form of a line with names that no other line has."""
    return replace(
        line.form, fields=tuple(replace(one, name=line.prefix + one.name) for one in line.form.fields)
    )


def answers_of_line(line: SheetLine, answers: Answers) -> Answers:
    """What was typed into one line, by the names of its own form."""
    return Answers(
        {
            name.removeprefix(line.prefix): texts
            for name, texts in answers.texts.items()
            if name.startswith(line.prefix)
        }
    )


def typed_in(line: SheetLine, answers: Answers) -> bool:
    """Whether anything was typed into a line that did not stand there before."""
    own = answers_of_line(line, answers)
    cells = [one for one in line.form.shown if one.kind in _CELLS]
    wanted = [one for one in cells if one.kind == "readings"] or cells
    return any(own.many(one.name) not in ((), one.values) for one in wanted)


def measured_by(job: OpenJob, answers: Answers) -> Callable[[Form], Form]:
    """Puts who measured on which day, and the instrument of that day, into everything that a form gives.

    Raises FormError for a day that is none.
    """
    by, day = answers.one("measured_by"), answers.one("measured_on")
    try:
        on = date.fromisoformat(day) if day else None
    except ValueError as cause:
        raise FormError({"measured_on": f"{day!r} is no day; write it as 2026-05-04."}) from cause

    def signed(body: Body) -> Body:
        taken = getattr(body, "taken", None)
        if isinstance(taken, Taken):
            told: Mapping[str, object] = {"by": by or None, "on": on, "used": used_on(job, taken.used, on)}
            return body.model_copy(update={"taken": Taken.model_validate({**dict(taken), **told})})
        return body

    def wrap(form: Form) -> Form:
        return replace(form, read=lambda given: tuple(signed(body) for body in form.read(given)))

    return wrap
