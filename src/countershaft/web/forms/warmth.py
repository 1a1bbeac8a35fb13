"""How warm part and instrument were: asked for only where it would move a verdict."""

from __future__ import annotations

from typing import get_args

from pydantic import ValidationError

from countershaft.desk.plain_faults import in_plain_words
from countershaft.errors import FormError
from countershaft.job.taken import Warmth
from countershaft.model.limits import Limit
from countershaft.stages.measuring import warmth_matters
from countershaft.web.forms.form import Answers, Field

__all__ = ["warmth_asked", "warmth_fields", "warmth_of"]

#: What a part can be of, as a reading knows it.
_MATERIALS: tuple[str, ...] = get_args(Warmth.model_fields["material"].annotation)


def warmth_asked(limit: Limit) -> bool:
    """Whether ten kelvin would matter to this limit."""
    unit = limit.unit
    if unit is None:
        return False
    ends = [one for one in (limit.min, limit.max) if one is not None]
    same = all(one.unit == unit for one in ends)
    low, high = (None if one is None else one.value for one in (limit.min, limit.max))
    return same and warmth_matters(low, high, unit)


def warmth_fields(limit: Limit) -> tuple[Field, ...]:
    """Both temperatures and the material, folded away; nothing where temperature does not matter."""
    if not warmth_asked(limit):
        return ()
    return (
        Field("part_c", "Temperature of the part", "figure", "Only if it is not at 20 °C.", "°C", folded=True),
        Field("tool_c", "Temperature of the instrument", "figure", "Only with the part's.", "°C", folded=True),
        Field("material", "The part is of", "choice", "It says how much the part grows.", folded=True,
              options=tuple((one, one) for one in _MATERIALS)),
    )  # fmt: skip


def warmth_of(answers: Answers) -> Warmth | None:
    """What was said of it; raises FormError where one of the three is missing."""
    told = {name: answers.one(name) for name in ("part_c", "tool_c", "material")}
    given = {name: words for name, words in told.items() if words}
    if not given:
        return None
    missing = {
        name: "Say all three, or none: part, instrument, material." for name in told if name not in given
    }
    if missing:
        raise FormError(missing)
    try:
        return Warmth.model_validate(given)
    except ValidationError as cause:
        raise FormError({str(one["loc"][0]): in_plain_words(one) for one in cause.errors()}) from cause
