"""Questions about figures on the keypad: every answer is one tap."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from countershaft import units
from countershaft.metrology.plausibility import second_thoughts, stray_reading
from countershaft.web.forms.figures import figure_in, number, turned, unit_of
from countershaft.web.forms.form import Form, sure_field
from countershaft.web.forms.walk import Cell, Walk, cells
from countershaft.web.pages.likely import figure_of

__all__ = ["Choice", "Doubted", "doubted", "in_digits", "unit_choices", "which_unit"]


#: Units as a question says them.
_SPOKEN: Final = {"in": "inches", "thou": "thousandths"}


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer to tap."""

    tap: str
    words: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Doubted:
    """A question about the figures, and its answers to tap; `own_words` leaves room for an answer that is typed."""

    question: str
    choices: tuple[Choice, ...]
    own_words: bool


def unit_choices(form: Form, cell: Cell, unit: str) -> tuple[Choice, ...]:
    """The units to tap; thousandths are inches, and whoever thinks in them types "14 thou"."""
    asked_for = next((one for one in form.fields if one.name == "unit"), None)
    if asked_for is None or cell.field.unit or asked_for.folded:
        return ()
    offered = [option[0] for option in asked_for.options]
    plain = [one for one in offered if one != "thou" or "in" not in offered or one == unit]
    return tuple(Choice(f"unit:{one}", one, one == unit) for one in plain)


def which_unit(form: Form, walk: Walk, cell: Cell) -> Doubted:
    """In which unit a bare figure is meant."""
    choices = [
        Choice(one.tap, f"{walk.typed} {one.words}", one.chosen)
        for one in unit_choices(form, cell, unit_of(form, cell.field, walk.answers(form)))
    ]
    mend = Choice(f"again:{cell.name}", "Correct it", False)
    return Doubted(f"{walk.typed}: in which unit? The limit leaves room for both.", (*choices, mend), False)


def doubted(form: Form, walk: Walk, question: str) -> Doubted:
    """What a stage asked about the figures, with every answer that can be tapped: the likeliest first."""
    answers = walk.answers(form)
    meant: dict[str, list[tuple[Cell, str, str]]] = {}
    for cell in cells(form):
        unit = unit_of(form, cell.field, answers)
        for words, text, shown in _meant(cell, walk.text(cell), unit):
            meant.setdefault(words, []).append((cell, text, shown))
    sure = tuple(Choice(f"sure:{option[0]}", _capital(option[1]), False) for option in sure_field().options)
    return Doubted(
        question, (*map(_instead, meant, meant.values()), *_to_mend(form, walk, bool(meant)), *sure), True
    )


def _instead(words: str, found: list[tuple[Cell, str, str]]) -> Choice:
    """Every figure of which the same may be meant, with one tap."""
    places = "|".join(f"{cell.name}={text}" for cell, text, _ in found)
    return Choice(f"instead:{places}", f"{words}: {', '.join(shown for _, _, shown in found)}", False)


def _capital(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}"


def _meant(cell: Cell, text: str, unit: str) -> Iterator[tuple[str, str, str]]:
    """What a bare figure perhaps means: the question, the text to put in its place, and how that reads."""
    aim, value = cell.field.aim, number(text)
    if aim is None or value is None or (aim.lower is None and aim.upper is None) or not aim.judged:
        return
    lower, upper = (
        None if end is None else float(turned(end, aim.unit, unit)) for end in (aim.lower, aim.upper)
    )
    for doubt in second_thoughts(float(value), unit, lower=lower, upper=upper)[:2]:
        spoken = doubt.question.removesuffix("?")
        other = "in" if spoken == "inch" else spoken
        if other in units.UNITS:
            shown = figure_in(f"{text} {other}", unit)
            yield (
                f"It was in {_SPOKEN.get(other, other)}",
                f"{text} {other}",
                f"{in_digits(shown, unit)} {unit}",
            )
        else:
            yield "The point slipped", f"{doubt.candidate:.9g}", f"{doubt.candidate:.9g} {unit}"


def _to_mend(form: Form, walk: Walk, meant: bool) -> Iterator[Choice]:
    """The one reading that is astray from the rest of one place, or all of them anew."""
    every = cells(form)
    for name in () if meant else dict.fromkeys(cell.field.name for cell in every):
        row = [cell for cell in every if cell.field.name == name]
        values = [figure_of(walk.text(cell), unit_of(form, cell.field, walk.answers(form))) for cell in row]
        known = [float(value) for value in values if value is not None]
        spread = max(known, default=0.0) - min(known, default=0.0)
        if len(known) == len(row) > 1 and spread > 0 and not row[0].field.cell_labels:
            stray = stray_reading(known, resolution=spread / 10, permitted_error=0.0)
            if stray is not None:
                yield Choice(f"go:{row[stray.place].name}", f"Correct {row[stray.place].label}", False)
    if every:
        yield Choice(
            f"again:{every[0].name}", "Correct them one by one" if len(every) > 1 else "Correct it", False
        )


def in_digits(text: str, unit: str) -> str:
    """A converted figure as far as a bench reads it."""
    value = number(text)
    if value is None:
        return text
    places = min(units.decimals(value), 5 if unit == "in" else 4)
    return f"{value:.{places}f}"
