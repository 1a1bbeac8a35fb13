"""Pages of fasteners: the unit, one joint, loose bolts, paper, and the heads before the first torque.

Expected values: demo A and B by hand; 80 N·m with 400 and 50 mm in line is 71.1 N·m (case T04-05 of
tests/published/fasteners.json); proof load of M6, class 8.8: 11.6 kN (ISO 898-1:2013).
"""

from __future__ import annotations

import html
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Protocol

import pytest
from PIL import Image
from playwright.sync_api import Browser
from starlette.testclient import TestClient

from countershaft.definitions.library import library_text
from countershaft.desk.demo_bench import Clock
from countershaft.desk.demo_shop import START_OF_DEMO, diagnosed, six_speed
from countershaft.desk.desk import Desk
from countershaft.job.entry import HeightsSeen, HoleMarked
from countershaft.job.words import Stage
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app
from tests.odd_bolts import ODD_BOLTS
from tests.web.conftest import Site


class Answer(Protocol):
    """What the client gets."""

    @property
    def text(self) -> str:
        """The page."""


def read(answer: Answer) -> str:
    """A page as it is read: no tags, one space between words."""
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.text)))


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    store = open_store(tmp_path / "shop")
    yield Desk(store, now=Clock(START_OF_DEMO))
    store.close()


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with TestClient(create_app(desk, Settings(person="R. Bench", warm=lambda: None))) as opened:
        yield opened


def added(desk: Desk, name: str) -> str:
    """The address of a file of the library."""
    return f"/files/{desk.add_definition(library_text(name), file=f'{name}.yaml')}"


def build_up_to_valve_body(desk: Desk) -> None:
    """Demo B in a job, everything in but the valve body."""
    desk.add_definition(library_text("demo-b"), file="demo-b.yaml")
    bench = six_speed(desk, "J1", vehicle="invented van", by="R. Bench")
    diagnosed(bench)
    bench.take_apart()
    bench.put_together(until="A16")


# --- a file --------------------------------------------------------------------------------------------------------


def test_all_joints_of_a_unit(client: TestClient, desk: Desk) -> None:
    """Both units, the left hand, where the order comes from, the worst verdict, what to bag apart."""
    here = added(desk, "demo-a")
    page = read(client.get(f"{here}/fasteners"))
    assert "28 joints, 118 fasteners" in page
    assert "case split flange 17 × bolt M8x1.25 23 N·m 17.0 lbf·ft = 204 lbf·in in the file caution" in page
    assert "layshaft 1 nut 1 × nut M22x1.0 LEFT-HAND 115 N·m" in page
    assert "Bag these 2 apart: F07/1" in page and "F13/1 park pawl stop" in page
    assert "F01/1 to 6 pump body to converter housing F13/1 park pawl stop meets the bottom" in page
    assert f'href="{here}/fasteners"' in client.get(here).text


def test_one_joint_of_a_file(client: TestClient, desk: Desk) -> None:
    """The check with its working, the rounds, the loosening turned round, what shows by how much."""
    page = read(client.get(f"{added(desk, 'demo-b')}/fasteners/V"))
    assert "Round 2 10 N·m = 7.38 lbf·ft = 88.5 lbf·in" in page
    assert "Loosen in reverse, half a turn, then out: V13, V01, V04" in page
    assert "V03, V04, V07, V08, V16, V17: bolt 45 mm, grip 33 mm, head stands 12 mm" in page
    assert "pressure under the head unknown the material under the head is not given" in page
    assert "580 MPa × 20.12 mm² = 11.7 kN" in page
    assert (
        "V06, V09, V12, V13 V03, V04, V07, V08, V16, V17 15 mm stands 15 mm higher than its neighbours"
        in page
    )
    assert "To loosen, turn anticlockwise" in page


def test_the_left_hand_in_word_and_arrow(client: TestClient, desk: Desk) -> None:
    page = client.get(f"{added(desk, 'demo-a')}/fasteners/N02")
    assert "Left-hand thread To loosen, turn clockwise" in read(page)
    assert "Left-hand thread To tighten, turn anticlockwise" in read(page)
    assert page.text.count('class="thread thread-left"') == 2


