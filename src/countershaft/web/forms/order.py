"""Forms about the order of work: a part that is late or here, a step that cannot be done, an order to follow."""

from __future__ import annotations

from typing import Final

from countershaft.desk.desk import OpenJob
from countershaft.desk.order_of_work import Asked, order_of_work
from countershaft.desk.order_standing import reality_of
from countershaft.errors import FormError
from countershaft.job.entry import Body, OrderFollowed, PartLate, StepImpossible
from countershaft.model.bench_work import AS_WRITTEN
from countershaft.stages.order import late_parts
from countershaft.stages.work import Phase, behind
from countershaft.web.forms.form import Answers, Field, Form, because, body_of, reason

__all__ = ["follow_order", "part_late", "step_impossible"]

#: The usual reasons, so that an oily glove needs no keyboard.
_WHY: Final = ("tool not here", "seized", "thread or head is damaged", "two people needed, one is here")


def part_late(job: OpenJob, key: str) -> Form:
    """A part that is late or broken; with a key, the part that is here now."""
    back = f"/jobs/{job.tag}/order"
    if key:
        part = job.transmission.part(key)

        def here(answers: Answers) -> tuple[Body, ...]:
            return (body_of(PartLate, {"part": key, "over": True}),)

        return Form(f"{part.id} {part.name} is here", (), here, back, save="It is here")

    def read(answers: Answers) -> tuple[Body, ...]:
        if not answers.one("part"):
            raise FormError({"part": "choose the part."})
        values = {"part": answers.one("part"), "how": answers.one("how"), "until": answers.one("until")}
        return (body_of(PartLate, values),)

    late = late_parts(job.state)
    return Form(
        "A part is late",
        (
            Field(
                "part", "Part", "select", needed=True,
                options=tuple((one.id, f"{one.id} {one.name}") for one in job.transmission.parts if one.id not in late),
            ),
            Field(
                "how", "Why", "choice", values=("late",), needed=True,
                options=(("late", "It is not here yet"), ("broken", "It is broken and must be got")),
            ),
            Field("until", "Expected", hint="As the sender says it: Thursday, or 14 May."),
        ),
        read,
        back,
    )  # fmt: skip


def step_impossible(job: OpenJob, key: str) -> Form:
    """A step that cannot be done as things stand; `key` is chosen already."""
    over = set(behind(job.state))

    def read(answers: Answers) -> tuple[Body, ...]:
        chosen = answers.one("step")
        if not chosen:
            raise FormError({"step": "choose the step."})
        step, _, way = chosen.partition("/")
        return (body_of(StepImpossible, {"step": step, "way": way, "because": reason(answers)}),)

    options: list[tuple[str, str]] = []
    for step in job.transmission.steps:
        if step.id in over:
            continue
        options.append((step.id, f"{step.id} {step.title}"))
        if step.alternatives:
            options[-1] = (step.id, f"{step.id} {step.title}, in any way")
            options.append((f"{step.id}/{AS_WRITTEN}", f"{step.id} in the usual way"))
            options += [(f"{step.id}/{way.id}", f"{step.id} {way.title}") for way in step.alternatives]
    return Form(
        "A step cannot be done",
        (
            Field(
                "step", "Step", "select", needed=True, values=(key,) if key else (), options=tuple(options)
            ),
            *because(
                "Because", _WHY, "What needs the step goes round it, where there is another way, or waits."
            ),
        ),
        read,
        f"/jobs/{job.tag}/order",
    )


def follow_order(job: OpenJob, key: str) -> Form:
    """Let the bench propose the steps of a phase in the planned order; `key` is the phase, and "proved" after it."""
    name, _, proved = key.partition(":")
    phase: Phase = "build" if name == "build" else "teardown"
    asked = Asked(phase, prove=bool(proved))
    steps = order_of_work(job.transmission, asked, reality_of(job.transmission, job.state, phase)).steps

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(OrderFollowed, {"phase": phase, "steps": steps}),)

    return Form(
        "Follow this order",
        (),
        read,
        f"/jobs/{job.tag}/order?phase={phase}",
        lead="The bench proposes each next step by it. Any step that is free can still be done first.",
        save="Follow it",
        facts=(("Order", ", ".join(steps)),) if steps else (),
    )
