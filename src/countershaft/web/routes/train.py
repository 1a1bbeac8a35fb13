"""The train of a transmission file: one gear under torque and at speed."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.desk.desk import Desk
from countershaft.desk.train import Question, answer, typed_train
from countershaft.errors import OutOfRange, Unknown
from countershaft.web.pages.train import train_page
from countershaft.web.pages.typed_train import EXAMPLE, typed_train_page
from countershaft.web.parse import answers_of
from countershaft.web.render import page

__all__ = ["ROUTES"]


def gear(request: Request) -> Response:
    """One gear, with what was asked of it."""
    desk: Desk = request.app.state.desk
    digest = request.path_params["digest"]
    transmission = desk.definition(digest)
    train = transmission.train
    if train is None:
        raise Unknown(f"{transmission.name} has no gear train in its file.")
    asked = request.query_params
    first = next((name for name, applied in train.chart.items() if applied), next(iter(train.chart), ""))
    values = {name: asked.get(name, "").strip() for name in ("gear", "torque", "rpm", "loss", "output")}
    values["gear"] = values["gear"] or first
    errors = dict.fromkeys(values, "")
    question = Question(
        values["gear"],
        torque=_figure(values, errors, "torque", Fraction, Fraction(1)),
        rpm=_figure(values, errors, "rpm", float, 0.0),
        loss=_figure(values, errors, "loss", Fraction, None),
        output_rpm=_figure(values, errors, "output", float, None),
    )
    found, status = None, 422
    if not any(errors.values()):
        try:
            found, status = answer(train, question), 200
        except OutOfRange as fault:
            errors["loss" if "efficiency" in str(fault) else "rpm" if "speed" in str(fault) else "torque"] = (
                str(fault)
            )
    record = train_page(train, digest, transmission.name, found, values, errors)
    return page(request, "train/gear.html", record, status=status)


def _field_of(fault: OutOfRange) -> str:
    """The field that a fault belongs to, by what it speaks of."""
    words = str(fault)
    return "loss" if "efficiency" in words else "rpm" if "input speed" in words else "torque"


def _figure(
    values: dict[str, str], errors: dict[str, str], name: str, kind: Callable[[str], Any], empty: Any
) -> Any:
    """A typed figure; what is no figure gets a word and leaves the rest as typed."""
    text = values[name].replace(",", ".").replace("−", "-")
    if not text:
        return empty
    try:
        return kind(text)
    except (ValueError, ZeroDivisionError):
        errors[name] = f"{values[name]!r} is no number; type a figure such as 250."
        return empty


def typed(request: Request) -> Response:
    """A field to type a train into, with an example in it."""
    return page(request, "train/typed.html", typed_train_page(EXAMPLE, *typed_train(EXAMPLE)))


async def work_out(request: Request) -> Response:
    """What a typed train makes of its chart, or every fault of it at its line."""
    answers = await answers_of(request)
    text = "".join(answers.texts.get("text", ())).replace("\r\n", "\n")
    train, faults = await run_in_threadpool(typed_train, text)
    return page(
        request, "train/typed.html", typed_train_page(text, train, faults), status=422 if faults else 200
    )


ROUTES = (
    Route("/files/{digest}/train", gear, methods=["GET"]),
    Route("/train", typed, methods=["GET"]),
    Route("/train", work_out, methods=["POST"]),
)
