"""A comparison from its first form to what came out; E_n by hand as in tests/stages/test_comparing.py."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.desk import new_entry_id
from tests.web.one_job import one_job

DEMO = read_transmission(library_text("demo-b"), "demo-b.yaml")
LIMIT = next(limit for limit in DEMO.limits if limit.unit == "mm" and limit.min and limit.max)


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    with one_job(tmp_path, DEMO) as (opened, _):
        yield opened


def send(client: TestClient, form: str, key: str = "", **fields: object) -> str:
    found = client.post(
        f"/jobs/J-1/enter/{form}?key={key}",
        data={"entry_id": new_entry_id(), **fields},
        follow_redirects=True,
    )
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", found.text))


def measured(client: TestClient, person: str, piece: int, *values: str) -> str:
    told = {
        "turn": f"{person} / {piece}",
        "values": values,
        "instrument": "dial",
        "resolution": "0.01",
        "unit": "mm",
    }
    return send(client, "blind", "K1", **told)


def test_two_people_measure_blind_and_are_then_compared(client: TestClient) -> None:
    assert "Begin a comparison" in client.get("/jobs/J-1/compare").text
    assert "Compare people" in client.get("/jobs/J-1/inspect").text
    begun = send(client, "comparison", limit=LIMIT.id, people="Ana, Ben", pieces="2", trials="2")
    assert "Ana, Ben" not in begun and "Ana and Ben: 0 of 4 turns are taken" in begun
    assert LIMIT.min is not None and LIMIT.max is not None
    middle = (LIMIT.min.to("mm") + LIMIT.max.to("mm")) / 2
    first, second = f"{middle:.2f}", f"{middle + 0.02:.2f}"
    for person, piece in (("Ana", 1), ("Ana", 2), ("Ben", 2)):
        page = measured(client, person, piece, first, first)
        assert "is shown when the last" in page and "E_n" not in page
    assert "K1: Ben, piece 2, 2 readings" in re.sub(r"\s+", " ", client.get("/jobs/J-1/log").text)
    assert first not in client.get("/jobs/J-1/log").text
    done = measured(client, "Ben", 1, second, second)
    assert "Somebody differs by more than both uncertainties explain" in done
    assert "do not agree" in done and "Where the scatter comes from" in done
    assert "E_n = (" in done and "ISO 13528" in done
    assert "1 of 2 pairs do not agree" in client.get("/jobs/J-1/compare").text


def test_what_is_typed_wrong_is_said_and_kept(client: TestClient) -> None:
    page = client.post(
        "/jobs/J-1/enter/comparison?key=", data={"people": "Ana", "pieces": "2", "trials": "2"}
    )
    assert page.status_code == 422 and "Name at least two people" in page.text and 'value="Ana"' in page.text
    send(client, "comparison", limit=LIMIT.id, people="Ana, Ben", pieces="1", trials="2")
    assert "2 readings are asked for; got 1" in measured(client, "Ana", 1, "0.50")
    assert client.get("/jobs/J-1/compare/K9").status_code == 404


def test_the_keypad_leads_nobody_and_shows_no_figure_afterwards(client: TestClient) -> None:
    """No likely values beside a blind reading; what was written is not shown to the next person."""
    send(client, "comparison", limit=LIMIT.id, people="Ana, Ben", pieces="1", trials="2")
    assert "/jobs/J-1/measure/blind?key=K1" in client.get("/jobs/J-1/compare/K1").text
    here = "/jobs/J-1/measure/blind?key=K1&back=/jobs/J-1/compare/K1"
    walk = {
        "f.turn": "Ana / 1",
        "f.used": "another",
        "f.instrument": "dial",
        "f.resolution": "0.01",
        "id": "w",
    }
    first = client.post(here, data={**walk, "at": "values.0", "typed": "1.234", "tap": "next"})
    assert "Reading 2 of 2" in first.text and "take:" not in first.text
    done = client.post(
        here, data={**walk, "at": "values.1", "f.values": ["1.234", ""], "typed": "1.235", "tap": "next"}
    )
    assert "Saved" in done.text and "1.234" not in done.text and "1.235" not in done.text
