"""Bench sums in a job, by form: asked from inspect, answered there.

Expected values: copper of IEC 60028 by hand: (11.5 − 0.2) Ω · (1 + 0.00393 · 4) / (1 + 0.00393 · 30) = 10.267 Ω at
24 °C, where the invented limit of demo B (8.0 to 12.0 Ω) holds.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from countershaft.definitions.library import library_text
from countershaft.desk.desk import Desk
from countershaft.job.entry import JobOpened, Worked
from countershaft.store.shop import open_store
from countershaft.sums.register import SUMS
from countershaft.web.app import Settings, create_app


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    store = open_store(tmp_path / "shop")
    desk = Desk(store)
    digest = desk.add_definition(library_text("demo-b"), file="demo-b.yaml")
    desk.open_job(JobOpened(tag="J1", vehicle="van", unit="demo", definition=digest), by="R. Bench")
    yield desk
    store.close()


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with TestClient(create_app(desk, Settings(person="R. Bench", warm=lambda: None))) as opened:
        yield opened


def page(client: TestClient, address: str) -> str:
    """A page as it reads."""
    return html.unescape(client.get(address).text)


def test_a_check_leads_to_the_sum_that_answers_it(client: TestClient, desk: Desk) -> None:
    inspect = page(client, "/jobs/J1/inspect")
    block = inspect[inspect.index("solenoid C resistance") :]
    found = re.search(r'href="([^"]+)">Work it out: Winding at 20 °C</a>', block)
    assert found
    pad = page(client, found[1])
    assert "8.0 to 12.0 Ω" in pad
    address = re.search(r'href="([^"]+)">Type all at once</a>', pad)
    assert address
    form = page(client, address[1])
    assert "8.0 to 12.0 Ω" in form
    assert 'value="24 °C"' in form, "the limit holds there"
    sent = {
        "reading": "11.5", "reading_off": "0.1", "temperature": "50", "temperature_off": "5", "leads": "0.2",
        "wanted": "24 °C", "system": "metric", "when": "as found",
    }  # fmt: skip
    assert client.post(address[1], data=sent, follow_redirects=False).status_code == 303
    (body,) = desk.job("J1").state.bodies(Worked)
    assert body.limit == "C10"
    assert body.typed == {
        "reading": "11.5 ± 0.1 Ω",
        "temperature": "50 ± 5 °C",
        "leads": "0.2 Ω",
        "wanted": "24 °C",
    }
    after = page(client, "/jobs/J1/inspect")
    assert "Resistance at 24 °C" in after
    assert "10.27 ± " in after
    assert "Worked out" in after
    assert "at 24 °C: (11.5 − 0.2) Ω" in after
    block = after[after.index("solenoid C resistance") :]
    assert "verdict-good" in block[: block.index("</li>")]
    assert "Winding at 20 °C; solenoid C resistance; as found; Reading 11.5 ± 0.1 Ω" in page(
        client, "/jobs/J1/log"
    )


def test_every_sum_is_offered_and_its_form_takes_its_example(client: TestClient, desk: Desk) -> None:
    inspect = page(client, "/jobs/J1/inspect")
    for one in SUMS.values():
        found = re.search(rf'href="([^"]+)">{re.escape(one.title)}</a>', inspect)
        assert found, one.name
        form = page(client, found[1])
        assert all(words in form for _, words in one.cautions)
        for system in ("metric", "inch"):
            typed = {field.name: field.shown(inch=system == "inch") for field in one.fields if field.needed}
            answer = client.post(
                found[1], data={**typed, "system": system, "when": "as found"}, follow_redirects=False
            )
            assert answer.status_code == 303, (one.name, system, answer.text)
    assert len(desk.job("J1").state.bodies(Worked)) == 2 * len(SUMS)
    assert page(client, "/jobs/J1/inspect").count("<h3>Press fit</h3>") == 2


def test_faults_stand_at_their_fields_and_what_was_typed_is_kept(client: TestClient, desk: Desk) -> None:
    address = "/jobs/J1/enter/sum?key=o-ring"
    typed = {"inside": "50", "section": "1,234", "seat": "", "room": "2.9", "width": "x", "width_off": "0.1"}
    answer = client.post(address, data=typed)
    text = html.unescape(answer.text)
    assert answer.status_code == 422
    assert "Section of the free ring: '1,234' can be 1.234 mm or 1234 mm." in text
    assert "Diameter that it sits on: is needed" in text
    assert 'value="1,234"' in text
    refused = client.post(address, data={**typed, "section": "3.5", "seat": "90", "width": "4.8"})
    assert "Diameter that it sits on: the stretch of an O-ring is 80 %" in html.unescape(refused.text)
    alone = client.post(address, data={"inside_off": "0.1"})
    assert "Inside of the free ring itself is not typed" in html.unescape(alone.text)
    assert desk.job("J1").state.bodies(Worked) == ()


def test_what_was_looked_up_is_offered_again_and_what_was_measured_is_not(client: TestClient) -> None:
    address = "/jobs/J1/enter/sum?key=wear"
    typed = {"size": "14.041", "new": "14.000", "limit": "14.050", "wears": "grows", "when": "as found"}
    assert client.post(address, data=typed, follow_redirects=False).status_code == 303
    form = page(client, address)
    assert 'value="14.050 mm"' in form
    assert "14.041" not in form.replace("Such as 14.041 mm.", "")


def test_the_keypad_walks_through_a_sum_and_shows_its_answer(client: TestClient, desk: Desk) -> None:
    """10.4489 Ω at 24 °C, by hand: 11.5 · 1.01572 / 1.1179."""
    address = "/jobs/J1/measure/sum?key=winding for C10"
    shown = client.get(address)
    assert shown.status_code == 200
    for figure in ("11.5", "50", ""):
        pad = html.unescape(shown.text)
        hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', pad))
        shown = client.post(shown.url, data={**hidden, "typed": figure, "tap": "next"})
        assert shown.status_code == 200, shown.text
    page_ = html.unescape(shown.text)
    assert desk.job("J1").state.bodies(Worked)[0].typed["reading"] == "11.5 Ω"
    assert "10.4" in page_
    assert "Temperature of the winding" in page_
    assert "verdict-good" in page_


def test_a_sum_that_tells_nothing_of_a_check_is_not_there(client: TestClient) -> None:
    assert client.get("/jobs/J1/enter/sum?key=wear for C10").status_code == 404
    assert client.get("/jobs/J1/enter/sum?key=tea").status_code == 404
    assert client.get("/jobs/J1/enter/sum?key=winding for nothing").status_code == 404
