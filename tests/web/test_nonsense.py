"""Nonsense typed into the pages: a clear word, the right status, and nothing that was typed is lost."""

from __future__ import annotations

import io
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image
from starlette.testclient import TestClient

from countershaft.desk.demo_bench import Clock, DemoBench
from countershaft.desk.demo_shop import START_OF_DEMO, diagnosed, six_speed
from countershaft.desk.desk import Desk
from countershaft.store.shop import Store, open_store
from countershaft.web.app import Settings, create_app


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = open_store(tmp_path / "shop", busy_seconds=0.2)
    yield opened
    opened.close()


@pytest.fixture
def bench(store: Store) -> DemoBench:
    desk = Desk(store, now=Clock(START_OF_DEMO))
    desk.shelve_library()
    made = six_speed(desk, "J1", vehicle="invented van", by="R. Bench")
    diagnosed(made)
    return made


@pytest.fixture
def client(store: Store, bench: DemoBench) -> Iterator[TestClient]:
    assert bench.tag == "J1"
    with TestClient(create_app(Desk(store), Settings(person="R. Bench", warm=lambda: None))) as opened:
        yield opened


@pytest.mark.parametrize(
    "path",
    [
        "/jobs/NONE",
        "/jobs/NONE/teardown",
        "/jobs/J1/teardown/T99",
        "/jobs/J1/build/T01",
        "/jobs/J1/joint/none",
        "/jobs/J1/fit/none",
        "/jobs/J1/enter/reading?key=none",
        "/jobs/J1/enter/finding?key=none",
        "/jobs/J1/enter/dance",
        "/files/0000",
        "/pictures/0000",
        "/no/such/page",
    ],
)
def test_what_is_not_there_says_so_and_leads_back(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert "Not here" in answer.text
    assert 'class="action action-primary" href="/' in answer.text


def test_a_wrong_figure_says_so_beside_its_field_and_keeps_the_rest(client: TestClient) -> None:
    sent = {
        "values": ["1.42", "x", "1.41"],
        "unit": "mm",
        "when": "as found",
        "instrument": "my micrometer",
        "resolution": "0.01",
    }
    answer = client.post("/jobs/J1/enter/reading?key=C02", data=sent)
    assert answer.status_code == 422
    assert "is no number; type a figure such as 0.36." in answer.text
    for kept in ('value="1.42"', 'value="x"', 'value="1.41"', 'value="my micrometer"'):
        assert kept in answer.text


def test_a_refusal_by_the_stage_keeps_what_was_typed(client: TestClient) -> None:
    answer = client.post("/jobs/J1/teardown/T08", data={"counted": "two, I think", "place": "J1-T9"})
    assert answer.status_code == 422
    assert "cannot be done yet. Before it:" in answer.text


def test_a_photo_that_is_no_picture_is_refused(client: TestClient) -> None:
    answer = client.post(
        "/jobs/J1/enter/photo?key=intake",
        data={"caption": "the tag"},
        files={"photo": ("a.jpg", b"no picture", "image/jpeg")},
    )
    assert answer.status_code == 422
    assert "The file is no JPEG, PNG or WebP picture" in answer.text
    assert 'value="the tag"' in answer.text
    assert client.post("/jobs/J1/enter/photo?key=intake", data={}).status_code == 422


def test_a_photo_is_kept_and_shown(client: TestClient) -> None:
    out = io.BytesIO()
    Image.linear_gradient("L").convert("RGB").save(out, "JPEG")
    answer = client.post(
        "/jobs/J1/enter/photo?key=intake",
        files={"photo": ("a.jpg", out.getvalue(), "image/jpeg")},
        follow_redirects=False,
    )
    assert answer.status_code == 303
    page = client.get("/jobs/J1/intake").text
    digest = page.partition("/pictures/")[2][:64]
    assert client.get(f"/pictures/{digest}").headers["content-type"] == "image/jpeg"


def test_a_form_sent_twice_writes_once(client: TestClient, store: Store) -> None:
    sent = {"entry_id": "a" * 32, "test": "codes read", "result": "none"}
    for _ in range(2):
        assert client.post("/jobs/J1/enter/test", data=sent, follow_redirects=False).status_code == 303
    assert sum(entry.id == "a" * 32 for entry in store.jobs.entries("J1")[0]) == 1


def test_a_locked_store_says_so_and_keeps_what_was_typed(client: TestClient, store: Store) -> None:
    other = sqlite3.connect(store.folder / "shop.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    sent = {"entry_id": "b" * 32, "test": "codes read", "result": "P0732 came back"}
    answer = client.post("/jobs/J1/enter/test", data=sent)
    assert answer.status_code == 503
    assert "Nothing was written; what was acknowledged before is safe" in answer.text
    assert "P0732 came back" in answer.text
    assert f'value="{"b" * 32}"' in answer.text
    other.execute("ROLLBACK")
    other.close()
    assert client.post("/jobs/J1/enter/test", data=sent, follow_redirects=False).status_code == 303


def test_a_form_from_another_site_is_refused(client: TestClient) -> None:
    answer = client.post(
        "/jobs/J1/enter/note", data={"words": "x"}, headers={"Origin": "http://elsewhere.test"}
    )
    assert answer.status_code == 403


@pytest.mark.usefixtures("bench")
def test_nobody_at_the_bench_is_asked_for_and_nothing_is_lost(store: Store) -> None:
    with TestClient(create_app(Desk(store), Settings(warm=lambda: None))) as client:
        answer = client.post("/jobs/J1/enter/note?key=intake", data={"words": "seen on the lift"})
        assert answer.status_code == 422
        assert "Say first who is at the bench" in answer.text
        assert "seen on the lift" in answer.text
        client.post("/person", data={"person": "Ö. Müller"})
        assert (
            client.post(
                "/jobs/J1/enter/note?key=intake", data={"words": "seen"}, follow_redirects=False
            ).status_code
            == 303
        )
    assert store.jobs.entries("J1")[0][-1].by == "Ö. Müller"


def test_a_new_job_with_faults_keeps_its_words(client: TestClient) -> None:
    answer = client.post(
        "/jobs/new", data={"tag": "a/b", "vehicle": "a van", "mileage_km": "many", "definition": ""}
    )
    assert answer.status_code == 422
    assert "use letters, digits, point, hyphen and underline only" in answer.text
    assert "is no whole number" in answer.text
    assert 'value="a van"' in answer.text


def test_every_answer_forbids_what_it_does_not_need(client: TestClient) -> None:
    answer = client.get("/")
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "<script" not in answer.text


def test_no_page_leads_away(client: TestClient) -> None:
    answer = client.post(
        "/theme", data={"theme": "dark", "back": "//elsewhere.test/"}, follow_redirects=False
    )
    assert answer.headers["location"] == "/"
    assert 'data-theme="dark"' in client.get("/").text


def test_a_dangerous_check_carries_its_signal_word(client: TestClient) -> None:
    """The stall speed names its hazard where its reading is typed."""
    assert "DANGER" in client.get("/jobs/J1/enter/reading?key=STALL").text
