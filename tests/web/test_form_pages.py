"""A limit that is measured by places: asked, computed, drawn.  Expected figures as in tests/cli/test_form.py."""

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

DEMO = read_transmission(library_text("demo-c"), "demo-c.yaml")
ROWS = {"row1": "0 0.06 0", "row2": "0 0.06 0", "row3": "0 0.02 0", "row4": "0 0.03 0"}


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    with one_job(tmp_path, DEMO) as (opened, _):
        yield opened


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page)).replace("&#39;", "'")


def sent(client: TestClient, form: str, key: str, **fields: object) -> tuple[int, str]:
    told = {
        "entry_id": new_entry_id(),
        "when": "as found",
        "instrument": "feelers",
        "resolution": "0.01",
        **fields,
    }
    found = client.post(f"/jobs/J-1/enter/{form}?key={key}&back=/jobs/J-1/forms/C06", data=told)
    return found.status_code, found.text


def rows(**change: str) -> dict[str, object]:
    return {name: text.split() for name, text in {**ROWS, **change}.items()} | {"unit": "mm"}


def test_a_face_is_read_at_its_places_computed_and_drawn(client: TestClient) -> None:
    assert "Places, drawing and readings" in client.get("/jobs/J-1/inspect").text
    asked = text_of(client.get("/jobs/J-1/enter/reading?key=C06").text)
    assert "Line 1: A – M – C" in asked and "Lay it along each line" in asked
    status, page = sent(client, "reading", "C06", **rows())
    told = text_of(page)
    assert status == 200 and "0.06 ± 0.008 mm is at most 0.15 mm" in told
    assert "Flatness, minimum zone (iso 1101)".casefold() in told.casefold()
    assert "it touches above at A, B, C, D, below at M" in told
    assert page.count("<svg") >= 2
    assert "0.06 ± 0.008 mm" in text_of(client.get("/jobs/J-1/inspect").text)


def test_a_missing_place_is_named_and_what_was_typed_is_kept(client: TestClient) -> None:
    status, page = sent(client, "reading", "C06", **rows(row2="0 0.06"))
    assert status == 422 and "D not typed yet" in text_of(page) and 'value="0.06"' in page


def test_a_lost_decimal_point_is_asked_about_and_an_answer_settles_it(client: TestClient) -> None:
    slipped = rows(row1="0 6 0", row2="0 6 0", row3="0 2 0", row4="0 3 0")
    status, page = sent(client, "reading", "C06", **slipped)
    assert status == 422 and "a slipped decimal point (0.06 mm)" in text_of(page)
    status, page = sent(client, "reading", "C06", sure="measured again: it is so", **slipped)
    assert status == 200 and "lies above 0.15 mm" in text_of(page)


def test_a_limit_without_places_offers_ways_to_measure_by_them(client: TestClient) -> None:
    page = text_of(client.get("/jobs/J-1/forms/C01/methods").text)
    for name in ("Flatness by straightedge", "Roundness", "Runout", "Backlash"):
        assert name in page
