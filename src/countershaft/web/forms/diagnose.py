"""Forms of the diagnose stage."""

from __future__ import annotations

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError
from countershaft.job.entry import Body, Cause, GearTried, KillerCleared, TestDone
from countershaft.job.words import Temperature
from countershaft.stages import diagnose as stage
from countershaft.web.forms.form import Answers, Field, Form, body_of, options

__all__ = ["cause", "gears", "killer", "test"]


_ROAD = (
    "Drive on a closed or safe road, with a second person to write. "
    "A unit that slips or binds can stop the vehicle without notice."
)
_STALL = (
    "Stall and pressure tests load the whole driveline. Chock the wheels, keep people clear, "
    "hold to the maker's time limit."
)


def gears(job: OpenJob, key: str) -> Form:
    """Good or bad for each gear, in one go; only what changed is written."""
    now = {one.gear: one for one in stage.survey(job.transmission, job.state).gears}

    def read(answers: Answers) -> tuple[Body, ...]:
        temperature = answers.one("temperature") or Temperature.ANY.value
        changed = [
            body_of(
                GearTried,
                {"gear": gear, "verdict": said, "temperature": temperature},
                names={"verdict": f"gear {gear}"},
            )
            for gear, one in now.items()
            if (said := answers.one(f"gear {gear}")) and said != one.verdict
        ]
        if not changed:
            raise FormError({"": "Nothing changed. Say good or bad for at least one gear."})
        return tuple(changed)

    return Form(
        "Good gears and bad gears",
        (
            *(
                Field(
                    f"gear {gear}", f"Gear {gear}", "choice", (" + ".join(one.applied) + " applied"),
                    options=(("good", "good"), ("bad", "bad")),
                    values=() if one.verdict == "not tried" else (one.verdict,),
                )
                for gear, one in now.items()
            ),
            Field("temperature", "Driven", "choice", options=options(Temperature)),
        ),
        read,
        f"/jobs/{job.tag}/diagnose",
        lead="Leave a gear open that was not driven. A gear is bad when it slips, flares or does not drive.",
        cautions=(("WARNING", _ROAD),),
    )  # fmt: skip


def test(job: OpenJob, key: str) -> Form:
    """One test and its result."""

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(TestDone, {"test": answers.one("test"), "result": answers.one("result")}),)

    return Form(
        "A test and its result",
        (
            Field("test", "Which test", needed=True, hint="For example: pressure at tap C in 2nd, hot; codes read."),
            Field("result", "What it said", "area", needed=True),
        ),
        read,
        f"/jobs/{job.tag}/diagnose",
        cautions=(("WARNING", _STALL),),
    )  # fmt: skip


def cause(job: OpenJob, key: str) -> Form:
    """The cause of death, and what would destroy the next unit."""
    now = job.state.last(Cause)
    train = job.transmission.train
    elements = tuple((key, element.name or key) for key, element in train.elements.items()) if train else ()

    def read(answers: Answers) -> tuple[Body, ...]:
        lines = tuple(line.strip() for line in answers.one("killers").splitlines() if line.strip())
        body = {"words": answers.one("words"), "element": answers.one("element"), "killers": lines}
        return (body_of(Cause, body),)

    return Form(
        "The cause of death",
        (
            Field("words", "What failed, and why", "area", needed=True, values=(now.words,) if now else ()),
            Field("element", "Element it took first", "choice", options=elements,
                  values=(now.element,) if now and now.element else ()),
            Field("killers", "What would destroy the next unit too", "area", "One on each line. Each must be cleared "
                  "before the unit can be released.", values=("\n".join(now.killers),) if now else ()),
        ),
        read,
        f"/jobs/{job.tag}/diagnose",
    )  # fmt: skip


def killer(job: OpenJob, key: str) -> Form:
    """How one killer was dealt with; `key` is its name."""

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(KillerCleared, {"killer": key, "how": answers.one("how")}),)

    return Form(
        f"Cleared: {key}",
        (Field("how", "How it was cleared, and how that was checked", "area", needed=True),),
        read,
        f"/jobs/{job.tag}/decide",
        save="It is cleared",
    )
