"""Figures as they are typed: with or without a unit, turned exactly into the unit that a field asks for."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from typing import Final

from countershaft import units
from countershaft.errors import FormError, QuantityError
from countershaft.web.forms.form import Aim, Answers, Field, Form

__all__ = ["asked", "beyond", "figure_in", "is_bare", "number", "turned", "unit_of"]

_BARE: Final = re.compile(r"[-+−]?(?:\d+(?:[.,]\d*)?|[.,]\d+)")
_FRACTION: Final = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)(\D.*)?")

#: Digits behind the point of a converted figure that has no end: a nanometre where it is in millimetres.
_FINEST: Final = 9

#: Lengths in millimetres, exact: an inch is 25.4 mm (international yard and pound agreement of 1959).
_MM: Final[dict[str, Decimal]] = {
    "mm": Decimal(1),
    "in": Decimal("25.4"),
    "thou": Decimal("0.0254"),
    "µm": Decimal("0.001"),
    "m": Decimal(1000),
}


def unit_of(form: Form, field: Field, answers: Answers) -> str:
    """The unit in which a bare figure of a field is meant: its own, else the one chosen, else that of its limit."""
    chosen = next((one.value for one in form.fields if one.name == "unit"), "")
    return field.unit or answers.one("unit") or chosen or (field.aim.unit if field.aim else "")


def is_bare(text: str) -> bool:
    """Whether a text is a figure without a unit."""
    return _BARE.fullmatch(text.strip()) is not None


def number(text: str) -> Decimal | None:
    """A bare figure as a number; None for anything else."""
    try:
        return Decimal(text.strip().replace(",", ".").replace("−", "-")) if is_bare(text) else None
    except InvalidOperation:
        return None


def turned(value: Decimal, unit: str, to: str) -> Decimal:
    """A figure in another unit of its kind; exact for lengths."""
    if unit == to:
        return value
    if unit in _MM and to in _MM:
        return _plain(value * _MM[unit] / _MM[to])
    return _plain(Decimal(repr(round(units.convert(value, unit, to), 9))))


def figure_in(text: str, unit: str) -> str:
    """What was typed as a bare figure in `unit`: "14 thou" is 0.3556 in mm, and "1/8 in" is 3.175.

    A bare figure stays as it was typed, for its digits say how fine it was read.
    Raises QuantityError where it is no figure, or in a unit of another kind.
    """
    text = text.strip()
    if is_bare(text):
        return text.removeprefix("+")
    found = units.read(
        _decimal(text), kind=units.UNITS[unit][0] if unit in units.UNITS else None, default=unit
    )
    return format(turned(found.value, found.unit, unit), "f") if unit else text


def asked(form: Form, answers: Answers) -> Answers:
    """The answers with every figure in the unit that its field asks for, and what was typed kept beside them.

    Raises FormError where a figure has a unit of another kind, or cannot be.
    """
    if form.reads_units:
        return answers
    texts, told, wrong = dict(answers.texts), list[str](), dict[str, str]()
    for one in form.fields:
        given = answers.texts.get(one.name, ())
        if one.kind not in ("readings", "figure") or not any(text.strip() for text in given):
            continue
        unit = unit_of(form, one, answers)
        try:
            found = tuple(_read(text, unit) for text in given)
        except QuantityError as fault:
            wrong[one.name] = str(fault)
            continue
        if any(text.strip() and not is_bare(text) for text in given):
            told.append(", ".join(text.strip() for text in given if text.strip()))
        texts[one.name] = found
        faults = [beyond(text, unit, one.aim) for text in found if one.aim is not None]
        wrong |= {one.name: next(fault for fault in faults if fault)} if any(faults) else {}
    if wrong:
        raise FormError(wrong)
    return replace(answers, texts=texts, typed="; ".join(told)[:1000])


def beyond(text: str, unit: str, aim: Aim) -> str:
    """Why a bare figure cannot be; empty where it can."""
    value = number(text)
    if value is None or unit not in units.UNITS:
        return ""
    here = turned(value, unit, aim.unit)
    if aim.lowest is not None and here < aim.lowest:
        if aim.lowest == 0:
            return f"{text} {unit} is below nothing, and this cannot be. Set the instrument to zero and read again."
        return f"{text} {unit} is below {aim.lowest} {aim.unit}, the least that can be. Read again."
    if aim.highest is not None and here > aim.highest:
        return f"{text} {unit} is above {aim.highest} {aim.unit}, the most that can be. Read again."
    return ""


def _read(text: str, unit: str) -> str:
    """A cell in the unit of its field; what has no known unit is left for the entry to object to."""
    if not text.strip() or unit not in units.UNITS:
        return text
    try:
        units.read(_decimal(text), default=unit)
    except QuantityError:
        return text
    return figure_in(text, unit)


def _decimal(text: str) -> str:
    """A fraction such as "1/8 in" as a decimal, where it has one."""
    found = _FRACTION.fullmatch(text.strip())
    if found is None:
        return text
    if int(found[3]) not in (2, 4, 8, 16, 32, 64):
        raise QuantityError(f"{text!r} is no fraction of a scale; type halves to 64ths, or a decimal figure.")
    value = Decimal(found[1] or 0) + Decimal(found[2]) / Decimal(found[3])
    return f"{value} {(found[4] or '').strip()}".strip()


def _plain(value: Decimal) -> Decimal:
    """A figure without the noughts that only conversion brought; what has no end is cut far below any scale."""
    cut = value if units.decimals(value) <= _FINEST else round(value, _FINEST)
    return cut.normalize() + Decimal(0) if cut else Decimal(0)
