"""One door for every form: show it, read what was typed, let it join the log, lead back."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk, OpenJob, new_entry_id
from countershaft.errors import FormError, Unknown
from countershaft.job.entry import Entry
from countershaft.job.words import Stage
from countershaft.web.forms import (
    by_places,
    choosing,
    comparing,
    converter,
    decide,
    diagnose,
    everywhere,
    fasteners,
    fit,
    housing,
    inspection,
    intake,
    order,
    place_sets,
    places,
    stock,
    sums,
)
from countershaft.web.forms.figures import asked
from countershaft.web.forms.form import Answers, Form
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.parse import answers_of, person_of, safe_back
from countershaft.web.render import page
from countershaft.web.routes.refusal import REFUSED, refusal

__all__ = ["FORMS", "ROUTES", "EnterPage", "built", "send"]

Builder = Callable[[OpenJob, str], Form]

#: Every form by the name in its address.
FORMS: Final[dict[str, tuple[Stage | None, Builder]]] = {
    "complaint": (Stage.INTAKE, intake.complaint),
    "symptom": (Stage.INTAKE, intake.symptom),
    "fluid": (Stage.INTAKE, intake.fluid),
    "pan": (Stage.INTAKE, intake.pan),
    "consent": (Stage.INTAKE, intake.consent),
    "gears": (Stage.DIAGNOSE, diagnose.gears),
    "test": (Stage.DIAGNOSE, diagnose.test),
    "cause": (Stage.DIAGNOSE, diagnose.cause),
    "killer": (Stage.DECIDE, diagnose.killer),
    "reading": (Stage.INSPECT, by_places.reading),
    "figure": (Stage.INSPECT, inspection.reading),
    "places": (Stage.INSPECT, place_sets.place_set),
    "look": (Stage.INSPECT, inspection.look),
    "not-measured": (Stage.INSPECT, inspection.not_measured),
    "finding": (Stage.INSPECT, inspection.finding),
    "sum": (Stage.INSPECT, sums.bench_sum),
    "comparison": (Stage.INSPECT, comparing.set_up),
    "blind": (Stage.INSPECT, comparing.blind),
    "part": (Stage.DECIDE, decide.part),
    "prices": (Stage.DECIDE, decide.prices),
    "labour": (Stage.DECIDE, decide.labour),
    "estimate": (Stage.DECIDE, decide.estimate),
    "fit-first": (Stage.FIT, fit.first),
    "shelf": (Stage.FIT, fit.shelf),
    "choose": (Stage.FIT, choosing.choose_one),
    "remeasure": (Stage.FIT, fit.remeasure),
    "count": (Stage.FIT, stock.count),
    "piece": (Stage.FIT, stock.piece),
    "piece-gone": (Stage.FIT, stock.gone),
    "price-list": (Stage.FIT, stock.price_list),
    "choose-all": (Stage.FIT, choosing.choose_all),
    "wait-for-parts": (Stage.FIT, choosing.wait_for_parts),
    "turns": (Stage.PROVE, everywhere.turns),
    "fixed-when": (Stage.PROVE, everywhere.fixed_when),
    "waive": (Stage.HANDOVER, everywhere.waive),
    "release": (Stage.HANDOVER, everywhere.release),
    "note": (None, everywhere.note),
    "photo": (None, everywhere.photo),
    "waiting": (None, everywhere.waiting),
    "undo": (None, everywhere.undo),
    "skip": (None, everywhere.skip),
    "moved": (None, places.moved),
    "parked": (None, places.parked),
    "part-late": (None, order.part_late),
    "impossible": (None, order.step_impossible),
    "follow-order": (None, order.follow_order),
    "heights": (Stage.BUILD, fasteners.heights),
    "sweep": (Stage.INSPECT, housing.sweep),
    "dowels": (Stage.INSPECT, housing.dowels),
    "converter": (Stage.BUILD, converter.depths),
    "hub": (Stage.BUILD, converter.hub),
}


@dataclass(frozen=True, slots=True)
class EnterPage:
    """A form in its frame."""

    frame: Frame
    form: Form
    entry_id: str
    action: str
    back: str


def show(request: Request) -> Response:
    """Show a form, empty or with what stands in the log now."""
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    key = request.query_params.get("key", "")
    form = built(request.path_params["form"], job, key)
    back = safe_back(request.query_params.get("back", ""), form.back)
    return page(request, "enter.html", _record(request, job, form, key, back, new_entry_id()))


async def submit(request: Request) -> Response:
    """Read a form that was sent; on any fault show it again with everything that was typed."""
    answers = await answers_of(request)
    return await run_in_threadpool(_submit, request, answers)


def _submit(request: Request, answers: Answers) -> Response:
    desk: Desk = request.app.state.desk
    job = desk.job(request.path_params["tag"])
    key = request.query_params.get("key", "")
    form = built(request.path_params["form"], job, key)
    back = safe_back(request.query_params.get("back", ""), form.back)
    entry_id = answers.one("entry_id") or new_entry_id()
    try:
        send(desk, job.tag, form, answers, by=person_of(request), entry_id=entry_id)
    except REFUSED as fault:
        refused = refusal(fault)
    else:
        return RedirectResponse(back, status_code=303)
    again = form.filled(answers, refused.fields, refused.problems)
    return page(
        request, "enter.html", _record(request, job, again, key, back, entry_id), status=refused.status
    )


def send(desk: Desk, tag: str, form: Form, answers: Answers, *, by: str, entry_id: str) -> tuple[Entry, ...]:
    """Turn answers into entries and append them; returns them as they stand in the log.

    Where a form gives several, each id follows from the form's and from what the entry says: sent again after a
    part of it was refused, what was written is not written twice and what was corrected is not taken for it.
    """
    if form.photo_stage is not None:
        if answers.photo is None:
            raise FormError({"photo": "Choose a picture first."})
        photo = desk.add_photo(
            tag,
            answers.photo,
            stage=form.photo_stage,
            about=form.photo_about,
            caption=answers.one("caption"),
            by=by,
            entry_id=entry_id,
        )
        return (photo,)
    bodies = form.read(asked(form, answers))
    own = [uuid.uuid5(uuid.NAMESPACE_OID, f"{entry_id} {body.model_dump_json()}").hex for body in bodies]
    ids = [entry_id] if len(bodies) == 1 else own
    return tuple(desk.append(tag, body, by=by, entry_id=one) for one, body in zip(ids, bodies, strict=True))


def built(name: str, job: OpenJob, key: str) -> Form:
    """The form of that name about `key`; raises Unknown."""
    if name not in FORMS:
        raise Unknown(f"There is no form {name!r}.")
    return FORMS[name][1](job, key)


def _record(request: Request, job: OpenJob, form: Form, key: str, back: str, entry_id: str) -> EnterPage:
    desk: Desk = request.app.state.desk
    stage = FORMS[request.path_params["form"]][0]
    action = f"{request.url.path}?key={quote(key)}&back={quote(back)}"
    return EnterPage(frame(job, desk.progress(job.tag), stage), form, entry_id, action, back)


ROUTES = (
    Route("/jobs/{tag}/enter/{form}", show, methods=["GET"]),
    Route("/jobs/{tag}/enter/{form}", submit, methods=["POST"]),
)
