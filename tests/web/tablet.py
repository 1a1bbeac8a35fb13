"""Somebody who taps and types at a tablet, in a real browser."""

from __future__ import annotations

from pathlib import Path
from typing import Final
from urllib.parse import urlencode

from playwright.sync_api import Locator, Page

__all__ = ["OUTPUT", "TABLET", "Tablet"]

TABLET: Final = {"width": 820, "height": 1180}
OUTPUT: Final = Path(__file__).parents[2] / "test-output"


class Tablet:
    """A tablet that shows the app at an address; pictures of its pages are kept in test-output/."""

    def __init__(self, page: Page, address: str) -> None:
        self.page, self.address = page, address
        self.trouble: list[str] = []
        page.on(
            "console",
            lambda message: self.trouble.append(message.text) if "422" not in message.text else None,
        )
        page.on("pageerror", lambda error: self.trouble.append(str(error)))

    def open(self, path: str) -> None:
        """Go to a page of the app; it must answer and must not be wider than the tablet."""
        answer = self.page.goto(f"{self.address}{path}")
        assert answer is not None and answer.status == 200, f"{path} answered {answer and answer.status}"
        self.look()

    def look(self) -> None:
        """Nothing is cut off at the side, and no script or style was refused."""
        width = self.page.evaluate("document.documentElement.scrollWidth")
        assert width <= TABLET["width"], f"{self.page.url} is {width} px wide"
        assert not self.trouble, f"{self.page.url}: {self.trouble}"

    def follow(self, where: Locator) -> None:
        """Tap what leads to a page, and wait until that page is there: a tap alone returns before it is."""
        with self.page.expect_navigation():
            where.click()

    def tap(self, words: str) -> None:
        """Tap a button or link by its words."""
        self.follow(self.page.get_by_text(words, exact=True).first)

    def type(self, name: str, text: str) -> None:
        """Type into a field by its name."""
        self.page.locator(f'[name="{name}"]').first.fill(text)

    def pick(self, name: str, value: str) -> None:
        """Tap a tile of a choice or of ticks."""
        self.page.locator(f'input[name="{name}"][value="{value}"]').check(force=True)

    def readings(self, name: str, values: tuple[str, ...]) -> None:
        """Type several readings side by side."""
        cells = self.page.locator(f'input[name="{name}"]')
        for number in range(cells.count()):
            cells.nth(number).fill(values[number % len(values)])

    def pad(self, *values: str) -> None:
        """Take figures on the keypad with taps only: from the strip where it shows them, else digit by digit.

        A form that asks for more gets the last figure at every other place; what need not be read stays open.
        The verdict, or what follows from the figures, is on the page afterwards.
        """
        for value in values:
            if not self._key(f"take:{value}"):
                self._digits(value)
            self.look()
            if self.page.locator(".doubt").count():
                assert self._key("unit:mm", ".action") or self._key("unit:kPa", ".action"), self.words()
        while "saved=" not in self.page.url and not self._key("finish"):
            self._digits(values[-1])
        assert "saved=" in self.page.url, self.words()

    def _digits(self, value: str) -> None:
        for sign in value.removeprefix("-"):
            assert self._key(f"digit:{sign}"), self.words()
        if value.startswith("-"):
            assert self._key("sign"), self.words()
        assert self._key("next"), self.words()

    def _key(self, tap: str, kind: str = ".key") -> bool:
        """Tap a key where the page has it."""
        key = self.page.locator(f'{kind}[value="{tap}"]')
        if not key.count():
            return False
        self.follow(key.first)
        return True

    def figures(self, *values: str) -> None:
        """Type figures on the keypad as an instrument on a cable does: each with Enter, the last one writes."""
        for value in values:
            self.cable(value)
        assert "saved=" in self.page.url, self.words()

    def cable(self, value: str) -> None:
        """One value and Enter from an instrument on a cable, as soon as the page listens for it."""
        self.page.locator("#f-typed:focus").wait_for()
        self.page.keyboard.type(value)
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")
        self.look()

    def send(self) -> None:
        """Tap the primary button and see the form accepted."""
        self.follow(self.page.locator("main button.action-primary").first)
        assert self.page.locator(".errors").count() == 0, self.page.locator(".errors").inner_text()
        self.look()

    def refused(self) -> str:
        """Tap the primary button and see the form come back; what has to be mended."""
        self.follow(self.page.locator("main button.action-primary").first)
        assert self.page.locator(".errors").count() == 1, f"{self.page.url} took what it had to refuse"
        self.look()
        return self.page.locator(".errors").inner_text()

    def post(self, path: str, pairs: list[tuple[str, str]]) -> int:
        """Send a form without opening its page; the status of the answer."""
        answer = self.page.request.post(
            f"{self.address}{path}",
            data=urlencode(pairs),
            headers={"content-type": "application/x-www-form-urlencoded"},
            max_redirects=0,
        )
        return answer.status

    def words(self) -> str:
        """What the page says."""
        return self.page.locator("main").inner_text()

    def keep(self, name: str) -> None:
        """Keep a picture of the page."""
        OUTPUT.mkdir(exist_ok=True)
        self.page.screenshot(path=OUTPUT / f"{name}.png", full_page=True)

    @property
    def path(self) -> str:
        """Where the tablet is."""
        return self.page.url.removeprefix(self.address)
