"""Readings at places: the form that a limit with a form asks by, row by row."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError
from countershaft.figures.height_map import HeightMap, PlaceHeight, height_map
from countershaft.job.entry import Body, FormTaken
from countershaft.model.face_forms import GridForm, PlateForm, StraightedgeForm
from countershaft.model.form_record import PlaceRow
from countershaft.model.forms import AnyForm
from countershaft.model.limits import Limit
from countershaft.stages.inspection import form_of
from countershaft.web.forms import inspection
from countershaft.web.forms.form import Answers, Field, Form, body_of, readings
from countershaft.web.forms.lengths import (
    instrument_typed,
    scale_fields,
    scale_of,
    step_typed,
    taken_of,
    unit_field,
)

__all__ = ["places_drawing", "reading"]

_WHENS = ("as found", "trial", "as left")


def reading(job: OpenJob, key: str) -> Form:
    """What a limit asks: readings at its places where it has a form, else readings of one figure."""
    target = inspection.target_of(job, key)
    form = form_of(job.transmission, job.state, target.id) if isinstance(target, Limit) else None
    if form is None or not isinstance(target, Limit):
        return inspection.reading(job, key)
    return _places(job, key, target, form)


def _places(job: OpenJob, key: str, limit: Limit, form: AnyForm) -> Form:
    unit = str(limit.unit)
    scale = scale_of(job, limit.instrument, unit)
    asked = unit_field(scale)
    rows = form.place_rows

    def read(answers: Answers) -> tuple[Body, ...]:
        wrong: dict[str, str] = {}
        typed = []
        for number, row in enumerate(rows, start=1):
            name = f"row{number}"
            figures, fault = _typed(row, form.repeats, answers.texts.get(name, ()))
            if fault:
                wrong[name] = fault
            typed += figures
        if wrong:
            raise FormError(wrong)
        body = {
            "limit": limit.id,
            "when": answers.one("when"),
            "form": form,
            "readings": typed,
            "unit": answers.one("unit") or unit,
            "instrument": instrument_typed(job, scale, answers),
            "resolution": step_typed(job, scale, answers),
            "taken": taken_of(job, scale, answers),
        }
        return (body_of(FormTaken, body),)

    start = inspection.when_of(job, key)
    return Form(
        limit.name,
        (
            *(
                _row(f"row{number}", row, form.repeats, "" if asked else unit)
                for number, row in enumerate(rows, start=1)
            ),
            *asked,
            Field("when", "When", "choice", options=tuple((one, one) for one in _WHENS), values=(start,),
                  needed=True, folded=True),
            *scale_fields(scale, limit.instrument),
        ),
        read,
        f"/jobs/{job.tag}/{'prove' if limit.stage == 'prove' else 'inspect'}",
        lead=_lead(form),
        cautions=inspection.cautions_of(limit),
        facts=inspection.facts_of(job, limit, scale.unit, first=(("Measured", form.words),)),
        drawing=places_drawing(form, limit.name),
    )  # fmt: skip


def _row(name: str, row: PlaceRow, repeats: int, unit: str) -> Field:
    again = ("", ", again", ", third time", ", fourth time", ", fifth time")
    labels = tuple(f"{spot.label}{again[turn]}" for spot in row.spots for turn in range(repeats))
    return readings(
        name, row.label, count=len(labels), unit=unit, cell_labels=labels, hint=f"{len(labels)} readings"
    )


def _typed(row: PlaceRow, repeats: int, texts: Sequence[str]) -> tuple[list[dict[str, object]], str]:
    """The figures of a row by place, and what is wrong with the first cell that cannot be read."""
    cells = [text.strip() for text in texts]
    cells += [""] * (len(row.spots) * repeats - len(cells))
    missing = [
        spot.label
        for place, spot in enumerate(row.spots)
        if not all(cells[place * repeats : (place + 1) * repeats])
    ]
    if missing:
        return (
            [],
            f"{', '.join(missing)} not typed yet; type a figure for every place, 0 where there is none.",
        )
    for place, text in enumerate(cells):
        if not _number(text):
            spot = row.spots[min(place // repeats, len(row.spots) - 1)]
            return [], f"at {spot.label} {text!r} is no number; type a figure such as 0.02."
    found: list[dict[str, object]] = [
        {"place": spot.name, "values": tuple(cells[place * repeats : (place + 1) * repeats])}
        for place, spot in enumerate(row.spots)
    ]
    return found, ""


def _number(text: str) -> bool:
    try:
        return Decimal(text.replace(",", ".").replace("−", "-")).is_finite()
    except InvalidOperation:
        return False


def _lead(form: AnyForm) -> str:
    """What to do at the bench, for this kind of form."""
    return {
        "flatness_grid": "Level the face on three jacks, zero the indicator at A1, and read every place; + is higher.",
        "flatness_straightedge": (
            "Wipe face and straightedge. Lay it along each line and find the thickest feeler that goes in at each "
            "place; 0 where none does."
        ),
        "flatness_plate": (
            "Lay the plate on the surface plate without pressing, and find the thickest feeler that goes under each "
            "edge; 0 where none does."
        ),
        "straightness": "Read along the line against a straight reference; + is higher.",
        "roundness": "Sweep the indicator round, and read at every place; + is farther out.",
        "diameters": "Measure every diameter across the direction named, the part clean and at the room's warmth.",
        "runout": "Set the indicator square to the surface, zero it at the first place, turn the part and read.",
        "backlash": (
            "Hold the mate, set the plunger square to the radius at the flank, rock the gear from stop to stop, and "
            "read the whole travel."
        ),
        "shaft_bow": "Lay the shaft in V-blocks at its bearings, mark 12 o'clock once, read each station all round.",
    }[form.kind]


def places_drawing(form: AnyForm, title: str) -> str:
    """Where the places of a face lie; empty for a form whose places are named by the clock."""
    if not isinstance(form, GridForm | StraightedgeForm | PlateForm):
        return ""
    down = -1 if isinstance(form, GridForm) else 1
    places = tuple(PlaceHeight(name, x, down * y) for name, (x, y) in form.where.items())
    edges = form.lines if isinstance(form, StraightedgeForm) else ()
    return height_map(HeightMap(f"{title}: where to read", places, edges))
