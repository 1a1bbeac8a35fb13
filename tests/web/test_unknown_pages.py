"""A unit without a file, on the pages: logged in three taps, written into a file, guiding the next job.

Expected values: what was tapped and typed; the orders laid over each other by hand.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from starlette.testclient import TestClient

from countershaft.definitions.reader import read_transmission
from countershaft.definitions.writer import write_transmission
from countershaft.desk.desk import Desk, OpenJob
from countershaft.job.tags import part_tag, tray_tag
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app

#: What, how many, where, and the fasteners with it.
LOG = (
    ("oil pan", 1, "mat", {"bolts 1": "14", "size 1": "M6x20"}),
    ("filter", 1, "mat", {}),
    ("valve body", 1, "0900-T1", {"bolts 1": "9", "size 1": "M6x45", "bolts 2": "2", "size 2": "M6x60"}),
    ("check ball", 3, "0900-T2", {}),
    ("oil pump", 1, "0900-T3", {"bolts 1": "6", "size 1": "M8x25", "parked": "yes"}),
    ("thrust washer", 1, "0900-T3", {}),
    ("input drum", 1, "0900-T4", {}),
    ("thrust washer", 1, "0900-T4", {}),
    ("clutch plates", 12, "0900-T5", {}),
    ("snap ring", 1, "0900-T5", {"bolts 1": "2", "size 1": "7.9 x 30"}),
)


def open_client(folder: Path) -> Iterator[TestClient]:
    store = open_store(folder, busy_seconds=0.2)
    desk = Desk(store)
    with TestClient(create_app(desk, Settings(person="R. Bench", warm=lambda: None))) as opened:
        opened.desk = desk  # type: ignore[attr-defined]
        yield opened
    store.close()


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    yield from open_client(tmp_path / "shop")


def begin(client: TestClient, tag: str, definition: str = "none", called: str = "grey box") -> Any:
    return client.post(
        "/jobs/new",
        data={"tag": tag, "vehicle": "van", "definition": definition, "called": called},
        follow_redirects=False,
    )


def off(client: TestClient, tag: str, what: str, count: object, place: str, **more: str) -> Any:
    tapped = {"more": str(count)} if str(count).isdecimal() and int(str(count)) > 9 else {"count": str(count)}
    data = {"what": what, "place": place, **tapped, **more}
    return client.post(f"/jobs/{tag}/removed", data=data, follow_redirects=False)


def logged(
    client: TestClient, tag: str, rows: tuple[tuple[str, int, str, dict[str, str]], ...] = LOG
) -> None:
    begin(client, tag)
    for what, count, place, more in rows:
        answer = off(client, tag, what, count, place.replace("0900", tag), **more)
        assert answer.status_code == 303, answer.text


def job(client: TestClient, tag: str) -> OpenJob:
    return client.desk.job(tag)  # type: ignore[attr-defined]


def test_ten_removals_are_logged_listed_and_put_back(client: TestClient) -> None:
    logged(client, "0900")
    page = client.get("/jobs/0900/teardown").text
    assert "10 logged" in page
    assert "nobody said that all is off" in client.get("/jobs/0900/handover").text
    assert page.index("1 × snap ring") < page.index("12 × clutch plates") < page.index("1 × oil pan")
    assert "14 × M6x20" in page and "6 × M8x25, parked in their own holes" in page
    assert "1 × thrust washer 2" in page
    assert "log what comes off next, after 10 removals" in client.get("/").text
    assert (
        client.post("/jobs/0900/all-off", data={"entry_id": "e" * 32}, follow_redirects=False).status_code
        == 303
    )
    assert "All is off" in client.get("/jobs/0900/teardown").text
    assert "T10-back Put back: snap ring" in client.get("/jobs/0900/build").text
    file = job(client, "0900").transmission
    for step in file.phase("build"):
        for joint in step.tighten:
            places = " ".join(file.joint(joint).place_ids)
            sent = {"round": "1", "places": places}
            assert (
                client.post(f"/jobs/0900/joint/{joint}", data=sent, follow_redirects=False).status_code == 303
            )
        answer = client.post(f"/jobs/0900/build/{step.id}", data={}, follow_redirects=False)
        assert answer.status_code == 303, answer.text
    words = client.get("/jobs/0900/handover").text
    assert "thrust washer" not in words, "nothing is left over"
    assert "nobody said that all is off" not in words
    stages = {one.stage.value: one.how for one in client.desk.progress("0900").stages}  # type: ignore[attr-defined]
    assert (stages["teardown"], stages["build"]) == ("done", "done")


def test_nothing_is_called_built_before_anything_came_off(client: TestClient) -> None:
    begin(client, "0900")
    stages = {one.stage.value: one.how for one in client.desk.progress("0900").stages}  # type: ignore[attr-defined]
    assert (stages["teardown"], stages["build"]) == ("open", "open")
    assert "follows the teardown" in client.get("/jobs/0900").text
    assert "What is still in the unit is not known" in client.get("/jobs/0900/places").text


def test_the_log_says_in_words_what_came_off(client: TestClient) -> None:
    logged(client, "0900", LOG[:3])
    client.post(
        "/jobs/0900/enter/undo?key=" + job(client, "0900").state.entries[2].id, data={"reason": "wrong tap"}
    )
    page = client.get("/jobs/0900/log").text
    assert "1 × valve body; with 9 × M6x45; with 2 × M6x60" in page
    assert "1 × filter" in page, "an undone removal still says what it was"
    assert "CameOff" not in page and "FastenersOff" not in page and "what=" not in page


def test_out_of_turn_goes_back_only_with_a_tick(client: TestClient) -> None:
    logged(client, "0900", LOG[:2])
    client.post("/jobs/0900/all-off", data={})
    answer = client.post(
        "/jobs/0900/joint/J01a", data={"round": "1", "places": " ".join(map(str, range(1, 15)))}
    )
    assert answer.status_code == 200
    answer = client.post("/jobs/0900/build/T01-back", data={})
    assert answer.status_code == 422
    assert "this goes on before T01-back: T02-back Put back: filter" in answer.text
    assert (
        client.post(
            "/jobs/0900/build/T01-back", data={"ahead": "T02-back"}, follow_redirects=False
        ).status_code
        == 303
    )


def test_the_shop_survives_a_kill_in_the_middle(tmp_path: Path) -> None:
    """The store is opened anew behind another desk; the log goes on at its next number."""
    one = open_client(tmp_path / "shop")
    client = next(one)
    logged(client, "0900", LOG[:4])
    again = open_client(tmp_path / "shop")  # the first was never closed
    other = next(again)
    assert off(other, "0900", "oil pump", 1, "mat").status_code == 303
    assert [step.id for step in job(other, "0900").transmission.phase("teardown")][-1] == "T05"
    assert off(client, "0900", "drum", 1, "mat").status_code == 303  # and the first sees it
    assert [step.id for step in job(client, "0900").transmission.phase("teardown")][-1] == "T06"
    for opened in (again, one):
        next(opened, None)


def test_a_removal_sent_again_is_logged_once_and_can_be_undone(client: TestClient) -> None:
    begin(client, "0900")
    for _ in range(3):
        assert off(client, "0900", "oil pan", 1, "mat", entry_id="a" * 32).status_code == 303
    off(client, "0900", "filter", 1, "mat")
    assert off(client, "0900", "oil pan", 1, "mat", entry_id="a" * 32).status_code == 303
    assert [part.name for part in job(client, "0900").transmission.parts] == ["oil pan", "filter"]
    answer = off(client, "0900", "oil pump", 1, "mat", entry_id="a" * 32)
    assert answer.status_code == 422 and "says something else" in answer.text
    sent = {"reason": "wrong tap"}
    client.post(f"/jobs/0900/enter/undo?key={'a' * 32}&back=/jobs/0900/teardown", data=sent)
    assert [part.name for part in job(client, "0900").transmission.parts] == ["filter"]


def test_a_photo_hangs_on_its_removal(client: TestClient) -> None:
    logged(client, "0900", LOG[:2])
    out = io.BytesIO()
    Image.linear_gradient("L").convert("RGB").save(out, "JPEG")
    href = re.search(r'href="(/jobs/0900/enter/photo[^"]*T02[^"]*)"', client.get("/jobs/0900/teardown").text)
    assert href is not None
    files = {"photo": ("a.jpg", out.getvalue(), "image/jpeg")}
    sent = client.post(href[1].replace("&amp;", "&"), files=files, data={}, follow_redirects=False)
    assert (sent.status_code, sent.headers["location"]) == (303, "/jobs/0900/teardown")
    assert "1, add" in client.get("/jobs/0900/teardown").text


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"count": "1", "place": "mat"}, "Tap what came off, or type another word."),
        ({"what": "pan", "place": "mat"}, "Tap how many came off"),
        (
            {"what": "pan", "count": "0", "place": "mat"},
            "&#39;0&#39; is no count; type a whole number from 1 to 999",
        ),
        ({"what": "pan", "more": "1.5", "place": "mat"}, "&#39;1.5&#39; is no count"),
        ({"what": "pan", "count": "1", "place": ""}, "Tap where it went"),
        ({"what": "pan", "count": "1", "place": "by name", "elsewhere": ""}, "Tap where it went"),
        (
            {"what": "pan", "count": "1", "place": "by name", "elsewhere": "shelf " * 20},
            "is no name of a place",
        ),
        (
            {"what": "pan", "count": "1", "place": "0412-T3"},
            "0412-T3 is a tray of job 0412, and this is job 0900",
        ),
        ({"other": "???", "count": "1", "place": "mat"}, "names nothing; say what it is in words"),
        ({"other": "x" * 61, "count": "1", "place": "mat"}, "at most 60 characters"),
        (
            {"what": "pan", "count": "1", "place": "mat", "bolts 1": "4", "size 1": "thick"},
            "&#39;thick&#39; is no size of a fastener",
        ),
        ({"what": "pan", "count": "1", "place": "mat", "size 1": "M8x25"}, "How many of M8x25?"),
        ({"what": "pan", "count": "1", "place": "mat", "bolts 1": "4"}, "4 of which size?"),
    ],
)
def test_nonsense_gets_a_word_and_what_was_typed_stays(
    client: TestClient, data: dict[str, str], words: str
) -> None:
    begin(client, "0900")
    answer = client.post("/jobs/0900/removed", data={**data, "remark": "dark oil"}, follow_redirects=False)
    assert answer.status_code == 422
    assert words in answer.text
    assert "dark oil" in answer.text
    assert job(client, "0900").transmission.parts == ()


def test_a_scanned_tray_is_a_place_and_a_foreign_one_is_refused(client: TestClient) -> None:
    begin(client, "0900")
    mine, other, part = tray_tag("0900", "0900-T7"), tray_tag("0412", "0412-T7"), part_tag("0900", "P01", 1)
    assert mine is not None and other is not None
    sent = {"what": "pan", "count": "1", "place": "by name"}
    assert client.post("/jobs/0900/removed", data={**sent, "elsewhere": mine.code}).status_code == 200
    assert job(client, "0900").state.entries[-1].body.placed[0].place == "0900-T7"
    answer = client.post("/jobs/0900/removed", data={**sent, "elsewhere": other.code})
    assert "is a tray of job 0412, and this is job 0900" in answer.text
    assert (
        "is the tag of a part, not of a tray"
        in client.post("/jobs/0900/removed", data={**sent, "elsewhere": part.code}).text
    )


def test_a_job_without_a_file_needs_a_name_for_the_unit(client: TestClient) -> None:
    answer = begin(client, "0900", called="  ")
    assert answer.status_code == 422
    assert "names no unit" in answer.text
    assert begin(client, "0900").status_code == 303
    page = client.get("/jobs/0900/draft")
    assert page.status_code == 422
    assert "No teardown of grey box is logged yet" in page.text


def test_the_words_of_the_shop_are_offered_first(client: TestClient) -> None:
    logged(client, "0900")
    begin(client, "0901")
    page = client.get("/jobs/0901/teardown").text
    offered = re.findall(r'name="what" value="([^"]+)"', page)
    assert len(offered) == 8
    assert offered[0] == "thrust washer", "it was used twice"
    assert {"snap ring", "clutch plates", "oil pump"} < set(offered)


def kept_file(client: TestClient, tag: str) -> str:
    """Keep the draft; its digest."""
    answer = client.post(f"/jobs/{tag}/draft", data={}, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"].removeprefix("/files/")


def test_the_log_becomes_a_file_that_guides_the_second_job_and_learns_from_it(client: TestClient) -> None:
    desk: Desk = client.desk  # type: ignore[attr-defined]
    logged(client, "0900")
    page = client.get("/jobs/0900/draft").text
    assert "A file from 1 teardown" in page
    assert page.count("before in 1 of 1 teardown that had both") >= 9
    digest = kept_file(client, "0900")
    first = desk.definition(digest)
    assert [step.id for step in first.phase("teardown")] == [f"T{n:02d}" for n in range(1, 11)]
    assert first.joint("J05a").last_torque is None and first.joint("J05a").grip_mm is None
    assert read_transmission(write_transmission(first), "again.yaml") == first
    assert "Order seen in" in client.get(f"/files/{digest}").text

    new = client.get("/jobs/new").text
    assert f'value="{digest}"' in new and new.count("grey box") == 1
    assert begin(client, "0901", definition=digest).status_code == 303
    assert "T01 oil pan" in client.get("/jobs/0901/teardown").text
    order = ["T01", "T03", "T02", *(f"T{n:02d}" for n in range(4, 11))]  # the valve body before the filter
    for step in order:
        sent: dict[str, object] = {"place": "mat"}
        if step == "T03":
            refused = client.post("/jobs/0901/teardown/T03", data=sent)
            assert refused.status_code == 422
            assert "this came before T03: T02 filter" in refused.text
            assert "Until now this came first" in refused.text
            sent["ahead"] = "T02"
        answer = client.post(f"/jobs/0901/teardown/{step}", data=sent, follow_redirects=False)
        assert answer.status_code == 303, answer.text
    page = client.get("/jobs/0901/draft").text
    assert "A file from 2 teardowns" in page
    refined = desk.definition(kept_file(client, "0901"))
    assert refined.step("T02").needs == ("T01",) and refined.step("T03").needs == ("T01",)
    assert refined.step("T04").needs == ("T02", "T03")
    assert refined.step("T05").why == {"T04": "before in 2 of 2 teardowns that had both"}
    assert desk.job("0901").transmission == first, "a job keeps the file that it began with"
    assert client.get("/jobs/new").text.count("grey box") == 1, "the newest of one name is offered"


def test_a_person_fixes_loosens_and_joins_names_on_the_draft(client: TestClient) -> None:
    logged(client, "0900", LOG[:3])
    say = "/jobs/0900/draft/say/order?before=oil+pan&after=filter&how=free"
    assert client.get(say).status_code == 200
    sent = {"before": "oil pan", "after": "filter", "how": "free", "reason": "it is reached without it"}
    assert client.post(say, data=sent, follow_redirects=False).headers["location"] == "/jobs/0900/draft"
    page = client.get("/jobs/0900/draft").text
    assert "oil pan before filter: free, it is reached without it (R. Bench" in page
    wrong = {"before": "valve body", "after": "oil pan", "how": "must", "reason": "it would fall"}
    refused = client.post(say, data=wrong)
    assert refused.status_code == 422
    assert "This makes a circle" in refused.text
    assert "T01 oil pan before T03 valve body (seen in 1 of 1)" in refused.text
    assert client.get("/jobs/0900/draft").status_code == 200, "nothing was written"
    log = job(client, "0900").state.entries
    sent = {
        "before": "oil pan",
        "after": "valve body",
        "how": "must",
        "reason": "it would fall",
        "entry_id": "b" * 32,
    }
    for _ in range(2):
        assert client.post(say, data=sent, follow_redirects=False).status_code == 303
    assert len(job(client, "0900").state.entries) == len(log) + 1
    assert "fixed by a person, and before in 1 of 1" in client.get("/jobs/0900/draft").text
    assert "this is needed" in client.post(say, data={"before": "oil pan"}).text
    logged(client, "0901", (("pan", 1, "mat", {}), ("filters", 1, "mat", {})))
    page = client.get("/jobs/0901/draft").text
    assert "another name?" in page and "only in 0901" in page
    assert (
        client.post(
            "/jobs/0901/draft/say/name?name=pan",
            data={"name": "pan", "called": "oil pan"},
            follow_redirects=False,
        ).status_code
        == 303
    )
    page = client.get("/jobs/0901/draft").text
    assert "only in 0901" not in page and "only in 0900" in page
    alone = client.get("/jobs/0901/draft?without=0900").text
    assert "A file from 1 teardown" in alone and "Take 0900 in again" in alone


def test_something_else_comes_off_a_unit_whose_file_was_learned(client: TestClient) -> None:
    logged(client, "0900", LOG[:2])
    digest = kept_file(client, "0900")
    begin(client, "0901", definition=digest)
    assert "/jobs/0901/removed" in client.get("/jobs/0901/teardown").text
    client.post("/jobs/0901/teardown/T01", data={"place": "mat"})
    assert "What else came off?" in client.get("/jobs/0901/removed").text
    assert off(client, "0901", "magnet", 2, "mat").headers["location"] == "/jobs/0901/removed"
    assert "T02 filter" in client.get("/jobs/0901/teardown").text
    client.post("/jobs/0901/teardown/T02", data={"place": "mat"})
    refined = client.desk.definition(kept_file(client, "0901"))  # type: ignore[attr-defined]
    assert [(step.id, step.title, step.needs) for step in refined.phase("teardown")] == [
        ("T01", "oil pan", ()),
        ("T03", "magnet", ("T01",)),
        ("T02", "filter", ("T03",)),
    ]


def test_a_word_that_is_too_long_is_told_in_plain_words(client: TestClient) -> None:
    begin(client, "0900")
    answer = off(client, "0900", "x" * 200, 1, "mat")
    assert answer.status_code == 422
    assert "too long; at most 60 characters." in answer.text
    assert "String should" not in answer.text
