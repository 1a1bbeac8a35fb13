"""The train of a transmission file: one gear under torque and at speed."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.desk.desk import Desk
from countershaft.desk.element_loads import Engine, asked_duties, chart_duties, engine_of
from countershaft.desk.train import Question, answer, as_section, exact_figure, faults_of, typed_train
from countershaft.errors import OutOfRange, Unknown
from countershaft.model.train import Train
from countershaft.model.transmission import Transmission
from countershaft.web.pages.train import Asked, GearAnswer, gear_answer, train_page
from countershaft.web.pages.typed_train import EXAMPLE, typed_train_page
from countershaft.web.parse import answers_of
from countershaft.web.render import page

__all__ = ["ROUTES"]


#: Fields of the question, as they stand in the address.
_FIELDS: Final = ("gear", "torque", "rpm", "pressure", "loss", "output", "engine", "ratio")


def gear(request: Request) -> Response:
    """One gear, with what was asked of it."""
    desk: Desk = request.app.state.desk
    digest = request.path_params["digest"]
    transmission = desk.definition(digest)
    train = transmission.train
    if train is None:
        raise Unknown(f"{transmission.name} has no gear train in its file.")
    first = next((name for name, applied in train.chart.items() if applied), next(iter(train.chart), ""))
    values = {name: request.query_params.get(name, "").strip() for name in _FIELDS}
    values["gear"] = values["gear"] or first
    errors = dict.fromkeys(values, "")
    question = Question(
        values["gear"],
        torque=_figure(values, errors, "torque", Fraction, None),
        rpm=_figure(values, errors, "rpm", float, 0.0),
        loss=_figure(values, errors, "loss", Fraction, None),
        output_rpm=_figure(values, errors, "output", float, None),
        pressure=_figure(values, errors, "pressure", float, None),
    )
    engine = _engine(transmission, values, errors)
    errors |= {name: words for name, words in faults_of(train, question).items() if not errors[name]}
    if not train.chart:
        errors["gear"] = "the chart of the file is empty; add gears under train, chart, with their elements."
    found = None
    if not any(errors.values()):
        found = _answered(transmission, train, question, engine)
    record = train_page(train, digest, transmission.name, Asked(values, errors), found)
    return page(request, "train/gear.html", record, status=422 if found is None else 200)


def _engine(transmission: Transmission, values: dict[str, str], errors: dict[str, str]) -> Engine | None:
    """The engine that was typed, else that of the file; None where neither gives a torque."""
    torque = _figure(values, errors, "engine", float, None)
    ratio = _figure(values, errors, "ratio", float, None)
    given = engine_of(transmission)
    if torque is None and given is not None:
        torque = given.torque
    if torque is None:
        return None
    try:
        return Engine(torque, ratio)
    except OutOfRange as fault:
        errors["ratio" if "ratio" in str(fault) else "engine"] = str(fault)
        return None


def _answered(
    transmission: Transmission, train: Train, question: Question, engine: Engine | None
) -> GearAnswer:
    """The gear, and what its elements hold: under the typed torque, else under the load cases of the file."""
    found = answer(train, question)
    chart = chart_duties(transmission, engine) if engine is not None else ()
    here = tuple(duty for duty in chart if duty.gear == question.gear)
    because = "" if engine is not None else "the file gives no engine_torque; type one below"
    if question.torque is not None:
        here = asked_duties(transmission, question, found.acting)
        because = ""
    return gear_answer(train, transmission.name, found, (here, chart), because)


def _figure(
    values: dict[str, str], errors: dict[str, str], name: str, kind: Callable[[Fraction], Any], empty: Any
) -> Any:
    """A typed figure; what is no figure gets a word and leaves the rest as typed."""
    if not values[name]:
        return empty
    try:
        return kind(exact_figure(values[name]))
    except (ValueError, OverflowError):
        errors[name] = f"{values[name]!r} is no number; type a figure such as 250."
        return empty


def typed(request: Request) -> Response:
    """A field to type a train into, with an example in it."""
    return page(request, "train/typed.html", typed_train_page(EXAMPLE, typed_train(EXAMPLE)))


async def work_out(request: Request) -> Response:
    """What a typed train makes of its chart, or every fault of it at its line."""
    answers = await answers_of(request)
    text = as_section("".join(answers.texts.get("text", ())).replace("\r\n", "\n"))
    # A gear that is tapped stands before the hidden field that keeps the one before.
    gear = next(iter(answers.texts.get("gear", ())), "")
    record = await run_in_threadpool(lambda: typed_train_page(text, typed_train(text), gear))
    return page(request, "train/typed.html", record, status=422 if record.faults else 200)


ROUTES = (
    Route("/files/{digest}/train", gear, methods=["GET"]),
    Route("/train", typed, methods=["GET"]),
    Route("/train", work_out, methods=["POST"]),
)
