"""The shop's instruments in the forms of a job.  Expected values: what was listed, and words for what was refused."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from countershaft.desk.desk import Desk
from countershaft.job.at_shop import InstrumentCalibrated, InstrumentListed, InstrumentRetired, RuleSaid
from countershaft.job.entry import Reading, Trial
from tests.web.one_job import at_a_tablet, diagnosed_job

COMMON: dict[str, Any] = {
    "unit": "mm", "resolution": "0.01", "permitted_error": "0.012", "calibrated": "2025-09-01", "due": "2026-09-01",
}  # fmt: skip
FEELERS = {**COMMON, "id": "I1", "name": "feelers", "sort": "feeler gauges", "permitted_error": "0.005"}
DIAL = {
    **COMMON,
    "id": "I2",
    "name": "dial 1",
    "sort": "dial indicator",
    "zero_offset": "0.01",
    "cable": True,
}
INCHES = {**COMMON, "id": "I3", "name": "inch dial", "sort": "dial indicator", "unit": "in", "resolution": "0.0005",
          "permitted_error": "0.0005"}  # fmt: skip
GAUGE = {**COMMON, "id": "I4", "name": "line gauge", "sort": "pressure gauge", "unit": "bar", "resolution": "0.1",
         "permitted_error": "0.2", "calibrated": None, "due": None}  # fmt: skip

END_PLAY = {"unit": "mm", "when": "as found", "values": ["0.44", "0.45", "0.44"]}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A shop with a job on demo B that is only diagnosed, and an empty list."""
    with diagnosed_job(tmp_path) as made:
        yield made


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    """Somebody at a tablet."""
    with at_a_tablet(desk) as opened:
        yield opened


def put(desk: Desk, *instruments: dict[str, Any]) -> None:
    """List instruments."""
    for one in instruments:
        desk.append_shop(InstrumentListed.model_validate(one), by="R. Bench")


def tiles(client: TestClient, form: str = "reading?key=EP-IN") -> list[tuple[str, bool]]:
    """What is offered under "Measured with", and whether it is chosen."""
    page = client.get(f"/jobs/J1/enter/{form}").text
    found = re.findall(r'name="used" value="([^"]+)"( checked)?', page)
    return [(value, bool(chosen)) for value, chosen in found]


def send(client: TestClient, form: str = "reading?key=EP-IN", **answers: Any) -> tuple[int, str]:
    """Send a form; its status and its words."""
    answer = client.post(f"/jobs/J1/enter/{form}", data={**END_PLAY, **answers}, follow_redirects=False)
    return answer.status_code, html.unescape(answer.text)


def test_a_shop_without_a_list_asks_as_before(client: TestClient) -> None:
    """No tile, and name and step stand ready as the file says them."""
    assert tiles(client) == []
    page = client.get("/jobs/J1/enter/reading?key=EP-IN").text
    assert 'value="dial indicator"' in page and 'value="0.01"' in page


def test_the_best_fitting_stands_first_and_the_only_one_is_in_the_hand(
    client: TestClient, desk: Desk
) -> None:
    """A dial is asked for: the dial before the feelers, the pressure gauge not at all; its cable is said."""
    put(desk, FEELERS, DIAL, GAUGE)
    assert tiles(client) == [("I2", True), ("I1", False), ("another", False)]
    page = client.get("/jobs/J1/enter/reading?key=EP-IN").text
    assert "I2 dial 1" in page and "0.01 mm · calibrated to 2026-09-01 · cable" in page
    assert "0.01 mm · calibrated to 2026-09-01</span>" in page, "the feelers have no cable"


def test_of_two_that_fit_nobody_guesses(client: TestClient, desk: Desk) -> None:
    """Two dials: "another" stands until one is tapped, then that one is in the hand for the rest of the job."""
    put(desk, DIAL, INCHES)
    assert tiles(client) == [("I2", False), ("I3", False), ("another", True)]
    assert send(client, used="I3", unit="in", values=["0.0173"] * 3)[0] == 303
    assert tiles(client, "reading?key=EP-GT") == [("I2", False), ("I3", True), ("another", False)]
    page = client.get("/jobs/J1/enter/reading?key=EP-GT").text
    assert 'value="in" checked' in page, "and the unit that it shows"


def test_a_reading_keeps_the_instrument_as_it_stands(client: TestClient, desk: Desk) -> None:
    """Name, step, permitted error, zero and dates are those of the list on that day, whatever is calibrated later."""
    put(desk, DIAL)
    assert send(client, used="I2")[0] == 303
    again = {"id": "I2", "calibrated": "2026-03-01", "due": "2027-03-01", "zero_offset": "0.03"}
    desk.append_shop(InstrumentCalibrated.model_validate(again), by="R. Bench")
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert (kept.instrument, str(kept.resolution), kept.unit) == ("dial 1", "0.01", "mm")
    used = kept.taken and kept.taken.used
    assert used is not None
    assert (used.tag, used.kind, str(used.permitted_error), str(used.zero_offset), str(used.due)) == (
        "I2", "dial indicator", "0.012", "0.01", "2026-09-01",
    )  # fmt: skip


def test_the_rule_of_the_shop_goes_along(client: TestClient, desk: Desk) -> None:
    """A reading is judged by the rule of its day."""
    assert send(client, instrument="dial indicator", resolution="0.01")[0] == 303
    desk.append_shop(RuleSaid(rule="plain", because="contract"), by="R. Bench")
    assert send(client, instrument="dial indicator", resolution="0.01")[0] == 303
    assert [one.taken and one.taken.rule for one in desk.job("J1").state.bodies(Reading)] == [
        "guarded",
        "plain",
    ]


