"""All fits of a job in one choice, the stock that they are chosen from, and its count by tap."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk, new_entry_id
from countershaft.desk.stock_elsewhere import stock_elsewhere, take_over
from countershaft.stages.choosing import choosing
from countershaft.stages.prediction import predicted
from countershaft.web.pages.choosing import choose_page
from countershaft.web.pages.stock import count_page, stock_page
from countershaft.web.parse import answers_of, person_of
from countershaft.web.render import page

__all__ = ["ROUTES"]


def choose(request: Request) -> Response:
    """The joint choice of all fits."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    text = request.query_params.get("within", "")
    within = int(text) if text.lstrip("-").isdecimal() and len(text) < 6 else None
    found = choosing(job.transmission, job.state, within_days=within)
    compared = {
        one.fit.id: predicted(job.transmission, job.state, one.fit.id)
        for one in found.fits
        if one.how in ("in", "closed")
    }
    record = choose_page(
        job,
        desk.progress(job.tag),
        found,
        within=within,
        compared=compared,
        elsewhere=stock_elsewhere(desk, job),
        entry_id=new_entry_id(),
    )
    return page(request, "fit/choose.html", record)


def stock(request: Request) -> Response:
    """What can be had of every family."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    record = stock_page(job, desk.progress(job.tag), stock_elsewhere(desk, job), new_entry_id())
    return page(request, "fit/stock.html", record)


def count(request: Request) -> Response:
    """The count of one family, by tap."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    record = count_page(job, desk.progress(job.tag), request.query_params, new_entry_id())
    return page(request, "fit/count.html", record)


async def take(request: Request) -> Response:
    """Take over the stock that another job knows."""
    answers = await answers_of(request)
    return await run_in_threadpool(_take, request, answers.one("entry_id") or new_entry_id())


def _take(request: Request, entry_id: str) -> Response:
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    found = stock_elsewhere(desk, job)
    if found is not None:
        take_over(desk, job.tag, found, by=person_of(request), entry_id=entry_id)
    return RedirectResponse(f"/jobs/{job.tag}/fit/choose", status_code=303)


ROUTES = (
    Route("/jobs/{tag}/fit/choose", choose, methods=["GET"]),
    Route("/jobs/{tag}/fit/stock", stock, methods=["GET"]),
    Route("/jobs/{tag}/fit/count", count, methods=["GET"]),
    Route("/jobs/{tag}/fit/take-over", take, methods=["POST"]),
)
