"""The walk through the cells of a form, one at a time: what is typed so far, where it stands, and what a tap does.

A walk lives in the address of its page, so that the browser's Back takes one tap back and a reload loses nothing.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final
from urllib.parse import urlencode

from countershaft.errors import FormError, OutOfRange, QuantityError
from countershaft.metrology.plausibility import plausible_units
from countershaft.web.forms.figures import beyond, figure_in, is_bare, number, unit_of
from countershaft.web.forms.form import Answers, Field, Form
from countershaft.web.forms.tools import ANOTHER

__all__ = ["Cell", "Walk", "address", "cells", "may_finish", "pairs_of", "tapped", "walk_of"]

#: Names of a form's fields in the address of a walk stand behind this, so that none is taken for the walk's own.
_FORM: Final = "f."

#: As long as a figure may get on the pad.
_LONGEST: Final = 14


@dataclass(frozen=True, slots=True)
class Cell:
    """One figure of a form: the field, the place in it, and what to call it."""

    field: Field
    index: int
    label: str

    @property
    def name(self) -> str:
        """The cell's name in an address."""
        return f"{self.field.name}.{self.index}"


@dataclass(frozen=True, slots=True)
class Walk:
    """A form half filled.

    `at` names the cell in hand and `typed` is what is typed for it; `texts` is what the form would send.
    `shift` moves the strip of likely values by so many pages.  `unit_said` tells that the unit was tapped, and `ask`
    that it must be.  `mending` leads back to the end as soon as the cell in hand is right.  `due` are folded figures
    that the form misses, such as the step of another scale.
    """

    id: str
    texts: Mapping[str, tuple[str, ...]]
    at: str = ""
    typed: str = ""
    shift: int = 0
    unit_said: bool = False
    ask: bool = False
    mending: bool = False
    due: tuple[str, ...] = ()
    complete: bool = False

    def answers(self, form: Form) -> Answers:
        """What the form would send: what was answered, and what stands in the rest of it."""
        texts = {one.name: self.texts.get(one.name, one.values) for one in form.fields}
        return Answers({**texts, **{name: self.texts[name] for name in ("sure",) if name in self.texts}})

    def text(self, cell: Cell) -> str:
        """What stands in a cell."""
        row = self.texts.get(cell.field.name, cell.field.values)
        return row[cell.index].strip() if cell.index < len(row) else ""

    def entry_id(self, form: Form) -> str:
        """The id of what the walk writes: sent twice it is one entry, and mended it is another."""
        said = sorted(self.answers(form).texts.items())
        return uuid.uuid5(uuid.NAMESPACE_OID, f"{self.id} {said}").hex


def cells(form: Form, due: Sequence[str] = ()) -> tuple[Cell, ...]:
    """Every figure to walk through: those that are due first, then all that do not stand folded."""
    first = [one for one in form.folded if one.name in due and one.kind == "figure"]
    shown = [one for one in form.shown if one.kind in ("readings", "figure")]
    return tuple(cell for one in (*first, *shown) for cell in _cells_of(one))


def _cells_of(field: Field) -> tuple[Cell, ...]:
    if field.kind == "figure":
        return (Cell(field, 0, field.label),)
    count = len(field.cells)
    return tuple(
        Cell(
            field,
            index,
            f"{field.label}, {place}"
            if place
            else f"{_one(field.label)} {index + 1} of {count}"
            if count > 1
            else field.label,
        )
        for index, (_, place) in enumerate(field.labelled)
    )


def _one(label: str) -> str:
    """What one of several is called: Readings, then Reading 1 of 3."""
    first, *rest = label.split(" ", 1)
    return " ".join([first.removesuffix("s") if first in ("Readings", "Diameters") else first, *rest])


def walk_of(sent: Mapping[str, tuple[str, ...]], form: Form, *, new_id: str) -> Walk:
    """The walk that an address or a tap carries; a new one begins at the first cell."""

    def one(name: str) -> str:
        return next(iter(sent.get(name, ())), "").strip()

    known = {field.name for field in form.fields} | {"sure"}
    texts = {
        name.removeprefix(_FORM): values
        for name, values in sent.items()
        if name.startswith(_FORM) and name.removeprefix(_FORM) in known
    }
    due = tuple(name for name in sent.get("due", ()) if name in known)
    every = [cell.name for cell in cells(form, due)]
    shift = one("shift")
    return Walk(
        id=one("id") or new_id,
        texts=texts,
        at=one("at") if one("at") in every else (every[0] if every else ""),
        typed=one("typed"),
        shift=int(shift) if shift.removeprefix("-").isdecimal() and len(shift) < 6 else 0,
        unit_said=bool(one("unit_said")),
        ask=bool(one("ask")),
        mending=bool(one("mending")),
        due=due,
    )


