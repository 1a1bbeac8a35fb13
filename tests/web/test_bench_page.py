"""The bench view: what a person with one oily glove sees at a step and at a joint.

Expected values: by hand on the small unit and on demo B and C; the screen is the tablet of the design.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from starlette.testclient import TestClient

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.demo_bench import Clock
from countershaft.desk.demo_shop import START_OF_DEMO, diagnosed, six_speed
from countershaft.desk.desk import Desk, OpenJob
from countershaft.job.entry import Note, NotMeasured, PartLate, StepSkipped, Tightened, Waiting
from countershaft.job.words import Stage
from countershaft.model.transmission import Transmission
from countershaft.stages.progress import progress
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app
from countershaft.web.forms.inspection import reading
from countershaft.web.pages.bench import BenchPage, bench_page
from countershaft.web.pages.joint import joint_page
from countershaft.web.pages.plan import plan_page
from countershaft.web.render import Renderer
from tests.small_unit import UNIT, Log
from tests.stages.walk import apart, close_play, done, play_as_found, taken
from tests.web.conftest import Site

DEMO_B = read_transmission(library_text("demo-b"), "demo-b.yaml")
DEMO_C = read_transmission(library_text("demo-c"), "demo-c.yaml")


def job_of(log: Log) -> OpenJob:
    """A job in memory as a page takes it."""
    return OpenJob("J1", log.transmission, log.state, "0" * 64)


def step_page(log: Log, phase: str, step: str) -> BenchPage:
    """The page of a step."""
    assert phase in ("teardown", "build")
    return bench_page(job_of(log), progress(log.transmission, log.state), phase, step)  # type: ignore[arg-type]


def read(record: object, template: str = "bench/step.html") -> str:
    """The page as it is read: no tags, one space between words."""
    text = (
        Renderer().environment.get_template(template).render(page=record, theme="", page_path="/", person="")
    )
    assert text.count("action-primary") == 1
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", text)))


def test_a_measurement_shows_its_two_answers_and_then_its_verdict() -> None:
    """Before: measure, or say why not.  After 0.44 and 0.45 in 0.25 to 0.50: good, with the figure, at the step."""
    (record,) = step_page(Log(), "teardown", "T1").records
    assert (record.name, record.action, record.answer) == ("end play", "Measure", None)
    assert record.because_href == "/jobs/J1/enter/not-measured?key=play&back=/jobs/J1/teardown/T1"
    log = Log()
    log.say(play_as_found("0.44", "0.44"))
    page = step_page(log, "teardown", "T1")
    answer = page.records[0].answer
    assert answer is not None and answer.svg.startswith("<svg")
    assert (answer.word, answer.rule, page.records[0].because_href) == ("good", "guarded", "")
    text = read(page)
    assert (
        "good 0.44 ± 0.006 mm lies inside 0.25 to 0.50 mm; more than 99 % probable that it conforms." in text
    )
    assert "By the guarded rule." in text
    assert "step of the scale ± 0.0050 rectangular √3 1 0.0029 100 %" in text


def test_a_reason_for_not_measuring_stands_at_the_step() -> None:
    """Not measured is an answer, and it says why."""
    log = Log()
    log.say(NotMeasured(limit="play", because="dial broken"))
    (record,) = step_page(log, "teardown", "T1").records
    assert record.answer is not None
    assert (record.answer.word, record.answer.why) == ("not measured", "not measured, because dial broken")


def test_in_the_build_a_fit_is_closed_on_its_own_page() -> None:
    """The build leads to the fit until it is closed, then shows what was left."""
    (record,) = step_page(taken(), "build", "A1").records
    assert (record.action, record.href, record.because_href) == (
        "Choose and re-measure",
        "/jobs/J1/fit/play",
        "",
    )
    (record,) = step_page(close_play(taken()), "build", "A1").records
    assert record.answer is not None
    assert record.answer.word == "good" and record.answer.why.startswith("0.36 ± ")


def test_fasteners_that_turn_one_way_share_one_arrow() -> None:
    """Four joints of the removal are all right-hand: one arrow, four lines, and Done is in reach."""
    (thread,) = step_page(Log(DEMO_B), "teardown", "T00").threads
    assert (thread.hand, thread.doing, len(thread.words)) == ("right", "loosen", 4)


def left_hand_steps(unit: Transmission) -> list[tuple[str, str]]:
    """Steps that turn a left-hand thread."""
    return [
        (step.phase, step.id)
        for phase in ("teardown", "build")
        for step in unit.phase(phase)
        if any(unit.joint(joint).hand == "left" for joint in (*step.loosen, *step.tighten))
    ]


def test_a_left_hand_thread_stands_first_and_turns_the_other_way() -> None:
    """Every step of demo C with a left-hand thread says so, and says which way."""
    found = left_hand_steps(DEMO_C)
    assert found, "demo C has a left-hand nut"
    for phase, step in found:
        page = step_page(Log(DEMO_C), phase, step)
        assert page.threads[0].hand == "left"
        turn = "clockwise" if phase == "teardown" else "anticlockwise"
        assert f"Left-hand thread To {page.threads[0].doing}, turn {turn} , seen on the head" in read(page)


def test_notes_stand_at_their_step() -> None:
    """A note of T2 is read at T2, with who and when, and at no other step."""
    log = apart(Log(), upto="T1")
    log.say(Note(stage=Stage.TEARDOWN, about="T2", words="one bolt was finger tight"))
    assert "one bolt was finger tight (R. Bench, 02 Mar 08:03)" in read(step_page(log, "teardown", "T2"))
    assert step_page(log, "teardown", "T1").notes == ()


def test_a_build_step_says_where_its_pieces_lie() -> None:
    """The drum lies on the mat, and the step that puts it in says so."""
    remarks = {piece.part: piece.remarks for piece in step_page(taken(), "build", "A1").pieces}
    assert remarks["drum"] == ("lies: 1 on the mat",)


def test_a_single_count_gets_figure_keys() -> None:
    """ "3 check balls" is one number; "15 for A, B, E and 9 for C, D" is not."""
    assert step_page(apart(Log(), upto="T2"), "teardown", "T3").count_keys == "numeric"
    assert step_page(Log(DEMO_B), "build", "A01").count_keys == "text"


def test_the_plan_names_a_photo_that_nobody_took_and_pieces_that_are_lost() -> None:
    """T01 of demo B asks for photos; the small unit lost a ball."""
    log = Log(DEMO_B)
    log.say(StepSkipped(step="T00", because="on the bench"), StepSkipped(step="T21", because="on the bench"))
    log.say(done("T01"))
    plan = plan_page(job_of(log), progress(DEMO_B, log.state), "teardown")
    words = {row.step_id: row.words for row in plan.rows}
    assert words["T01"].endswith("no photo was taken, though it was asked for")
    lost = apart(Log(), upto="T2")
    lost.say(done("T3", "ball:2", counted="2", written="one missing"))
    assert plan_page(job_of(lost), progress(UNIT, lost.state), "build").missing == (
        "1 × check ball: 2 of 3 came off",
    )


def test_the_newest_tap_of_a_joint_is_taken_back_at_the_joint() -> None:
    """Nothing to undo at first; after two taps the second is offered, and it leads back here."""
    log = close_play(taken())
    log.say(done("A1", new=("seal",), verified=True), done("A2"))
    assert joint_page(job_of(log), progress(UNIT, log.state), "lid").undo_href == ""
    log.say(Tightened(joint="lid", round=1, places=("b",)))
    last = log.say(Tightened(joint="lid", round=1, places=("a",)))
    page = joint_page(job_of(log), progress(UNIT, log.state), "lid")
    assert page.undo_words == "Undo a, round 1"
    assert page.undo_href == f"/jobs/J1/enter/undo?key={last.id}&back=/jobs/J1/joint/lid"
    assert "Undo a, round 1" in read(page, "bench/joint.html")


def test_what_the_job_waits_for_stands_on_the_step() -> None:
    """One line above the step, with the way to say that it came; and the way to say that it waits."""
    log = apart(Log(), upto="T1")
    log.say(Waiting(what="thrust washer 2.10"))
    page = step_page(log, "teardown", "T2")
    assert "Waits for thrust washer 2.10 It is here" in read(page)
    assert page.frame.waits[0].href == "/jobs/J1/enter/waiting?key=thrust%20washer%202.10"
    assert page.waiting_href == "/jobs/J1/enter/waiting?key=&back=/jobs/J1/teardown/T2"


def test_a_late_part_stands_there_too_until_it_is_here() -> None:
    """With when it is expected, in the sender's words, and its own way to say that it came."""
    log = apart(Log(), upto="T1")
    log.say(PartLate(part="seal", until="14 May"))
    page = step_page(log, "teardown", "T2")
    assert f"Waits for {UNIT.part('seal').name}, expected 14 May It is here" in read(page)
    assert page.frame.waits[0].href == "/jobs/J1/enter/part-late?key=seal"
    log.say(PartLate(part="seal", over=True))
    assert step_page(log, "teardown", "T2").frame.waits == ()


