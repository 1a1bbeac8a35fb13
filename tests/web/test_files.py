"""The shop's transmission files on their pages.

Expected values: first gear of demo B by hand, (1 + 47/77) · 84/30 = 248/55; faults of a text: the lines of the
text that was typed, counted here.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.desk import Desk
from countershaft.errors import DefinitionError, StoreBusy
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app
from countershaft.web.pages.file import file_page
from tests.small_unit import UNIT

SMALL = "format: 1\nname: bench unit\nparts:\n  - {id: pan, name: pan}\n"
WRONG = """format: 1
name: bench unit
parts:
  - {id: pan, nam: pan}
  - {id: ball, name: "<b>ball</b>", quantity: three}
fits: none
"""


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    store = open_store(tmp_path / "shop")
    yield Desk(store)
    store.close()


@pytest.fixture
def client(desk: Desk) -> TestClient:
    return TestClient(create_app(desk, Settings(warm=lambda: None)), follow_redirects=False)


def words(text: str) -> str:
    """A page as it is read."""
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", text)))


def typed_text(text: str) -> str:
    """What stands in the text area of the form."""
    found = re.search(r"<textarea[^>]*>\n(.*?)</textarea>", text, re.DOTALL)
    assert found is not None
    return html.unescape(found[1])


def test_an_empty_shop_asks_for_its_first_file(client: TestClient) -> None:
    answer = client.get("/files")
    assert answer.status_code == 200
    assert "The shop has no transmission file yet." in words(answer.text)


def test_a_typed_file_is_added_and_shown(client: TestClient, desk: Desk) -> None:
    answer = client.post("/files", data={"text": SMALL})
    assert answer.status_code == 303
    (row,) = desk.definitions()
    assert answer.headers["location"] == f"/files/{row.digest}"
    assert "bench unit" in words(client.get(f"/files/{row.digest}").text)
    assert f'href="/files/{row.digest}"' in client.get("/files").text


def test_a_chosen_file_is_added_whatever_mark_its_text_begins_with(client: TestClient, desk: Desk) -> None:
    content = b"\xef\xbb\xbf" + SMALL.encode()
    answer = client.post("/files", data={"text": ""}, files={"file": ("unit.yaml", content)})
    assert answer.status_code == 303
    assert [row.name for row in desk.definitions()] == ["bench unit"]


def test_every_fault_is_shown_with_its_line_and_its_cure(client: TestClient, desk: Desk) -> None:
    answer = client.post("/files", data={"text": WRONG})
    text = words(answer.text)
    assert answer.status_code == 422
    lines = re.findall(r'<td class="right num">(\d+):\d+</td>', answer.text)
    assert sorted(set(lines)) == ["4", "5", "6"]
    assert f"Not added: {len(lines)} faults to mend" in text
    assert "- {id: pan, nam: pan}" in text, "the line stands beside its fault"
    with pytest.raises(DefinitionError) as raised:
        read_transmission(WRONG, "typed.yaml")
    assert len(raised.value.faults) == len(lines)
    for fault in raised.value.faults:
        for said in (fault.key, fault.message, fault.expected, fault.got, fault.cure):
            assert said in text
    assert typed_text(answer.text) == WRONG
    assert "<b>ball" not in answer.text
    assert desk.definitions() == ()


def test_a_chosen_file_with_faults_comes_back_as_text_to_mend(client: TestClient) -> None:
    answer = client.post("/files", data={"text": ""}, files={"file": ("unit.yaml", WRONG.encode())})
    assert answer.status_code == 422
    assert typed_text(answer.text) == WRONG


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"name: caf\xe9\n", "unit.yaml is no UTF-8 text (byte 10); save it as UTF-8"),
        (b"#" * (2 * 1024 * 1024 + 1), "unit.yaml is larger than 2 MB"),
    ],
)
def test_a_file_that_is_no_short_text_is_refused_and_what_was_typed_stays(
    client: TestClient, content: bytes, said: str
) -> None:
    answer = client.post("/files", data={"text": "my notes"}, files={"file": ("unit.yaml", content)})
    assert answer.status_code == 422
    assert said in words(answer.text)
    assert typed_text(answer.text) == "my notes"


def test_nothing_at_all_is_said_to_be_nothing(client: TestClient) -> None:
    answer = client.post("/files", data={"text": "  "})
    assert answer.status_code == 422
    assert "Type or paste a file here, or choose one below." in words(answer.text)


def test_a_busy_store_keeps_what_was_typed(
    client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def busy(*_args: object, **_named: object) -> str:
        raise StoreBusy("The store is locked; try again.")

    monkeypatch.setattr(desk, "add_definition", busy)
    answer = client.post("/files", data={"text": SMALL})
    assert answer.status_code == 503
    assert "The store is locked; try again." in words(answer.text)
    assert typed_text(answer.text) == SMALL


def test_an_unknown_file_says_so_and_leads_back(client: TestClient) -> None:
    answer = client.get(f"/files/{'0' * 64}")
    assert answer.status_code == 404
    assert "There is no transmission file with digest 000000000000…." in words(answer.text)
    assert 'href="/"' in answer.text


def test_the_page_of_a_file_solves_its_chart_and_shows_the_working(client: TestClient, desk: Desk) -> None:
    digest = desk.add_definition(library_text("demo-b"), file="demo-b.yaml")
    answer = client.get(f"/files/{digest}")
    text = words(answer.text)
    assert answer.status_code == 200
    assert "1 A + F 248/55 4.5091" in text
    assert "P1: 47·(S1 − K1) = −77·(in − K1)" in text
    assert "P nothing neutral" in text
    assert answer.text.count('role="img" aria-label="Hole map') == len(desk.definition(digest).fasteners)


def test_member_speeds_are_per_turn_of_the_input() -> None:
    """Small unit, sun drives, ring held: the carrier turns 30 / (30 + 60) = 1/3."""
    train = file_page(UNIT, "0" * 64).train
    assert train is not None
    speeds = {row.gear: dict(zip(train.members, row.speeds, strict=True)) for row in train.speeds}
    assert speeds["1"] == {"in": "1.000", "R": "0.000", "out": "0.333"}
    assert speeds["N"]["out"] == "free"


def test_every_value_of_a_file_names_its_source_or_is_unverified() -> None:
    page = file_page(UNIT, "0" * 64)
    assert {row.name: row.source for row in page.limits} == {
        "plate thickness (drum)": "invented for demonstration: for tests",
        "seal lip (seal)": "",
        "cooler flow": "invented for demonstration: for tests",
    }
    assert [dict(sheet.facts)["Source"] for sheet in page.fits] == [
        "invented for demonstration: for tests",
        "none is named: unverified",
    ]
    assert dict(page.joints[0].facts)["Source"] == "none is named: unverified"


def test_a_joint_is_drawn_with_nothing_done_and_its_rounds_in_words() -> None:
    (joint,) = file_page(UNIT, "0" * 64).joints
    assert joint.title == "pan to case: 3 × bolt M6x1.0"
    assert dict(joint.facts)["Rounds"] == "5 N·m; then 10 N·m"
    assert dict(joint.facts)["Thread"] == "M6x1.0, left-hand"
    assert joint.svg.count("<title>") >= 1


def test_steps_say_what_they_need_and_move() -> None:
    page = file_page(UNIT, "0" * 64)
    assert [(row.step, row.needs, row.pieces) for row in page.teardown][:3] == [
        ("T1", "", ""),
        ("T2", "T1", "1 × pan"),
        ("T3", "T2", "3 × check ball"),
    ]
    assert [row.step for row in page.build] == ["A1", "A2", "A3"]


def test_bands_load_cases_and_doubts_stand_on_the_page_of_a_file(client: TestClient, desk: Desk) -> None:
    """What the invented files say, and the one thread in them that no table knows."""
    trainer = client.get(f"/files/{desk.add_definition(library_text('demo-c'), file='demo-c.yaml')}").text
    assert "G 2nd and 4th band" in trainer
    assert "where it pushes against the input&#39;s way" in trainer
    assert "66 mm" in trainer
    assert "What the elements must bear: 6 cases" in trainer
    six = client.get(f"/files/{desk.add_definition(library_text('demo-b'), file='demo-b.yaml')}").text
    assert "B 1200 kPa" in six
    assert "warning" in six
    assert "M11x1.25 is not in ISO 261" in six
