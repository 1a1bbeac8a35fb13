"""A unit without a file: log what comes off, and write the file from the logs."""

from __future__ import annotations

from typing import cast
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk, OpenJob, new_entry_id
from countershaft.desk.unknown import drafted, keep_draft, log_removal, say_of_order, usual_words
from countershaft.errors import FormError, TagRefused
from countershaft.job.entry import AllOff, OrderSaid, SameSaid
from countershaft.job.removals import has_no_file
from countershaft.job.tags import TagKind, plain, read_tag, tray_place
from countershaft.web.forms import unknown
from countershaft.web.forms.form import Answers, Form
from countershaft.web.pages.draft import draft_page
from countershaft.web.pages.frame import frame
from countershaft.web.pages.removals import WORDS_OFFERED, removals_page
from countershaft.web.parse import answers_of, person_of
from countershaft.web.render import page
from countershaft.web.routes import bench
from countershaft.web.routes.entering import EnterPage
from countershaft.web.routes.refusal import REFUSED, refusal

__all__ = ["ROUTES"]


def taking_apart(request: Request) -> Response:
    """The teardown of a unit without a file; of any other its step at the bench."""
    job = _job(request)
    if not has_no_file(job.transmission, job.state):
        return bench.stage(request, phase="teardown")
    return removed(request)


def removed(request: Request) -> Response:
    """Ask what came off."""
    more = request.query_params.get("more") == "1"
    return _page(request, more=more)


async def all_off(request: Request) -> Response:
    """Nothing more comes off."""
    answers = await answers_of(request)
    return await run_in_threadpool(_all_off, request, answers)


def _all_off(request: Request, answers: Answers) -> Response:
    job = _job(request)
    try:
        _desk(request).append(
            job.tag, AllOff(), by=person_of(request), entry_id=answers.one("entry_id") or new_entry_id()
        )
    except REFUSED as fault:
        refused = refusal(fault)
        return _page(request, problems=refused.spoken, status=refused.status)
    return RedirectResponse(f"/jobs/{quote(job.tag)}/teardown", status_code=303)


async def log(request: Request) -> Response:
    """Something came off."""
    answers = await answers_of(request)
    return await run_in_threadpool(_log, request, answers)


def _log(request: Request, answers: Answers) -> Response:
    job = _job(request)
    try:
        off = unknown.came_off(answers)
        place = _place(job, answers)
        log_removal(
            request.app.state.desk, job.tag, off, place,
            by=person_of(request), parked=bool(answers.one("parked")), entry_id=answers.one("entry_id") or None,
        )  # fmt: skip
    except REFUSED as fault:
        refused = refusal(fault)
    else:
        ends = has_no_file(job.transmission, job.state)
        return RedirectResponse(
            f"/jobs/{quote(job.tag)}/{'teardown' if ends else 'removed'}", status_code=303
        )
    return _page(
        request,
        answers=answers,
        errors=refused.fields,
        problems=refused.besides("person", ""),
        status=refused.status,
    )


def _page(
    request: Request,
    *,
    more: bool = False,
    answers: Answers | None = None,
    errors: dict[str, str] | None = None,
    problems: tuple[str, ...] = (),
    status: int = 200,
) -> Response:
    desk, job = _desk(request), _job(request)
    record = removals_page(
        job, desk.progress(job.tag), usual_words(desk, job, WORDS_OFFERED),
        more=more, answers=answers, errors=errors, problems=problems,
    )  # fmt: skip
    return page(request, "bench/removals.html", record, status=status)


def _place(job: OpenJob, answers: Answers) -> str:
    """Where it went: a button, or a name or a tag that was typed or scanned."""
    tapped = answers.one("place")
    typed = answers.one("elsewhere") if tapped == "by name" else tapped
    if not typed:
        raise FormError({"place": "Tap where it went: the mat, or a tray that carries this job's tag."})
    try:
        tag = read_tag(typed)
    except TagRefused:
        return typed
    if tag.kind is not TagKind.TRAY:
        raise FormError({"place": f"{typed} is the tag of a {tag.kind.value}, not of a tray."})
    if tag.job != plain(job.tag):
        raise FormError(
            {
                "place": f"{typed} is a tray of job {tag.job}, and this is job {job.tag}. Take one of this job's trays."
            }
        )
    return tray_place(job.tag, int(tag.key)) if tag.key.isdecimal() else tag.key