def test_a_measurement_of_a_build_step_begins_as_left() -> None:
    """Even where no build step is done yet; that of a teardown step begins as found."""
    log = taken()
    asked = {
        phase: reading(job_of(log), f"{phase}:play").shown + reading(job_of(log), f"{phase}:play").folded
        for phase in ("teardown", "build")
    }
    chosen = {
        phase: next(field.value for field in fields if field.name == "when")
        for phase, fields in asked.items()
    }
    assert chosen == {"teardown": "as found", "build": "as left"}


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """A shop with a job that is diagnosed and not taken apart."""
    store = open_store(tmp_path / "shop")
    desk = Desk(store, now=Clock(START_OF_DEMO))
    desk.shelve_library()
    diagnosed(six_speed(desk, "J1", vehicle="invented van", by="R. Bench"))
    with TestClient(create_app(Desk(store), Settings(person="R. Bench", warm=lambda: None))) as opened:
        yield opened
    store.close()


def test_a_step_that_is_refused_says_so_at_the_top(client: TestClient) -> None:
    """Done is tapped at the foot of the screen; every fault is named at the top and leads to its field."""
    client.post("/jobs/J1/enter/skip?key=T00", data={"reason": "already done"})
    client.post("/jobs/J1/enter/skip?key=T21", data={"reason": "already done"})
    client.post("/jobs/J1/teardown/T01", data={})
    answer = client.post("/jobs/J1/teardown/T02", data={"place": "mat", "count P045": "one"})
    assert answer.status_code == 422
    assert (
        '<a href="#f-count P045">Count of P045: &#39;one&#39; is no count; type a whole number.</a>'
        in answer.text
    )
    answer = client.post("/jobs/J1/teardown/T02", data={"place": "mat"})
    assert '<a href="#f-written">Words: Write down: debris class' in answer.text
    assert answer.text.count("Not saved: 1 entry to mend") == 1


