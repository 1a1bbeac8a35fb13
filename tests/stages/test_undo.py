"""What must be undone first.  Expected values: by hand on the small unit."""

from __future__ import annotations

from decimal import Decimal

import pytest

from countershaft.job.custody import custody
from countershaft.job.entry import (
    Body,
    Complaint,
    Entry,
    Note,
    Released,
    StepDone,
    StepSkipped,
    Tightened,
    Trial,
    Undone,
)
from countershaft.job.state import fold
from countershaft.job.words import Stage
from countershaft.stages.build import joint_state
from countershaft.stages.fit import follow
from tests.small_unit import UNIT, Log
from tests.stages.test_handover import proven, waived
from tests.stages.walk import apart, built, close_play, done, taken

PLAY = UNIT.fit("play")
SLIP = "a slip"


def entry(log: Log, kind: str, **facts: object) -> Entry:
    """The newest entry of a kind with these facts."""
    return next(
        one
        for one in reversed(log.entries)
        if one.body.kind == kind and all(getattr(one.body, name) == value for name, value in facts.items())
    )


def undo(log: Log, kind: str, **facts: object) -> Undone:
    """The undoing of that entry."""
    return Undone(target=entry(log, kind, **facts).id, because=SLIP)


def trial(gap: str) -> Trial:
    """A trial of the end play."""
    return Trial(
        fit="play", size_mm=Decimal("1.80"), values_mm=(Decimal(gap),) * 2, resolution_mm=Decimal("0.01")
    )


def tight(number: int, *places: str) -> Tightened:
    """Places of the lid that got a round."""
    return Tightened(joint="lid", round=number, places=places)


def lid() -> Log:
    """Ready for the lid's bolts."""
    log = close_play(taken())
    log.say(done("A1", new=("seal",), verified=True), done("A2"))
    return log


def test_what_went_on_again_cannot_be_put_back_into_the_unit() -> None:
    """The balls are in: their removal cannot be undone while they are, else three balls would be nowhere."""
    log = lid()
    assert log.refused(undo(log, "step_done", step="T3")) == "Undo first: A2 balls in."
    log.say(undo(log, "step_done", step="A2"), undo(log, "step_done", step="T3"))


def test_a_skipped_step_carries_what_needs_it() -> None:
    """A step that was skipped counts for needs, so its skipping is undone last; skipped steps lean on it too."""
    log = taken()
    log.say(StepSkipped(step="A1", because="sub-let"), StepSkipped(step="A2", because="sub-let"))
    assert log.refused(undo(log, "step_skipped", step="A1")) == "Undo first: A2 balls in."
    log.say(undo(log, "step_skipped", step="A2"), undo(log, "step_skipped", step="A1"))


def test_of_two_that_said_the_same_step_either_can_go() -> None:
    """Two benches: one did the step, the other skipped it; it is named, and one of the two is undone."""
    log = apart(Log(), upto="T2")
    log.entries.append(log._entry(StepSkipped(step="T1", because="seen at intake")))
    (words,) = log.state.contradictions
    assert words.startswith(
        "Step T1 was done by R. Bench at 02 Mar 08:02 and skipped by R. Bench at 02 Mar 08:04"
    )
    log.say(undo(log, "step_done", step="T1"))
    assert log.state.contradictions == ()


def test_a_choice_stands_on_its_measurement() -> None:
    """Trial, choice, re-measurement, step: undone in the reverse order, each refusal names the next."""
    log = close_play(taken())
    log.say(done("A1", new=("seal",), verified=True))
    assert "Undo first: end play, chosen by R. Bench at" in log.refused(undo(log, "trial"))
    assert "Undo first: end play, re-measured by R. Bench at" in log.refused(undo(log, "chosen"))
    assert log.refused(undo(log, "remeasured")) == "Undo first: A1 drum in."
    log.say(
        undo(log, "step_done", step="A1"), undo(log, "remeasured"), undo(log, "chosen"), undo(log, "trial")
    )
    assert follow(UNIT, log.state, PLAY).phase == "measure"


def test_a_mistyped_trial_can_go_while_nothing_stands_on_it() -> None:
    """A second trial voids the choice; undone, the first trial and its choice stand again."""
    log = close_play(taken())
    log.say(trial("0.70"))
    assert follow(UNIT, log.state, PLAY).chosen is None
    log.say(undo(log, "trial"))
    assert follow(UNIT, log.state, PLAY).closed


