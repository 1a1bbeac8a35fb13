"""The keypad over the web: what is typed is never lost, and only the last value writes.

Expected values: limits of the demo file "demo-b" (EP-IN 0.25 to 0.50 mm), 1 in = 25.4 mm exactly, by hand.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from starlette.testclient import TestClient

from countershaft.desk.demo_shop import diagnosed, six_speed
from countershaft.desk.desk import Desk
from countershaft.errors import Unknown
from countershaft.job.at_shop import InstrumentListed
from countershaft.job.entry import Reading, Trial, Undone
from countershaft.web.forms.walk import cells
from countershaft.web.routes.entering import FORMS, built
from tests.web.one_job import at_a_tablet, diagnosed_job

END_PLAY = "/jobs/J1/measure/reading?key=EP-IN&back=/jobs/J1/inspect"


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


class Pad:
    """A browser without script: it sends every field of the form with the button that was tapped."""

    def __init__(self, client: TestClient, address: str) -> None:
        self.client = client
        self.answer = client.get(address)

    @property
    def page(self) -> str:
        return html.unescape(self.answer.text)

    def fields(self) -> list[tuple[str, str]]:
        """What stands in the form: hidden fields, the figure in hand, chosen tiles and texts."""
        found = []
        inside = self.answer.text.split('<form method="post"', 1)[1].split("</form>")[0]
        for tag in re.findall(r"<input [^>]*>", inside):
            name, value = re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)
            if name and name[1] != "typed" and ('type="radio"' not in tag or " checked" in tag):
                found.append((html.unescape(name[1]), html.unescape(value[1] if value else "")))
        return found

    def tap(self, tap: str, typed: str = "") -> Pad:
        """Tap a key; `typed` is what stands in the field meanwhile."""
        shown = re.search(r'action="([^"]*/measure/[^"]*)"', self.answer.text)
        assert shown is not None, self.answer.url
        sent: dict[str, list[str]] = {}
        was = re.search(r'name="typed"[^>]*? value="([^"]*)"', self.answer.text)
        for name, value in [
            *self.fields(),
            ("typed", typed or html.unescape(was[1] if was else "")),
            ("tap", tap),
        ]:
            sent.setdefault(name, []).append(value)
        self.answer = self.client.post(html.unescape(shown[1]), data=sent)
        return self

    def type(self, *values: str) -> Pad:
        """Values, each with Enter."""
        for value in values:
            self.tap("next", value)
        return self


def test_three_taps_write_one_entry_and_show_the_verdict(client: TestClient, desk: Desk) -> None:
    """The goal stands in the middle of the strip; each tap takes one value, the third writes."""
    pad = Pad(client, END_PLAY)
    assert "Reading 1 of 3" in pad.page and 'value="take:0.38"' in pad.page
    pad.tap("take:0.38").tap("take:0.38")
    assert "Reading 3 of 3" in pad.page and desk.job("J1").state.bodies(Reading) == ()
    pad.tap("take:0.39")
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert [str(value) for value in kept.values] == ["0.38", "0.38", "0.39"]
    assert (kept.unit, str(kept.resolution), kept.when) == ("mm", "0.01", "as found")
    assert "good" in pad.page and "Undo" in pad.page and "as found" in pad.page


def test_a_reload_and_the_way_back_lose_nothing(client: TestClient) -> None:
    """Every tap has an address of its own, and that address shows the walk as it stood."""
    pad = Pad(client, END_PLAY).tap("take:0.38").tap("digit:0").tap("digit:.").tap("digit:3")
    there = pad.answer.url
    assert parse_qs(urlsplit(str(there)).query)["typed"] == ["0.3"]
    before = Pad(client, str(there).replace("typed=0.3&", "typed=0.&"))
    assert 'value="0."' in before.page and "Reading 2 of 3" in before.page
    again = Pad(client, str(there))
    assert 'value="0.3"' in again.page and "Reading 2 of 3" in again.page


def test_the_second_tap_of_one_finger_writes_nothing_twice(client: TestClient, desk: Desk) -> None:
    """The same walk sent again is the same entry; mended after the browser's Back it is another."""
    pad = Pad(client, END_PLAY).tap("take:0.38").tap("take:0.38")
    third = pad.answer
    pad.tap("take:0.39")
    pad.answer = third
    pad.tap("take:0.39")
    assert len(desk.job("J1").state.bodies(Reading)) == 1
    pad.answer = third
    pad.tap("take:0.40")
    assert len(desk.job("J1").state.bodies(Reading)) == 2


