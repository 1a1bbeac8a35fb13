"""Figures typed with their unit beside them: "0.014 in" in a cell counts as if the inch had been tapped."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from countershaft import units
from countershaft.errors import FormError, QuantityError
from countershaft.metrology.plausibility import plausible_units
from countershaft.web.forms.form import Answers

__all__ = ["with_units"]

#: A figure with something behind it that can only be meant as its unit.
_WITH_UNIT: Final = re.compile(r"\s*[-+−]?[\d.,]*\d\s*[^\d\s.,].*")


def with_units(
    answers: Answers,
    names: Sequence[str],
    *,
    unit: str,
    offered: Sequence[str] = (),
    lower: float | None = None,
    upper: float | None = None,
) -> Answers:
    """The same answers with bare figures in the fields of `names`, and the unit that was typed beside them as tapped.

    `unit` is that of the limits `lower` and `upper`.  Raises FormError where the figures have several units, and
    where none was said and two of those offered are plausible.
    """
    texts = {name: answers.many(name) for name in names}
    spoken = {name: [one for one in found if _WITH_UNIT.fullmatch(one)] for name, found in texts.items()}
    if not any(spoken.values()):
        return _said(answers, texts, unit, offered, lower, upper)
    read = {name: [_read(name, one, unit) for one in found] for name, found in spoken.items()}
    every = {unit for found in read.values() for _, unit in found}
    first = next(name for name, found in spoken.items() if found)
    if len(every) > 1:
        raise FormError(
            {first: f"These figures are in {' and in '.join(sorted(every))}. Type all in one unit."}
        )
    if any(len(spoken[name]) < len(texts[name]) for name in names):
        only = next(iter(every))
        raise FormError(
            {first: f"Some figures have {only} beside them and some have no unit. Type it with all."}
        )
    bare = {name: tuple(figure for figure, _ in found) for name, found in read.items()}
    return replace(answers, texts={**answers.texts, **bare, "unit": tuple(every)})


def _read(name: str, text: str, unit: str) -> tuple[str, str]:
    """The figure and the unit of one text."""
    try:
        found = units.read(text, kind=units.UNITS[unit][0])
    except QuantityError as cause:
        raise FormError({name: str(cause)}) from cause
    return str(found.value), found.unit


def _said(
    answers: Answers,
    texts: dict[str, tuple[str, ...]],
    unit: str,
    offered: Sequence[str],
    lower: float | None,
    upper: float | None,
) -> Answers:
    """Bare figures with a tapped unit; without one the figures themselves say it, or the person is asked."""
    if answers.one("unit") or len(offered) < 2 or (lower is None and upper is None):
        return answers
    figures = [(name, one) for name, found in texts.items() for one in found]
    for _, text in figures:
        try:
            value = float(units.read(text, default=unit).value)
        except QuantityError:
            continue
        can = [one for one in plausible_units(value, unit, lower=lower, upper=upper) if one in offered]
        if len(can) > 1:
            raise FormError({"unit": f"{text} can be {' or '.join(can)} here. Say which one was read."})
        if can and can != [unit]:
            return replace(answers, texts={**answers.texts, "unit": tuple(can)})
    return answers
