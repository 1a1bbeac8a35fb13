"""The pattern page in a real browser: expected values are the design's sizes for a gloved hand.

Nothing is fetched: every request is answered from the package, anything else fails the test.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit

import pytest
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from playwright.sync_api import Browser, Page, Route

from countershaft.web.assets import asset_path, asset_url, templates_dir
from countershaft.web.patterns import patterns_page

pytestmark = pytest.mark.browser
MM = 10.5 * 25.4 / (820**2 + 1180**2) ** 0.5
SIZES = {"tablet": (820, 1180), "desktop": (1280, 800)}


def opened(browser: Browser, size: tuple[int, int], theme: str) -> Page:
    """Open the pattern page with every asset from the package."""
    env = Environment(loader=FileSystemLoader(templates_dir()), undefined=StrictUndefined, autoescape=True)
    env.globals["asset_url"] = asset_url
    html = patterns_page(env)
    page = browser.new_page(viewport={"width": size[0], "height": size[1]}, color_scheme=theme)

    def answer(route: Route) -> None:
        parts = urlsplit(route.request.url)
        if parts.path.startswith("/static/"):
            route.fulfill(path=asset_path(parts.path.removeprefix("/static/")))
        elif parts.path == "/":
            policy = (
                "default-src 'none'; style-src 'self'; font-src 'self'; img-src 'self'; form-action 'self'"
            )
            route.fulfill(body=html, content_type="text/html", headers={"Content-Security-Policy": policy})
        else:
            route.abort()

    page.route("**/*", answer)
    page.on("requestfailed", lambda request: pytest.fail(f"asked for {request.url}"))
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.goto("http://face.test/")
    page.evaluate("document.fonts.ready")
    assert complaints == []
    return page


def boxes(page: Page, selector: str) -> list[dict[str, Any]]:
    """Return text and box of the elements that are seen."""
    found: list[dict[str, Any]] = page.evaluate(
        """selector => [...document.querySelectorAll(selector)].filter(e => e.type !== 'hidden').map(e => {
            const r = e.getBoundingClientRect();
            const text = e.getAttribute('aria-label') || e.textContent || e.name || e.tagName;
            return {text: text.trim().slice(0, 40),
                    left: r.left, top: r.top, right: r.right, bottom: r.bottom};
        })""",
        selector,
    )
    return found


@pytest.mark.parametrize("size", sorted(SIZES))
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_nothing_runs_off_the_sheet_and_the_face_is_loaded(browser: Browser, size: str, theme: str) -> None:
    page = opened(browser, SIZES[size], theme)
    assert page.evaluate("document.documentElement.scrollWidth") == SIZES[size][0]
    assert page.evaluate("[...document.fonts].filter(f => f.status === 'loaded').length") == 2
    # A wide table scrolls inside its own wrap; the wrap itself must stay on the sheet.
    seen = "main *:not(.table-wrap *)"
    outside = [box for box in boxes(page, seen) if box["right"] > SIZES[size][0] or box["left"] < 0]
    assert [box["text"] for box in outside] == []
    page.close()


def test_the_themes_turn_paper_and_ink(browser: Browser) -> None:
    seen = []
    for theme in ("light", "dark"):
        page = opened(browser, SIZES["tablet"], theme)
        seen.append(
            page.evaluate("(s => [s.backgroundColor, s.color])(getComputedStyle(document.documentElement))")
        )
        page.evaluate(
            "t => document.documentElement.dataset.theme = t", "light" if theme == "dark" else "dark"
        )
        seen.append(
            page.evaluate("(s => [s.backgroundColor, s.color])(getComputedStyle(document.documentElement))")
        )
        page.close()
    light, dark_chosen, dark, light_chosen = seen
    assert light == light_chosen != dark == dark_chosen


def test_what_is_tapped_is_large_enough_for_a_glove(browser: Browser) -> None:
    page = opened(browser, SIZES["tablet"], "light")
    tapped = boxes(page, ".action, .resume, .stage, .tile, .neighbour, .tb-cell, .entry, .d-touch")
    assert len(tapped) > 40
    small = [
        box
        for box in tapped
        if (box["bottom"] - box["top"]) * MM < 18 or (box["right"] - box["left"]) * MM < 18
    ]
    assert [(box["text"], box["right"] - box["left"], box["bottom"] - box["top"]) for box in small] == []
    page.close()


def test_links_that_are_read_are_still_tall_enough(browser: Browser) -> None:
    page = opened(browser, SIZES["tablet"], "light")
    links = boxes(page, "td a, .pair a, summary, .errors a")
    assert len(links) >= 5
    assert [box["text"] for box in links if box["bottom"] - box["top"] < 60] == []
    page.close()


@pytest.mark.parametrize(
    "selector", [".action", ".tile", ".readings .entry", ".resume", ".d-touch", ".theme-switch .action"]
)
def test_what_is_tapped_stands_six_millimetres_apart(browser: Browser, selector: str) -> None:
    page = opened(browser, SIZES["tablet"], "light")
    found = boxes(page, selector)
    assert len(found) >= 2
    near = []
    for i, one in enumerate(found):
        for other in found[i + 1 :]:
            across = max(one["left"], other["left"]) - min(one["right"], other["right"])
            down = max(one["top"], other["top"]) - min(one["bottom"], other["bottom"])
            if max(across, down) * MM < 6.0 - 0.01:
                near.append((one["text"], other["text"], across, down))
    assert near == []
    page.close()


def test_the_focus_is_seen(browser: Browser) -> None:
    page = opened(browser, SIZES["tablet"], "light")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    assert page.evaluate("document.activeElement.getBoundingClientRect().top") >= 0
    for _ in range(3):
        page.keyboard.press("Tab")
        assert page.evaluate("parseFloat(getComputedStyle(document.activeElement).outlineWidth)") >= 4
    page.close()


def test_the_paper_shows_every_working_and_no_button(browser: Browser) -> None:
    page = opened(browser, SIZES["tablet"], "dark")
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("document.querySelector('.working').getBoundingClientRect().height") > 0
    shown = (
        "[...document.querySelectorAll('.action, .theme-switch')].filter(e => e.offsetParent !== null).length"
    )
    assert page.evaluate(shown) == 0
    page.close()
