"""Forms of the intake stage."""

from __future__ import annotations

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Body, Complaint, Consent, FluidFound, PanFound, Symptom
from countershaft.job.words import (
    Debris,
    Degree,
    Feel,
    FluidColour,
    FluidLevel,
    FluidSmell,
    Load,
    Onset,
    Temperature,
)
from countershaft.web.forms.form import Answers, Field, Form, body_of, options

__all__ = ["complaint", "consent", "fluid", "pan", "symptom"]


def complaint(job: OpenJob, key: str) -> Form:
    """The customer's words and the fixed-when sentence."""
    now = job.state.last(Complaint)

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(Complaint, {"words": answers.one("words"), "fixed_when": answers.one("fixed_when")}),)

    return Form(
        "The complaint",
        (
            Field("words", "In the customer's own words", "area", needed=True, values=(now.words,) if now else ()),
            Field(
                "fixed_when", "It is fixed when …", "area", needed=True, values=(now.fixed_when,) if now else (),
                hint="One sentence that can be judged at the end: which gear, how warm, what must be true.",
            ),
        ),
        read,
        f"/jobs/{job.tag}/intake",
    )  # fmt: skip


def symptom(job: OpenJob, key: str) -> Form:
    """One symptom in structured words."""
    gears = tuple(job.transmission.train.chart) if job.transmission.train else ()

    def read(answers: Answers) -> tuple[Body, ...]:
        names = ("feel", "gear", "temperature", "load", "onset", "words")
        return (body_of(Symptom, {name: answers.one(name) for name in names}),)

    return Form(
        "A symptom",
        (
            Field("feel", "What it does", "choice", options=options(Feel), needed=True),
            Field("gear", "In which gear", "choice", options=tuple((gear, gear) for gear in gears),
                  hint="Leave open if it is in none or in all."),
            Field("temperature", "At which temperature", "choice", options=options(Temperature), needed=True),
            Field("load", "At which load", "choice", options=options(Load), needed=True),
            Field("onset", "Since when", "choice", options=options(Onset), needed=True),
            Field("words", "More words", "area"),
        ),
        read,
        f"/jobs/{job.tag}/intake",
        lead="One symptom at a time; add another after this one.",
    )  # fmt: skip


def fluid(job: OpenJob, key: str) -> Form:
    """How the fluid was found."""

    def read(answers: Answers) -> tuple[Body, ...]:
        names = ("level", "colour", "smell", "temperature_c", "words")
        return (body_of(FluidFound, {name: answers.one(name) for name in names}),)

    return Form(
        "The fluid",
        (
            Field(
                "level",
                "Level, checked the unit's own way",
                "choice",
                options=options(FluidLevel),
                needed=True,
            ),
            Field("temperature_c", "Fluid temperature at the check", "figure", unit="°C"),
            Field("colour", "Colour on white paper", "choice", options=options(FluidColour), needed=True),
            Field("smell", "Smell", "choice", options=options(FluidSmell), needed=True),
            Field("words", "More words", "area"),
        ),
        read,
        f"/jobs/{job.tag}/intake",
        cautions=(("CAUTION", "Hot fluid and exhaust burn. Let them cool, or wear gloves and keep clear."),),
    )


def pan(job: OpenJob, key: str) -> Form:
    """What lay in the pan."""

    def read(answers: Answers) -> tuple[Body, ...]:
        body = {
            "debris": answers.many("debris"),
            "degree": answers.one("degree"),
            "words": answers.one("words"),
        }
        return (body_of(PanFound, body),)

    return Form(
        "What lay in the pan",
        (
            Field(
                "debris",
                "Debris",
                "ticks",
                options=options(Debris),
                needed=True,
                hint="Tick all that was found.",
            ),
            Field("degree", "How much", "choice", options=options(Degree), needed=True),
            Field("words", "More words", "area"),
        ),
        read,
        f"/jobs/{job.tag}/intake",
        cautions=(("CAUTION", "Draining fluid may be hot enough to scald. Wear gloves and eye protection."),),
    )


def consent(job: OpenJob, key: str) -> Form:
    """How far the customer lets the shop go; `key` is the purpose."""
    back = f"/jobs/{job.tag}/decide" if key == "overhaul" else f"/jobs/{job.tag}/intake"

    def read(answers: Answers) -> tuple[Body, ...]:
        names = ("purpose", "limit", "given_by", "how")
        return (body_of(Consent, {name: answers.one(name) for name in names}),)

    return Form(
        "Consent with a limit",
        (
            Field("purpose", "For what", "choice", options=(("diagnosis", "diagnosis"), ("overhaul", "overhaul")),
                  values=(key,) if key else (), needed=True),
            Field("limit", "Up to which sum", "figure", needed=True,
                  hint="Work that would cost more is asked for again."),
            Field("given_by", "Who agreed", needed=True,
                  hint="As the shop knows the person: a name or a customer number."),
            Field("how", "How", "choice", needed=True,
                  options=(("signed", "signed"), ("by telephone", "by telephone"), ("in writing", "in writing"))),
        ),
        read,
        back,
    )  # fmt: skip
