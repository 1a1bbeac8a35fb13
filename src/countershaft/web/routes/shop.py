"""The shop itself: its instruments, its rule, and one door for its forms."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Final
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk, new_entry_id
from countershaft.errors import Unknown
from countershaft.job.at_shop import ShopBody
from countershaft.job.shop import ShopState
from countershaft.web.forms import shop as forms
from countershaft.web.forms.form import Answers, Form
from countershaft.web.pages.shop import ShopFormPage, instruments_page, rule_page
from countershaft.web.parse import answers_of, person_of
from countershaft.web.render import page
from countershaft.web.routes.refusal import REFUSED, refusal

__all__ = ["ROUTES", "SHOP_FORMS"]

#: Every form of the shop by the name in its address; the rule has a page of its own.
SHOP_FORMS: Final[dict[str, Callable[[ShopState, str, date], Form]]] = {
    "add": forms.add,
    "calibrate": forms.calibrate,
    "retire": forms.retire,
}


def instruments(request: Request) -> Response:
    """Every instrument, the most pressing first."""
    desk: Desk = request.app.state.desk
    return page(request, "shop/instruments.html", instruments_page(desk.shop(), desk.today()))


def show(request: Request) -> Response:
    """An empty form."""
    return _form_page(request, _form(request), new_entry_id())


async def submit(request: Request) -> Response:
    """Read a form that was sent; on any fault show it again with everything that was typed."""
    answers = await answers_of(request)
    return await run_in_threadpool(_submit, request, answers, _form, _form_page)


def rule(request: Request) -> Response:
    """How the shop decides, what each rule means, and the form that changes it."""
    return _rule_page(request, _rule_form(request), new_entry_id())


async def decide(request: Request) -> Response:
    """The shop decides by another rule from now on."""
    answers = await answers_of(request)
    return await run_in_threadpool(_submit, request, answers, _rule_form, _rule_page)


def _submit(
    request: Request,
    answers: Answers,
    asked: Callable[[Request], Form],
    shown: Callable[[Request, Form, str, int], Response],
) -> Response:
    """Let what a form says join the shop's log, or show it again."""
    desk: Desk = request.app.state.desk
    form, entry_id = asked(request), answers.one("entry_id") or new_entry_id()
    try:
        (body,) = form.read(answers)
        assert isinstance(body, ShopBody), "a form of the shop says something of the shop"
        desk.append_shop(body, by=person_of(request), entry_id=entry_id)
    except REFUSED as fault:
        refused = refusal(fault)
    else:
        return RedirectResponse(form.back, status_code=303)
    return shown(request, form.filled(answers, refused.fields, refused.problems), entry_id, refused.status)


def _form(request: Request) -> Form:
    desk: Desk = request.app.state.desk
    name = request.path_params["form"]
    if name not in SHOP_FORMS:
        raise Unknown(f"There is no form {name!r}.")
    return SHOP_FORMS[name](desk.shop(), request.query_params.get("key", ""), desk.today())


def _form_page(request: Request, form: Form, entry_id: str, status: int = 200) -> Response:
    key = request.query_params.get("key", "")
    record = ShopFormPage(form, entry_id, f"{request.url.path}?key={quote(key, safe='')}", form.back)
    return page(request, "shop/enter.html", record, status=status)


def _rule_form(request: Request) -> Form:
    desk: Desk = request.app.state.desk
    return forms.rule(desk.shop(), "", desk.today())


def _rule_page(request: Request, form: Form, entry_id: str, status: int = 200) -> Response:
    desk: Desk = request.app.state.desk
    return page(request, "shop/rule.html", rule_page(desk.shop(), form, entry_id), status=status)


ROUTES = (
    Route("/shop/instruments", instruments, methods=["GET"]),
    Route("/shop/enter/{form}", show, methods=["GET"]),
    Route("/shop/enter/{form}", submit, methods=["POST"]),
    Route("/shop/rule", rule, methods=["GET"]),
    Route("/shop/rule", decide, methods=["POST"]),
)
