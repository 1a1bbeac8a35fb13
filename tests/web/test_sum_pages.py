"""The pages of the bench sums.

Expected values: copper of IEC 60028 by hand (5.9 Ω / 1.1572 = 5.10 Ω), and what a page promises: both systems alike,
the answer in the address, the fault beside its field, what was typed kept.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from countershaft.desk.desk import Desk
from countershaft.store.shop import open_store
from countershaft.sums.register import SUMS
from countershaft.web.app import Settings, create_app


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    store = open_store(tmp_path / "shop")
    with TestClient(create_app(Desk(store), Settings(person="R. Bench", warm=lambda: None))) as opened:
        yield opened
    store.close()


def text(client: TestClient, address: str, **typed: str) -> str:
    """A page as it reads."""
    return html.unescape((client.get(address, params=typed) if typed else client.get(address)).text)


def links(page: str, words: str) -> str:
    """Where a link of a page leads."""
    found = re.search(rf'href="([^"]+)">{words}</a>', page)
    assert found, words
    return found[1]


def test_the_list_is_reached_from_the_first_page(client: TestClient) -> None:
    assert links(text(client, "/"), "Bench sums") == "/sums"
    page = text(client, "/sums")
    for one in SUMS.values():
        assert links(page, re.escape(one.title)) == f"/sums/{one.name}"
        assert one.asks in page


@pytest.mark.parametrize("name", SUMS)
def test_every_sum_opens_empty_fills_in_its_example_and_answers_it(client: TestClient, name: str) -> None:
    page = text(client, f"/sums/{name}")
    assert "Answer" not in page
    assert all(words in page for _, words in SUMS[name].cautions)
    for system in ("metric", "inch"):
        example = client.get(links(text(client, f"/sums/{name}", system=system), "Fill in an example"))
        assert example.status_code == 200
        assert "Answer" in example.text
        answers = html.unescape(example.text).partition("<form")[0]
        assert answers.count('<details class="figure">') == answers.count('<div class="pair">') > 0
        assert SUMS[name].source in answers


def test_the_other_system_gives_the_same_answer(client: TestClient) -> None:
    page = text(client, "/sums/winding", reading="5.9", temperature="60", system="metric")
    # U by hand: 2 · √(0.1²/12 + (1/12) · (0.00393 · 5.0985)²) / 1.1572 = 0.051 Ω.
    assert "5.099 ± 0.051 Ω" in page
    turned = text(client, links(page, "Type in inches"))
    assert 'value="60 °C"' in turned
    assert "5.099 ± 0.051 Ω" in turned
    assert text(client, "/sums/winding", reading="5.9", temperature="140", system="inch").count("°F")


def test_figures_of_either_system_may_be_mixed(client: TestClient) -> None:
    typed = {"inside": "50,0", "section": "0.139 in", "seat": "51.0 mm", "room": "114 thou", "width": "4.80"}
    page = text(client, "/sums/o-ring", **typed)
    assert "Squeeze of the section" in page
    assert "Section of the free ring: 0.139 in = 3.5306 mm" in page


def test_a_fault_stands_beside_its_field_and_what_was_typed_is_kept(client: TestClient) -> None:
    typed = {"inside": "50", "section": "x", "seat": "51", "room": "1,234", "width": ""}
    answer = client.get("/sums/o-ring", params=typed)
    page = html.unescape(answer.text)
    assert answer.status_code == 422
    assert "No answer: 3 entries to mend" in page
    assert "'1,234' can be 1.234 mm or 1234 mm. Type the one that is meant." in page
    assert 'value="1,234"' in page
    assert 'value="x"' in page
    assert page.count('aria-invalid="true"') == 3
    assert "Answer" not in page


def test_a_refusal_of_the_formula_stands_at_its_field_too(client: TestClient) -> None:
    typed = {"inside": "50", "section": "3.5", "seat": "90", "room": "2.9", "width": "4.8"}
    page = text(client, "/sums/o-ring", **typed)
    assert "Diameter that it sits on: the stretch of an O-ring is 80 %; expected -5 to 25 %." in page


def test_a_verdict_stands_above_the_figures(client: TestClient) -> None:
    typed = {"size": "14.056 ± 0.003", "new": "14.000", "limit": "14.050", "wears": "grows"}
    page = text(client, "/sums/wear", **typed)
    assert '<span class="verdict-word verdict-bad">bad</span>' in page
    assert "lies beyond the limit 14.05." in page


def test_markup_in_the_address_is_only_text(client: TestClient) -> None:
    answer = client.get("/sums/o-ring", params={"section": "<script>alert(1)</script>", "system": "<b>"})
    assert "<script" not in answer.text
    assert answer.status_code == 422


def test_a_sum_that_is_not_there_leads_on(client: TestClient) -> None:
    answer = client.get("/sums/tea")
    assert answer.status_code == 404
    assert "There is no sum" in answer.text