def test_what_is_wrong_in_a_file_stands_on_the_page(client: TestClient, desk: Desk) -> None:
    """Unknown stays unknown, with its reason; what is computed is computed with its reason."""
    here = f"/files/{desk.add_definition(ODD_BOLTS, file='odd.yaml')}/fasteners"
    unit = read(client.get(here))
    assert "bolt longer than its hole 2 × bolt M6x1.0 10 N·m 7.38 lbf·ft = 88.5 lbf·in not known bad" in unit
    assert "order computed 4 × bolt M8x1.25 24 N·m 17.7 lbf·ft = 212 lbf·in computed, circle" in unit
    assert "bottom reserve bad" in read(client.get(f"{here}/long"))
    assert "torque or class is wrong" in read(client.get(f"{here}/tight"))
    nameless = read(client.get(f"{here}/nameless"))
    assert re.search(r"share of proof load unknown [^.]*88", nameless)
    nogrip = read(client.get(f"{here}/nogrip"))
    assert (
        "grip not known, head stands not known" in nogrip and "engagement unknown grip is not given" in nogrip
    )
    ring = read(client.get(f"{here}/ring"))
    assert "by number, computed: 4 places on a circle: a star" in ring


def test_a_joint_that_is_not_there(client: TestClient, desk: Desk) -> None:
    here = added(desk, "demo-b")
    assert client.get(f"{here}/fasteners/X").status_code == 404
    assert client.get(f"{here}/fastener-sheets?joint=X").status_code == 404
    assert client.get("/files/0000/fasteners").status_code == 404


def test_a_file_without_fasteners(client: TestClient, desk: Desk) -> None:
    digest = desk.add_definition("format: 1\nname: bare\n", file="bare.yaml")
    here = f"/files/{digest}"
    assert "The file has no section fasteners." in read(client.get(f"{here}/fasteners"))
    assert client.get(f"{here}/fastener-sheets").status_code == 200
    assert client.get(f"{here}/identify").status_code == 200


def test_the_torque_wrench_with_an_adapter(client: TestClient, desk: Desk) -> None:
    """24 N·m × 400/450 = 21.3 N·m; a tool of 200 N·m is not checked there; slips stand at their field."""
    mine = f"{added(desk, 'demo-b')}/fasteners/P"
    page = read(client.get(f"{mine}?wrench=400&adapter=50&kind=II+A&most=200"))
    assert "21.3 N·m to set on the wrench" in page and "= 21.33 N·m" in page
    assert "not this tool 21.33 N·m is below 40 N·m" in page
    assert "this tool may be used" in read(client.get(f"{mine}?kind=II+A&most=50"))
    slip = client.get(f"{mine}?wrench=long&adapter=50")
    assert slip.status_code == 422 and "'long' is no figure" in read(slip) and 'value="long"' in slip.text
    assert client.get(f"{mine}?wrench=400&adapter=300&angle=180").status_code == 422


def test_loose_bolts_of_a_file(client: TestClient, desk: Desk) -> None:
    mine = f"{added(desk, 'demo-b')}/identify"
    page = read(client.post(mine, data={"text": "4x M6 45\r\n25 6 1.0\r\n9x 60.2 5.9", "whole": "yes"}))
    assert "9 of 14 have a place; 5 are too many or fit nowhere." in page
    assert "4 of 6: V03, V04, V07, V08, V16, V17" in page
    assert "5 are too many" in page and "Missing 3 × 10 × 1.25, 60 mm" in page
    wrong = client.post(mine, data={"text": "25 6\nM6 foo"})
    assert wrong.status_code == 422
    assert "1 line cannot be read Line 2, “M6 foo”: 'foo' is no figure" in read(wrong)
    assert "25 6\nM6 foo" in wrong.text
    assert client.post(mine, data={"text": "25 6", "joint": "X"}).status_code == 404