def test_another_is_typed_as_before(client: TestClient, desk: Desk) -> None:
    """Name and step by hand; without them each says that it is needed, and the figures stay."""
    put(desk, DIAL)
    status, words = send(client, used="another")
    assert status == 422 and "Name of the other instrument: this is needed." in words
    assert "One step of its scale: this is needed." in words and 'value="0.45"' in words
    assert send(client, used="another", instrument="borrowed dial", resolution="0.02")[0] == 303
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert (kept.instrument, str(kept.resolution), kept.taken and kept.taken.used) == (
        "borrowed dial",
        "0.02",
        None,
    )


@pytest.mark.parametrize("typed", ["i2", "Dial 1"])
def test_a_mark_or_a_name_that_is_typed_is_the_shops_own(client: TestClient, desk: Desk, typed: str) -> None:
    """Who types I2 means I2."""
    put(desk, DIAL, INCHES)
    assert send(client, used="another", instrument=typed)[0] == 303
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert kept.taken and kept.taken.used and kept.taken.used.tag == "I2"


def test_an_inch_dial_and_millimetres_are_asked_about(client: TestClient, desk: Desk) -> None:
    """The readings are marked mm and the tapped dial shows inches: which of the two is so?"""
    put(desk, DIAL, INCHES)
    status, words = send(client, used="I3")
    assert status == 422 and 'value="0.45"' in words
    assert "I3 inch dial shows in, and the readings are marked mm. Tap in if they were read so" in words
    assert desk.job("J1").state.bodies(Reading) == ()


def test_one_that_was_retired_meanwhile_is_named(client: TestClient, desk: Desk) -> None:
    """The page was open while somebody else retired it."""
    put(desk, DIAL)
    desk.append_shop(InstrumentRetired(id="I2", because="stem bent"), by="K. Spanner")
    status, words = send(client, used="I2")
    assert status == 422 and "I2 dial 1 was retired on 2026-03-02 (stem bent). Tap another." in words
    status, words = send(client, used="I4")
    assert status == 422 and "I4 is no instrument that measures this here." in words


def test_a_fit_keeps_its_instrument_too(client: TestClient, desk: Desk) -> None:
    """0.026 in on the inch dial: millimetres in the log, the dial beside them in its own unit."""
    put(desk, INCHES, {**DIAL, "unit": "µm", "resolution": "1", "permitted_error": "3"})
    assert tiles(client, "fit-first?key=EP-IN") == [("I3", True), ("another", False)], (
        "µm cannot be typed here"
    )
    status, _ = send(
        client, "fit-first?key=EP-IN", used="I3", unit="in", size_mm="1.80", values_mm=["0.026"] * 3
    )
    assert status == 303
    (kept,) = desk.job("J1").state.bodies(Trial)
    assert str(kept.values_mm[0]) == "0.6604" and str(kept.resolution_mm) == "0.01270"
    used = kept.taken and kept.taken.used
    assert used is not None and (used.unit, str(used.permitted_error)) == ("in", "0.0005")


def test_a_long_list_shows_the_best_and_takes_the_rest_by_mark(client: TestClient, desk: Desk) -> None:
    """Eight are shown; the tenth is typed."""
    many = [{**FEELERS, "id": f"I{number}", "name": f"feelers {number}"} for number in range(1, 11)]
    put(desk, *many, {**DIAL, "id": "I20"})
    shown = tiles(client)
    assert shown[0] == ("I20", True) and len(shown) == 9
    page = client.get("/jobs/J1/enter/reading?key=EP-IN").text
    assert "name and step, or the mark of one of the other 3" in page
    assert send(client, used="another", instrument="I10")[0] == 303


def test_a_sheet_that_is_typed_in_later_has_the_instrument_of_its_day(client: TestClient, desk: Desk) -> None:
    """Measured in February, calibrated on 1 March, typed in on 2 March: the reading keeps what held in February."""
    put(desk, DIAL)
    again = {"id": "I2", "calibrated": "2026-03-01", "due": "2027-03-01", "zero_offset": "0.03"}
    desk.append_shop(InstrumentCalibrated.model_validate(again), by="R. Bench")
    page = client.get("/jobs/J1/sheet/type?every=1").text
    prefix = next(
        name for name in re.findall(r'name="([^"]*)used" value="I2" checked', page)
        if f'name="{name}values"' in page and f'name="{name}when"' in page
    )  # fmt: skip
    cells = len(re.findall(f'name="{re.escape(prefix)}values"', page))
    sent = {
        "measured_by": "K. Spanner", "measured_on": "2026-02-20", f"{prefix}used": "I2", f"{prefix}unit": "mm",
        f"{prefix}when": "as found", f"{prefix}values": ["0.30"] * cells, f"{prefix}sure": "measured again: it is so",
    }  # fmt: skip
    answer = client.post("/jobs/J1/sheet/type?every=1", data=sent)
    assert answer.status_code == 200, html.unescape(re.sub("<[^>]+>", " ", answer.text))
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert kept.taken and kept.taken.used and str(kept.taken.on) == "2026-02-20"
    assert (str(kept.taken.used.calibrated), str(kept.taken.used.zero_offset)) == ("2025-09-01", "0.01")


def test_one_that_ran_out_is_asked_about_before_it_is_believed(client: TestClient, desk: Desk) -> None:
    """The stage asks, the figures stay, and an answer lets them join the log."""
    put(desk, {**DIAL, "due": "2026-02-20"})
    status, words = send(client, used="I2")
    assert status == 422 and "dial 1: its calibration ran out on 2026-02-20, 10 days before." in words
    assert 'value="0.45"' in words and 'value="I2" checked' in words
    assert send(client, used="I2", sure="measured again: it is so")[0] == 303
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert kept.taken and kept.taken.sure == "measured again: it is so"
