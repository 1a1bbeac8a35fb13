"""Bench sums in a real browser at tablet size.

Expected values: copper of IEC 60028 by hand (5.9 Ω / 1.1572 = 5.10 Ω); targets of 18 mm for a glove, as the design
asks; nothing wider than the page, and no figure cut off in its field.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page

from countershaft.sums.register import SUMS
from tests.web.conftest import Site

pytestmark = pytest.mark.browser
MM = 10.5 * 25.4 / (820**2 + 1180**2) ** 0.5


def opened(browser: Browser, site: Site, address: str, theme: str = "light") -> Page:
    """A page at tablet size."""
    page = browser.new_page(viewport={"width": 820, "height": 1180}, color_scheme=theme)  # type: ignore[arg-type]
    page.goto(site.address + address)
    return page


def cut_off(page: Page) -> list[str]:
    """What is wider than the page, or than its own field."""
    found: list[str] = page.evaluate(
        """() => [
            ...(document.documentElement.scrollWidth > innerWidth ? ['the page'] : []),
            ...[...document.querySelectorAll('input[type=text]')]
                .filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.name + ': ' + e.value),
        ]"""
    )
    return found


def test_from_the_first_page_to_an_answer(browser: Browser, site: Site) -> None:
    page = opened(browser, site, "/")
    page.get_by_role("link", name="Bench sums").click()
    page.get_by_role("link", name="Winding at 20 °C").click()
    page.fill("#f-reading", "5.9 ± 0.1")
    page.fill("#f-temperature", "140 ± 9 °F")
    page.get_by_role("button", name="Work it out").click()
    figure = page.locator("details.figure").first
    assert "5.10 ± 0.15 Ω" in figure.inner_text()
    figure.locator("summary").click()
    assert "Temperature of the winding: 140 ± 9 °F = 60 °C" in figure.inner_text()
    assert page.input_value("#f-reading") == "5.9 ± 0.1"
    kept = page.url
    page.close()
    again = opened(browser, site, kept.removeprefix(site.address))
    assert "5.10 ± 0.15 Ω" in again.locator("main").inner_text()
    again.close()


@pytest.mark.parametrize(("theme", "system"), [("light", "metric"), ("dark", "inch")])
def test_every_example_fits_its_page(browser: Browser, site: Site, theme: str, system: str) -> None:
    page = opened(browser, site, "/sums", theme)
    wrong = cut_off(page)
    for name in SUMS:
        page.goto(f"{site.address}/sums/{name}?system={system}")
        page.get_by_role("link", name="Fill in an example").click()
        for fold in page.locator("details").all():
            fold.evaluate("one => one.open = true")
        wrong += [f"{name}: {one}" for one in cut_off(page)]
        targets = page.locator("form .entry, form button").all()
        heights = [target.evaluate("one => one.getBoundingClientRect().height") for target in targets]
        wrong += [f"{name}: {one * MM:.1f} mm high" for one in heights if one * MM < 17.9]
    page.close()
    assert wrong == []
