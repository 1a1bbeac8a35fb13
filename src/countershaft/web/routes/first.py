"""The first page, who is at the bench, and the light and dark switch."""

from __future__ import annotations

from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk
from countershaft.web.pages.first import first_page
from countershaft.web.pages.shop import instruments_label
from countershaft.web.parse import answers_of, known_person, safe_back
from countershaft.web.render import page

__all__ = ["ROUTES"]

_YEAR = 365 * 24 * 3600


def first(request: Request) -> Response:
    """Show every open job."""
    desk: Desk = request.app.state.desk
    instruments = instruments_label(desk.shop(), desk.today())
    record = first_page(desk.cards(), person=known_person(request), instruments=instruments)
    return page(request, "first.html", record)


async def person(request: Request) -> Response:
    """Remember who is at the bench, on this tablet."""
    answers = await answers_of(request)
    answer = RedirectResponse(safe_back(answers.one("back"), "/"), status_code=303)
    answer.set_cookie(
        "person", quote(answers.one("person")[:60]), max_age=_YEAR, samesite="strict", httponly=True
    )
    return answer


async def theme(request: Request) -> Response:
    """Remember light or dark, on this tablet."""
    answers = await answers_of(request)
    answer = RedirectResponse(safe_back(answers.one("back"), "/"), status_code=303)
    chosen = answers.one("theme")
    if chosen in ("light", "dark"):
        answer.set_cookie("theme", chosen, max_age=_YEAR, samesite="strict", httponly=True)
    return answer


def up(_request: Request) -> Response:
    """Answer that the app is up."""
    return PlainTextResponse("countershaft")


ROUTES = (
    Route("/", first, methods=["GET"]),
    Route("/person", person, methods=["POST"]),
    Route("/theme", theme, methods=["POST"]),
    Route("/up", up, methods=["GET"]),
)
