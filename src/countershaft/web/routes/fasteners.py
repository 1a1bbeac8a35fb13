"""Fasteners of a file and of a job: all joints, one joint, on paper, and which bolt belongs where."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from countershaft.desk.desk import Desk
from countershaft.desk.loose_bolts import sort_pile
from countershaft.desk.torque_setting import read_tool, setting
from countershaft.errors import FormError, OutOfRange
from countershaft.model.fasteners import Joint
from countershaft.web.forms.form import Answers
from countershaft.web.pages.fastener_sheets import fastener_sheets_page
from countershaft.web.pages.fasteners import Whose, fasteners_page, of_file, of_job
from countershaft.web.pages.identify import identify_page
from countershaft.web.pages.joint_check import TOOL_FIELDS, ToolShown, joint_check_page, tool_shown
from countershaft.web.parse import answers_of
from countershaft.web.render import page

__all__ = ["ROUTES"]


def fasteners(request: Request) -> Response:
    """All joints of a unit."""
    return page(request, "fasteners/unit.html", fasteners_page(_whose(request)))


def joint(request: Request) -> Response:
    """One joint, with what was asked of the torque wrench."""
    desk: Desk = request.app.state.desk
    whose = _whose(request)
    joint_id = request.path_params["joint"]
    tool = _tool(request, whose.transmission.joint(joint_id))
    status = 422 if tool is not None and tool.wrong else 200
    return page(
        request,
        "fasteners/joint.html",
        joint_check_page(whose, joint_id, tool, size_of=desk.picture_size),
        status=status,
    )


def sheets(request: Request) -> Response:
    """All joints, or one, on paper."""
    record = fastener_sheets_page(_whose(request), request.query_params.get("joint", ""))
    return page(request, "fasteners/sheets.html", record)


def loose(request: Request) -> Response:
    """A field to type loose bolts into."""
    joint_id = request.query_params.get("joint", "")
    return page(request, "fasteners/identify.html", identify_page(_whose(request), joint=joint_id))


async def identified(request: Request) -> Response:
    """Where typed bolts belong, or every line that cannot be read."""
    answers = await answers_of(request)
    return await run_in_threadpool(_identified, request, answers)


def _identified(request: Request, answers: Answers) -> Response:
    whose = _whose(request)
    text = "".join(answers.texts.get("text", ())).replace("\r\n", "\n")
    joint_id, whole = answers.one("joint"), bool(answers.one("whole"))
    pile = sort_pile(whose.transmission, text, joints=(joint_id,) if joint_id else (), whole=whole)
    record = identify_page(whose, text, joint=joint_id, whole=whole, pile=pile)
    return page(request, "fasteners/identify.html", record, status=422 if pile.faults else 200)


def _whose(request: Request) -> Whose:
    """The file or the job that an address names; raises Unknown."""
    desk: Desk = request.app.state.desk
    digest = request.path_params.get("digest")
    if digest is not None:
        return of_file(desk.definition(digest), digest)
    job = desk.job(request.path_params["tag"])
    return of_job(job, desk.progress(job.tag))


def _tool(request: Request, joint: Joint) -> ToolShown | None:
    """What was typed of the torque wrench, and what it comes to at this joint."""
    values = {name: request.query_params.get(name, "").strip() for name in TOOL_FIELDS}
    torque = next((stage.torque for stage in reversed(joint.stages) if stage.torque is not None), None)
    if torque is None:
        return None
    try:
        asked = read_tool(values)
        return None if asked is None else tool_shown(values, {}, setting(torque, asked))
    except FormError as fault:
        return tool_shown(values, fault.fields, None)
    except OutOfRange as fault:
        return tool_shown(values, {"adapter": str(fault)}, None)


ROUTES = tuple(
    Route(f"{here}/{rest}", shown, methods=[method])
    for here in ("/files/{digest}", "/jobs/{tag}")
    for rest, shown, method in (
        ("fasteners", fasteners, "GET"),
        ("fasteners/{joint}", joint, "GET"),
        ("fastener-sheets", sheets, "GET"),
        ("identify", loose, "GET"),
        ("identify", identified, "POST"),
    )
)
