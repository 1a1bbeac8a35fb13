"""Jobs: a new one, one at a glance, its log, and a scanned tag."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk, new_entry_id
from countershaft.desk.unknown import begin_unknown
from countershaft.errors import BadInput, FormError, Unknown
from countershaft.job.entry import JobOpened
from countershaft.web.forms.form import Answers, body_of
from countershaft.web.pages.job import NewJobPage, job_page, log_page
from countershaft.web.parse import answers_of, person_of
from countershaft.web.render import page
from countershaft.web.routes.refusal import REFUSED, refusal

__all__ = ["ROUTES"]

_LOG_LENGTH = 50
#: What the page sends where no file is chosen; no digest is so short.
NO_FILE = "none"
_ASKED = ("tag", "vehicle", "definition", "mileage_km")


def job(request: Request) -> Response:
    """One job at a glance."""
    desk: Desk = request.app.state.desk
    found = desk.job(request.path_params["tag"])
    return page(request, "job/job.html", job_page(found, desk.progress(found.tag)))


def log(request: Request) -> Response:
    """A page of a job's log."""
    desk: Desk = request.app.state.desk
    found = desk.job(request.path_params["tag"])
    start = request.query_params.get("from", "0")
    record = log_page(
        found, desk.progress(found.tag), start=int(start) if start.isdecimal() else 0, length=_LOG_LENGTH
    )
    return page(request, "job/log.html", record)


def new(request: Request) -> Response:
    """Ask for a new job; an address that names a file has it chosen already."""
    named = request.query_params.getlist("definition")
    return page(request, "job/new.html", _new_page(request, Answers({"definition": tuple(named)}), {}, ()))


async def begin(request: Request) -> Response:
    """Begin a job, or show what is wrong with what was typed."""
    answers = await answers_of(request)
    return await run_in_threadpool(_begin, request, answers)


def _begin(request: Request, answers: Answers) -> Response:
    desk: Desk = request.app.state.desk
    try:
        definition = _definition(desk, answers)
        unit = desk.definition(definition).name if definition else ""
        body = body_of(
            JobOpened,
            {**{name: answers.one(name) for name in _ASKED}, "definition": definition, "unit": unit},
            names={"unit": "definition"},
        )
        assert isinstance(body, JobOpened), "body_of returns the kind that it was asked for"
        desk.open_job(body, by=person_of(request), entry_id=answers.one("entry_id") or None)
    except (*REFUSED, Unknown) as fault:
        refused = refusal(fault)
    else:
        return RedirectResponse(f"/jobs/{body.tag}/intake", status_code=303)
    record = _new_page(request, answers, refused.fields, refused.problems)
    return page(request, "job/new.html", record, status=refused.status)


def _definition(desk: Desk, answers: Answers) -> str:
    """The file that was chosen, or an empty one under the name of the unknown unit."""
    chosen = answers.one("definition")
    if chosen != NO_FILE:
        return chosen
    try:
        return begin_unknown(desk, answers.one("called"))
    except BadInput as fault:
        raise FormError({"called": str(fault)}) from fault


def _new_page(
    request: Request, answers: Answers, errors: dict[str, str], problems: tuple[str, ...]
) -> NewJobPage:
    desk: Desk = request.app.state.desk
    fields = (*_ASKED, "called")
    asked = {"person", *fields}
    newest = {row.name: row.digest for row in reversed(desk.definitions())}
    return NewJobPage(
        files=(
            *((digest, name) for name, digest in sorted(newest.items())),
            (NO_FILE, "No file: an unknown unit", "what comes off is logged, and the log writes the file"),
        ),
        values={name: answers.one(name) for name in fields},
        errors={name: errors.get(name, "") for name in fields},
        problems=(
            *problems,
            *(words for name, words in errors.items() if name == "person" or name not in asked),
        ),
        entry_id=answers.one("entry_id") or new_entry_id(),
    )


ROUTES = (
    Route("/jobs/new", new, methods=["GET"]),
    Route("/jobs/new", begin, methods=["POST"]),
    Route("/jobs/{tag}", job, methods=["GET"]),
    Route("/jobs/{tag}/log", log, methods=["GET"]),
)