def address(path: str, walk: Walk, *, key: str, back: str) -> str:
    """Where the walk stands, as an address."""
    pairs = [("key", key), ("back", back), *pairs_of(walk)]
    return f"{path}?{urlencode([pair for pair in pairs if pair[1] or pair[0].startswith(_FORM)])}"


def pairs_of(walk: Walk, *, without: Sequence[str] = ()) -> tuple[tuple[str, str], ...]:
    """Everything that a walk knows, as pairs of an address or a form, but for some fields of the form."""
    own = (
        ("id", walk.id),
        ("at", walk.at),
        ("typed", walk.typed),
        ("shift", str(walk.shift or "")),
        ("unit_said", "1" if walk.unit_said else ""),
        ("ask", "1" if walk.ask else ""),
        ("mending", "1" if walk.mending else ""),
    )
    return (
        *own,
        *(("due", name) for name in walk.due),
        *(
            (f"{_FORM}{name}", text)
            for name, values in walk.texts.items()
            if name not in without
            for text in values
        ),
    )


def tapped(form: Form, walk: Walk, tap: str) -> Walk:
    """The walk after one tap; `complete` says that nothing is left but to write it.

    Raises FormError, with the word under "typed", where a figure cannot be taken; the walk stays as it was.
    """
    what, _, value = tap.partition(":")
    cell = _cell(form, walk)
    if what in ("digit", "sign", "strip"):
        return _typed(walk, cell, what, value)
    if what == "rub":
        return _rubbed(form, walk, cell)
    if what == "unit":
        return _in_unit(form, walk, cell, value)
    if what in ("go", "again"):
        found = next((one for one in cells(form, walk.due) if one.name == value), cell)
        typed = walk.typed if found == cell else ""
        texts = {name: values for name, values in walk.texts.items() if name != "sure"}
        return replace(
            walk, texts=texts, at=found.name, typed=typed, shift=0, ask=False, mending=what == "go"
        )
    if what in ("sure", "instead"):
        return _answered(walk, what, value)
    if what == "finish":
        return _finished(form, walk, cell)
    taken = replace(walk, typed=value) if what == "take" else walk
    return _taken(form, taken, cell, sure_unit=what == "take" or walk.unit_said)


def _finished(form: Form, walk: Walk, cell: Cell) -> Walk:
    """The walk at its end, with what is in hand; the cells behind it may stay empty."""
    if not walk.typed and not cell.field.needed:
        return _onward(form, replace(walk, mending=True), cell)
    return _taken(form, replace(walk, mending=True), cell, sure_unit=walk.unit_said)


def may_finish(form: Form, walk: Walk) -> bool:
    """Whether nothing that is needed is open but the cell in hand, and others follow it."""
    every = cells(form, walk.due)
    if not every or walk.mending or every[-1].name == walk.at:
        return False
    return all(walk.text(one) or not one.field.needed for one in every if one.name != walk.at)


def _typed(walk: Walk, cell: Cell, what: str, value: str) -> Walk:
    """One more digit, the sign turned round, or other likely values."""
    if what == "digit":
        return replace(walk, typed=_digit(walk.typed, value), ask=False)
    if what == "sign":
        return replace(walk, typed=_turned_round(walk.typed or walk.text(cell)))
    return replace(walk, shift=walk.shift + (1 if value == "higher" else -1))


def _answered(walk: Walk, what: str, value: str) -> Walk:
    """The stage's question answered: it is so, or other figures are meant."""
    if what == "instead":
        return _instead(walk, value)
    said = value or next(iter(walk.texts.get("sure", ())), "").strip()
    if not said:
        raise FormError({"sure": "Say why it is so, in a few words, or tap another answer."})
    return replace(walk, texts={**walk.texts, "sure": (said,)}, complete=True)


def _cell(form: Form, walk: Walk) -> Cell:
    every = cells(form, walk.due)
    found = next((one for one in every if one.name == walk.at), None)
    if found is None:
        raise FormError({"typed": "This form has no figure to type. Use the plain form."})
    return found


def _digit(typed: str, digit: str) -> str:
    """What is typed with one more sign at its end; a second point and an endless figure are not taken."""
    if digit not in tuple("0123456789.") or len(typed) >= _LONGEST or (digit == "." and "." in typed):
        return typed
    return f"{typed}0." if digit == "." and not typed.lstrip("-") else typed + digit


def _turned_round(typed: str) -> str:
    text = typed.replace("−", "-")
    return text.removeprefix("-") if text.startswith("-") else f"-{text}"


def _rubbed(form: Form, walk: Walk, cell: Cell) -> Walk:
    """One sign less; out of an empty cell, back into the one before it."""
    typed = walk.typed or walk.text(cell)
    if typed:
        return replace(_put(walk, cell, ""), typed=typed[:-1], ask=False)
    every = cells(form, walk.due)
    before = every[max(0, [one.name for one in every].index(cell.name) - 1)]
    return replace(walk, at=before.name, shift=0, ask=False)


