"""Readings in the unit of the instrument: inches and millimetres are equals, and the step of the scale goes along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from countershaft import units
from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError
from countershaft.job.entry import Reading
from countershaft.job.taken import Taken
from countershaft.model.instrument import Instrument
from countershaft.web.forms.form import Answers, Field

__all__ = ["Scale", "in_mm", "scale_fields", "scale_of", "step_typed", "taken_of", "unit_field"]

#: Steps that instruments of another unit often have, as an example to type (common practice, no source).
_EXAMPLES: Final[dict[str, str]] = {
    "in": "0.001",
    "thou": "1",
    "mm": "0.01",
    "psi": "1",
    "bar": "0.1",
    "lbf·ft": "1",
}

#: Units that no instrument of a bench shows; they are not offered.
_SELDOM: Final = frozenset({"m", "µm", "kN", "MPa", "h", "min"})

_MM_PER_UNIT: Final[dict[str, Decimal]] = {"mm": Decimal(1), "in": Decimal("25.4"), "thou": Decimal("0.0254")}


@dataclass(frozen=True, slots=True)
class Scale:
    """An instrument as it was last used in this job: its unit and one step of its scale.

    `own_unit` and `own_step` are what the file says about it.
    """

    unit: str
    step: str
    own_unit: str
    own_step: str


def scale_of(job: OpenJob, instrument: Instrument | None, unit: str) -> Scale:
    """The unit and step to begin with: those of this instrument's newest reading, else those of the file."""
    step = instrument.resolution if instrument else None
    own = "" if step is None else str(step.value) if step.unit == unit else f"{step.to(unit):g}"
    kind = units.UNITS[unit][0]
    for body in reversed(job.state.bodies(Reading)):
        if instrument and body.instrument == instrument.name and units.UNITS[body.unit][0] == kind:
            return Scale(body.unit, str(body.resolution), unit, own)
    return Scale(unit, own, unit, own)


def unit_field(scale: Scale, offered: Sequence[str] = ()) -> tuple[Field, ...]:
    """The units a reading may be typed in, the unit of the limit first; nothing where there is only one."""
    kind = units.UNITS[scale.own_unit][0]
    found = (
        scale.own_unit,
        *(one for one in offered or units.KINDS[kind] if one != scale.own_unit and one not in _SELDOM),
    )
    if len(found) == 1:
        return ()
    return (
        Field(
            "unit",
            "Typed in",
            "choice",
            options=tuple((one, one) for one in found),
            values=(scale.unit,),
            needed=True,
        ),
    )


def scale_fields(scale: Scale, instrument: Instrument | None) -> tuple[Field, ...]:
    """The instrument and one step of its scale, filled in already."""
    return (
        Field("instrument", "Instrument", needed=True, folded=True, values=(instrument.name,) if instrument else ()),
        Field("resolution", "One step of its scale", "figure", "In the unit that the readings are typed in.",
              needed=True, folded=True, values=(scale.step,) if scale.step else ()),
    )  # fmt: skip


def step_typed(job: OpenJob, scale: Scale, answers: Answers) -> str:
    """One step of the scale in the unit of the readings.

    Raises FormError where another unit was chosen and the step still stands in the old one.
    """
    unit, step = answers.one("unit") or scale.own_unit, answers.one("resolution")
    if unit == scale.unit or step != scale.step:
        return step
    if unit == scale.own_unit and scale.own_step:
        return scale.own_step
    same = [
        body
        for body in job.state.bodies(Reading)
        if body.unit == unit and body.instrument == answers.one("instrument")
    ]
    if same:
        return str(same[-1].resolution)
    spoken = "inches" if unit == "in" else unit
    raise FormError(
        {
            "resolution": f"{step} is the step in {scale.unit}. Type one step of the scale in {spoken}, "
            f"such as {_EXAMPLES.get(unit, '0.1')}."
        }
    )


def taken_of(answers: Answers) -> Taken:
    """How the figures of a form were taken."""
    return Taken(sure=answers.one("sure"))


def in_mm(typed: Sequence[str], unit: str) -> tuple[str, ...]:
    """Figures of a length in millimetres, exactly; what is no number is left as it was typed, to be objected to."""
    return tuple(_in_mm(one, unit) for one in typed)


def _in_mm(text: str, unit: str) -> str:
    factor = _MM_PER_UNIT.get(unit, Decimal(1))
    if factor == 1:
        return text
    plain = text.strip().replace(",", ".").replace("−", "-")
    try:
        return format(Decimal(plain) * factor, "f")
    except (ArithmeticError, ValueError):
        return text
