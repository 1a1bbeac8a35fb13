"""The housing of demo A from the first dowel to the hub, at tablet size, without script, by taps on the keypad alone.

Expected figures: the shared invented demo A (0.264 of 0.25 mm toward 10 o'clock, dowel 2 at 13.4 mm, then 0.081 mm).
Sizes: 18 mm on a tablet of 10.5 inches with 820 by 1180 pixels.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from countershaft.job.entry import HousingSwept, JobOpened
from tests.web.tablet import TABLET, Tablet

from .conftest import Site

pytestmark = pytest.mark.browser
MM = 10.5 * 25.4 / (820**2 + 1180**2) ** 0.5


def opened(site: Site) -> None:
    digest = next(row.digest for row in site.desk.definitions() if row.name.startswith("Demo A"))
    unit = site.desk.definition(digest)
    site.desk.open_job(JobOpened(tag="J1", vehicle="van", unit=unit.name, definition=digest), by="R. Bench")


def test_a_dowel_that_is_not_home_is_found_seated_and_swept_again(site: Site, browser: Browser) -> None:
    opened(site)
    context = browser.new_context(viewport={"width": 820, "height": 1180}, java_script_enabled=False)
    tablet = Tablet(context.new_page(), site.address)
    assert TABLET == {"width": 820, "height": 1180}

    tablet.page.goto(f"{site.address}/jobs/J1/inspect")
    tablet.tap("Housing to the crank")
    tablet.tap("Read how far the dowels stand out")
    _dowels(tablet, "10.0", "13.4")
    tablet.page.goto(f"{site.address}/jobs/J1/alignment")
    tablet.tap("Sweep the housing")
    tablet.pad("0.00", "-0.19", "-0.16", "0.02", "0.00", "0.09")
    tablet.tap("What it says, and what to do")
    words = tablet.words()
    assert "Dowel 2, lower right stands 13.40 mm instead of 9.70 mm to 10.30 mm: it is not home." in words
    assert "move the housing 0.13 mm toward 10 o'clock" in words and "offset end points" not in words
    small = [
        one.inner_text()
        for one in tablet.page.locator("main .action").all()
        if (box := one.bounding_box()) is not None and box["height"] < 18 / MM
    ]
    assert small == []
    tablet.tap("Dowel 2, lower right is seated: read it")
    tablet.pad("10.1")
    tablet.page.goto(f"{site.address}/jobs/J1/alignment")
    assert "was read again after this sweep: sweep again" in tablet.words()
    tablet.page.locator("main a.action-primary").click()
    tablet.pad("0.00", "-0.06", "-0.07", "-0.02", "0.00", "0.07")
    tablet.tap("What it says, and what to do")
    assert "Bore, face and dowels are as they should be." in tablet.words()
    bodies = site.desk.job("J1").state.bodies(HousingSwept)
    assert [(body.when, len(body.bore)) for body in bodies] == [("as found", 4), ("as left", 4)]
    context.close()


def _dowels(tablet: Tablet, *figures: str) -> None:
    """Two dowels are two entries, so that the keypad leads straight back."""
    for figure in figures:
        for sign in figure:
            with tablet.page.expect_navigation():
                tablet.page.locator(f'.key[value="digit:{sign}"]').click()
        with tablet.page.expect_navigation():
            tablet.page.locator('.key[value="next"]').last.click()
