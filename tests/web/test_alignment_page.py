"""The page of the housing and its forms, through the app.

Expected figures: the shared invented demo A (0.264 of 0.25 mm, 0.132 mm toward 10 o'clock, dowel 2 at 13.4 mm, after it
is seated 0.081 mm; depth 25.1 mm, gap 2.7 mm).
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.definitions.writer import write_transmission
from countershaft.desk.desk import Desk
from countershaft.job.entry import ConverterDepths, DowelSeen, HousingSwept, HubTrial, JobOpened
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app
from countershaft.web.log_words import say

AS_FOUND = ("0.00", "-0.19", "-0.16", "0.02", "0.00")
SCALE = {"unit": "mm", "instrument": "dial indicator", "resolution": "0.01"}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    store = open_store(tmp_path / "shop")
    made = Desk(store)
    text = library_text("demo-a")
    bare = read_transmission(text, "demo-a.yaml").model_copy(update={"housing": None})
    for tag, own in (("J1", text), ("J2", write_transmission(bare))):
        digest = made.add_definition(own, file=f"{tag}.yaml")
        made.open_job(JobOpened(tag=tag, vehicle="car", unit="demo", definition=digest), by="R. Bench")
    yield made
    store.close()


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with TestClient(create_app(desk, Settings(person="R. Bench", warm=lambda: None))) as opened:
        yield opened


def words(client: TestClient, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200, path
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text)))


def send(
    client: TestClient, form: str, sent: dict[str, str | Sequence[str]], *, tag: str = "J1"
) -> tuple[int, str]:
    whole = {**SCALE, "when": "as found", **sent}
    answer = client.post(f"/jobs/{tag}/enter/{form}", data=whole, follow_redirects=False)
    return answer.status_code, html.unescape(answer.text)


def dowels(first: str, second: str, when: str = "as found") -> dict[str, str | Sequence[str]]:
    return {
        "dowel 1": first,
        "dowel 2": second,
        "when": when,
        "resolution": "0.1",
        "instrument": "depth gauge",
    }


def test_demo_a_from_the_first_reading_to_the_last(client: TestClient, desk: Desk) -> None:
    assert "Nobody has swept the housing yet." in words(client, "/jobs/J1/alignment")
    assert send(client, "dowels", dowels("10.0", "13.4"))[0] == 303
    assert send(client, "sweep", {"bore": AS_FOUND, "face_total": "0.09"})[0] == 303
    page = words(client, "/jobs/J1/alignment")
    assert "Dowel 2, lower right stands 13.40 mm instead of 9.70 mm to 10.30 mm: it is not home." in page
    assert "Move the housing 0.13 mm toward 10 o'clock" in page
    assert "0.26 ± 0.008 mm lies above 0.25 mm" in page
    assert "offset = √(x² + y²) = 0.1320 mm" in page
    assert "0.321 ± 0.029 mm per m" in page and "0.033 mm ± 0.003 mm" in page
    assert "no offset dowel is chosen until then" in page and "offset end points" not in page
    assert "WARNING" in page and "turn the crank by hand" in page
    assert send(client, "dowels", dowels("", "10.1", "as left"))[0] == 303
    assert "was read again after this sweep: sweep again" in words(client, "/jobs/J1/alignment")
    after = {"bore": ("0.00", "-0.06", "-0.07", "-0.02", "0.00"), "face_total": "0.07", "when": "as left"}
    assert send(client, "sweep", {**after, "after": "dowel 2 seated"})[0] == 303
    page = words(client, "/jobs/J1/alignment")
    assert "Bore, face and dowels are as they should be." in page
    assert "0.08 ± 0.008 mm is at most 0.25 mm" in page
    assert "Sweeps before" in page and "0.26 mm: bad" in page and "as found 13.4 mm" in page
    bodies = desk.job("J1").state.bodies(HousingSwept)
    assert [body.answers for body in bodies] == [("C13", "C14")] * 2
    assert bodies[1].after == "dowel 2 seated"


def test_the_sweep_answers_the_checks_and_is_on_the_report(client: TestClient) -> None:
    send(client, "sweep", {"bore": AS_FOUND, "face_total": "0.09"})
    page = words(client, "/jobs/J1/inspect")
    assert "0.26 ± 0.008 mm lies above 0.25 mm" in page and "Housing to the crank" in page
    report = words(client, "/jobs/J1/report")
    assert "Housing to the crank, and converter" in report
    assert "0.26 ± 0.008 mm of 0.25 mm: bad" in report
    assert "move the housing 0.13 mm toward 10 o'clock" in report


def test_a_check_that_a_sweep_answers_opens_the_sweep(client: TestClient) -> None:
    page = words(client, "/jobs/J1/enter/reading?key=teardown:C13")
    assert "Sweep the housing" in page and "12 again" not in page.split("Bore")[0]
    assert "Converter depth and gap" in words(client, "/jobs/J1/enter/reading?key=build:C27")
    assert "engine dowels" in words(client, "/jobs/J1/enter/reading?key=C12")


def test_eight_places_have_eight_cells_and_the_way_back(client: TestClient) -> None:
    page = client.get("/jobs/J1/enter/sweep?key=8").text
    labels = re.findall(r'aria-label="Bore, ([^"]+)"', page)
    assert [html.unescape(one) for one in labels] == [
        "12 o'clock", "1:30", "3 o'clock", "4:30", "6 o'clock", "7:30", "9 o'clock", "10:30", "12 again",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"bore": ("0.00", "-0.19", "-0.16", "", "")}, "read every place; 9 o'clock is left out."),
        ({"bore": ("0.00", "-0.19", "-0.16")}, "read every place; 9 o'clock is left out."),
        ({"bore": ("0.00", "-0.19", "-0.16", "x", "")}, "'x' is no number"),
        ({"bore": AS_FOUND, "unit": ""}, "choose one: a bare 0.00 can be 0.00 mm, 0.00 in or 0.00 thou."),
        ({"bore": AS_FOUND, "unit": "in", "resolution": "0.0001"}, "mm? Choose the unit that the indicator shows."),
        ({"bore": ("0.00", "-0.19", "-0.16", "0.12", "0.03")}, "closure 0.09 mm, allowed 0.01 mm"),
        ({"bore": ("0.00", "-0.19", "-0.16", "0.12", "0.03")}, "the indicator is off by 0.03 mm, allowed 0.01 mm"),
        ({"bore": ("0", "-0.0075", "-0.0063", "0.0008", "0")}, "does not stand on a scale with steps of 0.01 mm"),
        ({"bore": AS_FOUND, "face": ("0.0", "", "", "", "")}, "read every place; 3 o'clock, 6 o'clock, 9 o'clock"),
    ],
)  # fmt: skip
def test_a_sweep_that_cannot_be_believed_keeps_what_was_typed(
    client: TestClient, desk: Desk, sent: dict[str, str | Sequence[str]], said: str
) -> None:
    status, page = send(client, "sweep", sent)
    assert (status, said in page) == (422, True)
    assert all(f'value="{cell}"' in page for cell in sent["bore"] if cell)
    assert desk.job("J1").state.bodies(HousingSwept) == ()


def test_a_sweep_that_contradicts_itself_is_kept_unjudged_where_it_is_so(client: TestClient) -> None:
    wrong = {"bore": ("0.00", "-0.19", "-0.16", "0.12", ""), "sure": "measured again: it is so"}
    assert send(client, "sweep", wrong)[0] == 303
    page = words(client, "/jobs/J1/alignment")
    assert "The sweep contradicts itself: sweep again" in page and "does not close" in page
    assert "Sweep at eight places" in page and "measure again" in page


def test_without_a_file_s_housing_the_limits_are_typed(client: TestClient, desk: Desk) -> None:
    assert "Sweep the housing" in words(client, "/jobs/J2/inspect")
    status, page = send(client, "sweep", {"bore": AS_FOUND, "face_total": "0.09"}, tag="J2")
    assert status == 422 and "type the most runout of the bore" in page
    limits = {"bore_max": "0.25", "face_max": "0.25", "diameter": "280 mm", "bushing": "104 mm"}
    assert send(client, "sweep", {"bore": AS_FOUND, "face_total": "0.09", **limits}, tag="J2")[0] == 303
    page = words(client, "/jobs/J2/alignment")
    assert "0.26 ± 0.008 mm lies above 0.25 mm" in page and "none is named: unverified" in page
    (body,) = desk.job("J2").state.bodies(HousingSwept)
    assert (str(body.bore_max), str(body.diameter), body.answers) == ("0.25 mm", "280 mm", ())
    inch = {"bore": ("0", "-7.5", "-6.5", "1.0", "0"), "unit": "thou", "resolution": "0.5"}
    typed = {
        "bore_max": "10",
        "face_total": "3.5",
        "face_max": "10",
        "diameter": "11 in",
        "bushing": "4.1 in",
    }
    assert send(client, "sweep", {**inch, **typed}, tag="J2")[0] == 303
    assert str(desk.job("J2").state.bodies(HousingSwept)[-1].diameter) == "11 in"


def test_offset_dowels_and_their_working_are_shown_once_all_are_home(client: TestClient) -> None:
    send(client, "dowels", dowels("10.0", "10.1"))
    send(client, "sweep", {"bore": AS_FOUND})
    page = words(client, "/jobs/J1/alignment")
    assert "Two dowels of 0.15 mm offset" in page and "What every pair of offset dowels leaves" in page
    assert "offset 0.30 mm: leaves 0.1680 mm, TIR 0.336 mm" in page


def test_depth_gap_and_hub_of_the_converter(client: TestClient, desk: Desk) -> None:
    send(client, "sweep", {"bore": ("0.00", "-0.06", "-0.07", "-0.02", "0.00")})
    form = words(client, "/jobs/J1/enter/converter")
    assert "CAUTION" in form and "Never draw the unit in with its bolts" in form
    depths = {"depths": ("25.1", "25.1", "25.1"), "plate": ("22.4", "", ""), "resolution": "0.1"}
    assert send(client, "converter", depths)[0] == 303
    (body,) = desk.job("J1").state.bodies(ConverterDepths)
    assert body.answers == ("C27", "C28")
    page = words(client, "/jobs/J1/alignment")
    assert "25.10 ± 0.058 mm lies inside 24.00 to 26.00 mm" in page
    assert "2.70 ± 0.082 mm lies inside 1.00 to 4.50 mm" in page
    first = {"position": "0", "values": ("0.20", "0.00", "-0.20", "0.00")}
    assert send(client, "hub", first)[0] == 303
    assert "Bolt the converter on in another position" in words(client, "/jobs/J1/alignment")
    second = {"position": "1", "values": ("0.05", "0.09", "-0.05", "-0.09")}
    assert send(client, "hub", second)[0] == 303
    page = words(client, "/jobs/J1/alignment")
    assert "computed, best" in page and "0.40 mm ± 0.008 mm" in page
    assert "25.10 ± 0.058 mm: good" in words(client, "/jobs/J1/report")
    status, said = send(client, "hub", {"position": "0", "values": ("0.2", "", "", "")})
    assert status == 422 and "3 o'clock, 6 o'clock, 9 o'clock is left out" in said
    status, said = send(client, "converter", {**depths, "unit": ""})
    assert status == 422 and "25.1 mm, 25.1 in or 25.1 thou" in said
    status, said = send(client, "dowels", {})
    assert status == 422 and "type how far it stands out" in said


def test_the_build_leads_to_the_converter(client: TestClient) -> None:
    assert "Converter depth, gap and hub" in words(client, "/jobs/J1/build/plan")
    assert "Converter depth, gap and hub" not in words(client, "/jobs/J1/teardown/plan")


def test_the_log_tells_the_readings_by_their_places(client: TestClient, desk: Desk) -> None:
    send(client, "dowels", dowels("10.0", ""))
    send(client, "sweep", {"bore": AS_FOUND, "face": ("0.0", "0.01", "0.02", "0.01", "0"), "sag": "-0.01"})
    send(client, "converter", {"depths": ("25.1",), "straightedge": "0", "resolution": "0.1"})
    send(client, "hub", {"position": "0", "values": ("0.05", "0.00", "-0.05", "0.00")})
    job = desk.job("J1")
    told = [
        say(job, job.state.bodies(kind)[0]) for kind in (DowelSeen, HousingSwept, ConverterDepths, HubTrial)
    ]
    assert told == [
        "as found; dowel 1 stands 10.0 mm; depth gauge",
        (
            "as found; bore at 12 o'clock 0.00, 3 o'clock -0.19, 6 o'clock -0.16, 9 o'clock 0.02 mm; back at 0.00 mm; "
            "face at 12 o'clock 0.0, 3 o'clock 0.01, 6 o'clock 0.02, 9 o'clock 0.01 mm; sag -0.01 mm; dial indicator"
        ),
        "pads 25.1 mm; dial indicator",
        "position 0; 12 o'clock 0.05, 3 o'clock 0.00, 6 o'clock -0.05, 9 o'clock 0.00 mm; dial indicator",
    ]


def test_the_page_of_the_file_lists_the_housing_with_its_sources(client: TestClient, desk: Desk) -> None:
    digest = desk.job("J1").state.opened.definition
    page = words(client, f"/files/{digest}")
    assert "Housing to the engine" in page
    assert "Dowel 2, lower right, standing out 9.7 mm to 10.3 mm invented" in page
