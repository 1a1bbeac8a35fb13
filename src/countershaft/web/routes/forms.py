"""Forms of a job: the ways to measure a limit by places, and what its readings came to."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.desk.desk import Desk
from countershaft.web.pages.forms import form_page, methods_page
from countershaft.web.render import page

__all__ = ["ROUTES"]


def methods(request: Request) -> Response:
    """The ways to measure a limit by places."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    record = methods_page(job, desk.progress(job.tag), request.path_params["limit"])
    return page(request, "inspect/methods.html", record)


def form(request: Request) -> Response:
    """What the readings of a limit came to."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    record = form_page(job, desk.progress(job.tag), request.path_params["limit"])
    return page(request, "inspect/form.html", record)


ROUTES = (
    Route("/jobs/{tag}/forms/{limit}", form, methods=["GET"]),
    Route("/jobs/{tag}/forms/{limit}/methods", methods, methods=["GET"]),
)