def test_joints_on_paper(client: TestClient, desk: Desk) -> None:
    """A box for each place and round, and one for the head; a map only where holes have positions."""
    here = added(desk, "demo-b")
    page = client.get(f"{here}/fastener-sheets?joint=V")
    assert page.text.count('class="tick-box"') == 17 * 3
    assert "10 N·m = 7.38 lbf·ft = 88.5 lbf·in" in read(page) and page.text.count("<svg") >= 1
    whole = client.get(f"{here}/fastener-sheets")
    assert whole.text.count('class="paper-joint') == 20
    assert whole.text.count("page-break") == 2


# --- a job ---------------------------------------------------------------------------------------------------------


def test_swapped_bolts_are_told_before_torque(client: TestClient, desk: Desk) -> None:
    """V03 and V06 swapped on purpose: no torque before the look, none with the wrong bolts, then it goes on."""
    build_up_to_valve_body(desk)
    mine = "/jobs/J1/joint/V"
    page = client.get(mine)
    assert "before torque" in read(page) and "Done: bolt" not in read(page)
    first = {"round": "1", "places": "V08"}
    refused = client.post(mine, data=first)
    assert refused.status_code == 422 and "Before the first torque on valve body to case" in read(refused)
    form = "/jobs/J1/enter/heights?key=V&back=/jobs/J1/joint/V"
    assert "V03 stands 12 mm, its bolt is 45 mm long" in read(client.get(form))
    typed = {"what": "height_mm", "unit": "mm", "head V03": "27", "head V06": "0"}
    told = read(client.post(form, data=typed))
    assert (
        "V03 holds a bolt of about 60 mm, 15 mm too long. It is probably that of V06, which stands out too."
        in told
    )
    assert "V06 holds a bolt of 48 mm at most" in told
    refused = client.post(mine, data=first)
    assert refused.status_code == 422 and "Put the bolts right and look again" in read(refused)
    go = client.post(f"{mine}/heads", data={})
    assert "Done: bolt V08" in read(go) and "Heads every one stands right (R. Bench" in read(go)
    assert client.post(mine, data=first).status_code == 200
    said = read(client.get("/jobs/J1/log"))
    assert "valve body to case; V03 stands 27 mm; V06 stands 0 mm" in said
    late = client.post(f"{mine}/heads", data={})
    assert late.status_code == 422 and "has had torque already" in read(late)


def test_a_reason_lets_the_torque_begin_and_stays(client: TestClient, desk: Desk) -> None:
    build_up_to_valve_body(desk)
    form = "/jobs/J1/enter/heights?key=V&back=/jobs/J1/joint/V"
    page = read(client.post(form, data={"head V03": "27", "because": "service kit has longer bolts"}))
    assert "tightened all the same, because service kit has longer bolts" in page
    assert client.post("/jobs/J1/joint/V", data={"round": "1", "places": "V08"}).status_code == 200


def test_inches_and_lengths_at_the_heads(client: TestClient, desk: Desk) -> None:
    """2.362 in is 60 mm; what is no number is said at its place; nothing typed is asked for."""
    build_up_to_valve_body(desk)
    form = "/jobs/J1/enter/heights?key=V&back=/jobs/J1/joint/V"
    page = read(client.post(form, data={"what": "length_mm", "unit": "in", "head V03": "2.362"}))
    assert "V03 holds a bolt of about 60 mm" in page
    (body,) = desk.job("J1").state.bodies(HeightsSeen)[-1:]
    assert body.typed == "V03 2.362 in"
    wrong = client.post(
        form, data={"what": "height_mm", "head V03": "high", "head V04": "-1", "head V05": "4000"}
    )
    assert wrong.status_code == 422
    for words in ("'high' is no number", "-1 makes no sense", "longer than any bolt"):
        assert words in read(wrong)
    nothing = client.post(form, data={"what": "height_mm"})
    assert nothing.status_code == 422 and "type at least one figure" in read(nothing)


def test_fasteners_of_a_job_show_its_progress(client: TestClient, desk: Desk) -> None:
    build_up_to_valve_body(desk)
    page = read(client.get("/jobs/J1/fasteners"))
    assert re.search(r"pump to case 10 × bolt M8x1\.25 24 N·m .*? all rounds done", page)
    assert "Tighten it" in read(client.get("/jobs/J1/fasteners/V"))
    assert 'href="/jobs/J1/fasteners"' in client.get("/jobs/J1").text
    loosen = read(client.get("/jobs/J1/teardown/T02"))
    assert "Order of loosening" in loosen


