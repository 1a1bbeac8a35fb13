"""Measuring at the bench: the keypad walks through the figures of any form, one tap at a time."""

from __future__ import annotations

from dataclasses import replace
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk, OpenJob, new_entry_id
from countershaft.errors import FormError
from countershaft.job.entry import Entry
from countershaft.web.forms.form import Answers, Form
from countershaft.web.forms.walk import Walk, address, cells, tapped, walk_of
from countershaft.web.pages.doubted import doubted
from countershaft.web.pages.earlier import unit_settled
from countershaft.web.pages.keypad import Opened, Trouble, keypad_page
from countershaft.web.pages.measured import measured_page
from countershaft.web.pages.scale_said import missing_step
from countershaft.web.parse import answers_of, person_of, safe_back
from countershaft.web.render import page
from countershaft.web.routes.entering import FORMS, built, send
from countershaft.web.routes.refusal import REFUSED, refusal

__all__ = ["ROUTES"]


def show(request: Request) -> Response:
    """The cell in hand; what was written, once it is; the plain form where there is no figure to type."""
    job, opened = _asked(request)
    saved = request.query_params.get("saved", "")
    if saved:
        return _saved(request, job, opened, saved)
    if not cells(opened.form):
        return RedirectResponse(_address(job, "enter", opened), status_code=303)
    sent = {name: tuple(request.query_params.getlist(name)) for name in request.query_params}
    walk = walk_of(sent, opened.form, new_id=new_entry_id())
    chosen = next((one.value for one in opened.form.fields if one.name == "unit"), "")
    if "id" not in sent and unit_settled(job, chosen):
        walk = replace(walk, unit_said=True)
    return _page(request, job, opened, missing_step(opened.form, walk))


async def tap(request: Request) -> Response:
    """One tap, or a value that an instrument typed: on to the next page, or the same with what is wrong."""
    answers = await answers_of(request)
    return await run_in_threadpool(_tap, request, answers)


def _tap(request: Request, answers: Answers) -> Response:
    job, opened = _asked(request)
    form = opened.form
    walk = walk_of(answers.texts, form, new_id=new_entry_id())
    try:
        after = tapped(form, walk, answers.one("tap") or "next")
    except FormError as fault:
        return _page(request, job, opened, walk, Trouble(fault.fields))
    if after.complete:
        return _write(request, job, opened, replace(after, complete=False))
    there = address(request.url.path, missing_step(form, after), key=opened.key, back=opened.back)
    return RedirectResponse(there, status_code=303)


def _write(request: Request, job: OpenJob, opened: Opened, walk: Walk) -> Response:
    """Let the figures join the log as the plain form would; on any fault show the walk again."""
    desk: Desk = request.app.state.desk
    form = opened.form
    try:
        sent = walk.answers(form)
        written = send(desk, job.tag, form, sent, by=person_of(request), entry_id=walk.entry_id(form))
    except REFUSED as fault:
        refused = refusal(fault)
    else:
        there = f"{_address(job, 'measure', opened)}&saved={written[0].id}"
        return RedirectResponse(there if len(written) == 1 else opened.back, status_code=303)
    doubt = doubted(form, walk, refused.fields["sure"]) if "sure" in refused.fields else None
    trouble = Trouble(refused.fields, refused.problems, doubt)
    return _page(request, job, opened, walk, trouble, status=refused.status)


def _asked(request: Request) -> tuple[OpenJob, Opened]:
    desk: Desk = request.app.state.desk
    job, name = desk.job(request.path_params["tag"]), request.path_params["form"]
    key = request.query_params.get("key", "")
    form = built(name, job, key)
    back = safe_back(request.query_params.get("back", ""), form.back)
    return job, Opened(name, form, key, back, FORMS[name][0])


def _address(job: OpenJob, door: str, opened: Opened) -> str:
    """The page of a form from its beginning, on the keypad or all at once."""
    key, back = quote(opened.key, safe=""), quote(opened.back)
    return f"/jobs/{quote(job.tag)}/{door}/{opened.name}?key={key}&back={back}"


def _page(
    request: Request,
    job: OpenJob,
    opened: Opened,
    walk: Walk,
    trouble: Trouble | None = None,
    *,
    status: int = 422,
) -> Response:
    desk: Desk = request.app.state.desk
    elsewhere = _elsewhere(desk, job, opened.form, walk)
    record = keypad_page(job, desk.progress(job.tag), opened, walk, elsewhere=elsewhere, trouble=trouble)
    return page(request, "measure/keypad.html", record, status=status if trouble else 200)


def _elsewhere(desk: Desk, job: OpenJob, form: Form, walk: Walk) -> tuple[str, Entry] | None:
    """What another job on the same file says of the limit or fit in hand."""
    cell = next((one for one in cells(form, walk.due) if one.name == walk.at), None)
    kind, about = cell.field.aim.about if cell is not None and cell.field.aim is not None else ("", "")
    return desk.elsewhere(job, kind, about) if about else None


def _saved(request: Request, job: OpenJob, opened: Opened, saved: str) -> Response:
    """What was written; what was undone since leads to the keypad once more."""
    desk: Desk = request.app.state.desk
    again = _address(job, "measure", opened)
    place = job.state.position.get(saved)
    if place is None:
        return RedirectResponse(again, status_code=303)
    entry, progress = job.state.live[place], desk.progress(job.tag)
    record = measured_page(
        job, progress, opened.stage, opened.form.title, entry, again=again, back=opened.back
    )
    return page(request, "measure/measured.html", record)


ROUTES = (
    Route("/jobs/{tag}/measure/{form}", show, methods=["GET"]),
    Route("/jobs/{tag}/measure/{form}", tap, methods=["POST"]),
)
