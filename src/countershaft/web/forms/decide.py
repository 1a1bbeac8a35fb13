"""Forms of the decide stage."""

from __future__ import annotations

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError
from countershaft.job.entry import Body, Estimate, EstimateLine, Labour, PartDecided, Priced
from countershaft.stages import decide as stage
from countershaft.web.forms.form import Answers, Field, Form, body_of

__all__ = ["estimate", "labour", "part", "prices"]


def part(job: OpenJob, key: str) -> Form:
    """What happens to a part, decided by a person; `key` is the part."""
    one = job.transmission.part(key)
    count, because = stage.renewed(one, job.state)
    asked = next(
        (each.why for each in stage.survey(job.transmission, job.state).undecided if each.part.id == key), ""
    )

    def read(answers: Answers) -> tuple[Body, ...]:
        names = ("count", "decision", "because")
        return (body_of(PartDecided, {"part": key, **{name: answers.one(name) for name in names}}),)

    return Form(
        f"Decide: {one.name}",
        (
            Field("decision", "What happens", "choice", needed=True,
                  options=(("replace", "replace"), ("reuse", "reuse"))),
            Field("count", "How many pieces", "number", f"The unit holds {one.quantity}.", needed=True,
                  values=(str(count or one.quantity),)),
            Field("because", "Because", "area", needed=True, values=(because or asked,) if because or asked else ()),
        ),
        read,
        f"/jobs/{job.tag}/decide",
        lead=f"{asked}." if asked else "",
    )  # fmt: skip


def prices(job: OpenJob, key: str) -> Form:
    """The price of one piece of each line of the kit; only what changed is written."""
    lines = stage.kit(job.transmission, job.state)

    def read(answers: Answers) -> tuple[Body, ...]:
        changed: list[Body] = []
        wrong: dict[str, str] = {}
        for line in lines:
            typed = answers.one(line.line)
            if typed and typed != str(line.price):
                try:
                    changed.append(
                        body_of(Priced, {"line": line.line, "price": typed}, names={"price": line.line})
                    )
                except FormError as cause:
                    wrong.update(cause.fields)
        if wrong:
            raise FormError(wrong)
        if not changed:
            raise FormError({"": "Nothing changed. Type at least one price."})
        return tuple(changed)

    return Form(
        "Prices",
        tuple(
            Field(line.line, f"{line.count} × {line.what}", "figure", line.because,
                  values=() if line.price is None else (str(line.price),))
            for line in lines
        ),
        read,
        f"/jobs/{job.tag}/decide",
        lead="Type the price of one piece. A line may stay open until its price is known.",
        lines=True,
    )  # fmt: skip


def labour(job: OpenJob, key: str) -> Form:
    """Hours, the rate of an hour, and the currency of all sums."""
    now = job.state.last(Labour)

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(Labour, {name: answers.one(name) for name in ("hours", "rate", "currency")}),)

    return Form(
        "Hours and rate",
        (
            Field("hours", "Hours", "figure", unit="h", needed=True, values=(str(now.hours),) if now else ()),
            Field("rate", "Rate of an hour", "figure", needed=True, values=(str(now.rate),) if now else ()),
            Field("currency", "Currency", needed=True, values=(now.currency,) if now else ()),
        ),
        read,
        f"/jobs/{job.tag}/decide",
    )


def estimate(job: OpenJob, key: str) -> Form:
    """Freeze the kit and the hours into the estimate that the customer gets."""
    found = stage.survey(job.transmission, job.state)

    def read(answers: Answers) -> tuple[Body, ...]:
        if found.total is None or found.labour is None:
            raise FormError({"": "The estimate is not ready: " + "; ".join(found.open) + "."})
        lines = tuple(
            EstimateLine(what=line.what, count=line.count, price=line.price)
            for line in found.lines
            if line.price is not None
        )
        body = {
            "lines": lines,
            "hours": found.labour.hours,
            "rate": found.labour.rate,
            "total": found.total,
            "currency": found.labour.currency,
        }
        return (body_of(Estimate, body),)

    total = (
        "not ready"
        if found.total is None or found.labour is None
        else f"{found.total:.2f} {found.labour.currency}"
    )
    return Form(
        "The estimate",
        (),
        read,
        f"/jobs/{job.tag}/decide",
        lead="The lines as they stand are written down as the estimate. Prices typed later do not change it.",
        save="Give this estimate",
        facts=(
            ("Parts", f"{found.parts_total:.2f}, the sum of {len(found.lines)} lines"),
            (
                "Work",
                f"{found.labour.hours} h × {found.labour.rate:.2f}" if found.labour else "not typed yet",
            ),
            ("Total", total),
        ),
    )
