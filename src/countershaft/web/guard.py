"""Headers that every answer carries, and refusal of forms that another site sends."""

from __future__ import annotations

import time
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["Guard"]

_POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)


class Guard:
    """Adds security headers and the server's own time; refuses forms from elsewhere."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        if scope["method"] == "POST" and _from_elsewhere(headers):
            refusal = PlainTextResponse("This form was sent by another site and is refused.", status_code=403)
            await refusal(scope, receive, send)
            return
        began = time.perf_counter()

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                out = MutableHeaders(scope=message)
                out["Content-Security-Policy"] = _POLICY
                out["X-Content-Type-Options"] = "nosniff"
                out["Referrer-Policy"] = "same-origin"
                out["Server-Timing"] = f"app;dur={(time.perf_counter() - began) * 1000:.1f}"
                if scope["path"].startswith("/static/"):
                    out["Cache-Control"] = "public, max-age=31536000, immutable"
                else:
                    out.setdefault("Cache-Control", "no-store")
            await send(message)

        await self._app(scope, receive, with_headers)


def _from_elsewhere(headers: Headers) -> bool:
    origin = headers.get("origin")
    return origin is not None and origin != "null" and urlsplit(origin).netloc != headers.get("host", "")
