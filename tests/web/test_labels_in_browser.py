"""Labels on paper, in a real browser.

Expected values: sizes of paper: ISO 216 (A4, 210 mm × 297 mm) and US letter (8.5 in × 11 in); a CSS inch is 96 px and
25.4 mm (CSS Values and Units 3); the codes are read back by an independent reader (zxing-cpp); labels and sheets are
counted by hand.
"""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser

from countershaft.cli.job import job as job_commands
from countershaft.desk.demo_shop import six_speed
from countershaft.job.tags import job_tag
from countershaft.web.pages.first import resume_href
from tests.web.conftest import Site

pytestmark = pytest.mark.browser
MM = 25.4 / 96


def pages(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height [pt] of every page of a PDF that the browser wrote."""
    found = re.findall(rb"/Type /Page\b[^s].*?/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf, flags=re.DOTALL)
    assert len(found) == len(re.findall(rb"/Type /Page\b[^s]", pdf))
    return [(float(width), float(height)) for width, height in found]


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
@pytest.mark.parametrize(("spare", "sheets"), [(0, 1), (23, 1), (24, 2), (48, 3)])
def test_each_sheet_is_one_page_of_whatever_paper(
    site: Site, browser: Browser, paper: str, size: tuple[int, int], spare: int, sheets: int
) -> None:
    """The job and its spare trays; twenty-four to a sheet."""
    six_speed(site.desk, "0412", vehicle="pick-up", by="R. Bench")
    page = browser.new_page()
    page.goto(f"{site.address}/jobs/0412/labels?spare={spare}&what=job&what=tray")
    assert page.locator(".label").count() == 1 + spare
    found = pages(page.pdf(format=paper))
    assert len(found) == sheets
    assert found == [pytest.approx(size, abs=2)] * sheets, "the browser rounds up to whole pixels"
    page.close()


def test_only_labels_are_printed_each_in_its_size_and_each_is_read(site: Site, browser: Browser) -> None:
    six_speed(site.desk, "0412", vehicle="pick-up that tows a caravan", by="R. Bench")
    page = browser.new_page(
        viewport={"width": 820, "height": 1180}, device_scale_factor=2, color_scheme="dark"
    )
    page.goto(f"{site.address}/jobs/0412/labels?spare=5")
    page.emulate_media(media="print")
    shown = page.evaluate(
        "[...document.querySelectorAll('h1, p, a, form, header, footer')]"
        ".filter(e => e.offsetParent !== null && !e.closest('.label')).map(e => e.tagName)"
    )
    assert shown == []
    boxes = page.locator(".label").evaluate_all(
        "all => all.map(e => [e.offsetWidth, e.offsetHeight, e.scrollHeight, e.querySelector('svg').clientWidth,"
        " +e.querySelector('svg').getAttribute('viewBox').split(' ')[2]])"
    )
    for width, height, needed, code, modules in boxes:
        assert (width * MM, height * MM) == (pytest.approx(63, abs=0.3), pytest.approx(32, abs=0.3))
        assert needed <= height
        assert code * MM * (modules - 8) / modules >= 20
    read = {
        one.text for one in zxingcpp.read_barcodes(Image.open(io.BytesIO(page.screenshot(full_page=True))))
    }
    codes = [text.strip() for text in page.locator(".label-code").all_inner_texts()]
    assert read == {f"{site.address}/t/{code.replace('*', '%2A')}" for code in codes}
    assert len(read) == 6
    for address in sorted(read):
        assert page.request.get(address).ok
    page.close()


def test_the_file_that_the_command_writes_prints_alike(site: Site, browser: Browser, tmp_path: Path) -> None:
    six_speed(site.desk, "0412", vehicle="pick-up", by="R. Bench")
    out = tmp_path / "labels.html"
    command = ["labels", "0412", "--address", "http://192.168.1.5:8765", "--spare", "24", "--out", str(out)]
    job_commands.main([*command, "--shop", str(site.folder)], standalone_mode=False)
    page = browser.new_page()
    page.goto(out.as_uri())
    assert len(pages(page.pdf(format="A4"))) == 2
    assert len(pages(page.pdf(format="Letter"))) == 2
    width, height = page.locator(".label").first.evaluate("e => [e.offsetWidth, e.offsetHeight]")
    assert (width * MM, height * MM) == (pytest.approx(63, abs=0.3), pytest.approx(32, abs=0.3))
    page.close()


def test_a_scanner_that_types_opens_the_job(site: Site, browser: Browser) -> None:
    """It types the code into the field that has the focus, and ends with Enter; nothing is touched."""
    six_speed(site.desk, "0412", vehicle="pick-up", by="R. Bench")
    goes_on = resume_href("0412", site.desk.progress("0412").resume)
    page = browser.new_page(viewport={"width": 820, "height": 1180})
    for text in (job_tag("0412").code, f"{site.address}{job_tag('0412').path}"):
        page.goto(site.address)
        assert page.evaluate("[document.activeElement.name, window.scrollY]") == ["code", 0]
        page.keyboard.type(text)
        page.keyboard.press("Enter")
        page.wait_for_url(f"{site.address}{goes_on}")
    page.close()
