"""Bench sums without a job: everything that was typed stands in the address, so that an answer can be kept."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.errors import FormError
from countershaft.sums.answer import work_out
from countershaft.sums.register import find_sum
from countershaft.web.pages.sums import sum_page, sums_page
from countershaft.web.render import page

__all__ = ["ROUTES"]


def every(request: Request) -> Response:
    """The list of sums."""
    return page(request, "sums/list.html", sums_page())


def one(request: Request) -> Response:
    """One sum, empty, answered, or with a word at each field that is wrong."""
    found = find_sum(request.path_params["name"])
    inch = request.query_params.get("system", "") == "inch"
    typed = {field.name: request.query_params.get(field.name, "").strip() for field in found.fields}
    worked, errors = None, {}
    if any(typed.values()):
        try:
            worked = work_out(found, typed, inch=inch)
        except FormError as fault:
            errors = fault.fields
    record = sum_page(found, typed, inch=inch, worked=worked, errors=errors)
    return page(request, "sums/sum.html", record, status=422 if errors else 200)


ROUTES = (
    Route("/sums", every, methods=["GET"]),
    Route("/sums/{name}", one, methods=["GET"]),
)
