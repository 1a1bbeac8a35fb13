"""What a step hides, what a sealant allows, in which way a step is done, and the build turned round.

Expected values: by hand, on the small unit with a few keys more.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from countershaft.job.entry import Entry, Note, NotMeasured
from countershaft.job.words import Stage
from countershaft.model.transmission import Transmission
from countershaft.stages.hidden import held_now, laid, unchecked
from countershaft.stages.review import review
from countershaft.stages.work import work
from tests.small_unit import UNIT, Log
from tests.stages.walk import apart, close_play, done, taken


def unit(**steps: dict[str, Any]) -> Transmission:
    """The small unit with further keys at some of its steps."""
    plain = UNIT.model_dump(exclude_unset=True)
    for step in plain["steps"]:
        step.update(steps.get(step["id"], {}))
    return Transmission.model_validate(plain)


def job(transmission: Transmission, log: Log) -> Log:
    """A log on another file."""
    log.transmission = transmission
    return log


def test_a_step_that_hides_an_unchecked_place_is_stopped_until_it_is_checked() -> None:
    hiding = unit(T4={"hides": ["lip", "T3"]})
    log = job(hiding, apart(Log(), upto="T2"))
    drum = done("T4", "drum", "seal", "washer", written="to the front")
    assert tuple(one.words for one in unchecked(hiding, log.state, hiding.step("T4"))) == (
        "seal lip (not checked)",
        "T3 balls out (not done)",
    )
    assert (
        "unchecked: T4 hides what is not checked: seal lip (not checked); T3 balls out (not done). Check it first"
        in log.refused(drum)
    )
    log.say(NotMeasured(limit="lip", because="new seal"), done("T3", "ball:3", counted="3"))
    assert unchecked(hiding, log.state, hiding.step("T4")) == ()
    log.say(drum)


def test_a_reason_lets_it_pass_and_stays_in_the_log() -> None:
    log = job(unit(T4={"hides": ["T3"]}), apart(Log(), upto="T2"))
    entry = log.say(
        done("T4", "drum", "seal", "washer", written="front").model_copy(
            update={"unchecked": "balls stay in"}
        )
    )
    assert entry.body.model_dump()["unchecked"] == "balls stay in"


def test_a_build_step_hides_a_fit_until_it_is_closed() -> None:
    hiding = unit(A2={"hides": ["play"]}, A1={"record": []})
    log = job(hiding, taken())
    log.say(done("A1", new=("seal",), verified=True))
    assert "A2 hides what is not checked: end play (not closed)" in log.refused(done("A2"))
    close_play(log)
    log.say(done("A2"))


def sealed() -> Log:
    """The drum is in, with a sealant that is open for 20 minutes until the lid is on."""
    open_time = {"what": "sealant", "minutes": 20, "until": "A2"}
    log = job(unit(A1={"open_time": open_time}), taken())
    close_play(log)
    log.say(done("A1", new=("seal",), verified=True))
    return log


def test_a_sealant_that_was_laid_says_until_when() -> None:
    log = sealed()
    (one,) = laid(log.transmission, log.state)
    assert one.deadline - one.at == timedelta(minutes=20)
    assert one.words.startswith("Sealant was laid at ")
    assert f"stays open for 20 min: A2 balls in by {one.deadline:%H:%M}." in one.words
    log.say(done("A2"))
    assert laid(log.transmission, log.state) == ()


def test_too_late_for_the_sealant_needs_a_word() -> None:
    log = sealed()
    (one,) = laid(log.transmission, log.state)

    def ask(minutes: float, written: str = "") -> str:
        entry = Entry(
            id="0" * 32,
            at=one.at + timedelta(minutes=minutes),
            by="R. Bench",
            body=done("A2", written=written),
        )
        return " ".join(review(log.transmission, log.state, entry).fields.values())

    assert ask(20) == ""
    assert f"was open until {one.deadline:%H:%M}, 13 min ago. Clean it off and lay it anew (undo A1)" in ask(
        32.5
    )
    assert ask(32.5, "cleaned and laid anew at the bench") == ""


def test_what_is_held_is_held_until_its_step_is_done() -> None:
    holding = unit(T2={"holds": [{"what": "ring spread", "until": "T3"}]})
    log = job(holding, apart(Log(), upto="T1"))
    assert held_now(holding, log.state) == ()
    log.say(done("T2", "pan"))
    assert [(step.id, hold.what) for step, hold in held_now(holding, log.state)] == [("T2", "ring spread")]
    log.say(done("T3", "ball:3", counted="3"))
    assert held_now(holding, log.state) == ()


def test_another_way_opens_a_step_whose_usual_way_waits() -> None:
    other = unit(T4={"alternatives": [{"id": "side", "title": "out by the side cover", "needs": ["T1"]}]})
    log = job(other, apart(Log(), upto="T1"))
    one = work(other, log.state, "teardown").find("T4")
    assert one is not None
    assert (one.how, [way.id for way in one.ways]) == ("open", ["side"])
    drum = done("T4", "drum", "seal", "washer", written="front")
    assert "way: The usual way needs first: T2 pan off. Do that, or choose another way." in log.refused(drum)
    words = log.refused(drum.model_copy(update={"way": "roof"}))
    assert "way: 'roof' is no way of doing T4 now; choose side." in words
    log.say(drum.model_copy(update={"way": "side"}))


def test_the_build_follows_the_teardown_that_really_happened() -> None:
    """Balls and drum are free of each other: what came off last goes on first."""
    free = unit(A1={"needs": []}, A2={"needs": []}, A3={"needs": ["A1", "A2"]})
    balls, drum = done("T3", "ball:3", counted="3"), done("T4", "drum", "seal", "washer", written="front")
    for first, second, expected in ((balls, drum, ["A1", "A2", "A3"]), (drum, balls, ["A2", "A1", "A3"])):
        log = job(free, apart(Log(), upto="T2"))
        log.say(first, Note(stage=Stage.TEARDOWN, words="a break of three weeks"), second)
        assert [one.step.id for one in work(free, log.state, "build").steps] == expected


def test_the_file_s_needs_stand_above_what_happened() -> None:
    """In the small unit the balls need the drum, in whatever order they came off."""
    log = apart(Log(), upto="T2")
    log.say(done("T4", "drum", "seal", "washer", written="front"), done("T3", "ball:3", counted="3"))
    assert [one.step.id for one in work(UNIT, log.state, "build").steps] == ["A1", "A2", "A3"]
