"""The gate on its page: every open point leads to the exact place where it is closed.

Expected values: the address of the page of each point, by hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from countershaft.desk.demo_bench import Clock
from countershaft.desk.demo_shop import START_OF_DEMO, diagnosed, six_speed
from countershaft.desk.desk import Desk
from countershaft.job.entry import Cause
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app
from countershaft.web.pages.handover import handover_page


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A shop with a job on demo B that is only diagnosed."""
    store = open_store(tmp_path / "shop")
    made = Desk(store, now=Clock(START_OF_DEMO))
    made.shelve_library()
    diagnosed(six_speed(made, "J1", vehicle="invented van", by="R. Bench"))
    yield made
    store.close()


def test_every_point_leads_to_its_exact_place(desk: Desk) -> None:
    """A fit to the fit, a check to its reading, a killer to its clearing, the sentence to its judging."""
    desk.append("J1", Cause(words="lip hard", killers=("crushed line",)), by="R. Bench")
    page = handover_page(desk.job("J1"), desk.progress("J1"))
    where = {row.what: row.href for row in (*page.open, *page.through)}
    back = "&back=/jobs/J1/handover"
    assert where["Fit: clutch A clearance"] == "/jobs/J1/fit/CL-A"
    assert where["cooler flow"] == f"/jobs/J1/measure/reading?key=C11{back}"
    assert where["Fixed when"] == "/jobs/J1/enter/fixed-when?back=/jobs/J1/handover"
    assert where["Teardown"] == "/jobs/J1/teardown"
    assert where["Killer: crushed line"] == f"/jobs/J1/enter/killer?key=crushed%20line{back}"


def test_every_point_opens(desk: Desk) -> None:
    """No point of the gate is a dead end, and an open point never says the same twice."""
    page = handover_page(desk.job("J1"), desk.progress("J1"))
    with TestClient(create_app(desk, Settings(person="R. Bench", warm=lambda: None))) as client:
        for row in (*page.open, *page.through):
            assert client.get(row.href).status_code == 200, row
            assert "not measured: nobody" not in row.words
