"""The bench view of teardown and build: one step at a time, and the plan of all."""

from __future__ import annotations

from functools import partial
from typing import cast

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk, OpenJob, new_entry_id
from countershaft.errors import FormError
from countershaft.job.at_places import OWN_HOLES
from countershaft.job.custody import pieces
from countershaft.job.entry import Spot, StepDone, Stowed
from countershaft.model.steps import Step
from countershaft.stages.work import Phase, work
from countershaft.web.forms.form import Answers, body_of
from countershaft.web.pages.bench import IN_OWN_HOLES, bench_page
from countershaft.web.pages.plan import plan_page
from countershaft.web.parse import answers_of, person_of
from countershaft.web.render import page
from countershaft.web.routes.refusal import REFUSED, refusal

__all__ = ["ROUTES", "stage"]


def stage(request: Request, *, phase: Phase) -> Response:
    """The step that is next; the plan once all are behind."""
    desk, job = _job(request)
    following = work(job.transmission, job.state, phase).next
    if following is None:
        return page(request, "bench/plan.html", plan_page(job, desk.progress(job.tag), phase))
    return page(request, "bench/step.html", bench_page(job, desk.progress(job.tag), phase, following.step.id))


def plan(request: Request, *, phase: Phase) -> Response:
    """Every step of the phase, and where everything lies."""
    desk, job = _job(request)
    return page(request, "bench/plan.html", plan_page(job, desk.progress(job.tag), phase))


def step(request: Request, *, phase: Phase) -> Response:
    """One step."""
    desk, job = _job(request)
    return page(
        request,
        "bench/step.html",
        bench_page(job, desk.progress(job.tag), phase, request.path_params["step"]),
    )


async def done(request: Request, *, phase: Phase) -> Response:
    """A step was done."""
    answers = await answers_of(request)
    return await run_in_threadpool(_done, request, answers, phase)


def _done(request: Request, answers: Answers, phase: Phase) -> Response:
    desk, job = _job(request)
    step_id = request.path_params["step"]
    try:
        body = _body(job, step_id, answers)
        desk.append(job.tag, body, by=person_of(request), entry_id=answers.one("entry_id") or new_entry_id())
    except REFUSED as fault:
        refused = refusal(fault)
    else:
        return RedirectResponse(f"/jobs/{job.tag}/{phase}", status_code=303)
    record = bench_page(
        job,
        desk.progress(job.tag),
        phase,
        step_id,
        answers=answers,
        errors=refused.fields,
        problems=refused.besides("person", ""),
    )
    return page(request, "bench/step.html", record, status=refused.status)


def _body(job: OpenJob, step_id: str, answers: Answers) -> StepDone:
    """What was typed and ticked on the step's page."""
    one = job.transmission.step(step_id)
    place = answers.one("place") or "mat"
    placed = []
    if one.phase == "teardown":
        for part, asked in pieces(job.transmission, one).items():
            typed = answers.one(f"count {part}") or str(asked)
            if not typed.isdecimal():
                raise FormError({f"count {part}": f"{typed!r} is no count; type a whole number."})
            if int(typed):
                placed.append({"part": part, "count": int(typed), "place": place})
    body = body_of(
        StepDone,
        {
            "step": step_id,
            "placed": tuple(placed),
            "stowed": _stowed(job, one, answers),
            "new": answers.many("new"),
            "counted": answers.one("counted"),
            "written": answers.one("written"),
            "verified": bool(answers.one("verified")),
            "ahead": answers.many("ahead"),
            "way": answers.one("way"),
            "unchecked": answers.one("unchecked"),
        },
    )
    return cast("StepDone", body)


def _stowed(job: OpenJob, step: Step, answers: Answers) -> tuple[Stowed, ...]:
    """Where the fasteners of the step went, as tapped; nothing where nothing was sent."""
    found = []
    for joint_id in step.loosen if step.phase == "teardown" else ():
        chosen = answers.one(f"bolts {joint_id}")
        if chosen:
            spot = OWN_HOLES if chosen == IN_OWN_HOLES else Spot(how="place", name=chosen)
            count = len(job.transmission.joint(joint_id).place_ids)
            found.append(Stowed(joint=joint_id, count=count, spot=spot))
    return tuple(found)


def _job(request: Request) -> tuple[Desk, OpenJob]:
    desk: Desk = request.app.state.desk
    return desk, desk.job(request.path_params["tag"])


def _routes(phase: Phase) -> tuple[Route, ...]:
    """The four pages of a phase; teardown and build have the same."""
    here = f"/jobs/{{tag}}/{phase}"
    return (
        Route(here, partial(stage, phase=phase), methods=["GET"]),
        Route(f"{here}/plan", partial(plan, phase=phase), methods=["GET"]),
        Route(f"{here}/{{step}}", partial(step, phase=phase), methods=["GET"]),
        Route(f"{here}/{{step}}", partial(done, phase=phase), methods=["POST"]),
    )


ROUTES = (*_routes("teardown"), *_routes("build"))
