"""Pictures by their digest."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.desk.desk import Desk

__all__ = ["ROUTES"]


def picture(request: Request) -> Response:
    """The bytes of a picture; they never change under their digest."""
    desk: Desk = request.app.state.desk
    content, media = desk.picture(request.path_params["digest"])
    return Response(
        content, media_type=media, headers={"Cache-Control": "private, max-age=31536000, immutable"}
    )


ROUTES = (Route("/pictures/{digest}", picture, methods=["GET"]),)
