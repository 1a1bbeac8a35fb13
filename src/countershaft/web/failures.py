"""Each class of our errors to its status and its page, once."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from typing import Final

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from countershaft.errors import (
    BadInput,
    CountershaftError,
    OutOfRange,
    StoreBusy,
    StoreFull,
    TooNew,
    Unknown,
)
from countershaft.web.render import page

__all__ = ["FailurePage", "not_found", "on_error", "on_refusal", "on_surprise"]

_STATUS: Final[tuple[tuple[type[CountershaftError], int, str], ...]] = (
    (Unknown, 404, "Not here"),
    (StoreBusy, 503, "Not saved: the store is busy"),
    (StoreFull, 507, "Not saved: the store cannot be written"),
    (TooNew, 409, "Written by a later countershaft"),
    (BadInput, 422, "Not saved"),
    (OutOfRange, 422, "Outside its range"),
    (CountershaftError, 500, "The store has a fault"),
)

_LOG = logging.getLogger("countershaft.web")


@dataclass(frozen=True, slots=True)
class FailurePage:
    """What went wrong, in words, and where to go from here."""

    title: str
    words: str
    back: str
    back_words: str


async def on_error(request: Request, error: Exception) -> Response:
    """One of our own errors as a page."""
    status, title = next((status, title) for kind, status, title in _STATUS if isinstance(error, kind))
    return page(request, "failure.html", FailurePage(title, str(error), *_back(request)), status=status)


async def on_refusal(request: Request, error: Exception) -> Response:
    """What the framework itself refuses: a form that is too large, a way of asking that a page does not know."""
    status = error.status_code if isinstance(error, HTTPException) else 400
    words = f"{getattr(error, 'detail', error)} Nothing was saved; go back, and send less or something else."
    return page(request, "failure.html", FailurePage("Not taken", words, *_back(request)), status=status)


async def on_surprise(request: Request, error: Exception) -> Response:
    """An error that nobody planned: said plainly, and written to the program's log with its trace."""
    _LOG.exception("%s %s failed", request.method, request.url.path, exc_info=error)
    words = (
        "countershaft made a mistake here. Nothing that was acknowledged is lost; "
        "the program's log has the details."
    )
    return page(
        request, "failure.html", FailurePage("A fault of the program", words, *_back(request)), status=500
    )


async def not_found(request: Request) -> Response:
    """No page has that address."""
    record = FailurePage("Not here", f"There is no page {request.url.path}.", *_back(request))
    return page(request, "failure.html", record, status=404)


def _back(request: Request) -> tuple[str, str]:
    parts = request.url.path.split("/")
    known = (
        {card.tag for card in request.app.state.desk.cards()}
        if len(parts) > 2 and parts[1] == "jobs"
        else set()
    )
    if len(parts) > 3 and parts[2] in known:
        return f"/jobs/{parts[2]}", f"To job {parts[2]}"
    return "/", "To all jobs"
