"""What was measured before on a job of one limit or fit, as the keypad tells it."""

from __future__ import annotations

from decimal import Decimal

from countershaft import units
from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Body, Dimensions, Entry, Reading, Remeasured, Trial
from countershaft.web.forms.figures import turned
from countershaft.web.forms.form import Aim

__all__ = ["before", "unit_settled", "value_of", "when_said"]


def unit_settled(job: OpenJob, unit: str) -> bool:
    """Whether this job has readings in a unit already, so that nobody is asked which one is meant."""
    return any(body.unit == unit for body in job.state.bodies(Reading))


def before(job: OpenJob, aim: Aim) -> Entry | None:
    """What this job says already of the same limit or fit, newest first; readings as found before all others."""
    about = aim.about[1]
    if not about:
        return None
    found = [entry for entry in job.state.answers(about) if isinstance(entry.body, Reading)]
    if found:
        return found[-1]
    kinds: tuple[type[Trial | Dimensions | Remeasured], ...] = (Remeasured, Trial, Dimensions)
    for kind in kinds:
        same = [entry for entry, body in job.state.of(kind) if body.fit == about]
        if same and kind.model_fields["kind"].default == aim.about[0]:
            return same[-1]
    return None


def when_said(body: Body) -> str:
    """When figures were taken, in the words of their entry."""
    if isinstance(body, Reading):
        return body.when
    return "before" if isinstance(body, Trial | Dimensions | Remeasured) else ""


def value_of(body: Body, field: str, unit: str, *, at: int = 0) -> tuple[Decimal, Decimal] | None:
    """The mean of an entry's readings and the step of its scale, in a unit; None where it has none.

    Of readings at several places it is the one at the place in hand, number `at`.
    """
    if isinstance(body, Reading):
        values, own, step = body.values, body.unit, body.resolution
        if body.taken is not None and len(body.taken.places) == len(values) and at < len(values):
            values = (values[at],)
    elif isinstance(body, Trial | Remeasured):
        values, own, step = body.values_mm, "mm", body.resolution_mm
    elif isinstance(body, Dimensions) and field in body.values_mm:
        values, own, step = body.values_mm[field], "mm", body.resolution_mm
    else:
        return None
    if unit not in units.KINDS.get(units.UNITS.get(own, ("", ""))[0], ()):
        return None
    mean = sum(values, Decimal(0)) / len(values)
    places = min(6, units.decimals(turned(step, own, unit)))
    return round(turned(mean, own, unit), places), step
