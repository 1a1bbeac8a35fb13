"""What is said about the order of work: late parts, steps that cannot be done, an order that is followed.

Expected values: by hand on the small unit, whose lid T2 comes before the balls T3 and the drum T4, in either order.
"""

from __future__ import annotations

import pytest

from countershaft.errors import Unknown
from countershaft.job.entry import OrderFollowed, PartLate, StepImpossible, Undone
from countershaft.stages.order import followed_order, impossible_steps, late_parts
from countershaft.stages.work import work
from tests.small_unit import UNIT, Log
from tests.stages.walk import done, play_as_found


def test_a_part_is_late_until_somebody_says_it_is_here() -> None:
    log = Log()
    log.say(PartLate(part="seal", until="Thursday"))
    assert {part: body.until for part, (_, body) in late_parts(log.state).items()} == {"seal": "Thursday"}
    assert "seal seal is said to be late already" in log.refused(PartLate(part="seal", until="Thursday"))
    log.say(PartLate(part="seal", until="Friday"), PartLate(part="seal", over=True))
    assert late_parts(log.state) == {}
    assert "is not late" in log.refused(PartLate(part="seal", over=True))


def test_a_part_that_no_file_has_cannot_be_late() -> None:
    with pytest.raises(Unknown, match="has no part 'sael'"):
        Log().ask(PartLate(part="sael"))


def test_a_step_is_impossible_until_that_is_undone_or_it_is_done_all_the_same() -> None:
    log = Log()
    said = log.say(StepImpossible(step="T2", because="the lid is welded on"))
    assert [body.step for _, body in impossible_steps(log.state)] == ["T2"]
    assert "said to be impossible already" in log.refused(StepImpossible(step="T2", because="again"))
    log.say(Undone(target=said.id, because="it came loose"))
    assert impossible_steps(log.state) == ()
    log.say(StepImpossible(step="T2", because="stuck"), play_as_found("0.44", "0.44"))
    log.say(done("T1"), done("T2", "pan"))
    assert impossible_steps(log.state) == ()
    assert "is behind already" in log.refused(StepImpossible(step="T2", because="late"))
    assert "is no way of doing T3" in log.refused(StepImpossible(step="T3", way="magnet", because="none"))


def test_an_order_is_followed_where_the_needs_leave_it_free() -> None:
    log = Log()
    assert [one.step.id for one in work(UNIT, log.state, "teardown").steps] == ["T1", "T2", "T3", "T4"]
    said = log.say(OrderFollowed(phase="teardown", steps=("T4", "T1", "T2", "T3")))
    assert followed_order(log.state, "teardown") == ("T4", "T1", "T2", "T3")
    assert followed_order(log.state, "build") == ()
    assert [one.step.id for one in work(UNIT, log.state, "teardown").steps] == ["T1", "T2", "T4", "T3"]
    log.say(Undone(target=said.id, because="wrong tap"))
    assert [one.step.id for one in work(UNIT, log.state, "teardown").steps] == ["T1", "T2", "T3", "T4"]
    assert "A1: no step of the teardown" in log.refused(OrderFollowed(phase="teardown", steps=("A1",)))
