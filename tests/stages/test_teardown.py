"""Teardown on the small unit.  Expected values: by hand, and properties of every order."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from countershaft.job.entry import StepDone, StepSkipped, Undone
from countershaft.stages.teardown import survey
from countershaft.stages.work import work
from tests.small_unit import UNIT, Log
from tests.stages.walk import apart, done, play_as_found, taken


def test_a_step_waits_for_what_it_needs() -> None:
    """The pan does not come off before the end play is measured, and the message names the step."""
    assert Log().refused(done("T2", "pan")) == "T2 cannot be done yet. Before it: T1 end play as found."


def test_a_step_asks_for_its_measurement() -> None:
    """A step that records a fit is not done without a reading as found."""
    log = Log()
    assert "end play must be measured at this step and has no reading as found" in log.refused(done("T1"))
    log.say(play_as_found("0.44", "0.45"), done("T1"))


def test_pieces_must_all_have_a_place() -> None:
    """Two of three balls: look where the third may have stayed, or write down what was found."""
    log = apart(Log(), upto="T2")
    short = done("T3", "ball:2", counted="2")
    assert "2 of 3 × check ball have a place. It may have stayed on: the plate." in log.refused(short)
    assert "4 × check ball were placed, but this step takes off 3" in log.refused(
        done("T3", "ball:4", counted="4")
    )
    assert "'drum' does not come off at T3" in log.refused(done("T3", "drum", "ball:3", counted="3"))
    log.say(done("T3", "ball:2", counted="2", written="the third was missing when opened"))


def test_counts_and_words_are_asked_for() -> None:
    """A count prompt and a thing to write down cannot be passed over."""
    log = apart(Log(), upto="T3")
    assert (
        Log.refused(apart(Log(), upto="T2"), done("T3", "ball:3"))
        == "counted: Count aloud and type it: 3 check balls."
    )
    assert (
        log.refused(done("T4", "drum", "seal", "washer")) == "written: Write down: which way the drum faced."
    )


def test_a_count_that_differs_needs_words() -> None:
    """By hand: 3 are asked for; 2 or no figure at all is objected to, "2 and 1" is three, and words let it pass."""
    log = apart(Log(), upto="T2")
    assert log.refused(done("T3", "ball:3", counted="2")) == (
        "counted: You counted 2, the step asks for 3: 3 check balls. Count again. "
        "written: Write down what is different, and where you looked."
    )
    assert "'all' holds no number" in log.refused(done("T3", "ball:3", counted="all"))
    assert log.ask(done("T3", "ball:3", counted="2 and 1")).accepted
    assert log.ask(
        done("T3", "ball:3", counted="4", written="one ball too many, from the last repair")
    ).accepted


def test_everything_lies_in_one_place() -> None:
    """By hand: four kinds of part lie on the mat after the teardown."""
    where = survey(UNIT, taken().state).custody
    assert {(one.part, one.count, one.place) for one in where.lying} == {
        ("pan", 1, "mat"), ("ball", 3, "mat"), ("drum", 1, "mat"), ("seal", 1, "mat"), ("washer", 1, "mat"),
    }  # fmt: skip


def test_resume_is_the_first_step_that_can_be_done() -> None:
    """After T2 the next is T3; after skipping it, T4; the skipped reason stays."""
    log = apart(Log(), upto="T2")
    assert work(UNIT, log.state, "teardown").next.step.id == "T3"  # type: ignore[union-attr]
    log.say(StepSkipped(step="T3", because="this unit has no balls"))
    plan = work(UNIT, log.state, "teardown")
    assert plan.next is not None and plan.next.step.id == "T4"
    skipped = plan.find("T3")
    assert skipped is not None and skipped.because == "this unit has no balls"


def test_a_step_is_done_once_and_undone_from_the_end() -> None:
    """Doing it twice is refused; undoing it while later steps stand on it is refused with their names."""
    log = apart(Log(), upto="T3")
    assert "done already" in log.refused(done("T2", "pan"))
    second = log.state.done_steps["T2"]
    assert log.refused(Undone(target=second.id, because="slip")) == "Undo first: T3 balls out."
    log.say(
        Undone(target=log.state.done_steps["T3"].id, because="slip"), Undone(target=second.id, because="slip")
    )
    assert survey(UNIT, log.state).custody.lying == ()


@given(st.data())
def test_every_order_that_is_let_through_obeys_the_needs(data: st.DataObject) -> None:
    """Whatever is tapped in whatever order: a step that was accepted had all its needs behind it."""
    log = Log()
    log.say(play_as_found("0.44", "0.45"))
    bodies = {
        "T1": done("T1"),
        "T2": done("T2", "pan"),
        "T3": done("T3", "ball:3", counted="3"),
        "T4": done("T4", "drum", "seal", "washer", written="front"),
    }
    for name in data.draw(st.lists(st.sampled_from(list(bodies)), max_size=10)):
        if log.ask(bodies[name]).accepted:
            log.say(bodies[name])
    order = [body.step for body in log.state.bodies(StepDone)]
    for place, name in enumerate(order):
        assert set(UNIT.step(name).needs) <= set(order[:place])
    assert len(order) == len(set(order))
