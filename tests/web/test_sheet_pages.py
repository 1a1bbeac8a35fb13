"""The measurement sheet: what it asks on paper is what is typed in afterwards.  Expected figures: by hand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.desk import Desk, new_entry_id
from countershaft.job.entry import Reading
from countershaft.web.app import Settings, create_app
from tests.web.one_job import one_job

DEMO = read_transmission(library_text("demo-b"), "demo-b.yaml")
MEASURED = [limit for limit in DEMO.limits if limit.measured]
LIMIT = next(
    limit for limit in MEASURED if limit.unit == "mm" and limit.max and not limit.min and limit.readings == 3
)


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[tuple[TestClient, Desk]]:
    with one_job(tmp_path, DEMO) as opened:
        yield opened


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))


def typed(key: str, *values: str, **more: str) -> dict[str, object]:
    fields: dict[str, object] = {
        "values": list(values),
        "instrument": "dial",
        "resolution": "0.01",
        "when": "as found",
    }
    return {f"{key}:{name}": told for name, told in {**fields, **more}.items()}


def test_the_paper_asks_for_every_open_measurement_with_its_blanks(opened: tuple[TestClient, Desk]) -> None:
    client, _ = opened
    page = client.get("/jobs/J-1/sheet").text
    assert f"{len(MEASURED) + len(DEMO.fits)} measurements still to be taken" in text_of(page)
    for limit in MEASURED:
        assert limit.name in page
    assert page.count('class="blank"') >= sum(limit.readings for limit in MEASURED)
    assert "Code of the page to type this sheet in" in page
    assert "/jobs/J-1/sheet" in client.get("/jobs/J-1").text


def test_what_was_written_on_paper_is_typed_in_with_who_and_when(opened: tuple[TestClient, Desk]) -> None:
    client, desk = opened
    assert LIMIT.max is not None
    figure = f"{LIMIT.max.to('mm') / 2:.2f}"
    told = {
        "measured_by": "Ana",
        "measured_on": "2026-05-04",
        **typed(LIMIT.id, figure, figure, figure, unit="mm"),
    }
    page = client.post("/jobs/J-1/sheet/type", data={"entry_id": new_entry_id(), **told})
    assert page.status_code == 200 and "1 measurement has joined the log" in text_of(page.text)
    body = desk.job("J-1").state.last(Reading)
    assert body is not None and body.taken is not None
    assert (body.limit, body.taken.by, body.taken.on) == (LIMIT.id, "Ana", date(2026, 5, 4))
    assert f'name="{LIMIT.id}:values"' not in client.get("/jobs/J-1/sheet/type").text
    assert f'name="{LIMIT.id}:values"' in client.get("/jobs/J-1/sheet/type?every=1").text


def test_a_line_that_is_wrong_is_kept_and_the_others_are_taken_once(opened: tuple[TestClient, Desk]) -> None:
    client, desk = opened
    assert LIMIT.max is not None
    other = next(
        one for one in MEASURED if one.id != LIMIT.id and one.unit == "mm" and one.max and one.readings == 3
    )
    assert other.max is not None
    good = f"{other.max.to('mm') * 0.9:.2f}"
    told = {
        "entry_id": new_entry_id(),
        **typed(LIMIT.id, "0.01", unit="mm"),
        **typed(other.id, *[good] * 3, unit="mm"),
    }
    for _ in range(2):
        page = client.post("/jobs/J-1/sheet/type", data=told)
        assert page.status_code == 422
        assert f"{LIMIT.name}: Readings: 3 readings are asked for; got 1" in text_of(page.text)
        assert 'value="0.01"' in page.text
    assert [body.limit for body in desk.job("J-1").state.bodies(Reading)] == [other.id]


def test_a_day_that_is_none_loses_nothing(opened: tuple[TestClient, Desk]) -> None:
    client, desk = opened
    told = {"measured_on": "4.5.2026", **typed(LIMIT.id, "0.123", unit="mm")}
    page = client.post("/jobs/J-1/sheet/type", data=told)
    assert page.status_code == 422 and "is no day; write it as 2026-05-04" in page.text.replace("&#39;", "'")
    assert 'value="0.123"' in page.text and not desk.job("J-1").state.bodies(Reading)


def test_a_sheet_keeps_its_figures_where_nobody_is_at_the_bench(opened: tuple[TestClient, Desk]) -> None:
    _, desk = opened
    with TestClient(create_app(desk, Settings(person="", warm=lambda: None))) as nobody:
        told = {"entry_id": new_entry_id(), **typed(LIMIT.id, "0.11", "0.12", "0.13", unit="mm")}
        page = nobody.post("/jobs/J-1/sheet/type", data=told)
    assert page.status_code == 422 and "Say first who is at the bench" in text_of(page.text)
    assert all(f'value="{figure}"' in page.text for figure in ("0.11", "0.12", "0.13"))
    assert desk.job("J-1").state.last(Reading) is None
