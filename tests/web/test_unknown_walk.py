"""A unit that no file describes, logged in a browser in three taps each, and the second one guided by it.

What it proves: on a tablet a removal is three taps and no more; the log becomes a file; the next job on it opens at the
step that came first, and stops where it would be taken apart otherwise.  Expected values: what was tapped, in that
order (by hand).  Pictures of the pages are kept in test-output/ to be looked at.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from countershaft.job.entry import StepDone
from tests.web.conftest import Site
from tests.web.tablet import TABLET, Tablet

pytestmark = pytest.mark.browser

#: What, how many, and the words of the place's button; a word that is not offered yet is typed once.
REMOVALS = (
    ("oil pan", 1, "To the mat"),
    ("filter", 1, "To the mat"),
    ("valve body", 1, "To new tray 1"),
    ("check ball", 3, "To tray 1"),
    ("oil pump", 1, "To new tray 2"),
    ("thrust washer", 1, "To tray 2"),
    ("input drum", 1, "To the mat"),
    ("thrust washer", 1, "To the mat"),
    ("snap ring", 2, "To the mat"),
)


class Gloves(Tablet):
    """A tablet that counts its taps."""

    taps = 0

    def tile(self, name: str, value: str) -> None:
        """Tap a tile where it stands on the screen, as a finger does."""
        self.page.locator(f'label.tile:has(input[name="{name}"][value="{value}"])').click()
        self.taps += 1

    def button(self, words: str) -> None:
        """Tap a button that leads on."""
        self.follow(self.page.get_by_role("button", name=words, exact=True))
        self.taps += 1
        assert self.page.locator(".errors").count() == 0, self.page.locator(".errors").inner_text()
        self.look()


@pytest.fixture
def tablet(browser: Browser, site: Site) -> Gloves:
    """A tablet in front of an empty shop."""
    context = browser.new_context(viewport=TABLET, has_touch=True)
    context.set_default_timeout(10_000)
    return Gloves(context.new_page(), site.address)


def new_job(tablet: Gloves, tag: str, unit: str) -> None:
    """A new job from the first page."""
    tablet.open("/")
    tablet.tap("New job")
    tablet.type("tag", tag)
    tablet.type("vehicle", "invented van")
    tablet.page.get_by_label(unit).first.check(force=True)
    if unit.startswith("No file"):
        tablet.type("called", "grey box")
        tablet.keep("u-01-new-job")
    tablet.send()
    tablet.open(f"/jobs/{tag}/teardown")


def test_an_unknown_unit_is_logged_and_guides_the_second_job(tablet: Gloves, site: Site) -> None:
    new_job(tablet, "0900", "No file")
    tablet.keep("u-02-nothing-logged")
    for number, (what, count, place) in enumerate(REMOVALS, start=1):
        took_off(tablet, what, count, place)
        assert f"Logged: {count} × {what}" in tablet.words()
        assert tablet.page.locator("tbody tr").count() == number
    tablet.keep("u-03-nine-logged")
    tablet.button("All is off")
    tablet.keep("u-04-all-is-off")
    tablet.tap("Write a file from this teardown")
    tablet.keep("u-05-draft")
    tablet.send()
    tablet.keep("u-06-file")
    assert "grey box" in tablet.words()

    new_job(tablet, "0901", "grey box")
    tablet.keep("u-07-guided")
    assert tablet.page.locator("main h1").inner_text() == "T01 oil pan"
    tablet.send()
    assert tablet.page.locator("main h1").inner_text() == "T02 filter"
    out_of_turn(tablet)
    for _ in range(20):
        if tablet.page.get_by_role("button", name="Done", exact=True).count() == 0:
            break
        tablet.send()
    tablet.open("/jobs/0901/draft")
    tablet.keep("u-09-second-draft")
    assert "A file from 2 teardowns" in tablet.words()
    second = [body.step for body in site.desk.job("0901").state.bodies(StepDone)]
    assert second[:3] == ["T01", "T03", "T02"] and len(second) == len(REMOVALS)


def took_off(tablet: Gloves, what: str, count: int, place: str) -> None:
    """Three taps; the first time a word is new, it is typed instead of tapped."""
    before, offered = tablet.taps, tablet.page.locator(f'input[name="what"][value="{what}"]').count()
    if offered:
        tablet.tile("what", what)
    else:
        tablet.type("other", what)
    tablet.tile("count", str(count))
    tablet.button(place)
    assert tablet.taps - before == (3 if offered else 2)


def out_of_turn(tablet: Gloves) -> None:
    """The valve body comes off before the filter: the page says that it was otherwise until now, and takes a tick."""
    tablet.open("/jobs/0901/teardown/T03")
    told = tablet.refused()
    assert "By the teardown that was watched, this came before T03: T02 filter" in told
    tablet.keep("u-08-out-of-turn")
    tablet.pick("ahead", "T02")
    tablet.send()
    assert tablet.page.locator("main h1").inner_text() == "T02 filter"
