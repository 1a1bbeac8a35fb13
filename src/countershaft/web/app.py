"""The web app: one desk behind it, pages in front, nothing fetched from elsewhere."""

from __future__ import annotations

import threading
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from countershaft import units
from countershaft.desk.desk import Desk
from countershaft.errors import CountershaftError
from countershaft.web.assets import static_dir
from countershaft.web.failures import not_found, on_error, on_refusal, on_surprise
from countershaft.web.guard import Guard
from countershaft.web.render import Renderer
from countershaft.web.routes import (
    bench,
    choosing,
    comparing,
    entering,
    fasteners,
    files,
    first,
    forms,
    handover,
    jobs,
    joints,
    measuring,
    order,
    pictures,
    places,
    sheet,
    shop,
    stages,
    sums,
    tags,
    train,
    unknown,
)

__all__ = ["Settings", "create_app"]


@dataclass(frozen=True, slots=True)
class Settings:
    """How the app is set up; `person` is who is at the bench until somebody says otherwise."""

    person: str = ""
    warm: Callable[[], None] = units.warm


def create_app(desk: Desk, settings: Settings | None = None) -> Starlette:
    """Make the app on a desk."""
    settings = settings or Settings()

    @asynccontextmanager
    async def warming(_app: Starlette) -> AsyncIterator[None]:
        threading.Thread(target=settings.warm, daemon=True).start()
        yield

    app = Starlette(
        routes=[
            *first.ROUTES,
            *tags.ROUTES,
            *order.ROUTES,
            *jobs.ROUTES,
            *entering.ROUTES,
            *measuring.ROUTES,
            *unknown.ROUTES,
            *bench.ROUTES,
            *joints.ROUTES,
            *fasteners.ROUTES,
            *places.ROUTES,
            *shop.ROUTES,
            *comparing.ROUTES,
            *sheet.ROUTES,
            *forms.ROUTES,
            *handover.ROUTES,
            *choosing.ROUTES,
            *stages.ROUTES,
            *files.ROUTES,
            *train.ROUTES,
            *sums.ROUTES,
            *pictures.ROUTES,
            Mount("/static", StaticFiles(directory=static_dir()), name="static"),
            Route("/{rest:path}", not_found),
        ],
        middleware=[Middleware(Guard)],
        exception_handlers={CountershaftError: on_error, HTTPException: on_refusal, Exception: on_surprise},
        lifespan=warming,
    )
    app.state.desk = desk
    app.state.settings = settings
    app.state.renderer = Renderer()
    return app
