"""Forms of the fit stage."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Final

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Body, Dimensions, Remeasured, Shelf, Trial
from countershaft.model.fits import Fit, exact_mm
from countershaft.stages.fit import follow
from countershaft.stages.fit_asked import asked_first, asked_left
from countershaft.web.forms.fit_figures import figures, told_facts
from countershaft.web.forms.form import Aim, Answers, Field, Form, body_of, readings
from countershaft.web.forms.lengths import (
    Scale,
    aim_of,
    in_mm,
    scale_fields,
    scale_of,
    step_typed,
    taken_of,
    unit_field,
)

__all__ = ["first", "remeasure", "shelf"]


#: A part has a thickness.
_SIZE: Final = Aim("mm", lowest=Decimal(0))


def _dimension(fit: Fit) -> Aim:
    """A dimension of a gap; one that stands proud may be below nothing, and its limit is that of the whole gap."""
    return Aim("mm", judged=False, about=("dimensions", fit.id))


def first(job: OpenJob, key: str) -> Form:
    """The first measurement of a fit: with a trial part, its dimensions, or the figures of its way of reading."""
    fit = job.transmission.fit(key)
    asked = asked_first(fit)
    if asked:
        return figures(job, fit, asked, left=False, lead=f"Read by {fit.by.kind}." if fit.by else "")
    return _trial(job, fit) if fit.trial is not None else _dimensions(job, fit)


def _trial(job: OpenJob, fit: Fit) -> Form:
    def read(answers: Answers) -> tuple[Body, ...]:
        body = {
            "fit": fit.id,
            "size_mm": answers.one("size_mm"),
            "found_mm": answers.one("found_mm"),
            **_measured(job, fit, answers, ("values_mm",)),
        }
        return (body_of(Trial, body, names={"resolution_mm": "resolution"}),)

    return Form(
        f"{fit.name}: trial",
        (
            Field("size_mm", f"Size of the trial {fit.selective}", "figure",
                  "Measure it in mm, as the table gives it; do not trust the marking.",
                  "mm", values=(str(exact_mm(fit.trial)),) if fit.trial else (), needed=True, aim=_SIZE),
            readings("values_mm", "Readings of the gap", count=fit.readings, unit="",
                     aim=aim_of(fit, "trial", judged=False)),
            *_found(fit),
            *_scale(job, fit),
        ),
        read,
        f"/jobs/{job.tag}/fit/{fit.id}",
        facts=told_facts(job, fit),
    )  # fmt: skip


def _found(fit: Fit) -> tuple[Field, ...]:
    """The part that was found in a preload, so that its interference can be told."""
    if fit.kind != "preload":
        return ()
    hint = "If it was measured: how far it interfered is worked out from it."
    return (
        Field("found_mm", f"Size of the {fit.selective} that was found", "figure", hint, "mm", aim=_SIZE),
    )


def _dimensions(job: OpenJob, fit: Fit) -> Form:
    def read(answers: Answers) -> tuple[Body, ...]:
        body = {
            "fit": fit.id,
            **_measured(job, fit, answers, tuple(one.name for one in fit.gap)),
        }
        return (body_of(Dimensions, body, names={"resolution_mm": "resolution"}),)

    return Form(
        f"{fit.name}: dimensions",
        (
            *(
                readings(one.name, one.name, count=fit.readings, unit="", aim=_dimension(fit))
                for one in fit.gap
            ),
            *_scale(job, fit),
        ),
        read,
        f"/jobs/{job.tag}/fit/{fit.id}",
        facts=told_facts(job, fit),
        lead=f"Measured without the {fit.selective}.",
    )


def shelf(job: OpenJob, key: str) -> Form:
    """Which sizes lie on the shelf."""
    fit = job.transmission.fit(key)
    now = follow(job.transmission, job.state, fit)

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(Shelf, {"fit": key, "sizes_mm": answers.many("sizes_mm")}),)

    return Form(
        f"{fit.name}: on the shelf",
        (
            Field("sizes_mm", f"Sizes of the {fit.selective} at hand", "ticks", "Tick what really lies there.",
                  options=tuple((str(size), f"{size} mm") for size in fit.sizes_mm),
                  values=tuple(str(size) for size in (now.shelf if now.shelf is not None else ()))),
        ),
        read,
        f"/jobs/{job.tag}/fit/{fit.id}",
        facts=(("Needed", f"{now.needed_mm} mm"),) if now.needed_mm is not None else (),
    )  # fmt: skip


def remeasure(job: OpenJob, key: str) -> Form:
    """The gap with the chosen part in place."""
    fit = job.transmission.fit(key)
    now = follow(job.transmission, job.state, fit)
    asked = asked_left(fit)
    if asked:
        sizes = ", ".join(f"{one.size_mm} {fit.size_unit}" for one in now.chosen_all)
        lead = f"With what was chosen in place: {sizes}." if now.chosen else "Nothing is chosen yet."
        return figures(job, fit, asked, left=True, lead=lead)

    def read(answers: Answers) -> tuple[Body, ...]:
        body = {"fit": key, **_measured(job, fit, answers, ("values_mm",))}
        return (body_of(Remeasured, body, names={"resolution_mm": "resolution"}),)

    chosen = f"{now.chosen.size_mm} mm {fit.selective} in place" if now.chosen else "nothing is chosen yet"
    return Form(
        f"{fit.name}: re-measure",
        (
            readings(
                "values_mm",
                "Readings of the gap",
                count=fit.readings,
                unit="",
                aim=aim_of(fit, "remeasured"),
            ),
            *_scale(job, fit),
        ),
        read,
        f"/jobs/{job.tag}/fit/{fit.id}",
        lead=f"With the {chosen}." if now.chosen else chosen,
        facts=told_facts(job, fit),
    )


def _scale(job: OpenJob, fit: Fit) -> tuple[Field, ...]:
    """Millimetres or inches, and the instrument with one step of its scale."""
    scale = _scale_of(job, fit)
    return (*unit_field(scale), *scale_fields(scale, fit.instrument))


def _scale_of(job: OpenJob, fit: Fit) -> Scale:
    return scale_of(job, fit.instrument, "mm", ("in",))


def _measured(job: OpenJob, fit: Fit, answers: Answers, names: tuple[str, ...]) -> dict[str, Any]:
    """Readings and step in millimetres; what was typed in inches is kept beside them, as it was typed.

    One name stands for the readings of the gap, several for the dimensions that it is the sum of.
    """
    scale = _scale_of(job, fit)
    unit = answers.one("unit") or "mm"
    step = step_typed(job, scale, answers)
    typed = {name: answers.many(name) for name in names}
    values = {name: in_mm(texts, unit) for name, texts in typed.items()}
    told = "; ".join(
        f"{'' if len(typed) == 1 else name + ': '}{', '.join(texts)} {unit}" for name, texts in typed.items()
    )
    return {
        "values_mm": values if fit.trial is None and names != ("values_mm",) else values["values_mm"],
        "resolution_mm": in_mm((step,), unit)[0],
        "typed": "" if unit == "mm" else f"{told}; step {step} {unit}",
        "taken": taken_of(job, scale, answers),
    }
