"""Bench sums in a job: whether they can be worked out, and which check their answer stands for."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from countershaft import units
from countershaft.errors import FormError, QuantityError, Unknown
from countershaft.job.entry import Entry, Worked
from countershaft.job.state import JobState
from countershaft.metrology.budget import Budget, Contribution, combine
from countershaft.metrology.readings import Estimate
from countershaft.model.limits import Limit
from countershaft.model.transmission import Transmission
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.sums.answer import Figure, Sum, work_out
from countershaft.sums.answer import Worked as WorkedOut
from countershaft.sums.asked import width_in_unit
from countershaft.sums.register import answering, find_sum

__all__ = [
    "answering_limit",
    "blocked_at",
    "conditions",
    "estimate_of",
    "figure_for",
    "holds_at",
    "of_key",
    "review",
    "sum_key",
    "worked_out",
]

#: How a file says for which blocked reading of the bench a vacuum is asked.
_BLOCKED: Final = re.compile(r"blocked(?: reading)?(?: of)? ([\d.,]+ ?[^\s;,]+)")
#: Temperatures this near count as the same: copper changes by 0.04 % [K].
_NEAR: Final = 0.1
#: Between the name of a sum and the check that it answers, where both are told in one key.
_FOR: Final = " for "


def sum_key(calculation: str, limit: str = "") -> str:
    """A sum and the check that it answers as one key."""
    return f"{calculation}{_FOR}{limit}" if limit else calculation


def of_key(key: str) -> tuple[str, str]:
    """The name of a sum and of the check that it answers, empty for none."""
    name, _, limit = key.partition(_FOR)
    return name, limit


def worked_out(body: Worked) -> WorkedOut:
    """The sum of an entry, done; raises FormError or Unknown where this program cannot do it."""
    return work_out(find_sum(body.calculation), body.typed)


def answering_limit(limit: Limit) -> tuple[Sum, ...]:
    """The sums whose answer can stand for a limit; a pressure only where it is a vacuum beside a blocked reading."""
    if limit.unit is None:
        return ()
    found = answering(limit.unit)
    return () if units.UNITS[limit.unit][0] == "pressure" and not blocked_at(limit) else found


def blocked_at(limit: Limit) -> str:
    """The blocked reading for which a vacuum is asked, as its file prints it; empty where the file names none."""
    found = _BLOCKED.search(limit.at or "")
    try:
        return str(units.read(found[1], kind="pressure")) if found else ""
    except QuantityError:
        return ""


def conditions(limit: Limit, calculation: str) -> dict[str, str]:
    """What a limit says of the fields of a sum that answers it."""
    said = {"winding": ("wanted", holds_at(limit) or "20 °C"), "vacuum": ("rated", blocked_at(limit))}
    name, text = said.get(calculation, ("", ""))
    return {name: text} if text else {}


def figure_for(limit: Limit, worked: WorkedOut) -> Figure | None:
    """The figure of a sum that stands for a limit; None where none is of its kind."""
    if limit.unit is None:
        return None
    kind = units.UNITS[limit.unit][0]
    return next((one for one in worked.outcome.figures if one.answers and one.kind == kind), None)


def estimate_of(figure: Figure, unit: str) -> Estimate:
    """A figure with its budget as an estimate in a unit; what is exact as typed is off by nothing that was read."""
    value, _ = figure.within(unit)
    budget = _in_unit(figure, unit)
    return Estimate(
        readings=(value,),
        resolution=abs(value) * 1e-9 or 1e-9,
        mean=value,
        spread=0.0,
        standard=budget.standard,
        degrees_of_freedom=budget.degrees_of_freedom,
        factor=budget.factor,
        expanded=budget.expanded,
        budget=budget,
        others=budget.contributions,
    )


def _in_unit(figure: Figure, unit: str) -> Budget:
    if figure.budget is None or not figure.budget.standard:
        return combine([Contribution("rounding", abs(figure.within(unit)[0]) * 1e-9 or 1e-9)])
    rows = figure.budget.contributions
    size = width_in_unit(1.0, figure.kind, unit)
    return combine([replace(one, sensitivity=one.sensitivity * size) for one in rows])


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a sum can be done, and is about something of this unit."""
    del state
    body = entry.body
    assert isinstance(body, Worked), "only sums come here"
    if body.part is not None:
        transmission.part(body.part)
    try:
        worked = worked_out(body)
    except FormError as fault:
        named = {name: words for name, words in fault.fields.items() if name}
        return Outcome(tuple(words for name, words in fault.fields.items() if not name), named)
    except Unknown as fault:
        return object_to(str(fault))
    return ACCEPTED if body.limit is None else _answers(transmission.limit(body.limit), worked)


def _answers(limit: Limit, worked: WorkedOut) -> Outcome:
    """Whether a sum tells what a limit asks for, under the condition at which it holds."""
    asked = conditions(limit, worked.sum.name)
    for field, text in asked.items():
        given = worked.inputs.find(field)
        if given is None and field == "rated":
            return object_to(rated=f"{limit.name} is asked for a blocked reading of {text}; type that.")
        wanted = _value(text)
        if abs((20.0 if given is None else given) - wanted) > _NEAR * max(1.0, wanted / 100):
            typed = worked.inputs.typed.get(field, "20 °C")
            return object_to(**{field: f"{limit.name} holds at {text}; bring it to that, not to {typed}."})
    if worked.sum not in answering_limit(limit) or figure_for(limit, worked) is None:
        return object_to(
            f"{worked.sum.title} tells nothing that {limit.name} asks for ({limit.unit or 'a look'}). "
            "Note it without a check, or take a sum that does."
        )
    return ACCEPTED


def _value(text: str) -> float:
    """A condition of a limit as a sum has it: °C, or Pa."""
    found = units.read(text)
    return found.to("°C") if found.kind == "temperature" else 1e3 * found.to("kPa")


def holds_at(limit: Limit) -> str:
    """The temperature at which a limit holds, as its file prints it; empty where it says nothing of the kind."""
    try:
        return str(units.read(limit.at or "", kind="temperature"))
    except QuantityError:
        return ""