def test_what_cannot_be_is_refused_and_stays_in_the_field(client: TestClient, desk: Desk) -> None:
    """A negative end play, and a word: the reason stands under the field, and what was typed in it."""
    pad = Pad(client, END_PLAY).type("0.38", "-0.38")
    assert pad.answer.status_code == 422
    assert "-0.38 mm is below nothing, and this cannot be." in pad.page and 'value="-0.38"' in pad.page
    assert "Reading 2 of 3" in pad.page and ("f.values", "0.38") in pad.fields()
    pad.type("about 0.4")
    assert "'about 0.4' is no figure" in pad.page and 'value="about 0.4"' in pad.page
    pad.type("0.38", "0.38")
    assert len(desk.job("J1").state.bodies(Reading)) == 1


def test_units_are_converted_exactly_and_kept_as_typed(client: TestClient, desk: Desk) -> None:
    """14 thou = 0.3556 mm, 0,36 has a decimal comma, .015 in = 0.381 mm."""
    Pad(client, END_PLAY).type("  14 thou", "0,36", ".015in")
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert kept.values == (Decimal("0.3556"), Decimal("0.36"), Decimal("0.381"))
    assert kept.unit == "mm" and kept.taken is not None
    assert kept.taken.typed == "14 thou, 0,36, .015in"


def test_inches_ask_for_the_step_of_the_inch_scale_first(client: TestClient, desk: Desk) -> None:
    """Nobody said how fine the inch dial is, so that is one more cell, with usual steps to tap."""
    pad = Pad(client, END_PLAY).tap("unit:in")
    assert "One step of its scale" in pad.page and 'value="take:0.0005"' in pad.page
    pad.tap("take:0.0005")
    assert "Reading 1 of 3" in pad.page and 'value="take:0.0150"' in pad.page
    pad.tap("take:0.0150").tap("take:0.0150").tap("take:0.0155")
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert (kept.unit, str(kept.resolution), str(kept.values[2])) == ("in", "0.0005", "0.0155")


def test_a_slip_of_the_unit_is_asked_about_and_answered_with_one_tap(client: TestClient, desk: Desk) -> None:
    """0.014 for a play of 0.25 to 0.50 mm: an inch figure, which is 0.3556 mm."""
    pad = Pad(client, END_PLAY).type("0.014", "0.0145", "0.014")
    assert pad.answer.status_code == 422 and "is far from what may be expected" in pad.page
    assert "It was in inches: 0.3556 mm, 0.3683 mm, 0.3556 mm" in pad.page
    assert desk.job("J1").state.bodies(Reading) == ()
    pad.tap("instead:values.0=0.014 in|values.1=0.0145 in|values.2=0.014 in")
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert kept.values == (Decimal("0.3556"), Decimal("0.3683"), Decimal("0.3556"))
    assert kept.taken is not None and kept.taken.typed == "0.014 in, 0.0145 in, 0.014 in"


def test_a_stray_reading_is_mended_alone(client: TestClient, desk: Desk) -> None:
    """The question names the reading; one tap leads to it, and mended it is written at once."""
    pad = Pad(client, END_PLAY).type("0.36", "0.46", "0.36")
    assert "reading 2 (0.46)" in pad.page and "Correct Reading 2 of 3" in pad.page
    pad.tap("go:values.1")
    assert "Reading 2 of 3" in pad.page and 'placeholder="0.46"' in pad.page
    pad.type("0.37")
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert [str(value) for value in kept.values] == ["0.36", "0.37", "0.36"]


def test_it_is_so_is_written_with_its_reason(client: TestClient, desk: Desk) -> None:
    pad = Pad(client, END_PLAY).type("0.36", "0.46", "0.36")
    pad.tap("sure:read by a second person: it is so")
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert kept.taken is not None and kept.taken.sure == "read by a second person: it is so"


def test_a_fit_is_measured_with_its_trial_part(client: TestClient, desk: Desk) -> None:
    """Enter takes the size that the file names; then the readings; then the size that is needed stands there."""
    pad = Pad(client, "/jobs/J1/measure/fit-first?key=EP-IN&back=/jobs/J1/fit/EP-IN")
    assert "Size of the trial" in pad.page and 'placeholder="1.80"' in pad.page
    pad.tap("next").type("0.66", "0.66", "0.67")
    (kept,) = desk.job("J1").state.bodies(Trial)
    assert str(kept.size_mm) == "1.80" and str(kept.values_mm[2]) == "0.67"
    assert "Needed" in pad.page and "1.80" in pad.page


