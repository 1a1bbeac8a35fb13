"""The order of work under a glove, without script: sizes are the design's, the walk is by hand on demo B.

T08 can be done with a three-legged puller instead of slide hammers; P030 (springs) goes on in the build from A02 on.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from countershaft.job.entry import JobOpened, StepDone

from .conftest import Site

pytestmark = pytest.mark.browser
MM = 10.5 * 25.4 / (820**2 + 1180**2) ** 0.5

SMALL = """least => [...document.querySelectorAll('.order summary, .order a.order-link, .action, .gear, select')]
  .filter(e => e.offsetParent && !e.closest('footer')).map(e => [e.innerText.slice(0, 40), e.getBoundingClientRect()])
  .filter(([, box]) => box.height < least || box.width < least).map(([text]) => text)"""


def test_a_late_part_and_a_missing_tool_are_said_and_the_order_goes_round_them(
    site: Site, browser: Browser
) -> None:
    digest = next(row.digest for row in site.desk.definitions() if row.name.startswith("Demo B"))
    unit = site.desk.definition(digest)
    site.desk.open_job(JobOpened(tag="J1", vehicle="van", unit=unit.name, definition=digest), by="R. Bench")
    site.desk.append("J1", StepDone(step="T00", written="as drawn"), by="R. Bench")
    bench = browser.new_context(viewport={"width": 820, "height": 1180}, java_script_enabled=False)
    looking = browser.new_context(viewport={"width": 820, "height": 1180})
    page, seen = bench.new_page(), looking.new_page()
    page.goto(f"{site.address}/jobs/J1")
    page.click("text=What can be done now")
    assert "T01" in page.inner_text(".order")
    page.click("a:has-text('A step cannot be done')")
    page.select_option("select[name=step]", "T08/as-written")
    page.check("input[value='tool not here']")
    page.click("button:has-text('Save')")
    page.click("a:has-text('A part is late')")
    page.select_option("select[name=part]", "P030")
    page.fill("input[name=until]", "Thursday")
    page.click("button:has-text('Save')")
    assert "expected Thursday" in page.inner_text("main")
    page.click("a:has-text('The whole order')")
    assert "pulled with the three-legged pump puller" in page.inner_text(".order")
    page.click("a:has-text('Follow this order')")
    page.click("button:has-text('Follow it')")
    assert page.url.endswith("/jobs/J1/teardown")
    page.goto(f"{site.address}/jobs/J1/order?phase=build")
    assert "It alone blocks" in page.inner_text("main")
    for path in (
        f"/files/{digest}/plan",
        "/jobs/J1/order",
        "/jobs/J1/order/plan?people=2",
        "/jobs/J1/order/plan?reach=P046",
    ):
        seen.goto(f"{site.address}{path}")
        assert seen.evaluate("document.documentElement.scrollWidth") == 820, path
        assert seen.evaluate(SMALL, 17.9 / MM) == [], path
    bench.close()
    looking.close()
