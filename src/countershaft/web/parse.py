"""What a browser sends, to plain answers."""

from __future__ import annotations

from urllib.parse import unquote

from starlette.datastructures import UploadFile
from starlette.requests import Request

from countershaft.errors import FormError
from countershaft.web.forms.form import Answers

__all__ = ["answers_of", "known_person", "person_of", "safe_back"]

_MOST_BYTES = 26 * 1024 * 1024


async def answers_of(request: Request) -> Answers:
    """Read a form that was sent; a picture in the field `photo` is read whole."""
    texts: dict[str, list[str]] = {}
    photo: bytes | None = None
    async with request.form(max_files=1, max_fields=500, max_part_size=1024 * 1024) as form:
        for name, value in form.multi_items():
            if isinstance(value, UploadFile):
                if value.filename:
                    photo = await value.read(_MOST_BYTES)
            else:
                texts.setdefault(name, []).append(value)
    return Answers({name: tuple(found) for name, found in texts.items()}, photo)


def known_person(request: Request) -> str:
    """Who is at the bench, as this tablet remembers it; empty while nobody said so."""
    return unquote(request.cookies.get("person", "")).strip() or str(request.app.state.settings.person)


def person_of(request: Request) -> str:
    """Who is at the bench; raises FormError while nobody said so."""
    name = known_person(request)
    if not name:
        raise FormError(
            {"person": "Say first who is at the bench, on the first page; what you typed stays here."}
        )
    return name


def safe_back(target: str, otherwise: str) -> str:
    """An address of this app to lead back to; anything else is not followed."""
    return target if target.startswith("/") and not target.startswith(("//", "/\\")) else otherwise