def test_what_another_job_measured_stands_beside_the_pad(client: TestClient, desk: Desk) -> None:
    """The newest that still counts, of the same unit file only; the strip is built around it."""
    diagnosed(six_speed(desk, "J2", vehicle="another van", by="R. Bench"))
    other = END_PLAY.replace("J1", "J2")
    Pad(client, other).type("0.44", "0.44", "0.45")
    Pad(client, other).type("0.30", "0.30", "0.30")
    assert "Job J2" in Pad(client, END_PLAY).page and "0.30 mm" in Pad(client, END_PLAY).page
    newest = [entry for entry, _ in desk.job("J2").state.of(Reading)][-1]
    desk.append("J2", Undone(target=newest.id, because="wrong unit on the bench"), by="R. Bench")
    pad = Pad(client, END_PLAY)
    assert "0.44 mm" in pad.page and 'value="take:0.44"' in pad.page and "0.30 mm" not in pad.page


def test_every_measuring_link_opens_the_pad_and_the_plain_form_stays_near(client: TestClient) -> None:
    page = client.get("/jobs/J1/fit/EP-IN").text
    assert "/jobs/J1/measure/fit-first?key=EP-IN" in page
    assert "/jobs/J1/enter/reading?key=EP-IN" in Pad(client, END_PLAY).page


def test_a_form_without_figures_leads_to_its_plain_page(client: TestClient) -> None:
    answer = client.get("/jobs/J1/measure/note?key=T01", follow_redirects=False)
    assert answer.status_code == 303 and answer.headers["location"].startswith("/jobs/J1/enter/note?key=T01")


@pytest.mark.parametrize(
    "query",
    ["at=none.3", "shift=99999", "shift=abc", "typed=%00", "f.values=1&f.values=2", "due=unit", "saved=zz"],
)
def test_a_spoiled_address_is_answered(client: TestClient, query: str) -> None:
    assert client.get(f"{END_PLAY}&{query}").status_code == 200


def test_a_unit_that_the_job_reads_in_already_is_not_asked_about(client: TestClient) -> None:
    """65 kPa, and 65 psi = 448 kPa, are both a vacuum of at least 61 kPa: asked the first time only."""
    vacuum = "/jobs/J1/measure/reading?key=C08"
    pad = Pad(client, vacuum).type("65")
    assert "in which unit?" in pad.page and 'name="tap" value="unit:psi"' in pad.page
    pad.tap("unit:kPa").type("65", "65")
    assert "Undo" in pad.page
    assert "Reading 2 of 3" in Pad(client, vacuum).type("65").page


def test_an_instrument_of_the_shop_gives_step_and_unit(client: TestClient, desk: Desk) -> None:
    """Its step sets the strip; inches on a metric dial are objected to, with the instruments to tap."""
    listed = {
        "unit": "mm",
        "resolution": "0.002",
        "permitted_error": "0.004",
        "calibrated": "2025-09-01",
        "due": "2026-09-01",
    }
    desk.append_shop(
        InstrumentListed.model_validate(
            {**listed, "id": "I2", "name": "fine dial", "sort": "dial indicator"}
        ),
        by="R. Bench",
    )
    pad = Pad(client, END_PLAY)
    assert "I2 fine dial" in pad.page and 'value="take:0.376"' in pad.page
    assert "I2 fine dial shows mm" in pad.tap("unit:in").page
    Pad(client, END_PLAY).tap("take:0.376").tap("take:0.378").tap("take:0.376")
    (kept,) = desk.job("J1").state.bodies(Reading)
    assert kept.instrument == "fine dial" and str(kept.resolution) == "0.002"
    assert kept.taken is not None and kept.taken.used is not None and kept.taken.used.tag == "I2"


#: A key for every form of the demo job that has figures to walk through.
WALKED = {
    "reading": "EP-IN",
    "fit-first": "CL-A",
    "remeasure": "EP-IN",
    "sum": "spring",
    "sweep": "8",
    "converter": "",
    "hub": "",
    "prices": "",
    "turns": "1",
    "heights": "PUMP",
}


def test_the_pad_walks_through_every_form_that_has_figures(client: TestClient, desk: Desk) -> None:
    """Whoever adds a form with figures gets the pad with it: it opens at the first cell, and Next goes on."""
    job = desk.job("J1")
    opened = set()
    for name in FORMS:
        key = WALKED.get(name, "")
        try:
            form = built(name, job, key)
        except Unknown:
            continue
        if not cells(form):
            continue
        pad = Pad(client, f"/jobs/J1/measure/{name}?key={key}")
        assert cells(form)[0].label in pad.page, name
        pad.type("7")
        assert pad.answer.status_code in (200, 422), name
        opened.add(name)
    assert opened >= {"reading", "fit-first", "remeasure", "sweep", "converter", "hub"}