def test_loosening_stands_on_the_teardown_step(client: TestClient, desk: Desk) -> None:
    """The valve body comes off in reverse of its order; the pan has no order that is known."""
    build_up_to_valve_body(desk)
    unit = desk.job("J1").transmission
    step = next(step.id for step in unit.phase("teardown") if "V" in step.loosen)
    page = read(client.get(f"/jobs/J1/teardown/{step}"))
    assert "half a turn each, then out, in reverse of tightening: V13, V01, V04" in page


def test_a_heavy_step_shows_how_a_sling_pulls(client: TestClient, desk: Desk) -> None:
    """82 kg on two legs: 82 × 9.80665 / 2 / sin 30° = 804 N in each at 30°."""
    build_up_to_valve_body(desk)
    assert "30° above the horizontal 804 N, as 82 kg hanging" in read(client.get("/jobs/J1/teardown/T00"))


def picture(desk: Desk, about: str) -> str:
    """A photo of 1600 by 800 in the job; its digest."""
    out = io.BytesIO()
    Image.new("RGB", (1600, 800), (90, 90, 90)).save(out, "JPEG")
    entry = desk.add_photo(
        "J1", out.getvalue(), stage=Stage.BUILD, by="R. Bench", about=about, caption="heads up"
    )
    return str(entry.body.digest)  # type: ignore[attr-defined]


def test_holes_are_placed_by_tapping_a_photo(client: TestClient, desk: Desk) -> None:
    """Six holes of the converter tapped round a circle: a star follows, on the bench too."""
    build_up_to_valve_body(desk)
    mine = "/jobs/J1/fasteners/F09/picture"
    assert "This job has no photo yet." in read(client.get(mine))
    digest = picture(desk, "F09")
    assert f'href="{mine}?photo={digest}"' in client.get(mine).text
    page = client.get(f"{mine}?photo={digest}")
    assert "Tap 1 0 of 6 tapped" in read(page) and 'type="image"' in page.text
    assert 'width="764" height="382"' in page.text
    none = client.post(mine, data={"photo": digest, "place": "1", "tap.x": "0", "tap.y": "0"})
    assert none.status_code == 422 and "Tap the hole on the photo itself." in read(none)
    ring = ((382, 41), (512, 116), (512, 266), (382, 341), (252, 266), (252, 116))
    for place, (x, y) in enumerate(ring, start=1):
        page = client.post(
            mine, data={"photo": digest, "place": str(place), "tap.x": str(x), "tap.y": str(y)}
        )
        assert page.status_code == 200
    assert "all tapped 6 of 6 tapped by number, computed: 6 places on a circle: a star" in read(page)
    assert "Undo 6" in read(page)
    joint = client.get("/jobs/J1/fasteners/F09")
    assert "In turn 1, 4" in read(joint) and f'src="/pictures/{digest}"' in joint.text
    assert desk.job("J1").state.bodies(HoleMarked)[0].across == 382
    assert client.get(f"{mine}?photo={'0' * 64}").status_code == 404
    assert client.post(mine, data={"photo": "x", "place": "1", "tap.x": "5", "tap.y": "5"}).status_code == 404


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_pages_fit_the_tablet(site: Site, browser: Browser, theme: str) -> None:
    """820 px wide, no page is wider, and what is tapped is 98 px high."""
    here = f"/files/{next(row.digest for row in site.desk.definitions() if 'Demo B' in row.name)}"
    context = browser.new_context(viewport={"width": 820, "height": 1180}, color_scheme=theme)  # type: ignore[arg-type]
    page = context.new_page()
    for path in ("fasteners", "fasteners/V", "fasteners/F11", "identify", "fastener-sheets?joint=B"):
        page.goto(f"{site.address}{here}/{path}")
        assert page.evaluate("document.documentElement.scrollWidth") <= 820, path
        for action in page.locator("main .action").all():
            box = action.bounding_box()
            assert box is None or box["height"] >= 97, (path, action.inner_text())
    context.close()
