"""Tags: scan or type one, open what it names, print the labels of a job."""

from __future__ import annotations

from typing import Final

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk
from countershaft.desk.tags import jobs_like, named, place_of, targets, why_none
from countershaft.errors import TagRefused, Unknown
from countershaft.job.tags import TagKind, read_tag
from countershaft.papers.labels import EVERY_KIND, MOST_SPARE
from countershaft.web.pages.labels import labels_page
from countershaft.web.pages.tags import part_page, scan_page, target_href, tray_page
from countershaft.web.render import page

__all__ = ["ROUTES"]

_SPARE: Final = 6


def scan(request: Request) -> Response:
    """The field to scan into; what was scanned or typed into it opens, and words find jobs."""
    desk: Desk = request.app.state.desk
    find = request.query_params.get("find", "").strip()
    if "code" in request.query_params and not find:
        return _open(request, request.query_params["code"])
    return page(request, "tags/scan.html", scan_page(find=find, jobs=jobs_like(desk, find)))


def tag(request: Request) -> Response:
    """The page of a tag, as a phone's camera opens it."""
    return _open(request, request.path_params["code"])


def _open(request: Request, text: str) -> Response:
    """Open what a code names, or say what it is not."""
    desk: Desk = request.app.state.desk
    try:
        read = read_tag(text)
    except TagRefused as fault:
        meant = named(desk, text)
        if meant:
            return page(request, "tags/scan.html", scan_page(code=text, named=meant), status=422)
        record = scan_page(code=text, problem=str(fault), jobs=jobs_like(desk, text))
        return page(request, "tags/scan.html", record, status=422)
    found = targets(desk, read)
    if not found:
        record = scan_page(code=text, problem=why_none(desk, read), jobs=jobs_like(desk, read.code))
        return page(request, "tags/scan.html", record, status=404)
    if len(found) > 1:
        return page(request, "tags/scan.html", scan_page(code=text, choices=found))
    return RedirectResponse(target_href(found[0], desk.progress(found[0].job)), status_code=303)


def place(request: Request) -> Response:
    """What lies in a place of a job."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    asked = request.path_params["place"]
    found = place_of(job, asked)
    if found is None:
        raise Unknown(f"Job {job.tag} has no place {asked!r}. Scan its label anew, or open the job.")
    return page(request, "tags/tray.html", tray_page(job, desk.progress(job.tag), found))


def part(request: Request) -> Response:
    """A part in its job."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    return page(
        request, "tags/part.html", part_page(job, desk.progress(job.tag), request.path_params["part"])
    )


def labels(request: Request) -> Response:
    """The labels of a job, to print; the codes lead to the address under which this page was asked for."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    typed = request.query_params.get("spare", str(_SPARE)).strip()
    right = typed.isascii() and typed.isdecimal() and int(typed) <= MOST_SPARE
    asked = request.query_params.getlist("what") if "spare" in request.query_params else []
    record = labels_page(
        job,
        desk.progress(job.tag),
        address=str(request.base_url).rstrip("/"),
        kinds=frozenset(kind for kind in TagKind if kind.value in asked) or EVERY_KIND,
        spare=int(typed) if right else 0,
        typed=typed,
        error="" if right else f"{typed!r} is no count of trays; type a whole number up to {MOST_SPARE}.",
    )
    return page(request, "tags/labels.html", record, status=200 if right else 422)


ROUTES = (
    Route("/t", scan, methods=["GET"]),
    Route("/t/{code:path}", tag, methods=["GET"]),
    Route("/jobs/{tag}/place/{place}", place, methods=["GET"]),
    Route("/jobs/{tag}/part/{part}", part, methods=["GET"]),
    Route("/jobs/{tag}/labels", labels, methods=["GET"]),
)
