"""Hand over: the gate and the report."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.desk.desk import Desk
from countershaft.web.pages.handover import handover_page, report_page
from countershaft.web.render import page

__all__ = ["ROUTES"]


def gate(request: Request) -> Response:
    """What keeps the unit in the shop."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    return page(request, "handover/gate.html", handover_page(job, desk.progress(job.tag)))


def report(request: Request) -> Response:
    """The report of the job, to read and to print."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    return page(request, "handover/report.html", report_page(job, desk.progress(job.tag)))


ROUTES = (
    Route("/jobs/{tag}/handover", gate, methods=["GET"]),
    Route("/jobs/{tag}/report", report, methods=["GET"]),
)
