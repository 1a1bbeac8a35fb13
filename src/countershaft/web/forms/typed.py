"""The unit of figures where none was said: the figures themselves say it, or the person is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from countershaft import units
from countershaft.errors import FormError, QuantityError
from countershaft.metrology.plausibility import plausible_units
from countershaft.web.forms.form import Answers

__all__ = ["unit_said"]


def unit_said(
    answers: Answers,
    name: str,
    *,
    unit: str,
    offered: Sequence[str],
    lower: float | None,
    upper: float | None,
) -> Answers:
    """The same answers with a unit for the figures of a field.

    `unit` is that of the limits.  Raises FormError where none was said and two of those offered are plausible.
    """
    if answers.one("unit") or len(offered) < 2 or (lower is None and upper is None):
        return answers
    for text in answers.many(name):
        try:
            value = float(units.read(text, default=unit).value)
        except QuantityError:
            continue  # the body objects to it, as it was typed
        can = [one for one in plausible_units(value, unit, lower=lower, upper=upper) if one in offered]
        if len(can) > 1:
            raise FormError({"unit": f"{text} can be {' or '.join(can)} here. Say which one was read."})
        if can and can != [unit]:
            return replace(answers, texts={**answers.texts, "unit": tuple(can)})
    return answers
