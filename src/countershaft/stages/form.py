"""Forms: readings at places become one figure with its uncertainty, and every line that led to it.

The minimum zone is judged, as ISO 1101 means it; the zone of least squares is told beside it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Final

from countershaft import units
from countershaft.job.at_form import FormTaken
from countershaft.job.taken import Taken
from countershaft.metrology.budget import Contribution, from_certificate
from countershaft.metrology.form_budget import FormEstimate, form_estimate, one_reading
from countershaft.metrology.harmonics import Runout
from countershaft.metrology.monte_carlo import Simulated
from countershaft.model.forms import AnyForm
from countershaft.stages.form_faces import face_found
from countershaft.stages.form_found import Found, Height, Measured
from countershaft.stages.form_turned import turned_found
from countershaft.stages.measuring import doubts

__all__ = ["FormResult", "form_doubts", "form_result", "result_of"]

#: By how many steps two lines may disagree where nothing is known of the instrument (common practice, no source).
_UNKNOWN: Final = 3


@dataclass(frozen=True, slots=True)
class FormResult:
    """A form as judged: its figure with uncertainty, what stands beside it, and what a drawing needs.

    Figures are in `unit`; `read` holds every reading as typed, row by row; `heights` are the places of a face,
    `highest` and `lowest` the names of those that touch the zone; `wave` are readings round a circle taken apart.
    """

    form: AnyForm
    unit: str
    digits: int
    what: str
    value: FormEstimate
    beside: tuple[tuple[str, str], ...]
    read: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    heights: tuple[Height, ...]
    highest: tuple[str, ...]
    lowest: tuple[str, ...]
    wave: Runout | None
    misfit: float


def result_of(body: FormTaken, *, to: str, lower: float | None, upper: float | None) -> FormResult:
    """The form that an entry's readings come to, in the unit `to`."""
    return form_result(
        body.form,
        {one.place: one.values for one in body.readings},
        body.unit,
        resolution=body.resolution,
        to=to,
        taken=body.taken,
        lower=lower,
        upper=upper,
    )


def form_result(
    form: AnyForm,
    readings: Mapping[str, Sequence[Decimal]],
    unit: str,
    *,
    resolution: Decimal,
    to: str,
    taken: Taken | None = None,
    lower: float | None = None,
    upper: float | None = None,
) -> FormResult:
    """The form that readings at all places of a form come to; raises OutOfRange where they cannot tell it.

    `lower` and `upper` are the limits in the unit `to`; they decide which place is the worst one.
    """
    scale = units.convert(1.0, "m", to)
    each = {name: [units.convert(value, unit, to) for value in values] for name, values in readings.items()}
    one = one_reading(
        list(each.values()),
        resolution=units.convert(resolution, unit, to),
        permitted_error=_of_instrument(taken, "permitted_error", to),
    )
    off = _of_instrument(taken, "zero_offset", to)
    measured = Measured(
        {name: (math.fsum(values) / len(values)) / scale for name, values in each.items()},
        standard=one.standard / scale,
        zero_offset=off / scale,
        unit=to,
        digits=units.decimals(_step(resolution, unit, to)) + 2,
        lower=None if lower is None else lower / scale,
        upper=None if upper is None else upper / scale,
    )
    found = face_found(form, measured) or turned_found(form, measured)
    assert found is not None, "every kind of form is told by one of the two"
    read = _read(form, readings, unit)
    lines = (*(_row_words(label, cells) for label, cells in read), *found.lines)
    value = form_estimate(
        found.value * scale,
        one,
        slope=found.slope,
        lines=lines,
        others=_others(found, taken, to, scale),
        simulated=None if found.simulated is None else _scaled(found.simulated, scale),
    )
    return FormResult(
        form=form,
        unit=to,
        digits=measured.digits - 2,
        what=found.what,
        value=value,
        beside=found.beside,
        read=read,
        heights=found.heights,
        highest=found.highest,
        lowest=found.lowest,
        wave=found.wave,
        misfit=found.misfit * scale,
    )


def form_doubts(
    body: FormTaken, result: FormResult, *, on: date, lower: float | None, upper: float | None
) -> tuple[str, ...]:
    """What must be asked before a form is believed; nothing where the entry has the answer already.

    `lower` and `upper` are the limits in the unit of the result.
    """
    if body.taken is not None and body.taken.sure:
        return ()
    figure = Decimal(f"{result.value.mean:.6g}")
    step = Decimal(repr(result.value.one.resolution))
    low = 0.0 if lower is None and upper is not None else lower
    asked = [
        *doubts((figure,), result.unit, resolution=step, taken=body.taken, on=on, lower=low, upper=upper,
                one_place=False)
    ]  # fmt: skip
    labels = {spot.name: spot.label for spot in body.form.spots}
    for one in body.readings:
        again = doubts(one.values, body.unit, resolution=body.resolution, taken=body.taken, on=on)
        asked += [f"At {labels[one.place]}: {words}" for words in again if words not in asked]
    used = body.taken.used if body.taken else None
    explained = result.value.one.resolution * (1 if used else _UNKNOWN) + 2 * result.value.one.permitted_error
    if result.misfit > explained * (1 + 1e-9):
        places = result.digits + 1
        asked.append(
            f"The lines disagree by {result.misfit:.{places}f} {result.unit} where they cross; this instrument "
            f"explains {explained:.{places}f}. Wipe, lay the straightedge on again and read again."
        )
    return tuple(dict.fromkeys(asked))


def _step(resolution: Decimal, unit: str, to: str) -> Decimal:
    """One step of the scale in another unit, to two digits."""
    if unit == to:
        return resolution
    return Decimal(f"{units.convert(resolution, unit, to):.2g}")


def _of_instrument(taken: Taken | None, key: str, to: str) -> float:
    used = taken.used if taken else None
    amount = getattr(used, key) if used else None
    return 0.0 if used is None or amount is None else units.convert(amount, used.unit, to)


def _others(found: Found, taken: Taken | None, to: str, scale: float) -> tuple[Contribution, ...]:
    """What else makes the form uncertain, in its unit: what its kind names, and the instrument's certificate."""
    others = [replace(one, standard=one.standard * scale, how="") for one in found.others]
    used = taken.used if taken else None
    if used is not None and used.certificate_u is not None and used.certificate_k is not None:
        stated = units.convert(used.certificate_u, used.unit, to)
        certified = from_certificate("calibration certificate", stated, factor=float(used.certificate_k))
        others.append(replace(certified, sensitivity=found.slope))
    return tuple(others)


def _scaled(drawn: Simulated, scale: float) -> Simulated:
    low, high = drawn.interval
    return replace(
        drawn, mean=drawn.mean * scale, standard=drawn.standard * scale, interval=(low * scale, high * scale)
    )


def _read(
    form: AnyForm, readings: Mapping[str, Sequence[Decimal]], unit: str
) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    return tuple(
        (
            row.label,
            tuple((spot.label, f"{' / '.join(map(str, readings[spot.name]))} {unit}") for spot in row.spots),
        )
        for row in form.place_rows
    )


def _row_words(label: str, cells: Sequence[tuple[str, str]]) -> str:
    return f"{label}: {', '.join(f'{name} {words}' for name, words in cells)}"
