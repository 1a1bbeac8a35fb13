"""The measurement sheet: printed with blanks, and typed in afterwards, line by line."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import replace

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.desk.desk import Desk, new_entry_id
from countershaft.errors import FormError
from countershaft.web.forms.form import Answers, Form
from countershaft.web.forms.sheet import SheetLine, answers_of_line, measured_by, sheet_lines, typed_in
from countershaft.web.pages.sheet import Sent, paper_page, type_page
from countershaft.web.parse import answers_of, person_of
from countershaft.web.render import page
from countershaft.web.routes.entering import send
from countershaft.web.routes.refusal import REFUSED, refusal

__all__ = ["ROUTES"]


def paper(request: Request) -> Response:
    """The sheet to print."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    record = paper_page(
        job, desk.progress(job.tag), every=_every(request), address=str(request.base_url).rstrip("/")
    )
    return page(request, "sheet/paper.html", record)


def show(request: Request) -> Response:
    """The sheet to type in."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    every = _every(request)
    lines = sheet_lines(job, every=every)
    record = type_page(job, desk.progress(job.tag), lines, Sent(new_entry_id()), every=every)
    return page(request, "sheet/type.html", record)


async def submit(request: Request) -> Response:
    """Take every line that is right; show the others again with what was typed and why they were not taken."""
    answers = await answers_of(request)
    return await run_in_threadpool(_submit, request, answers)


def _submit(request: Request, answers: Answers) -> Response:
    desk: Desk = request.app.state.desk
    tag, every = request.path_params["tag"], _every(request)
    lines = sheet_lines(desk.job(tag), every=every)
    sent = Sent(
        answers.one("entry_id") or new_entry_id(), answers.one("measured_by"), answers.one("measured_on")
    )
    try:
        signed = measured_by(desk.job(tag), answers)
    except FormError as fault:
        kept = {line.number: line.form.filled(answers_of_line(line, answers), {}) for line in lines}
        sent, status = replace(sent, day_error=fault.fields["measured_on"], refused=kept), 422
    else:
        sent, status = _taken(request, lines, answers, sent, signed)
        lines = tuple(
            line for line in lines if every or line.number in sent.refused or not typed_in(line, answers)
        )
    if not sent.refused:
        sent = replace(sent, entry_id=new_entry_id())
    record = type_page(desk.job(tag), desk.progress(tag), lines, sent, every=every)
    return page(request, "sheet/type.html", record, status=status)


def _taken(
    request: Request,
    lines: tuple[SheetLine, ...],
    answers: Answers,
    sent: Sent,
    signed: Callable[[Form], Form],
) -> tuple[Sent, int]:
    """Let every line that was typed into join the log; what came of it, and the status of the answer."""
    desk: Desk = request.app.state.desk
    tag = request.path_params["tag"]
    refused, written, status = {}, 0, 200
    for line in lines:
        if not typed_in(line, answers):
            continue
        own = answers_of_line(line, answers)
        # Each line keeps its id when the page is sent again, so that what was written is not written twice.
        line_id = uuid.uuid5(uuid.NAMESPACE_OID, f"{sent.entry_id} {line.about.id}").hex
        try:
            send(desk, tag, signed(line.form), own, by=person_of(request), entry_id=line_id)
            written += 1
        except REFUSED as fault:
            said = refusal(fault)
            status = max(status, said.status)
            refused[line.number] = line.form.filled(own, said.fields, said.problems)
    return replace(sent, written=written, refused=refused), status


def _every(request: Request) -> bool:
    return request.query_params.get("every", "") == "1"


ROUTES = (
    Route("/jobs/{tag}/sheet", paper, methods=["GET"]),
    Route("/jobs/{tag}/sheet/type", show, methods=["GET"]),
    Route("/jobs/{tag}/sheet/type", submit, methods=["POST"]),
)
