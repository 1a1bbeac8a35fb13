"""Inches and millimetres at the bench are equals, and no step of a scale is read in the wrong unit.

Expected values: 1 in = 25.4 mm exactly (international yard and pound agreement of 1959), by hand.
"""

from __future__ import annotations

import html
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from countershaft.desk.desk import Desk
from countershaft.job.entry import Reading, Trial
from countershaft.web.forms.lengths import in_mm
from tests.web.one_job import at_a_tablet, diagnosed_job

END_PLAY = {"unit": "in", "when": "as found", "instrument": "dial indicator", "resolution": "0.01"}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A shop with a job on demo B that is only diagnosed."""
    with diagnosed_job(tmp_path) as made:
        yield made


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    """Somebody at a tablet."""
    with at_a_tablet(desk) as opened:
        yield opened


def test_inches_are_turned_into_millimetres_exactly() -> None:
    """0.0145 in is 0.36830 mm, with a point or a comma; what is no number stays, to be objected to."""
    assert in_mm(("0.0145", "0,0145", "x"), "in") == ("0.36830", "0.36830", "x")
    assert in_mm(("0,36",), "mm") == ("0,36",)


def test_a_step_in_millimetres_is_not_taken_for_inches(client: TestClient, desk: Desk) -> None:
    """0.01 of the dial is in mm; with inches chosen the page asks for the step, and keeps the readings."""
    sent = {**END_PLAY, "values": ["0.0173", "0.0177", "0.0175"]}
    answer = client.post("/jobs/J1/enter/reading?key=EP-IN", data=sent)
    assert answer.status_code == 422
    words = html.unescape(answer.text)
    assert "0.01 is the step in mm. Type one step of the scale in inches, such as 0.001." in words
    assert 'value="0.0177"' in words and 'value="in" checked' in words
    assert desk.job("J1").state.bodies(Reading) == ()


def test_an_inch_dial_stays_an_inch_dial(client: TestClient, desk: Desk) -> None:
    """Once typed, unit and step stand ready for the same instrument, with the limit in that unit beside its own."""
    sent = {**END_PLAY, "resolution": "0.0005", "values": ["0.0173", "0,0177", "0.0175"]}
    assert (
        client.post("/jobs/J1/enter/reading?key=EP-IN", data=sent, follow_redirects=False).status_code == 303
    )
    kept = desk.job("J1").state.bodies(Reading)[-1]
    assert (kept.unit, str(kept.values[1]), str(kept.resolution)) == ("in", "0.0177", "0.0005")
    page = client.get("/jobs/J1/enter/reading?key=EP-GT").text
    assert 'value="in" checked' in page and 'value="0.0005"' in page
    assert "0.0059 to 0.0177 in" in page


def test_back_to_millimetres_takes_the_step_of_the_file(client: TestClient, desk: Desk) -> None:
    """After inches, mm with the step untouched means the step that the file names."""
    inch = {**END_PLAY, "resolution": "0.0005", "values": ["0.0173", "0.0177", "0.0175"]}
    client.post("/jobs/J1/enter/reading?key=EP-IN", data=inch)
    metric = {**inch, "unit": "mm", "values": ["0.36", "0.36", "0.37"]}
    client.post("/jobs/J1/enter/reading?key=EP-GT", data=metric)
    kept = desk.job("J1").state.bodies(Reading)[-1]
    assert (kept.limit, kept.unit, str(kept.resolution)) == ("EP-GT", "mm", "0.01")


def test_a_fit_takes_inches_and_keeps_what_was_typed(client: TestClient, desk: Desk) -> None:
    """0.026 in on a 1.80 mm trial: 0.6604 mm in the log, and the inches beside them."""
    sent = {"size_mm": "1.80", "values_mm": ["0.026"] * 3, "unit": "in", "instrument": "dial indicator"}
    refused = client.post("/jobs/J1/enter/fit-first?key=EP-IN", data={**sent, "resolution": "0.01"})
    assert refused.status_code == 422 and "0.01 is the step in mm" in refused.text
    client.post("/jobs/J1/enter/fit-first?key=EP-IN", data={**sent, "resolution": "0.0005"})
    (kept,) = desk.job("J1").state.bodies(Trial)
    assert [str(value) for value in kept.values_mm] == ["0.6604"] * 3
    assert str(kept.resolution_mm) == "0.01270"
    assert kept.typed == "0.026, 0.026, 0.026 in; step 0.0005 in"
    assert "typed 0.026, 0.026, 0.026 in; step 0.0005 in" in client.get("/jobs/J1/log").text


def test_a_wrong_figure_in_inches_says_so_at_its_field(client: TestClient, desk: Desk) -> None:
    """What is no number is named as it was typed."""
    sent = {
        "size_mm": "1.80",
        "values_mm": ["0.02x"] * 3,
        "unit": "in",
        "instrument": "dial",
        "resolution": "0.001",
    }
    answer = client.post("/jobs/J1/enter/fit-first?key=EP-IN", data=sent)
    assert answer.status_code == 422 and "&#39;0.02x&#39; is no number" in answer.text
    assert desk.job("J1").state.bodies(Trial) == ()
