"""Where everything is: bolts tapped into their own holes or a tray at the step, and moves from one spot to another.

Expected values: by hand on the small unit, whose lid has three bolts and whose balls and drum come out under it.
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
from countershaft.job.at_places import OWN_HOLES, SCRAPPED, UNSAID
from countershaft.job.custody import custody
from countershaft.job.entry import JobOpened, Moved, Spot, Stowed, Undone
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app
from countershaft.web.forms.places import key_of
from tests.small_unit import UNIT, Log
from tests.stages.walk import close_play, done, play_as_found, taken

MAT = Spot(how="place", name="mat")


def opened() -> Log:
    """The lid is next."""
    log = Log()
    log.say(play_as_found("0.44", "0.44"))
    log.say(done("T1"))
    return log


def lid(log: Log) -> dict[Spot, int]:
    """Where the three bolts of the lid are outside the unit."""
    found = custody(UNIT, log.state).find("joint", "lid")
    assert found is not None
    return dict(found.outside)


def test_bolts_that_something_comes_off_through_stay_out() -> None:
    log = opened()
    bolts = Stowed(joint="lid", count=3, spot=OWN_HOLES)
    words = log.refused(done("T2", "pan").model_copy(update={"stowed": (bolts,)}))
    assert "They stay out for now: T3 balls out; T4 drum out may still come off through them." in words
    log.say(done("T2", "pan", written="held by two only").model_copy(update={"stowed": (bolts,)}))
    assert lid(log) == {OWN_HOLES: 3}


def test_bolts_go_back_once_all_is_off() -> None:
    log = taken()
    assert lid(log) == {UNSAID: 3}
    move = Moved(sort="joint", what="lid", count=3, start=UNSAID, to=OWN_HOLES)
    log.say(move)
    assert lid(log) == {OWN_HOLES: 3}
    assert "Only 0 are there (out of the unit, nobody said where)" in log.refused(move)


def test_a_part_has_no_hole_of_its_own_and_scrap_needs_a_word() -> None:
    log = taken()
    park = Moved(sort="part", what="ball", count=1, start=MAT, to=OWN_HOLES)
    assert "Only fasteners have holes of their own" in log.refused(park)
    scrap = Moved(sort="part", what="ball", count=1, start=MAT, to=SCRAPPED)
    assert "words: Write why, and what replaces them." in log.refused(scrap)
    log.say(scrap.model_copy(update={"words": "flat spot, replaced from the drawer"}))
    found = custody(UNIT, log.state).find("part", "ball")
    assert found is not None
    assert dict(found.outside) == {MAT: 2, SCRAPPED: 1}
    close_play(log)
    log.say(done("A1", new=("seal",), verified=True))
    assert "1 × check ball, new (scrapped at the bench)" in log.refused(done("A2"))


def test_what_is_sent_out_cannot_go_in() -> None:
    log = taken()
    out = Spot(how="sent out", name="the grinder")
    log.say(Moved(sort="part", what="drum", count=1, start=MAT, to=out, words="to be ground"))
    close_play(log)
    words = log.refused(done("A1", new=("seal",), verified=True))
    assert "1 × drum is sent out to the grinder. Say that it came back" in words
    log.say(Moved(sort="part", what="drum", count=1, start=out, to=MAT))


def test_a_move_that_another_stands_on_is_undone_last() -> None:
    log = taken()
    first = log.say(Moved(sort="part", what="drum", count=1, start=MAT, to=Spot(how="place", name="J1-T1")))
    log.say(
        Moved(
            sort="part",
            what="drum",
            count=1,
            start=Spot(how="place", name="J1-T1"),
            to=SCRAPPED,
            words="cracked",
        )
    )
    assert "Undo first: the move by R. Bench" in log.refused(Undone(target=first.id, because="a slip"))


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """A job on the small unit whose lid is next."""
    store = open_store(tmp_path / "shop")
    desk = Desk(store)
    digest = desk.add_definition(write_transmission(UNIT), file="small.yaml")
    desk.open_job(JobOpened(tag="J1", vehicle="van", unit=UNIT.name, definition=digest), by="R. Bench")
    desk.append("J1", play_as_found("0.44", "0.44"), by="R. Bench")
    desk.append("J1", done("T1"), by="R. Bench")
    with TestClient(create_app(desk, Settings(person="R. Bench", warm=lambda: None))) as opened_site:
        yield opened_site
    store.close()


def seen(client: TestClient, address: str) -> str:
    """A page as it is read."""
    answer = client.get(address)
    assert answer.status_code == 200, answer.text
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.text)))


def test_the_step_asks_where_the_bolts_go_and_the_page_knows(client: TestClient) -> None:
    step = seen(client, "/jobs/J1/teardown/T2")
    assert "Fasteners go: 3 × bolt, pan to case: mat" in step
    assert "They stay out for now: T3 balls out; T4 drum out may still come off through them." in step
    wrong = client.post("/jobs/J1/teardown/T2", data={"place": "mat", "bolts lid": "own holes"})
    assert wrong.status_code == 422
    assert "Choose a tray, or write down why they go in all the same." in html.unescape(wrong.text)
    client.post("/jobs/J1/teardown/T2", data={"place": "mat", "bolts lid": "J1-T1"})
    places = seen(client, "/jobs/J1/places")
    assert "J1-T1 Pieces What 3 bolt M6x1.0, pan to case Move" in places
    assert "1 pan pan Move" in places
    assert "May go back into their own holes" not in places


def test_bolts_are_parked_from_the_page_once_nothing_more_comes_off(client: TestClient) -> None:
    client.post("/jobs/J1/teardown/T2", data={"place": "mat", "bolts lid": "J1-T1"})
    client.post("/jobs/J1/enter/skip?key=T3", data={"reason": "already done"})
    client.post("/jobs/J1/enter/skip?key=T4", data={"reason": "already done"})
    places = seen(client, "/jobs/J1/places")
    assert "what had to come off through them is off. Pieces What 3 bolt M6x1.0, pan to case Park" in places
    key = key_of("joint", "lid", Spot(how="place", name="J1-T1"), OWN_HOLES)
    form = client.get("/jobs/J1/enter/moved", params={"key": key})
    assert re.search(r'value="own holes="[^>]*checked', form.text)
    sent = client.post(
        "/jobs/J1/enter/moved",
        params={"key": key},
        data={"count": "3", "to": "own holes="},
        follow_redirects=False,
    )
    assert (sent.status_code, sent.headers["location"]) == (303, "/jobs/J1/places")
    assert "Parked in their own holes Pieces What 3 bolt M6x1.0, pan to case" in seen(
        client, "/jobs/J1/places"
    )
    assert "from J1-T1: parked in their own holes" in seen(client, "/jobs/J1/log")


def test_nonsense_in_the_address_or_the_form_is_named(client: TestClient) -> None:
    client.post("/jobs/J1/teardown/T2", data={"place": "mat", "bolts lid": "J1-T1"})
    for key in ("", "part|pan", "part|nothing|place=mat", "tool|pan|place=mat", "part|pan|moon=x"):
        answer = client.get("/jobs/J1/enter/moved", params={"key": key})
        assert answer.status_code == 404, key
        assert "Go back to the places" in html.unescape(answer.text), key
    key = key_of("part", "pan", MAT)
    for data, words in (
        ({"count": "1"}, "choose where they went"),
        ({"count": "2", "to": "place=J1-T1"}, "Only 1 are there (mat)"),
        ({"count": "x", "to": "place=J1-T1"}, "is no whole number"),
        ({"count": "1", "to": "sent out"}, "type to whom it was sent"),
        ({"count": "1", "to": "place=mat"}, "they are there already: mat"),
    ):
        answer = client.post("/jobs/J1/enter/moved", params={"key": key}, data=data)
        assert answer.status_code == 422
        assert words in html.unescape(answer.text), data


def test_all_that_is_free_is_parked_at_once(client: TestClient) -> None:
    """Every lot is ticked; one that is not ticked stays, and nothing ticked is said."""
    client.post("/jobs/J1/teardown/T2", data={"place": "mat", "bolts lid": "J1-T1"})
    assert "Nothing lies outside whose own holes are free now" in seen(client, "/jobs/J1/enter/parked")
    for step in ("T3", "T4"):
        client.post(f"/jobs/J1/enter/skip?key={step}", data={"reason": "already done"})
    form = client.get("/jobs/J1/enter/parked").text
    lot = key_of("joint", "lid", Spot(how="place", name="J1-T1"))
    assert re.search(rf'value="{re.escape(lot)}"[^>]*checked', form)
    refused = client.post("/jobs/J1/enter/parked", data={"which": []})
    assert refused.status_code == 422 and "tick what went back into its own holes" in refused.text
    assert (
        client.post("/jobs/J1/enter/parked", data={"which": lot}, follow_redirects=False).status_code == 303
    )
    assert "Parked in their own holes Pieces What 3 bolt M6x1.0" in seen(client, "/jobs/J1/places")
    assert "May go back" not in seen(client, "/jobs/J1/places")
