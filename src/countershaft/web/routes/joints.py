"""A joint at the bench: tighten place by place, round by round."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk, new_entry_id
from countershaft.errors import EntryRefused, FormError, StoreError
from countershaft.job.entry import Tightened
from countershaft.web.forms.form import Answers, body_of
from countershaft.web.pages.joint import joint_page
from countershaft.web.parse import answers_of, person_of
from countershaft.web.render import page

__all__ = ["ROUTES"]


def joint(request: Request) -> Response:
    """Show a joint and the place that is due."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    return page(
        request, "bench/joint.html", joint_page(job, desk.progress(job.tag), request.path_params["joint"])
    )


async def tightened(request: Request) -> Response:
    """Places got their round."""
    answers = await answers_of(request)
    return await run_in_threadpool(_tightened, request, answers)


def _tightened(request: Request, answers: Answers) -> Response:
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    joint_id = request.path_params["joint"]
    places = tuple(answers.one("places").split())
    status = 422
    try:
        body = body_of(Tightened, {"joint": joint_id, "round": answers.one("round"), "places": places})
        desk.append(job.tag, body, by=person_of(request), entry_id=answers.one("entry_id") or new_entry_id())
    except FormError as fault:
        problems = tuple(fault.fields.values())
    except EntryRefused as fault:
        problems = (str(fault),)
    except StoreError as fault:
        problems, status = (str(fault),), 503
    else:
        return RedirectResponse(request.url.path, status_code=303)
    record = joint_page(job, desk.progress(job.tag), joint_id, problems=problems)
    return page(request, "bench/joint.html", record, status=status)


ROUTES = (
    Route("/jobs/{tag}/joint/{joint}", joint, methods=["GET"]),
    Route("/jobs/{tag}/joint/{joint}", tightened, methods=["POST"]),
)
