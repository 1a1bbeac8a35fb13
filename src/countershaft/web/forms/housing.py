"""Forms of the housing: a sweep of bore and face, how far the dowels stand, and what the file lacks for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any, Final

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError
from countershaft.job.entry import Body, DowelSeen, HousingSwept
from countershaft.model.housing import Dowel, Housing
from countershaft.stages.alignment import survey
from countershaft.web.forms.form import Aim, Answers, Field, Form, body_of, readings
from countershaft.web.forms.lengths import (
    Scale,
    instrument_typed,
    scale_fields,
    scale_of,
    step_typed,
    taken_of,
    unit_field,
)
from countershaft.web.housing_words import clock_label

__all__ = [
    "LENGTHS",
    "NO_CRANKING",
    "at_places",
    "dowels",
    "measured",
    "needs_unit",
    "sweep",
    "sweep_answers",
]

#: The units that a length of these forms may be typed in, beside millimetres.
LENGTHS: Final = ("in", "thou")

#: Said wherever a hand is at the crank.
NO_CRANKING: Final = (
    "WARNING",
    (
        "A crank that turns takes off fingers. Disconnect the battery, turn the crank by hand with a wrench only, and "
        "keep the other person's hands out of the housing while it turns."
    ),
)
_LIFT: Final = (
    "DANGER",
    "Under a vehicle on a lift: locks engaged, engine on its support, before anything is bolted to it.",
)
_QUARTERS: Final = ("12", "3", "6", "9")
_EIGHTS: Final = ("12", "1.5", "3", "4.5", "6", "7.5", "9", "10.5")
_WHEN: Final = (("as found", "as found"), ("as left", "as left"))
_HOW: Final = (
    "Indicator on the crank, the bare housing bolted on with plain dowels. Set it to zero at 12 o'clock, seen from the "
    "gearbox; a reading is + where the plunger is pushed in. Come back to 12 at the end and read it again."
)


def sweep(job: OpenJob, key: str) -> Form:
    """One sweep of the housing; the key "8" asks for eight places instead of four, "face" for the face at each too."""
    housing = job.transmission.housing or Housing()
    hours = _EIGHTS if "8" in key.split() else _QUARTERS
    scale = scale_of(job, housing.instrument, "mm", LENGTHS)

    def read(answers: Answers) -> tuple[Body, ...]:
        unit = needs_unit(answers, "bore")
        bore, bore_back = at_places(answers, "bore", hours)
        face, face_back = at_places(answers, "face", hours, needed=False)
        total = answers.one("face_total")
        body: dict[str, Any] = {
            "when": answers.one("when"),
            "after": ": ".join(one for one in (answers.one("after"), answers.one("more")) if one),
            "hours": hours,
            "bore": bore,
            "bore_back": bore_back,
            "face": face,
            "face_back": face_back,
            "face_total": total,
            "sag": answers.one("sag"),
            "rise": answers.one("rise"),
            "answers": housing.checks(face=bool(face or total)),
            **{name: _with_unit(answers.one(name), unit) for name in ("bore_max", "face_max")},
            **{name: answers.one(name) for name in ("diameter", "bushing")},
            **measured(job, scale, answers),
        }
        return (body_of(HousingSwept, body),)

    return Form(
        "Sweep the housing",
        (
            *_places(hours, face="face" in key.split()),
            *unit_field(scale),
            *_limits(housing),
            *_since(job),
            Field("when", "When", "choice", options=_WHEN, values=(_when(job),), needed=True, folded=True),
            Field("sag", "Sag of the indicator", "figure", "What the set-up reads at 6 o'clock in a true ring, "
                  "zeroed at 12, with its sign. Empty is 0.", folded=True),
            Field("rise", "Rise of the crank", "figure", "How far its axis rises from where it lies now to where it "
                  "runs; the maker says how it is found. Empty is 0.", folded=True),
            *scale_fields(scale, housing.instrument),
        ),
        read,
        f"/jobs/{job.tag}/alignment",
        lead=_HOW,
        cautions=(_LIFT, NO_CRANKING),
        facts=_facts(job, housing),
    )  # fmt: skip


def sweep_answers(job: OpenJob, limit: str) -> bool:
    """Whether the file says that a sweep of the housing answers a limit."""
    return job.transmission.housing is not None and limit in job.transmission.housing.checks(face=True)


def dowels(job: OpenJob, key: str) -> Form:
    """How far each dowel of the file stands out; the key names one dowel, or none for all."""
    housing = job.transmission.housing or Housing()
    asked = [one for one in housing.dowels if key in ("", one.name)]
    gauge = job.transmission.housing.converter if job.transmission.housing else None
    instrument = gauge.instrument if gauge else None
    scale = scale_of(job, instrument, "mm", LENGTHS)

    def read(answers: Answers) -> tuple[Body, ...]:
        typed = {one.name: answers.many(f"dowel {one.name}") for one in asked}
        if not any(typed.values()):
            raise FormError({f"dowel {one.name}": "type how far it stands out." for one in asked[:1]})
        needs_unit(answers, f"dowel {asked[0].name}")
        rest = {"when": answers.one("when"), **measured(job, scale, answers)}
        return tuple(
            body_of(DowelSeen, {"dowel": name, "values": values, **rest}, names={"values": f"dowel {name}"})
            for name, values in typed.items()
            if values
        )

    seen = {body.dowel for body in job.state.bodies(DowelSeen)}
    when = "as left" if asked and all(one.name in seen for one in asked) else "as found"
    return Form(
        "How far the dowels stand out",
        (
            *(_dowel(one) for one in asked),
            *unit_field(scale),
            Field("when", "When", "choice", options=_WHEN, values=(when,), needed=True, folded=True),
            *scale_fields(scale, instrument),
        )
        if asked
        else (),
        read,
        f"/jobs/{job.tag}/alignment",
        lead="From the face of the block to the end of the dowel, before anything is touched."
        if asked
        else "The file names no dowel, so that nobody can say how far one should stand out.",
        cautions=(_LIFT,),
    )  # fmt: skip


def at_places(
    answers: Answers, name: str, hours: Sequence[str], *, needed: bool = True
) -> tuple[tuple[str, ...], str]:
    """Readings by their place, and the one on the way back; a place that is left out is named."""
    cells = [cell.strip() for cell in answers.texts.get(name, ())]
    cells += [""] * (len(hours) + 1 - len(cells))
    places, back = cells[: len(hours)], cells[len(hours)]
    if not any(cells) and not needed:
        return (), ""
    left_out = [clock_label(Decimal(hour)) for hour, cell in zip(hours, places, strict=True) if not cell]
    if left_out:
        raise FormError({name: f"read every place; {', '.join(left_out)} is left out."})
    return tuple(places), back


def needs_unit(answers: Answers, name: str) -> str:
    """The unit that the readings are typed in; a bare figure of a length means three things."""
    unit = answers.one("unit")
    if unit not in ("mm", *LENGTHS):
        first = next(iter(answers.many(name)), "0.01")
        words = f"choose one: a bare {first} can be {first} mm, {first} in or {first} thou."
        raise FormError({"unit": words})
    return unit


def measured(job: OpenJob, scale: Scale, answers: Answers) -> dict[str, Any]:
    """Unit, instrument and step of the readings, and how they were taken."""
    return {
        "unit": answers.one("unit"),
        "instrument": instrument_typed(job, scale, answers),
        "resolution": step_typed(job, scale, answers),
        "taken": taken_of(job, scale, answers),
    }


def _places(hours: Sequence[str], *, face: bool) -> tuple[Field, ...]:
    """The cells of the bore, and those of the face or its total alone."""
    labels = (*(clock_label(Decimal(hour)) for hour in hours), "12 again")
    count = len(labels)
    bore = readings("bore", "Bore", count=count, unit="", cell_labels=labels, hint="Plunger on the bore.")
    held = "The crank held to one end of its play"
    if face:
        return bore, readings(
            "face", "Face", count=count, unit="", cell_labels=labels, hint=f"{held} at every place."
        )
    return bore, Field(
        "face_total", "Face, highest less lowest", "figure", f"{held}. Empty where it was not swept."
    )


def _limits(housing: Housing) -> tuple[Field, ...]:
    """What the file does not say, to be typed from the service information."""
    hint = "From the service information, in the unit of the readings."
    length = "With its unit, such as 280 mm or 11 in."
    return (
        *((Field("bore_max", "Most runout of the bore", "figure", hint, needed=True),) if housing.bore is None else ()),
        *(
            (
                Field("face_max", "Most runout of the face", "figure", hint),
                Field("diameter", "Diameter swept on the face", hint=length),
            )
            if housing.face is None
            else ()
        ),
        *((Field("bushing", "From the face to the hub bushing", hint=length),) if housing.bushing is None else ()),
    )  # fmt: skip


def _with_unit(figure: str, unit: str) -> str:
    """A typed length with its unit."""
    return f"{figure} {unit}" if figure else ""


def _since(job: OpenJob) -> tuple[Field, ...]:
    """What was done since the last sweep, to be tapped; nothing before there is one."""
    found = survey(job.transmission, job.state)
    if found.newest is None:
        return ()
    done = [f"dowel {one.dowel.name} seated" for one in found.dowels]
    done += ["faces cleaned", "offset dowels fitted", "nothing, swept again"]
    return (
        Field(
            "after", "What was done since the last sweep", "choice", options=tuple((one, one) for one in done)
        ),
        Field("more", "In other words", folded=True),
    )


def _when(job: OpenJob) -> str:
    return "as left" if job.state.bodies(HousingSwept) else "as found"


def _dowel(dowel: Dowel) -> Field:
    hint = f"{dowel.min} to {dowel.max}"
    aim = Aim("mm", Decimal(str(dowel.min.to("mm"))), Decimal(str(dowel.max.to("mm"))), lowest=Decimal(0))
    field = readings(f"dowel {dowel.name}", f"Dowel {dowel.title}", count=1, unit="", hint=hint, aim=aim)
    return replace(field, needed=False)


def _facts(job: OpenJob, housing: Housing) -> tuple[tuple[str, str], ...]:
    bore, face = housing.bore, housing.face
    source = job.transmission.source((bore.source if bore else None) or housing.source)
    found = (
        ("Bore", f"at most {bore.max} TIR" if bore else ""),
        ("Face", f"at most {face.max} TIR on {face.diameter}" if face else ""),
        ("Closure", f"at most {housing.closure}" if housing.closure else ""),
        ("Note", housing.note or ""),
        ("Source", (str(source) if source else "none: the limit is unverified") if bore else ""),
    )
    return tuple((label, words) for label, words in found if words)
