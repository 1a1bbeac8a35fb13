"""The order of work: of a file, and of a job as it stands."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.desk.desk import Desk
from countershaft.stages.work import work
from countershaft.web.pages.order import file_order_page, job_order_page, question_of
from countershaft.web.pages.order_now import now_page
from countershaft.web.render import page

__all__ = ["ROUTES"]


def file_plan(request: Request) -> Response:
    """The order of a file's teardown or build, or the way to one part."""
    desk: Desk = request.app.state.desk
    digest = request.path_params["digest"]
    record = file_order_page(desk.definition(digest), digest, question_of(request.query_params))
    return page(request, "order/order.html", record, status=422 if record.refused else 200)


def now(request: Request) -> Response:
    """What can be done now on a job; in the build once the teardown is through."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    asked = request.query_params.get("phase", "")
    apart = work(job.transmission, job.state, "teardown").complete
    build = asked == "build" or (asked != "teardown" and apart)
    record = now_page(job, desk.progress(job.tag), "build" if build else "teardown")
    return page(request, "order/now.html", record)


def job_plan(request: Request) -> Response:
    """The order of what is left to do on a job."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    record = job_order_page(job, desk.progress(job.tag), question_of(request.query_params))
    return page(request, "order/order.html", record, status=422 if record.refused else 200)


ROUTES = (
    Route("/files/{digest}/plan", file_plan, methods=["GET"]),
    Route("/jobs/{tag}/order", now, methods=["GET"]),
    Route("/jobs/{tag}/order/plan", job_plan, methods=["GET"]),
)