def _in_unit(form: Form, walk: Walk, cell: Cell, unit: str) -> Walk:
    """Another unit from here on; what stands in the other cells keeps the unit that it was typed in."""
    field = next((one for one in form.fields if one.name == "unit"), None)
    if field is None or unit not in {option[0] for option in field.options}:
        return walk
    before = unit_of(form, field, walk.answers(form))
    texts = {**walk.texts, "unit": (unit,)}
    for one in form.shown if before != unit else ():
        if one.kind in ("readings", "figure") and not one.unit and one.name in walk.texts:
            texts[one.name] = tuple(
                f"{text.strip()} {before}" if is_bare(text) else text for text in walk.texts[one.name]
            )
    moved = replace(walk, texts=texts, shift=0 if before != unit else walk.shift, unit_said=True, ask=False)
    return _taken(form, moved, cell, sure_unit=True) if walk.ask else moved


def _instead(walk: Walk, value: str) -> Walk:
    """Other figures in place of some: "values.1=0.3556 mm" for each, parted by "|"."""
    texts = {name: list(row) for name, row in walk.texts.items()}
    for pair in value.split("|"):
        place, _, text = pair.partition("=")
        name, _, index = place.rpartition(".")
        if name in texts and index.isdecimal() and int(index) < len(texts[name]):
            texts[name][int(index)] = text
    return replace(walk, texts={name: tuple(row) for name, row in texts.items()}, complete=True)


def _taken(form: Form, walk: Walk, cell: Cell, *, sure_unit: bool) -> Walk:
    """The figure in hand goes into its cell, and the walk to the next one, or to its end."""
    text = " ".join((walk.typed or walk.text(cell)).split())
    unit = unit_of(form, cell.field, walk.answers(form))
    if not text and cell.field.needed:
        raise FormError({"typed": f"Nothing is typed for {cell.label}. Type a figure, or tap a likely one."})
    if text:
        _check(text, unit, cell)
        if not sure_unit and not _unit_is_plain(form, walk, cell, text, unit):
            return replace(walk, typed=text, ask=True)
    put = replace(_put(walk, cell, text), typed="", shift=0, ask=False)
    return _onward(form, put, cell)


def _check(text: str, unit: str, cell: Cell) -> None:
    """Refuse at once what is no figure, or cannot be."""
    try:
        figure = figure_in(text, unit)
    except QuantityError as fault:
        raise FormError({"typed": str(fault)}) from fault
    value = number(figure)
    if value is None:
        raise FormError({"typed": f"{text!r} is no number; type a figure such as 0.36."})
    if abs(value) > 1_000_000:
        raise FormError({"typed": f"{text} is beyond any instrument of a bench. Type it again."})
    if cell.field.name == "resolution" and value <= 0:
        raise FormError({"typed": "One step of a scale is more than nothing. Type it again."})
    impossible = beyond(figure, unit, cell.field.aim) if cell.field.aim else ""
    if impossible:
        raise FormError({"typed": impossible})


def _unit_is_plain(form: Form, walk: Walk, cell: Cell, text: str, unit: str) -> bool:
    """Whether a figure leaves no doubt about its unit: it has one, or only one of those offered is plausible."""
    aim, value = cell.field.aim, number(text)
    offered = next(
        (tuple(one[0] for one in field.options) for field in form.fields if field.name == "unit"), ()
    )
    used = walk.answers(form).one("used")
    if cell.field.unit or aim is None or not aim.judged or not value or used not in ("", ANOTHER):
        return True
    if len(offered) < 2 or (aim.lower is None and aim.upper is None):
        return True
    lower, upper = (None if end is None else float(end) for end in (aim.lower, aim.upper))
    try:
        found = plausible_units(float(value), aim.unit, lower=lower, upper=upper)
    except OutOfRange:
        return True
    return unit not in found or len(set(found) & (set(offered) - {"thou"})) < 2


def _put(walk: Walk, cell: Cell, text: str) -> Walk:
    row = list(walk.texts.get(cell.field.name, cell.field.values))
    size = len(cell.field.cells) if cell.field.kind == "readings" else 1
    row += [""] * (size - len(row))
    row[cell.index] = text
    return replace(walk, texts={**walk.texts, cell.field.name: tuple(row)})


def _onward(form: Form, walk: Walk, cell: Cell) -> Walk:
    """To the next cell; behind the last one, or after mending, to a needed one that is empty, else to the end."""
    every = cells(form, walk.due)
    place = [one.name for one in every].index(cell.name)
    due = tuple(name for name in walk.due if name != cell.field.name)
    walk = replace(walk, due=due)
    if place + 1 < len(every) and not walk.mending:
        return replace(walk, at=every[place + 1].name)
    empty = next((one for one in every if one.field.needed and not walk.text(one)), None)
    return replace(walk, at=empty.name) if empty else replace(walk, complete=True)
