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
from countershaft.job.shop import ShopInstrument
from countershaft.job.taken import Taken
from countershaft.model.fits import Fit
from countershaft.model.instrument import Instrument
from countershaft.model.limits import Limit
from countershaft.units import Quantity
from countershaft.web.forms.figures import turned
from countershaft.web.forms.form import Aim, Answers, Field
from countershaft.web.forms.tools import ANOTHER, tool_answered, tool_field, tool_in_hand, tools_for

__all__ = [
    "Scale",
    "aim_of",
    "in_mm",
    "instrument_typed",
    "scale_fields",
    "scale_of",
    "step_typed",
    "taken_of",
    "unit_field",
]

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
_SELDOM: Final = frozenset({"m", "µm", "kN", "MPa", "GPa", "ksi", "mmHg", "h", "min"})

#: Quantities of which a bench never reads less than nothing.
_NEVER_NEGATIVE: Final = frozenset(
    {"length", "resistance", "volume", "flow", "rotational speed", "road speed", "mass", "time", "hardness"}
)

_MM_PER_UNIT: Final[dict[str, Decimal]] = {"mm": Decimal(1), "in": Decimal("25.4"), "thou": Decimal("0.0254")}


@dataclass(frozen=True, slots=True)
class Scale:
    """The scale that a form begins with: its unit, one step of it, and the units that may be typed.

    `own_unit` and `own_step` are what the file says.  `tools` are the instruments of the shop that serve, the best
    fitting first, and `tool` the one that is in the hand already; with one the form has no step to type.
    """

    unit: str
    step: str
    own_unit: str
    own_step: str
    units: tuple[str, ...] = ()
    tools: tuple[ShopInstrument, ...] = ()
    tool: ShopInstrument | None = None


def scale_of(job: OpenJob, instrument: Instrument | None, unit: str, offered: Sequence[str] = ()) -> Scale:
    """The scale to begin with: of the shop's instrument in the hand, else of the newest reading, else of the file.

    `offered` are the units that may be typed beside `unit`; every usual one where none is given.
    """
    step = instrument.resolution if instrument else None
    own = "" if step is None else str(step.value) if step.unit == unit else f"{step.to(unit):g}"
    kind = units.UNITS[unit][0]
    usual = offered or tuple(one for one in units.KINDS[kind] if one not in _SELDOM)
    tools = tools_for(job, instrument.name if instrument else "", unit, offered)
    typed = dict.fromkeys((unit, *usual, *(tool.unit for tool in tools)))
    tool = tool_in_hand(job, instrument.name if instrument else "", tools)
    if tool is not None:
        return Scale(tool.unit, "", unit, own, tuple(typed), tools, tool)
    for body in reversed(job.state.bodies(Reading)):
        if instrument and body.instrument == instrument.name and units.UNITS[body.unit][0] == kind:
            return Scale(body.unit, str(body.resolution), unit, own, tuple(typed), tools)
    return Scale(unit, own, unit, own, tuple(typed), tools)


def unit_field(scale: Scale) -> tuple[Field, ...]:
    """The units a reading may be typed in, the unit of the limit first; nothing where there is only one."""
    if len(scale.units) == 1:
        return ()
    return (
        Field(
            "unit",
            "Typed in",
            "choice",
            options=tuple((one, one) for one in scale.units),
            values=(scale.unit,),
            needed=True,
        ),
    )


def scale_fields(scale: Scale, instrument: Instrument | None) -> tuple[Field, ...]:
    """The shop's instruments to tap, and name and step of any other, filled in already where the file says them."""
    name = instrument.name if instrument and scale.tool is None else ""
    other = bool(scale.tools)
    lead = f"Only where “{ANOTHER}” is tapped. " if other else ""
    return (
        *tool_field(scale.tools, scale.tool),
        Field("instrument", "Name of the other instrument" if other else "Instrument", hint=lead.strip(),
              needed=not other, folded=True, values=(name,) if name else ()),
        Field("resolution", "One step of its scale", "figure", f"{lead}In the unit that the readings are typed in.",
              needed=not other, folded=True, values=(scale.step,) if scale.step else ()),
    )  # fmt: skip


def instrument_typed(job: OpenJob, scale: Scale, answers: Answers) -> str:
    """The name of the instrument that was tapped or typed; empty where neither was done."""
    tool = tool_answered(job, scale.tools, answers)
    return tool.name if tool is not None else answers.one("instrument")


def step_typed(job: OpenJob, scale: Scale, answers: Answers) -> str:
    """One step of the scale in the unit of the readings.

    Raises FormError where another unit was chosen and the step still stands in the old one, and where the readings
    are typed in a unit that the tapped instrument does not show.
    """
    unit, step = answers.one("unit") or scale.own_unit, answers.one("resolution")
    tool = tool_answered(job, scale.tools, answers)
    if tool is not None:
        if unit != tool.unit:
            words = (
                f"{tool.id} {tool.name} shows {tool.unit}, and the readings are marked {unit}. "
                f"Tap {tool.unit} if they were read so, or the instrument that shows {unit}."
            )
            raise FormError({"unit": words})
        return str(tool.listed.resolution)
    if not step or unit == scale.unit or step != scale.step:
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


def taken_of(job: OpenJob, scale: Scale, answers: Answers) -> Taken:
    """How the figures of a form were taken: on which of the shop's instruments, and by which rule they are judged."""
    tool = tool_answered(job, scale.tools, answers)
    return Taken(
        used=tool.used() if tool is not None else None,
        rule=job.shop.rule,
        sure=answers.one("sure"),
        typed=answers.typed,
    )


def aim_of(target: Limit | Fit, kind: str, *, judged: bool = True) -> Aim | None:
    """What readings of a limit or fit are expected to be; `kind` names the entry that they become.

    No length is below nothing unless the limit itself is, as that of a preload.
    """
    unit = target.unit
    if unit is None:
        return None
    lower, upper = _in(target.min, unit), _in(target.max, unit)
    signed = any(end is not None and end < 0 for end in (lower, upper))
    return Aim(
        unit=unit,
        lower=lower,
        upper=upper,
        goal=target.goal_exact if isinstance(target, Fit) else None,
        lowest=Decimal(0) if not signed and units.UNITS[unit][0] in _NEVER_NEGATIVE else None,
        judged=judged,
        about=(kind, target.id),
    )


def _in(end: Quantity | None, unit: str) -> Decimal | None:
    return None if end is None else turned(end.value, end.unit, unit)


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
