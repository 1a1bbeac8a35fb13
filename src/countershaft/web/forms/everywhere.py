"""Forms that any stage uses: a note, a photo, what the job waits for, and the last ones of a job."""

from __future__ import annotations

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import (
    Body,
    Complaint,
    FixedWhen,
    Note,
    Released,
    StepSkipped,
    TurnsCounted,
    Undone,
    Waiting,
    Waived,
)
from countershaft.job.words import Stage
from countershaft.stages import handover
from countershaft.web.forms.form import Answers, Field, Form, because, body_of, reason
from countershaft.web.log_words import say

__all__ = ["fixed_when", "note", "photo", "release", "skip", "turns", "undo", "waiting", "waive"]


_AIR = (
    "Elements are applied with regulated air. Keep fingers out of the gears and wear eye protection; "
    "hold to the maker's pressure."
)


#: The usual reasons, so that an oily glove needs no keyboard.
_WHY_UNDO = ("wrong tap", "counted or measured wrong", "wrong step", "it must come apart again")
_WHY_SKIP = (
    "already done",
    "this unit has none of it",
    "good as it is, left in place",
    "done by somebody else",
)


def _stage_and_about(key: str) -> tuple[Stage, str | None]:
    """A key "teardown:T08" names a stage and what the entry is about."""
    name, _, about = key.partition(":")
    stage = next(
        (stage for stage in Stage if stage.value.replace(" ", "") == name.replace(" ", "")), Stage.INTAKE
    )
    return stage, about or None


def note(job: OpenJob, key: str) -> Form:
    """Free words at a stage or step."""
    stage, about = _stage_and_about(key)

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(Note, {"stage": stage, "about": about, "words": answers.one("words")}),)

    return Form("A note", (Field("words", "Words", "area", needed=True),), read, f"/jobs/{job.tag}")


def photo(job: OpenJob, key: str) -> Form:
    """A photo at a stage, step or part."""
    stage, about = _stage_and_about(key)

    def read(answers: Answers) -> tuple[Body, ...]:
        return ()

    return Form(
        "A photo",
        (
            Field("photo", "Picture", "photo", "JPEG, PNG or WebP; set the camera to JPEG.", needed=True),
            Field("caption", "What it shows"),
        ),
        read,
        f"/jobs/{job.tag}",
        photo_stage=stage,
        photo_about=about,
    )


def waiting(job: OpenJob, key: str) -> Form:
    """What the job waits for; with a key, that it waits no longer."""

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(Waiting, {"what": key or answers.one("what"), "over": bool(key)}),)

    if key:
        return Form(f"No longer waiting: {key}", (), read, f"/jobs/{job.tag}", save="It is here")
    return Form("The job waits", (Field("what", "For what", needed=True),), read, f"/jobs/{job.tag}")


def undo(job: OpenJob, key: str) -> Form:
    """Make an entry no longer count; `key` is its id."""

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(Undone, {"target": key, "because": reason(answers)}),)

    target = next((entry for entry in job.state.entries if entry.id == key), None)
    return Form(
        "Undo",
        because("Because", _WHY_UNDO, "The entry stays in the log, struck through."),
        read,
        f"/jobs/{job.tag}/log",
        save="Undo it",
        facts=(
            (
                ("Entry", f"{target.body.kind.replace('_', ' ')}: {say(job, target.body)}"),
                ("By", f"{target.by}, {target.at:%d %b %Y %H:%M}"),
            )
            if target
            else ()
        ),
    )


def skip(job: OpenJob, key: str) -> Form:
    """Leave a step out on purpose; `key` is the step."""
    step = job.transmission.step(key)

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(StepSkipped, {"step": key, "because": reason(answers)}),)

    return Form(
        f"Skip {step.id} {step.title}",
        because("Skipped, because", _WHY_SKIP, "The reason stays on the report."),
        read,
        f"/jobs/{job.tag}/{step.phase}",
        save="Skip this step",
    )


def turns(job: OpenJob, key: str) -> Form:
    """Input and output turns counted in one gear."""
    chart = job.transmission.train.chart if job.transmission.train else {}

    def read(answers: Answers) -> tuple[Body, ...]:
        names = ("gear", "input_turns", "output_turns", "counted_to")
        return (body_of(TurnsCounted, {name: answers.one(name) for name in names}),)

    return Form(
        "Ratio by hand",
        (
            Field("gear", "Gear held by air or by its elements", "choice", needed=True, values=(key,) if key else (),
                  options=tuple((gear, gear) for gear, applied in chart.items() if applied)),
            Field("input_turns", "Turns of the input", "figure", "Turn it by whole turns.", "turns", needed=True),
            Field("output_turns", "Turns of the output", "figure", "Minus where the output turns the other way.",
                  "turns", needed=True),
            Field("counted_to", "Read to", "figure", "The smallest part of a turn that was told apart.", "turns",
                  values=("0.1",), needed=True),
        ),
        read,
        f"/jobs/{job.tag}/prove",
        cautions=(("WARNING", _AIR),),
    )  # fmt: skip


def fixed_when(job: OpenJob, key: str) -> Form:
    """Whether the fixed-when sentence is true now."""
    complaint = job.state.last(Complaint)

    def read(answers: Answers) -> tuple[Body, ...]:
        said = answers.one("true")
        body = {"true": {"yes": True, "no": False}.get(said, ""), "words": answers.one("words")}
        return (body_of(FixedWhen, body),)

    return Form(
        "Fixed when",
        (
            Field("true", "Is it true now?", "choice", options=(("yes", "yes"), ("no", "no")), needed=True),
            Field("words", "How it was tried: route, temperature, load", "area", needed=True),
        ),
        read,
        f"/jobs/{job.tag}/prove",
        lead=complaint.fixed_when if complaint else "Nobody wrote a fixed-when sentence; do that at intake.",
        cautions=(
            (
                "WARNING",
                "Drive on a closed or safe road. The first drive after a build can fail without notice.",
            ),
        ),
    )


def waive(job: OpenJob, key: str) -> Form:
    """Let an open point of the gate pass, because."""
    point = next((one for one in handover.gate(job.transmission, job.state) if one.key == key), None)

    def read(answers: Answers) -> tuple[Body, ...]:
        was = point.open if point and point.open else "nothing"
        return (body_of(Waived, {"point": key, "was": was, "because": answers.one("because")}),)

    return Form(
        f"Let pass: {point.what if point else key}",
        (Field("because", "Let pass, because", "area", needed=True, hint="The reason stays on the report."),),
        read,
        f"/jobs/{job.tag}/handover",
        save="Let it pass",
        facts=(("Open", point.open),) if point and point.open else (),
    )


def release(job: OpenJob, key: str) -> Form:
    """The unit goes out."""
    still_open = handover.survey(job.transmission, job.state).open

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(Released, {"warranty": answers.one("warranty"), "words": answers.one("words")}),)

    return Form(
        "Release",
        (
            Field("warranty", "Warranty: how long, how far, what is left out", "area", needed=True),
            Field("words", "Advice given to the customer", "area"),
        ),
        read,
        f"/jobs/{job.tag}/handover",
        save="Release the unit",
        lead=f"{len(still_open)} points are still open; the release will be refused." if still_open else "",
    )
