"""What a measured value tells on its pages, and what is asked before it is believed.

Expected values: by hand.  1 in = 25.4 mm; on a scale of 0.01 mm alone U = 2·0.01/√12 = 0.0058 mm (JCGM 100, F.2.2.1);
1 N·m = 8.85 lbf·in (NIST SP 811).  The unit is invented.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from countershaft.desk.demo_bench import Clock
from countershaft.desk.demo_shop import START_OF_DEMO
from countershaft.desk.desk import Desk
from countershaft.job.at_shop import InstrumentListed, RuleSaid
from countershaft.job.entry import JobOpened, Reading
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app

UNIT = """format: 1
name: Small unit
parts:
  - {id: P01, name: pump}
limits:
  - id: PUMP
    name: pump face clearance
    part: P01
    min: 0.02 mm
    max: 0.07 mm
    readings: 1
    instrument: {name: feeler gauge, resolution: 0.01 mm}
  - id: HUB
    name: hub diameter
    min: 41.95 mm (1.6516 in)
    max: 41.98 mm
    readings: 1
    instrument: {name: micrometer, resolution: 0.001 mm}
  - id: DRAG
    name: turning torque
    min: 0.8 N·m
    max: 1.4 N·m
    readings: 1
    instrument: {name: torque gauge, resolution: 0.1 N·m}
  - id: RIM
    name: wear of the rim
    max: 0.10 mm
    worn: grows
    places: [12 o'clock, 6 o'clock]
    instrument: {name: feeler gauge, resolution: 0.01 mm}
"""
FEELER = {"unit": "mm", "when": "as found", "instrument": "feeler gauge", "resolution": "0.01"}
DIAL: dict[str, Any] = {
    "id": "I7", "name": "lever 7", "sort": "dial indicator", "unit": "mm", "resolution": "0.001",
    "permitted_error": "0.001", "calibrated": "2026-01-05", "due": "2027-01-05",
}  # fmt: skip


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A shop with one job on the small unit."""
    store = open_store(tmp_path / "shop")
    made = Desk(store, now=Clock(START_OF_DEMO))
    digest = made.add_definition(UNIT, file="small.yaml")
    made.open_job(JobOpened(tag="J1", vehicle="invented van", unit="Small unit", definition=digest), by="B")
    yield made
    store.close()


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    """Somebody at a tablet."""
    with TestClient(create_app(desk, Settings(person="R. Bench", warm=lambda: None))) as opened:
        yield opened


def words(client: TestClient, path: str = "inspect") -> str:
    """What a page of the job says, without its markup."""
    text = client.get(f"/jobs/J1/{path}").text
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", text)))


def sent(client: TestClient, key: str, *values: str, **more: str) -> str:
    """What comes back when readings are sent: empty where they were kept, else what is objected to."""
    answer = client.post(
        f"/jobs/J1/enter/reading?key={key}",
        data={**FEELER, **more, "values": list(values)},
        follow_redirects=False,
    )
    return "" if answer.status_code == 303 else html.unescape(answer.text)


def test_a_value_on_its_limit_says_how_probable_it_is_and_what_would_decide(
    client: TestClient, desk: Desk
) -> None:
    """0.068 ± 0.0058 against 0.07: 0.69 u inside, Φ(0.69) = 76 %; steps of 0.002 or the shop's lever decide it."""
    desk.append_shop(InstrumentListed.model_validate(DIAL), by="B")
    assert sent(client, "PUMP", "0.068", resolution="0.01", tool="other") == ""
    said = words(client)
    assert "measure again 0.068 ± 0.0058 mm reaches into the guard band at 0.070 mm; 76 % probable" in said
    assert "By the guarded rule." in said
    assert "A scale with steps of 0.002 mm would decide it." in said
    assert "Of the shop's instruments, these would decide it: lever 7." in said
    page = client.get("/jobs/J1/inspect").text
    assert re.search(r'href="/jobs/J1/measure/reading\?key=PUMP[^"]*">Measure again</a>', page)


def test_the_budget_opens_as_a_table_and_says_what_it_lacks(client: TestClient) -> None:
    """Half a step is 0.005, by √3 0.0029."""
    sent(client, "PUMP", "0.05")
    said = words(client)
    assert "Contribution Known to Distribution Divisor Sensitivity u, mm Share" in said
    assert "step of the scale ± 0.0050 rectangular √3 1 0.0029 100 %" in said
    assert "the instrument is not on the shop's list, so its permitted error is not in this budget" in said
    assert "Rule: guarded. Good needs the whole uncertainty inside the limits, bad needs it outside." in said


