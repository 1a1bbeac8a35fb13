"""Build on the small unit.  Expected values: by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.job.entry import Finding, PartDecided, StepSkipped, Tightened, Undone
from countershaft.job.words import Degree, FindingWord, PartVerdict, Pattern
from countershaft.model.transmission import Transmission
from countershaft.stages.build import joint_state, survey
from tests.small_unit import UNIT, Log
from tests.stages.walk import apart, built, close_play, done, taken


def tight(number: int, *places: str) -> Tightened:
    """Places of the lid that got a round."""
    return Tightened(joint="lid", round=number, places=places)


def ready_for_lid() -> Log:
    """Everything is in but the pan."""
    log = close_play(taken())
    log.say(done("A1", new=("seal",), verified=True), done("A2"))
    return log


def test_always_new_parts_are_enforced() -> None:
    """The seal must be ticked as new, and the check ticked, before the drum is in."""
    log = close_play(taken())
    assert (
        log.refused(done("A1", verified=True))
        == "new: Must be new and is not ticked: 1 × seal, new (always new)."
    )
    assert log.refused(done("A1", new=("seal",))) == "verified: Check and tick it: the drum turns by hand."


def test_a_condemned_part_must_be_new_too() -> None:
    """A part that a finding condemned is asked for as new."""
    log = close_play(taken())
    log.say(
        Finding(part="drum", word=FindingWord.SCORED, pattern=Pattern.ALL_ROUND, degree=Degree.HEAVY,
                verdict=PartVerdict.REPLACE)
    )  # fmt: skip
    assert "1 × drum, new (found scored)" in log.refused(done("A1", new=("seal",), verified=True))


def test_a_lost_piece_stays_visible_until_somebody_says_where_it_comes_from() -> None:
    """By hand: two of three balls came off; one is missing, and three go on only with words."""
    log = apart(Log(), upto="T2")
    log.say(
        done("T3", "ball:2", counted="2", written="one was missing when opened"),
        done("T4", "drum", "seal", "washer", written="flange to the front"),
    )
    assert survey(UNIT, log.state).missing == ("1 × check ball: 2 of 3 came off",)
    close_play(log).say(done("A1", new=("seal",), verified=True))
    assert log.refused(done("A2")) == (
        "written: 3 × check ball go on, but only 2 came off or are new. Write down where the rest comes from."
    )
    log.say(done("A2", written="a new ball of the same size from the drawer"))
    assert survey(UNIT, log.state).missing == ()


def test_a_lost_piece_that_is_bought_is_not_missing() -> None:
    """One ball is in the kit: nothing is missing, and no words are asked for."""
    log = apart(Log(), upto="T2")
    log.say(
        done("T3", "ball:2", counted="2", written="one was missing when opened"),
        done("T4", "drum", "seal", "washer", written="flange to the front"),
        PartDecided(part="ball", count=1, decision="replace", because="lost"),
    )
    assert survey(UNIT, log.state).missing == ()
    close_play(log).say(done("A1", new=("seal",), verified=True))
    assert log.ask(done("A2", new=("ball",))).accepted


def test_a_step_waits_for_its_fit() -> None:
    """The drum step records the end play; until that fit is closed the step is not done."""
    log = taken()
    assert "end play must be measured at this step" in log.refused(done("A1", new=("seal",), verified=True))
    close_play(log, left="0.60")
    assert log.refused(done("A1", new=("seal",), verified=True)).startswith(
        "end play is not closed: re-measure"
    )


def test_bolts_go_in_their_order_round_by_round() -> None:
    """By hand: b, a, c; nobody jumps, nobody starts round two before round one is through."""
    log = ready_for_lid()
    assert log.refused(tight(1, "a")) == "Next in the order of pan to case is b, not a."
    assert "is b, a, c, not a, b, c." in log.refused(tight(1, "a", "b", "c"))
    log.say(tight(1, "b"))
    assert joint_state(log.state, UNIT.joint("lid")).words == "pan to case: bolt 2 of 3, round 1 of 2"
    assert log.refused(tight(2, "b")) == "Round 1 of pan to case is going on, not round 2."
    log.say(tight(1, "a", "c"), tight(2, "b"))
    now = joint_state(log.state, UNIT.joint("lid"))
    assert (now.round, now.next, now.marked) == (2, "a", 1)
    assert "Not tightened yet: pan to case: bolt 2 of 3, round 2 of 2" in log.refused(
        done("A3", new=("with:lid",))
    )
    log.say(tight(2, "a", "c"))
    assert log.refused(tight(2, "b")) == "pan to case has had all its rounds."
    assert "3 × sealing washer, pan to case, new" in log.refused(done("A3"))


def test_nothing_goes_on_that_is_still_in() -> None:
    """The balls are not out: they cannot be put in; their step is done or skipped first."""
    log = close_play(apart(Log(), upto="T2"))
    log.say(StepSkipped(step="A1", because="sub-let"))
    assert log.refused(done("A2")) == (
        "A2 puts on what has not come off yet. Before it, do or skip: T3 balls out."
    )


def test_no_bolt_before_its_step() -> None:
    """The lid is not tightened while the balls are out."""
    assert "cannot be done yet. Before it: A2 balls in" in close_play(taken()).refused(tight(1, "b"))


def test_an_undone_tap_is_due_again() -> None:
    """A wrong tap is taken back in the log, and the bolt is next again."""
    log = ready_for_lid()
    tap = log.say(tight(1, "b"))
    log.say(Undone(target=tap.id, because="slipped"))
    assert joint_state(log.state, UNIT.joint("lid")).next == "b"


def test_at_the_end_nothing_is_left_over_or_missing() -> None:
    """The whole way: complete, nothing lies outside."""
    found = survey(UNIT, built().state)
    assert found.complete
    assert (found.left_over, found.missing) == ((), ())


def test_what_is_left_over_is_named() -> None:
    """A skipped step leaves its parts over, and says so with the reason."""
    log = close_play(taken())
    log.say(done("A1", new=("seal",), verified=True), StepSkipped(step="A2", because="forgot the balls"))
    found = survey(UNIT, log.state)
    assert "3 × check ball, mat" in found.left_over
    assert found.missing == ("3 × check ball: A2 was skipped, because forgot the balls",)
    assert not found.complete


def test_without_build_steps_the_teardown_is_turned_round() -> None:
    """A file with a teardown only: what came off last goes on first, with the same joints."""
    alone = UNIT.model_dump()
    alone["steps"] = [step for step in alone["steps"] if step["phase"] == "teardown"]
    unit = Transmission.model_validate({**alone, "steps": alone["steps"]})
    assert {step.id: step.needs for step in unit.phase("build")} == {
        "T4-back": (), "T3-back": (), "T2-back": ("T3-back", "T4-back"),
    }  # fmt: skip
    assert unit.step("T2-back").tighten == ("lid",)


@given(st.lists(st.tuples(st.integers(1, 2), st.sampled_from("abc")), max_size=12))
def test_progress_only_grows_and_never_jumps(taps: list[tuple[int, str]]) -> None:
    """Whatever is tapped, each place has had at most one round more than any other, in the order of the joint."""
    log = ready_for_lid()
    for number, place in taps:
        if log.ask(tight(number, place)).accepted:
            log.say(tight(number, place))
    done_rounds = joint_state(log.state, UNIT.joint("lid")).done
    ordered = [done_rounds[place] for place in UNIT.joint("lid").sequence]
    assert ordered == sorted(ordered, reverse=True)
    assert max(ordered) - min(ordered) <= 1


@pytest.mark.parametrize("place", ["z", "1"])
def test_an_unknown_place_is_refused(place: str) -> None:
    """A place that the joint does not have is refused with the one that is due."""
    assert "is b, not" in ready_for_lid().refused(tight(1, place))