def draft(request: Request) -> Response:
    """The file that the teardowns of this unit make, with every must and how it is known."""
    return _draft(request)


def _draft(request: Request, problems: tuple[str, ...] = (), *, status: int = 200) -> Response:
    desk, job = _desk(request), _job(request)
    without = _without(request)
    made = drafted(desk, job.tag, without=without)
    record = draft_page(job, desk.progress(job.tag), made, without, problems)
    return page(request, "files/draft.html", record, status=status)


async def keep(request: Request) -> Response:
    """Keep the drafted file among the shop's files."""
    await answers_of(request)
    return await run_in_threadpool(_keep, request)


def _keep(request: Request) -> Response:
    desk, job = _desk(request), _job(request)
    try:
        digest = keep_draft(desk, job.tag, without=_without(request))
    except REFUSED as fault:
        refused = refusal(fault)
        return _draft(request, refused.spoken, status=refused.status)
    return RedirectResponse(f"/files/{digest}", status_code=303)


def say(request: Request) -> Response:
    """Ask what a person says about the order or the names."""
    return _said_page(request, _said_form(request), new_entry_id())


async def said(request: Request) -> Response:
    """A person said something about the order or the names."""
    answers = await answers_of(request)
    return await run_in_threadpool(_said, request, answers)


def _said(request: Request, answers: Answers) -> Response:
    desk, job, form = _desk(request), _job(request), _said_form(request)
    entry_id = answers.one("entry_id") or new_entry_id()
    try:
        body = cast("OrderSaid | SameSaid", form.read(answers)[0])
        say_of_order(desk, job.tag, body, by=person_of(request), entry_id=entry_id)
    except REFUSED as fault:
        refused = refusal(fault)
    else:
        return RedirectResponse(form.back, status_code=303)
    again = form.filled(answers, refused.fields, refused.problems)
    return _said_page(request, again, entry_id, status=refused.status)


def _said_form(request: Request) -> Form:
    desk, job = _desk(request), _job(request)
    made = drafted(desk, job.tag)
    names = tuple(made.called(step) for step in made.order.keys)
    ask = unknown.same if request.path_params["what"] == "name" else unknown.order
    return ask(
        job, names, {name: request.query_params.get(name, "") for name in ("before", "after", "how", "name")}
    )


def _said_page(request: Request, form: Form, entry_id: str, *, status: int = 200) -> Response:
    desk, job = _desk(request), _job(request)
    action = f"{request.url.path}?{request.url.query}"
    head = frame(job, desk.progress(job.tag), None)
    return page(request, "enter.html", EnterPage(head, form, entry_id, action, form.back), status=status)


def _without(request: Request) -> tuple[str, ...]:
    return tuple(request.query_params.getlist("without"))


def _desk(request: Request) -> Desk:
    desk: Desk = request.app.state.desk
    return desk


def _job(request: Request) -> OpenJob:
    return _desk(request).job(request.path_params["tag"])


ROUTES = (
    Route("/jobs/{tag}/teardown", taking_apart, methods=["GET"]),
    Route("/jobs/{tag}/removed", removed, methods=["GET"]),
    Route("/jobs/{tag}/removed", log, methods=["POST"]),
    Route("/jobs/{tag}/all-off", all_off, methods=["POST"]),
    Route("/jobs/{tag}/draft", draft, methods=["GET"]),
    Route("/jobs/{tag}/draft", keep, methods=["POST"]),
    Route("/jobs/{tag}/draft/say/{what}", say, methods=["GET"]),
    Route("/jobs/{tag}/draft/say/{what}", said, methods=["POST"]),
)
