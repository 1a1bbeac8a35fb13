"""The shop's own pages: instruments and rule.  Expected values: what was typed, and words for what was refused."""

from __future__ import annotations

import html
import re
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser
from starlette.testclient import TestClient

from countershaft.desk.desk import Desk
from countershaft.job.at_shop import InstrumentListed
from countershaft.store.shop import Store, open_store
from countershaft.web.app import Settings, create_app
from tests.web.conftest import Site

DIAL: dict[str, Any] = {
    "id": "I1", "name": "dial 1", "sort": "dial indicator", "unit": "mm", "resolution": "0,01",
    "permitted_error": "0.012", "calibrated": "2025-09-01", "due": "2026-09-01", "cable": "yes",
}  # fmt: skip


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An empty shop."""
    opened = open_store(tmp_path / "shop", busy_seconds=0.1)
    yield opened
    opened.close()


@pytest.fixture
def desk(store: Store) -> Desk:
    """Its desk, on 2 March 2026."""
    return Desk(store, now=lambda: datetime(2026, 3, 2, 8, tzinfo=UTC))


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    """Somebody at a tablet."""
    with TestClient(create_app(desk, Settings(person="R. Bench", warm=lambda: None))) as opened:
        yield opened


def put(desk: Desk, **changed: Any) -> None:
    """List an instrument that differs from the dial in what is given."""
    body = {**DIAL, **changed}
    desk.append_shop(
        InstrumentListed.model_validate({**body, "cable": body["cable"] == "yes"}), by="R. Bench"
    )


def read(client: TestClient, address: str) -> str:
    """The words of a page."""
    answer = client.get(address)
    assert answer.status_code == 200
    return " ".join(re.sub(r"<[^>]+>", " ", html.unescape(answer.text)).split())


def test_the_list_says_in_words_what_is_due(client: TestClient, desk: Desk) -> None:
    """Ran out, due soon, no dates and in calibration, each under its heading, the most pressing first."""
    put(desk)
    put(desk, id="I2", name="feelers", sort="feeler gauges", due="2026-03-20", cable="")
    put(desk, id="I3", name="depth 300", sort="depth gauge", due="2026-02-20", cable="")
    put(desk, id="I4", name="old scale", sort="spring scale", unit="N", calibrated=None, due=None, cable="")
    words = read(client, "/shop/instruments")
    assert "4 instruments in use. Next due: I2 feelers on 2026-03-20, in 18 days." in words
    order = ["Calibration ran out", "I3 depth 300", "Due within 30 days", "I2 feelers", "No dates of calibration",
             "I4 old scale", "In calibration", "I1 dial 1"]  # fmt: skip
    places = [words.index(one, words.index("Rule:")) for one in order]
    assert places == sorted(places)
    assert (
        "Its calibration ran out on 2026-02-20, 10 days before. Have it calibrated, or use another." in words
    )
    assert "dial indicator · step 0.01 mm · may be off 0.012 mm · zero not known · cable" in words


def test_an_empty_list_says_what_it_is_for(client: TestClient) -> None:
    """Nobody stands before an empty page."""
    assert "No instrument is listed yet. A reading on a listed one carries its error" in read(
        client, "/shop/instruments"
    )
    assert 'href="/shop/enter/add"' in client.get("/shop/instruments").text


def test_the_first_page_leads_to_the_list(client: TestClient, desk: Desk) -> None:
    """And says what presses."""
    assert '<a class="action action-quiet" href="/shop/instruments">Instruments</a>' in client.get("/").text
    put(desk, due="2026-02-20")
    assert "Instruments: 1 ran out" in client.get("/").text


def test_an_instrument_is_listed_once_however_often_it_is_sent(client: TestClient, desk: Desk) -> None:
    """The same form twice, as a lost answer makes it."""
    page = client.get("/shop/enter/add").text
    (sent,) = re.findall(r'name="entry_id" value="([0-9a-f]{32})"', page)
    assert 'value="I1"' in page, "the next mark stands there"
    for _ in range(2):
        answer = client.post("/shop/enter/add", data={**DIAL, "entry_id": sent}, follow_redirects=False)
        assert (answer.status_code, answer.headers["location"]) == (303, "/shop/instruments")
    dial = desk.shop().instruments["I1"].listed
    assert (dial.name, str(dial.resolution), dial.cable, dial.zero_offset) == ("dial 1", "0.01", True, None)
    assert len(desk.shop().entries) == 1


def test_every_fault_stands_at_its_field_and_nothing_typed_is_lost(client: TestClient, desk: Desk) -> None:
    """Names twice, no step, a negative error, dates turned round: all told at once."""
    put(desk)
    sent = {
        **DIAL,
        "resolution": "0",
        "permitted_error": "-0.02",
        "due": "2025-01-01",
        "note": "by the press",
    }
    answer = client.post("/shop/enter/add", data=sent)
    words = html.unescape(answer.text)
    assert answer.status_code == 422
    for fault in (
        "Mark on it: I1 is the mark of dial 1 already; a mark is never given twice. Take I2.",
        "What you call it: I1 is called 'dial 1' already.",
        "One step of its scale: One step of the scale is 0; it must be above 0.",
        "It may be off, either way, by: The permitted error is -0.02; it counts both ways, so type it without a sign",
        "Next calibration: The next calibration (2025-01-01) is not after the last (2025-09-01)",
    ):
        assert fault in words
    assert 'value="-0.02"' in words and "by the press" in words and 'value="yes" checked' in words
    assert len(desk.shop().instruments) == 1


def test_what_is_missing_or_no_date_is_said(client: TestClient) -> None:
    """An empty form, and a date that no calendar has."""
    answer = client.post("/shop/enter/add", data={"id": "I1", "calibrated": "2026-02-30", "due": "soon"})
    words = html.unescape(answer.text)
    assert answer.status_code == 422
    assert "What you call it: this is needed." in words and "It shows: this is needed." in words
    assert "Calibrated on: '2026-02-30' is no date; type year, month and day, as 2026-03-02." in words
    assert "Next calibration: 'soon' is no date" in words


def test_a_calibration_is_typed_and_the_dates_move(client: TestClient, desk: Desk) -> None:
    """Today stands there already; an error beyond the permitted is refused."""
    put(desk, due="2026-02-20")
    form = client.get("/shop/enter/calibrate?key=I1").text
    assert "I1 dial 1 was calibrated" in form and 'value="2026-03-02"' in form
    sent = {"calibrated": "2026-03-02", "due": "2027-03-02", "error_found": "0.02", "zero_offset": "0.01"}
    answer = client.post("/shop/enter/calibrate?key=I1", data=sent)
    assert answer.status_code == 422
    assert (
        "found 0.02 mm, more than the permitted 0.012 mm. Have it set right, retire it, or type"
        in answer.text
    )
    sent["error_found"] = "0.008"
    assert client.post("/shop/enter/calibrate?key=I1", data=sent, follow_redirects=False).status_code == 303
    words = read(client, "/shop/instruments")
    assert "Calibrated to 2027-03-02." in words and "zero 0.01 mm" in words
    assert "largest error found 0.008 mm" in words
    assert "2026-03-02 08:00 I1 dial 1 calibrated on 2026-03-02, due on 2027-03-02 (R. Bench)" in words


def test_a_retired_one_stays_on_the_page_with_its_reason(client: TestClient, desk: Desk) -> None:
    """Sent twice it is retired once; a second reason is refused."""
    put(desk)
    sent = {"reason": "worn or damaged", "because": "stem bent", "entry_id": "a" * 32}
    for _ in range(2):
        answer = client.post("/shop/enter/retire?key=I1", data=sent, follow_redirects=False)
        assert answer.status_code == 303
    words = read(client, "/shop/instruments")
    assert "Retired 2026-03-02 08:00 I1 dial 1 retired: worn or damaged: stem bent (R. Bench)" in words
    again = client.post(
        "/shop/enter/calibrate?key=I1", data={"calibrated": "2026-03-01", "due": "2027-03-01"}
    )
    assert again.status_code == 422 and "I1 dial 1 was retired on 2026-03-02" in again.text
    assert "I1 dial 1 was retired on 2026-03-02" in client.get("/shop/enter/retire?key=I1").text
    assert 'value="I2"' in client.get("/shop/enter/add").text, "its mark is not given again"


def test_the_rule_is_explained_by_one_reading_and_changed(client: TestClient, desk: Desk) -> None:
    """0.068 of at most 0.07 mm: good by the plain rule, measure again by the guarded one."""
    words = read(client, "/shop/rule")
    assert "It decides guarded . Nobody has chosen it; the careful one stands." in words
    guarded, plain = words[words.index("Guarded") :].split("Plain", 1)
    assert "measure again" in guarded and "reaches into the guard band at 0.070 mm" in guarded
    assert "good" in plain and "lies inside 0.020 to 0.070 mm" in plain
    refused = client.post("/shop/rule", data={"rule": "plain"})
    assert refused.status_code == 422 and "Because: this is needed." in refused.text
    sent = {"rule": "plain", "because": "the contract of the fleet says so"}
    assert client.post("/shop/rule", data=sent, follow_redirects=False).headers["location"] == "/shop/rule"
    assert desk.shop().rule == "plain"
    assert "It decides plain . Said by R. Bench on 2026-03-02." in read(client, "/shop/rule")


def test_a_busy_store_keeps_what_was_typed(client: TestClient, store: Store) -> None:
    """Nothing is acknowledged, the form stands as it was, and the same may be sent again."""
    other = sqlite3.connect(store.folder / "shop.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    answer = client.post("/shop/enter/add", data=DIAL)
    other.execute("ROLLBACK")
    other.close()
    assert (
        answer.status_code == 503 and "Nothing was written" in answer.text and 'value="dial 1"' in answer.text
    )
    assert client.post("/shop/enter/add", data=DIAL, follow_redirects=False).status_code == 303


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("/shop/enter/sell", "There is no form 'sell'."),
        ("/shop/enter/retire?key=I9", "There is no instrument 'I9' in this shop."),
    ],
)
def test_what_is_not_there_is_said(client: TestClient, address: str, words: str) -> None:
    """A mistyped address leads on."""
    answer = client.get(address)
    assert answer.status_code == 404 and words in html.unescape(answer.text)


def test_nobody_writes_without_a_name(desk: Desk) -> None:
    """Who is at the bench must be known; what was typed stays."""
    with TestClient(create_app(desk, Settings(warm=lambda: None))) as nameless:
        answer = nameless.post("/shop/enter/add", data=DIAL)
    assert answer.status_code == 422 and "Say first who is at the bench" in answer.text
    assert 'value="dial 1"' in answer.text and desk.shop().entries == ()


def test_the_whole_way_with_a_glove(browser: Browser, site: Site) -> None:
    """An instrument is listed by taps and a few words; everything to touch is 18 mm high, and nothing is cut off."""
    page = browser.new_page(viewport={"width": 820, "height": 1180})
    page.goto(site.address)
    page.get_by_role("link", name="Instruments").click()
    page.get_by_role("link", name="Another instrument").click()
    page.get_by_label("What you call it").fill("dial 1")
    page.get_by_role("radio", name="dial indicator").click()
    page.locator("#f-unit").select_option("mm")
    page.get_by_label("One step of its scale").fill("0.01")
    page.get_by_label("It may be off").fill("0.012")
    page.get_by_role("checkbox", name="It types its value").click()
    for control in page.locator(".tile, .action").all():
        box = control.bounding_box()
        assert box is None or box["height"] >= 68, control.inner_text()
    page.get_by_role("button", name="Put it on the list").click()
    assert "I1 dial 1" in page.inner_text("main") and "No dates of calibration" in page.inner_text("main")
    for address in ("/shop/instruments", "/shop/rule", "/shop/enter/retire?key=I1"):
        page.goto(site.address + address)
        assert page.evaluate("document.documentElement.scrollWidth") <= 820
    page.close()
