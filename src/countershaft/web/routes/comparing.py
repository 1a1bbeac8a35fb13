"""People who measure the same pieces blind."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.desk.desk import Desk
from countershaft.web.pages.comparing import comparison_page, comparisons_page
from countershaft.web.render import page

__all__ = ["ROUTES"]


def every(request: Request) -> Response:
    """Every comparison of a job."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    return page(request, "compare/list.html", comparisons_page(job, desk.progress(job.tag)))


def one(request: Request) -> Response:
    """One comparison: whose turn it is, or what came out."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    record = comparison_page(job, desk.progress(job.tag), request.path_params["name"])
    return page(request, "compare/comparison.html", record)


ROUTES = (
    Route("/jobs/{tag}/compare", every, methods=["GET"]),
    Route("/jobs/{tag}/compare/{name}", one, methods=["GET"]),
)
