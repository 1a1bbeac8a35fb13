"""Templates to pages: undefined names raise, everything is escaped."""

from __future__ import annotations

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from starlette.requests import Request
from starlette.responses import HTMLResponse

from countershaft.web.assets import asset_url, templates_dir
from countershaft.web.parse import known_person

__all__ = ["Renderer", "page"]


class Renderer:
    """One Jinja environment for the app."""

    def __init__(self) -> None:
        self.environment = Environment(
            loader=FileSystemLoader(templates_dir()),
            undefined=StrictUndefined,
            autoescape=select_autoescape(default=True, default_for_string=True),
            trim_blocks=True,
            lstrip_blocks=True,
            auto_reload=False,
        )
        self.environment.globals["asset_url"] = asset_url

    def render(self, template: str, record: object, *, theme: str, page_path: str, person: str) -> str:
        """Render a page record with its template."""
        found = self.environment.get_template(template)
        return found.render(page=record, theme=theme, page_path=page_path, person=person)


def page(request: Request, template: str, record: object, *, status: int = 200) -> HTMLResponse:
    """The answer that shows a page record."""
    query = f"?{request.url.query}" if request.url.query and request.method == "GET" else ""
    renderer: Renderer = request.app.state.renderer
    text = renderer.render(
        template,
        record,
        theme=request.cookies.get("theme", ""),
        page_path=request.url.path + query if request.method == "GET" else "/",
        person=known_person(request),
    )
    return HTMLResponse(text, status_code=status)
