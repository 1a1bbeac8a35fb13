"""Where everything of a job is."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.desk.desk import Desk
from countershaft.web.pages.places import places_page
from countershaft.web.render import page

__all__ = ["ROUTES"]


def places(request: Request) -> Response:
    """Show every spot and what lies there."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    return page(request, "places/places.html", places_page(job, desk.progress(job.tag)))


ROUTES = (Route("/jobs/{tag}/places", places, methods=["GET"]),)
