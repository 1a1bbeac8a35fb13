"""The pages of the stages that are not worked step by step."""

from __future__ import annotations

from collections.abc import Callable

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.desk.desk import Desk, OpenJob
from countershaft.stages.progress import Progress
from countershaft.web.pages.alignment import alignment_page
from countershaft.web.pages.decide import decide_page
from countershaft.web.pages.diagnose import diagnose_page
from countershaft.web.pages.fit import fit_page, fits_page
from countershaft.web.pages.inspection import inspection_page
from countershaft.web.pages.intake import intake_page
from countershaft.web.pages.prove import prove_page
from countershaft.web.render import page

__all__ = ["ROUTES"]


def _shown(template: str, build: Callable[[OpenJob, Progress], object]) -> Callable[[Request], Response]:
    """The endpoint that shows a stage of a job."""

    def show(request: Request) -> Response:
        desk: Desk = request.app.state.desk
        job = desk.job(request.path_params["tag"])
        return page(request, template, build(job, desk.progress(job.tag)))

    return show


def fit(request: Request) -> Response:
    """One fit and its next action."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    record = fit_page(job, desk.progress(job.tag), request.path_params["fit"])
    return page(request, "fit/fit.html", record)


ROUTES = (
    Route("/jobs/{tag}/intake", _shown("intake/intake.html", intake_page), methods=["GET"]),
    Route("/jobs/{tag}/diagnose", _shown("diagnose/diagnose.html", diagnose_page), methods=["GET"]),
    Route("/jobs/{tag}/inspect", _shown("inspect/inspect.html", inspection_page), methods=["GET"]),
    Route("/jobs/{tag}/decide", _shown("decide/decide.html", decide_page), methods=["GET"]),
    Route("/jobs/{tag}/fit", _shown("fit/fits.html", fits_page), methods=["GET"]),
    Route("/jobs/{tag}/fit/{fit}", fit, methods=["GET"]),
    Route("/jobs/{tag}/alignment", _shown("alignment/alignment.html", alignment_page), methods=["GET"]),
    Route("/jobs/{tag}/prove", _shown("prove/prove.html", prove_page), methods=["GET"]),
)