def test_the_rule_of_the_day_stays_with_the_reading(client: TestClient, desk: Desk) -> None:
    """Plain decides by the value alone; what was read before keeps its rule."""
    sent(client, "PUMP", "0.068")
    desk.append_shop(RuleSaid(rule="plain", because="risk shared evenly"), by="B")
    assert "By the guarded rule." in words(client)
    sent(client, "PUMP", "0.068")
    said = words(client)
    assert "good 0.068 ± 0.0058 mm lies inside 0.020 to 0.070 mm; 76 % probable" in said
    assert "By the plain rule." in said


def test_a_torque_in_the_wrong_unit_is_asked_about_and_the_answer_stays_on_page_and_log(
    client: TestClient, desk: Desk
) -> None:
    """9.7 for a limit of 0.8 to 1.4 N·m is 1.1 N·m in lbf·in."""
    torque = {"unit": "N·m", "instrument": "torque gauge", "resolution": "0.1"}
    objected = sent(client, "DRAG", "9.7", **torque)
    assert "lbf·in (1.096 N·m)" in objected
    assert 'value="9.7"' in objected and "Is it so?" in objected
    assert desk.job("J1").state.bodies(Reading) == ()
    answer = "measured again: it is so"
    assert sent(client, "DRAG", "9.7", sure=answer, **torque) == ""
    assert f"asked whether it is so: {answer}" in words(client)
    assert f"asked whether it is so: {answer}" in words(client, "log")


@pytest.mark.parametrize(("typed", "kept"), [("0.002 in", "0.0508"), ("2 thou", "0.0508"), ("0,05", "0.05")])
def test_a_unit_may_be_typed_beside_the_figure(client: TestClient, desk: Desk, typed: str, kept: str) -> None:
    """2 thou are 0.0508 mm, exactly."""
    assert sent(client, "PUMP", typed) == ""
    body = desk.job("J1").state.bodies(Reading)[-1]
    assert (body.unit, str(body.values[0])) == ("mm", kept)
    assert (f"typed {typed}" in words(client, "log")) == (typed != "0,05")


def test_a_missing_unit_is_asked_for_where_two_are_plausible(client: TestClient) -> None:
    """0.05 can be mm only; 1.2 of 0.8 to 1.4 N·m can be lbf·ft as well (1.63 N·m)."""
    assert sent(client, "PUMP", "0.05", unit="") == ""
    torque = {"unit": "", "instrument": "torque gauge", "resolution": "0.1"}
    assert "1.2 can be N·m or lbf·ft here. Say which one was read." in sent(client, "DRAG", "1.2", **torque)


def test_warmth_is_asked_for_only_where_it_matters(client: TestClient) -> None:
    """41.970 mm of steel at 30 °C under a gauge at 20 °C is 41.970·11.5e-6·10 = 0.0048 mm too long."""
    assert "Temperature of the part" not in words(client, "enter/reading?key=PUMP")
    assert "Temperature of the part" in words(client, "enter/reading?key=HUB")
    hub = {"instrument": "micrometer", "resolution": "0.001", "part_c": "30", "tool_c": "20"}
    assert "Say all three, or none" in sent(client, "HUB", "41.970", **hub)
    assert sent(client, "HUB", "41.970", material="steel", **hub) == ""
    said = words(client)
    assert "brought to 20 °C (steel, steel scale): 41.97 · (11.5e-6 · 0 K − 11.5e-6 · 10 K)" in said
    assert "= −0.0048 mm, so 41.9652 mm" in said
    assert "steel at 30 °C, instrument at 20 °C" in said
    assert "temperature of the part" in said


def test_each_place_stands_with_its_value(client: TestClient) -> None:
    """The form names its cells by the places; the worst is judged, and each is listed."""
    form = words(client, "enter/reading?key=RIM")
    assert "12 o'clock" in form and "one at each of 2 places; the worst is judged" in form
    assert sent(client, "RIM", "0.04", "0.12") == ""
    said = words(client)
    assert "bad 0.12 ± 0.006 mm lies above 0.10 mm" in said
    assert "12 o'clock 0.04 ± 0.006 mm good 6 o'clock 0.12 ± 0.006 mm bad" in said
    assert "worst of 2 places: 6 o'clock" in said
    assert "This job, as found 0.04 mm" in words(client, "measure/reading?key=RIM")
    assert "as found; 12 o'clock 0.04, 6 o'clock 0.12 mm; on feeler gauge" in words(client, "log")


def test_the_report_says_how_sure_each_reading_is(client: TestClient) -> None:
    sent(client, "PUMP", "0.05")
    said = words(client, "report")
    assert "How sure the readings are" in said
    assert "0.05 ± 0.006 mm step of the scale 100 % more than 99 % probable, guarded rule" in said