def test_the_log_names_what_was_measured(client: TestClient) -> None:
    """A reading is of the end play, not of EP-IN."""
    sent = {
        "values": ["0.44"] * 3,
        "unit": "mm",
        "when": "as found",
        "instrument": "dial",
        "resolution": "0.01",
    }
    client.post("/jobs/J1/enter/reading?key=EP-IN", data=sent)
    assert (
        "<strong>reading</strong> input shaft (front) end play; as found; " in client.get("/jobs/J1/log").text
    )


def test_a_reason_is_tapped_and_needs_no_keyboard(client: TestClient) -> None:
    """Skip by one tap and undo by another; neither a tap nor a word is not enough."""
    skip = "/jobs/J1/enter/skip?key=T00"
    assert client.post(skip, data={}).status_code == 422
    answer = client.post(skip, data={"reason": "already done"}, follow_redirects=True)
    assert answer.status_code == 200 and "T21 Flexplate runout" in answer.text
    page = client.get("/jobs/J1/teardown/T00").text
    assert "skipped by R. Bench" in page and "because already done" in page
    (undo,) = re.findall(r'href="(/jobs/J1/enter/undo[^"]*)"', page)
    asked = client.get(html.unescape(undo)).text
    assert "step skipped: T00 Remove the unit from the vehicle; already done" in asked
    client.post(html.unescape(undo), data={"reason": "wrong tap", "because": "meant T21"})
    assert "T00 Remove the unit" in client.get("/jobs/J1/teardown").text


@pytest.mark.browser
def test_done_is_in_reach_at_the_longest_step(browser: Browser, site: Site) -> None:
    """On the tablet of the design, at every open step, Done stands on the screen before anything is scrolled."""
    bench = six_speed(site.desk, "J1", vehicle="invented van", by="R. Bench")
    diagnosed(bench)
    page = browser.new_page(viewport={"width": 820, "height": 1180})
    for path in ("teardown/T00", "teardown/T15", "build/A08", "enter/finding?key=P020", "enter/symptom"):
        page.goto(f"{site.address}/jobs/J1/{path}")
        box = page.locator("main .bar .action-primary").bounding_box()
        assert box is not None and box["y"] + box["height"] <= 1180, path
        assert page.evaluate("document.documentElement.scrollWidth") == 820
    page.close()


def test_a_step_says_what_may_drop_or_stay_behind_and_what_must_be_at_hand() -> None:
    """Keys of the file, as a person reads them while the hands are full."""
    plain = UNIT.model_dump(exclude_unset=True)
    plain = {**plain, "steps": [dict(step) for step in plain["steps"]]}
    plain["steps"][1] |= {
        "drops": ["ball"],
        "sticks": ["seal"],
        "consumables": ["lint-free cloth"],
        "lifts": "14 kg",
    }
    plain["steps"][4] |= {"parts_needed": ["seal"]}
    log = Log(Transmission.model_validate(plain))
    facts = dict(step_page(log, "teardown", "T2").facts)
    assert facts["May drop"] == "check ball"
    assert facts["May stay behind"] == "seal"
    assert facts["Have ready"] == "lint-free cloth"
    assert facts["Weighs"] == "14 kg"
    assert dict(step_page(log, "build", "A1").facts)["Must be here"] == "seal"
