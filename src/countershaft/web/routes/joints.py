"""A joint at the bench: tighten place by place, round by round."""

from __future__ import annotations

from collections.abc import Callable

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk, new_entry_id
from countershaft.errors import FormError
from countershaft.job.entry import Body, HeightsSeen, HoleMarked, Tightened
from countershaft.web.forms.form import Answers, body_of
from countershaft.web.pages.hole_picture import HolePicturePage, hole_picture_page
from countershaft.web.pages.joint import joint_page
from countershaft.web.parse import answers_of, person_of
from countershaft.web.render import page
from countershaft.web.routes.refusal import REFUSED, refusal

__all__ = ["ROUTES"]


def joint(request: Request) -> Response:
    """Show a joint and the place that is due."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    return page(
        request, "bench/joint.html", joint_page(job, desk.progress(job.tag), request.path_params["joint"])
    )


async def tightened(request: Request) -> Response:
    """Places got their round."""
    answers = await answers_of(request)
    return await run_in_threadpool(_tightened, request, answers)


def _tightened(request: Request, answers: Answers) -> Response:
    given = {
        "joint": request.path_params["joint"],
        "round": answers.one("round"),
        "places": tuple(answers.one("places").split()),
    }
    return _appended(request, answers, lambda: body_of(Tightened, given))


async def level(request: Request) -> Response:
    """Every head of the joint stands right."""
    answers = await answers_of(request)
    seen = HeightsSeen(joint=request.path_params["joint"], level=True)
    return await run_in_threadpool(_appended, request, answers, lambda: seen)


def _appended(request: Request, answers: Answers, said: Callable[[], Body]) -> Response:
    """Let an entry of the joint join the log and show the joint again."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    joint_id = request.path_params["joint"]
    try:
        body = said()
        desk.append(job.tag, body, by=person_of(request), entry_id=answers.one("entry_id") or new_entry_id())
    except REFUSED as fault:
        refused = refusal(fault)
    else:
        return RedirectResponse(request.url.path.removesuffix("/heads"), status_code=303)
    record = joint_page(job, desk.progress(job.tag), joint_id, problems=refused.spoken)
    return page(request, "bench/joint.html", record, status=refused.status)


def picture(request: Request) -> Response:
    """The photo on which the holes of a joint are tapped, or the photos to choose from."""
    return page(request, "fasteners/picture.html", _picture(request, request.query_params.get("photo", "")))


async def tapped(request: Request) -> Response:
    """A hole was tapped on the photo."""
    answers = await answers_of(request)
    return await run_in_threadpool(_tapped, request, answers)


def _tapped(request: Request, answers: Answers) -> Response:
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    digest = answers.one("photo")
    given = {
        "joint": request.path_params["joint"],
        "digest": digest,
        "place": answers.one("place"),
        "across": answers.one("tap.x"),
        "down": answers.one("tap.y"),
    }
    try:
        _refuse_no_tap(given["across"], given["down"])
        desk.picture_size(digest)
        body = body_of(HoleMarked, given)
        desk.append(job.tag, body, by=person_of(request), entry_id=answers.one("entry_id") or new_entry_id())
    except REFUSED as fault:
        refused = refusal(fault)
    else:
        return RedirectResponse(f"{request.url.path}?photo={digest}", status_code=303)
    record = _picture(request, digest, problems=refused.spoken)
    return page(request, "fasteners/picture.html", record, status=refused.status)


def _refuse_no_tap(across: str, down: str) -> None:
    """A key instead of a tap sends the corner of the photo, or nothing."""
    if (across, down) in (("", ""), ("0", "0")):
        raise FormError({"tap": "Tap the hole on the photo itself."})


def _picture(request: Request, digest: str, *, problems: tuple[str, ...] = ()) -> HolePicturePage:
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    size = desk.picture_size(digest) if digest else None
    joint_id = request.path_params["joint"]
    return hole_picture_page(
        job, desk.progress(job.tag), joint_id, digest=digest, size=size, problems=problems
    )


ROUTES = (
    Route("/jobs/{tag}/fasteners/{joint}/picture", picture, methods=["GET"]),
    Route("/jobs/{tag}/fasteners/{joint}/picture", tapped, methods=["POST"]),
    Route("/jobs/{tag}/joint/{joint}", joint, methods=["GET"]),
    Route("/jobs/{tag}/joint/{joint}", tightened, methods=["POST"]),
    Route("/jobs/{tag}/joint/{joint}/heads", level, methods=["POST"]),
)
