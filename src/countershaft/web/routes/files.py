"""The shop's transmission files: list, add, read."""

from __future__ import annotations

from pathlib import PurePath

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from countershaft.desk.desk import Desk
from countershaft.errors import DefinitionError, StoreError
from countershaft.web.pages.file import file_page
from countershaft.web.pages.files import FilesPage, files_page
from countershaft.web.render import page

__all__ = ["ROUTES"]

_MOST_BYTES = 2 * 1024 * 1024


def files(request: Request) -> Response:
    """Every file of the shop."""
    desk: Desk = request.app.state.desk
    return page(request, "files/list.html", files_page(desk.definitions()))


async def add(request: Request) -> Response:
    """Add a file that was typed or chosen, or show every fault of it."""
    async with request.form(max_files=1, max_fields=10, max_part_size=_MOST_BYTES) as form:
        typed = str(form.get("text") or "")
        chosen = form.get("file")
        content = (
            await chosen.read(_MOST_BYTES + 1) if isinstance(chosen, UploadFile) and chosen.filename else b""
        )
        name = PurePath(chosen.filename or "").name if isinstance(chosen, UploadFile) else ""
    return await run_in_threadpool(_add, request, typed, content, name)


def _add(request: Request, typed: str, content: bytes, name: str) -> Response:
    desk: Desk = request.app.state.desk
    refused = _unreadable(desk, typed, content, name)
    if refused is not None:
        return page(request, "files/list.html", refused, status=422)
    text = content.decode("utf-8-sig") if content else typed
    rows, status = desk.definitions(), 422
    try:
        digest = desk.add_definition(text, file=name or "typed.yaml")
    except DefinitionError as cause:
        record = files_page(rows, text=text, faults=cause.faults)
    except StoreError as cause:
        record, status = files_page(rows, text=text, problems=(str(cause),)), 503
    else:
        return RedirectResponse(f"/files/{digest}", status_code=303)
    return page(request, "files/list.html", record, status=status)


def _unreadable(desk: Desk, typed: str, content: bytes, name: str) -> FilesPage | None:
    """What keeps a text from being read at all; what was typed is kept."""
    if not content and not typed.strip():
        return files_page(desk.definitions(), text_error="Type or paste a file here, or choose one below.")
    if len(content) > _MOST_BYTES:
        words = (
            f"{name} is larger than {_MOST_BYTES // 1024 // 1024} MB; a transmission file is a short text."
        )
        return files_page(desk.definitions(), text=typed, upload_error=words)
    try:
        content.decode("utf-8-sig")
    except UnicodeDecodeError as cause:
        words = f"{name} is no UTF-8 text (byte {cause.start + 1}); save it as UTF-8 from a text editor."
        return files_page(desk.definitions(), text=typed, upload_error=words)
    return None


def file(request: Request) -> Response:
    """One file from cover to cover."""
    desk: Desk = request.app.state.desk
    digest = request.path_params["digest"]
    return page(request, "files/file.html", file_page(desk.definition(digest), digest))


ROUTES = (
    Route("/files", files, methods=["GET"]),
    Route("/files", add, methods=["POST"]),
    Route("/files/{digest}", file, methods=["GET"]),
)