def test_a_choice_without_its_measurement_counts_nothing() -> None:
    """From a bench that did not see the choice: the trial is gone, so nothing is chosen and nothing is closed."""
    log = close_play(taken())
    log.entries.append(log._entry(undo(log, "trial")))
    now = follow(UNIT, log.state, PLAY)
    assert (now.phase, now.chosen, now.left, now.closed_by) == ("measure", None, None, None)


def test_a_bolt_in_the_middle_is_due_again_before_the_rest_goes_on() -> None:
    """b, a, c had round one; b is undone: b is due, as bolt 1, and round two waits for it."""
    log = lid()
    log.say(tight(1, "b"), tight(1, "a", "c"))
    log.say(undo(log, "tightened", places=("b",)))
    now = joint_state(log.state, UNIT.joint("lid"))
    assert (now.next, now.round, now.number) == ("b", 1, 1)
    assert now.words == "pan to case: bolt 1 of 3, round 1 of 2"
    assert log.refused(tight(2, "b")) == "Round 1 of pan to case is going on, not round 2."
    log.say(tight(1, "b"))
    assert joint_state(log.state, UNIT.joint("lid")).round == 2


def test_a_round_is_not_undone_under_a_later_one() -> None:
    """Round two was begun on round one; the step was done on both."""
    log = lid()
    log.say(tight(1, "b", "a", "c"), tight(2, "b"))
    assert log.refused(undo(log, "tightened", round=1)) == "Undo first: round 2 of pan to case."
    log = built()
    assert log.refused(undo(log, "tightened", round=2)) == "Undo first: A3 pan on."


def test_a_later_round_counts_nothing_without_the_first() -> None:
    """From a bench that did not see round two: place a has had no unbroken round, and is due in round one."""
    log = lid()
    log.say(tight(1, "b"), tight(1, "a"), tight(1, "c"), tight(2, "b", "a"))
    log.entries.append(log._entry(undo(log, "tightened", places=("a",))))
    now = joint_state(log.state, UNIT.joint("lid"))
    assert (now.done, now.round, now.next) == ({"b": 2, "a": 0, "c": 1}, 1, "a")


def test_a_tap_that_was_said_twice_carries_nothing_alone() -> None:
    """Two benches tapped the same bolt; one of the two can go although the next round was begun."""
    log = lid()
    log.say(tight(1, "b", "a", "c"))
    log.entries.append(log._entry(tight(1, "a")))
    log.say(tight(2, "b"), undo(log, "tightened", places=("a",)))


def test_an_undo_is_undone_only_where_its_entry_could_be_said_now() -> None:
    """The step was done anew since: the old one would be the same step twice."""
    log = apart(Log(), upto="T3")
    gone = undo(log, "step_done", step="T3")
    log.say(gone)
    back = undo(log, "undone")
    assert log.ask(back).accepted
    log.say(done("T3", "ball:3", counted="3"))
    assert "T3 'balls out' is done already" in log.refused(back)


@pytest.mark.parametrize("kind", ["step_done", "tightened", "complaint", "reading"])
def test_a_released_unit_keeps_its_story(kind: str) -> None:
    """Nothing under the release moves; notes go on, and the release itself can be undone."""
    log = proven()
    log.say(waived(log, "fit:gap", "checked on the stand"))
    log.say(Released(warranty="24 months"))
    assert "The unit is released. Undo the release first" in log.refused(undo(log, kind))
    later: Body = Complaint(words="again", fixed_when="never")
    assert "The unit is released." in log.refused(later)
    log.say(Note(stage=Stage.HANDOVER, words="rang after a week: well"), undo(log, "released"))
    log.say(later)


def test_two_benches_double_no_piece() -> None:
    """The same removal from two benches: three balls lie there, not six."""
    log = apart(Log(), upto="T3")
    log.entries.append(
        log._entry(StepDone.model_validate(entry(log, "step_done", step="T3").body.model_dump()))
    )
    where = custody(UNIT, fold(log.entries))
    assert where.off["ball"] == 3
    assert [(one.part, one.count) for one in where.lying if one.part == "ball"] == [("ball", 3)]
