"""The keypad: one figure of a form at a time, with what is likely, what is allowed and what was before beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import groupby, zip_longest
from typing import Final
from urllib.parse import quote

from countershaft import units
from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Entry
from countershaft.job.words import Stage
from countershaft.stages.progress import Progress
from countershaft.web.forms.figures import figure_in, is_bare, number, turned, unit_of
from countershaft.web.forms.form import Aim, Answers, Form
from countershaft.web.forms.walk import Cell, Walk, cells, may_finish, pairs_of
from countershaft.web.pages.doubted import Choice, Doubted, in_digits, unit_choices, which_unit
from countershaft.web.pages.earlier import before, value_of, when_said
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.likely import Likely, strip
from countershaft.web.pages.scale_said import scale_said, so_far
from countershaft.web.pages.shown import Answer

__all__ = ["KeypadPage", "Opened", "Trouble", "keypad_page"]

#: The unit in which a limit is told once more, by its own.
_OTHER: Final[dict[str, str]] = {
    "mm": "in",
    "in": "mm",
    "thou": "mm",
    "kPa": "psi",
    "bar": "psi",
    "psi": "kPa",
    "N·m": "lbf·ft",
    "lbf·ft": "N·m",
    "L/min": "US gal/min",
    "°C": "°F",
    "°F": "°C",
}

#: The fact of a form that tells its window; the keypad tells it beside the pad.
_WINDOW: Final = frozenset({"Limit", "Gap", "That is"})


@dataclass(frozen=True, slots=True)
class KeypadPage:
    """One cell of a form in hand."""

    frame: Frame
    form: Form
    label: str
    hint: str
    cautions_first: bool
    unit: str
    typed: str
    stands: str
    wrong: str
    problems: tuple[str, ...]
    strip: tuple[Likely, ...]
    signed: bool
    next_word: str
    may_finish: bool
    beside: tuple[tuple[str, str], ...]
    facts: tuple[tuple[str, str], ...]
    units: tuple[Choice, ...]
    doubted: Doubted | None
    so_far: Answer | None
    rest: Form
    rest_words: str
    rest_open: bool
    hidden: tuple[tuple[str, str], ...]
    action: str
    plain_href: str
    back: str


@dataclass(frozen=True, slots=True)
class Opened:
    """A form as it was opened: under which name and key, where it leads back to, and the stage it belongs to."""

    name: str
    form: Form
    key: str
    back: str
    stage: Stage | None


@dataclass(frozen=True, slots=True)
class Trouble:
    """What speaks against the last tap: a word for each field, whole sentences, or a question."""

    errors: Mapping[str, str] = field(default_factory=dict)
    problems: tuple[str, ...] = ()
    doubt: Doubted | None = None


def keypad_page(
    job: OpenJob,
    progress: Progress,
    opened: Opened,
    walk: Walk,
    *,
    elsewhere: tuple[str, Entry] | None,
    trouble: Trouble | None = None,
) -> KeypadPage:
    """The walk as its page shows it; `elsewhere` is what another job says of the same limit."""
    form, key, back = opened.form, opened.key, opened.back
    trouble = trouble or Trouble()
    errors = trouble.errors
    every = cells(form, walk.due)
    cell = next(one for one in every if one.name == walk.at)
    answers = walk.answers(form)
    unit = unit_of(form, cell.field, answers)
    scale = scale_said(form, answers, unit)
    wrong = {**scale.wrong, **errors}
    rest = _rest(form, walk, answers, wrong)
    shown = {one.name.removeprefix("f.") for one in rest.fields} | {"typed", "sure", cell.field.name}
    others = [text for field, text in wrong.items() if field not in shown]
    asking = trouble.doubt is not None
    last = walk.mending or cell.name == every[-1].name
    here = f"/jobs/{quote(job.tag)}"
    return KeypadPage(
        frame=frame(job, progress, opened.stage),
        form=form,
        label=cell.label,
        hint=_hint(cell),
        cautions_first=cell.name == every[0].name and not walk.typed,
        unit=unit,
        typed=walk.typed,
        stands=walk.text(cell),
        wrong=errors.get("typed", "") or errors.get(cell.field.name, ""),
        problems=(
            *trouble.problems,
            *others,
            *(f"{one.label}: {one.error}" for one in rest.fields if one.error),
        ),
        strip=strip(job, form, walk, cell, unit, scale.step, elsewhere),
        signed=cell.field.aim is None or cell.field.aim.lowest is None or cell.field.aim.lowest < 0,
        next_word="Save" if last else "Next",
        may_finish=may_finish(form, walk),
        beside=(*_beside(job, form, cell, unit, elsewhere), *_said(form, walk, answers)),
        facts=tuple(fact for fact in form.facts if fact[0] not in _WINDOW),
        units=unit_choices(form, cell, unit),
        doubted=trouble.doubt or (which_unit(form, walk, cell) if walk.ask else None),
        so_far=so_far(form, answers, cell),
        rest=rest,
        rest_words=_rest_words(rest),
        rest_open=bool(scale.wrong)
        or any(one.error or (one.needed and not one.values) for one in rest.fields),
        hidden=tuple(
            pair
            for pair in pairs_of(
                walk,
                without=[
                    *(one.name.removeprefix("f.") for one in rest.fields),
                    *(("sure",) if asking else ()),
                ],
            )
            if pair[0] != "typed"
        ),
        action=f"{here}/measure/{opened.name}?key={quote(key, safe='')}&back={quote(back)}",
        plain_href=f"{here}/enter/{opened.name}?key={quote(key, safe='')}&back={quote(back)}",
        back=back,
    )


def _hint(cell: Cell) -> str:
    """How to read it, where the form says more than how often."""
    hint = cell.field.hint
    return "" if hint in ("one reading", f"{cell.field.count} readings") else hint


def _said(form: Form, walk: Walk, answers: Answers) -> Iterator[tuple[str, str]]:
    """The figures so far, those of one field together."""
    for _, group in groupby(cells(form, walk.due), lambda cell: cell.field.name):
        row = list(group)
        texts = [_as_read(walk.text(cell), unit_of(form, cell.field, answers)) for cell in row]
        if any(texts) and not (len(row) == 1 and row[0].name == walk.at):
            places = row[0].field.cell_labels
            told = (
                f"{place}: {text}" if place and text else text or "–"
                for text, place in zip_longest(texts, places[: len(texts)], fillvalue="")
            )
            yield row[0].field.label, " · ".join(told)


def _as_read(text: str, unit: str) -> str:
    """A figure as it will be kept, and as it was typed where that is another."""
    if not text or is_bare(text):
        return text
    return f"{in_digits(figure_in(text, unit), unit)} ({text})"


def _beside(
    job: OpenJob, form: Form, cell: Cell, unit: str, elsewhere: tuple[str, Entry] | None
) -> Iterator[tuple[str, str]]:
    """The limit in both units, and what was measured before on this job and on the one before."""
    aim = cell.field.aim
    yield from ((label, words) for label, words in form.facts if label in ("Limit", "Gap"))
    if aim is None:
        return
    other = unit if unit != aim.unit else _OTHER.get(aim.unit, "")
    window = _window_words(aim, other)
    if window:
        yield "that is", window
    earlier = before(job, aim)
    if earlier is not None:
        found = value_of(earlier.body, cell.field.name, unit, at=cell.index)
        if found is not None:
            yield f"This job, {when_said(earlier.body)}", f"{found[0]} {unit}"
    if elsewhere is not None:
        found = value_of(elsewhere[1].body, cell.field.name, unit, at=cell.index)
        if found is not None:
            yield f"Job {elsewhere[0]}", f"{found[0]} {unit}"


def _window_words(aim: Aim, unit: str) -> str:
    """The window in another unit than its own."""
    ends = [aim.lower, aim.upper]
    if not unit or unit not in units.UNITS or not any(end is not None for end in ends):
        return ""
    digits = ".4f" if unit == "in" else ".4g"
    low, high = ("" if end is None else f"{float(turned(end, aim.unit, unit)):{digits}}" for end in ends)
    if low and high:
        return f"{low} to {high} {unit}"
    return f"at least {low} {unit}" if low else f"at most {high} {unit}"


def _rest(form: Form, walk: Walk, answers: Answers, errors: dict[str, str]) -> Form:
    """What is neither a figure nor the unit, folded away as it stands, under the names that it has in a walk."""
    walked = {cell.field.name for cell in cells(form, walk.due)} | {"unit", "sure"}
    return replace(
        form,
        fields=tuple(
            replace(
                one,
                name=f"f.{one.name}",
                values=answers.texts.get(one.name, ()),
                error=errors.get(one.name, ""),
                folded=False,
            )
            for one in form.fields
            if one.name not in walked
        ),
    )


def _rest_words(rest: Form) -> str:
    """What the rest says, in one line: the words of what is tapped, and a bare figure behind its label."""
    words = [
        ({option[0]: option[1] for option in one.options}.get(value, value), one)
        for one in rest.fields
        for value in one.values
        if value.strip()
    ]
    return " · ".join(
        f"{one.label} {text} {one.unit}".strip() if number(text) is not None else text for text, one in words
    )
