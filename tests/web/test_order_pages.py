"""The order of work on pages: of a file, of a job as it stands, with what is late and what cannot be done.

Expected values: by hand on the small unit, whose lid T2 comes before the balls T3 and the drum T4, and whose file gives
no minutes; demo B for an order that takes time.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from countershaft.definitions.writer import write_transmission
from countershaft.desk.desk import Desk
from countershaft.job.entry import JobOpened, OrderFollowed, PartLate, StepDone, StepImpossible
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app
from tests.small_unit import UNIT
from tests.stages.walk import play_as_found


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    store = open_store(tmp_path / "shop", busy_seconds=1.0)
    desk = Desk(store)
    desk.shelve_library()
    digest = desk.add_definition(write_transmission(UNIT), file="small.yaml")
    desk.open_job(JobOpened(tag="J1", vehicle="van", unit=UNIT.name, definition=digest), by="R. Bench")
    yield desk
    store.close()


@pytest.fixture
def client(desk: Desk) -> TestClient:
    return TestClient(create_app(desk, Settings(person="R. Bench")))


def digest_of(desk: Desk, name: str) -> str:
    return next(row.digest for row in desk.definitions() if row.name.startswith(name))


def text(client: TestClient, path: str, status: int = 200) -> str:
    """The words of a page, without its marks."""
    answer = client.get(path)
    assert answer.status_code == status, answer.text[:400]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())


def post(client: TestClient, form: str, key: str = "", **fields: str) -> int:
    answer = client.post(
        f"/jobs/J1/enter/{form}?key={key}&back=/jobs/J1/order", data=fields, follow_redirects=False
    )
    return answer.status_code


def test_a_file_shows_its_order_with_turns_tools_and_reasons(desk: Desk, client: TestClient) -> None:
    here = f"/files/{digest_of(desk, 'Demo B')}/plan"
    said = text(client, here)
    assert re.search(r"(Optimal|Best found): 657 min 40 s; no order", said)
    assert "Turn the unit: nose up" in said
    assert "Take up: converter handles and turning fixture" in said
    assert "T02 Drain, pan off" in said
    assert "must come before, because a full unit spills when it is turned." in said
    assert "Optimal: 657 min 40 s; no order takes less." in text(client, f"{here}?prove=1")
    assert "Prove it" not in text(client, f"{here}?prove=1")


def test_the_way_to_one_part_and_the_build_after_it(desk: Desk, client: TestClient) -> None:
    here = f"/files/{digest_of(desk, 'Demo B')}/plan"
    said = text(client, f"{here}?reach=P046")
    assert "steps are not needed" in said
    assert "The build after it" in said
    assert "T18 Clean all" not in said.split("steps are not needed")[0]


def test_an_unknown_part_is_answered_with_the_nearest(desk: Desk, client: TestClient) -> None:
    here = f"/files/{digest_of(desk, 'Demo B')}/plan"
    assert "has no part or step 'pmup'. Did you mean P004" in text(client, f"{here}?reach=pmup", 422)


def test_two_people_stand_in_rows_of_a_drawing(desk: Desk, client: TestClient) -> None:
    answer = client.get(f"/files/{digest_of(desk, 'Demo C')}/plan?people=2&phase=build").text
    assert "Person 1: " in answer
    assert "Person 2: " in answer
    assert re.search(r"\d+ min, person 2", answer)


def test_a_job_says_what_can_be_done_now(desk: Desk, client: TestClient) -> None:
    said = text(client, "/jobs/J1/order")
    assert "T1 end play as found first of the planned order" in said
    assert "3 more steps come after these." in said
    desk.append("J1", play_as_found("0.44", "0.44"), by="R. Bench")
    desk.append("J1", StepDone(step="T1"), by="R. Bench")
    said = text(client, "/jobs/J1/order")
    assert "T2 pan off first of the planned order" in said
    assert "T1 end play" not in said
    assert "Teardown: what is left, in order" in text(client, "/jobs/J1/order/plan")
    assert "The file gives no minutes for T2, T3 and T4" in text(client, "/jobs/J1/order/plan")


def test_a_late_part_is_said_seen_and_ended(desk: Desk, client: TestClient) -> None:
    assert post(client, "part-late", part="ball", how="late", until="Thursday") == 303
    said = text(client, "/jobs/J1/order?phase=build")
    assert "ball check ball is late, expected Thursday. It alone blocks 2 steps of the build." in said
    assert "A3 pan on waits for A2: part ball is late" in said
    assert "The teardown is not through" in said
    assert post(client, "part-late") == 422
    assert post(client, "part-late", key="ball") == 303
    assert "No part is said to be late." in text(client, "/jobs/J1/order?phase=build")
    assert [body.over for body in desk.job("J1").state.bodies(PartLate)] == [False, True]


def test_a_step_that_cannot_be_done_stops_what_needs_it_until_undone(desk: Desk, client: TestClient) -> None:
    assert post(client, "impossible", step="T2", reason="seized", because="lid welded") == 303
    said = text(client, "/jobs/J1/order")
    assert "T2 pan off seized: lid welded (R. Bench" in said
    assert "T4 drum out waits for T2: it cannot be done" in said
    assert "T3 (balls out), which needs T2 (pan off): that cannot be done" in text(
        client, "/jobs/J1/order/plan?reach=ball", 422
    )
    ((entry, _),) = desk.job("J1").state.of(StepImpossible)
    assert f"enter/undo?key={entry.id}" in client.get("/jobs/J1/order").text
    assert post(client, "undo", key=entry.id, because="it came off") == 303
    assert "cannot be done" not in text(client, "/jobs/J1/order").replace("A step cannot be done", "")


def test_a_planned_order_is_followed_at_the_bench(desk: Desk, client: TestClient) -> None:
    desk.append("J1", play_as_found("0.44", "0.44"), by="R. Bench")
    assert "Follow this order" in text(client, "/jobs/J1/order/plan")
    assert post(client, "follow-order", key="teardown") == 303
    ((_, body),) = desk.job("J1").state.of(OrderFollowed)
    planned = list(body.steps)
    rows = re.findall(r">(T\d)</a>", client.get("/jobs/J1/teardown/plan").text)
    assert rows == planned
    assert "What can be done now" in text(client, "/jobs/J1/teardown/plan")


def test_the_pages_are_linked(desk: Desk, client: TestClient) -> None:
    digest = digest_of(desk, "small")
    assert f'href="/files/{digest}/plan"' in client.get(f"/files/{digest}").text
    assert 'href="/jobs/J1/order"' in client.get("/jobs/J1").text


def test_a_circle_of_needs_is_named_in_full_with_its_lines(client: TestClient) -> None:
    file = "format: 1\nname: ring\nsteps:\n" + "".join(
        f"  - {{id: {one}, phase: teardown, title: {one} off, needs: [{need}]}}\n"
        for one, need in (("T1", "T2"), ("T2", "T3"), ("T3", "T1"))
    )
    answer = client.post("/files", data={"text": file})
    said = " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())
    assert answer.status_code == 422
    assert "these steps wait for each other: T1 needs T2 needs T3 needs T1" in said
    assert "lines 4, 5 and 6. Take one of these needs out." in said
