"""The order of work of a file and of a job.

Expected values: by hand on a unit of a few steps (times shown beside them); on the demos, the least time of every order
as an exact search of its own finds it there (tests/planning), and that an order obeys every need of its file.
"""

from __future__ import annotations

import time
from dataclasses import replace
from functools import lru_cache

import pytest

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.order_of_work import (
    Asked,
    build_after,
    clock,
    order_of_work,
    outlook_of,
    setup_now,
    stopped,
    verdict_of,
)
from countershaft.desk.order_standing import goals_of, reality_given, reality_of, waits_for_teardown
from countershaft.errors import GoalOutOfReach, Unknown
from countershaft.job.entry import PartLate, StepImpossible, StepSkipped, Undone
from countershaft.model.transmission import Transmission
from countershaft.planning.waiting import Reality
from tests.small_unit import Log
from tests.stages.walk import done

DEMOS = ("demo-a", "demo-b", "demo-c")


@lru_cache
def demo(name: str) -> Transmission:
    return read_transmission(library_text(name), f"{name}.yaml")


#: Pan up: T1 (5 min, socket) and T3 (1 min); nose up: T2 (10 min, puller, or 20 min by hand, which needs two people).
#: A turn takes 2 min.
UNIT = Transmission.model_validate(
    {
        "format": 1,
        "name": "hand unit",
        "about": {"turning_min": 2},
        "parts": [
            {"id": "P1", "name": "oil pan"},
            {"id": "P2", "name": "oil pump"},
            {"id": "P3", "name": "filter"},
            {"id": "P4", "name": "seal"},
        ],
        "steps": [
            {"id": "T1", "phase": "teardown", "title": "pan off", "off": ["P1"], "tool": "socket", "lies": "pan up",
             "minutes": 5},
            {"id": "T2", "phase": "teardown", "title": "pump out", "off": ["P2"], "tool": "puller", "lies": "nose up",
             "minutes": 10,
             "alternatives": [{"id": "hand", "title": "by hand", "tools": [], "people": 2, "minutes": 20}]},
            {"id": "T3", "phase": "teardown", "title": "filter out", "needs": ["T1"], "off": ["P3"], "lies": "pan up",
             "why": {"T1": "the pan covers the filter"}, "minutes": 1},
            {"id": "A1", "phase": "build", "title": "pump in", "on": ["P2", "P4"], "lies": "nose up", "minutes": 10},
            {"id": "A2", "phase": "build", "title": "filter in", "on": ["P3"], "lies": "pan up", "minutes": 1},
            {"id": "A3", "phase": "build", "title": "pan on", "needs": ["A2"], "on": ["P1"], "lies": "pan up",
             "minutes": 5},
            {"id": "A4", "phase": "build", "title": "fill", "needs": ["A3"], "minutes": 3},
        ],
    }
)  # fmt: skip


def test_the_unit_is_turned_once_and_every_reason_is_told() -> None:
    order = order_of_work(UNIT, Asked(prove=True))
    # steps 16 min, one turn 2 min, socket and puller 20 s each
    assert (order.total, order.working, order.setup, order.turns, order.changes) == (1120, 960, 160, 1, 2)
    assert order.steps in (("T1", "T3", "T2"), ("T2", "T1", "T3"))
    assert verdict_of(order) == "optimal: 18 min 40 s; no order takes less"
    after = next(one for one in order.doings if one.step.id == "T3")
    assert [(one.step, one.why, one.by) for one in after.before] == [
        ("T1", "the pan covers the filter", "need")
    ]
    assert [one.turn for one in order.doings].count(None) == 2


def test_what_is_not_proven_is_only_the_best_found() -> None:
    order = replace(order_of_work(UNIT, Asked(prove=True)), bound=1000)
    assert verdict_of(order) == "best found: 18 min 40 s; no order can take less than 16 min 40 s"
    assert [clock(seconds) for seconds in (0, 20, 60, 80)] == ["0 min", "20 s", "1 min", "1 min 20 s"]


def test_least_work_to_reach_a_part_and_the_build_after_it() -> None:
    order = order_of_work(UNIT, Asked(reach="filter"))
    assert order.steps == ("T1", "T3")
    assert [step.id for step in order.spare] == ["T2"]
    after = build_after(UNIT, order)
    assert after.steps == ("A2", "A3", "A4")
    assert [step.id for step in after.spare] == ["A1"]
    held_up = build_after(UNIT, order, reality_given(UNIT, "build", late=("P1",)))
    assert (held_up.steps, held_up.blocked[0]) == (("A2",), "A3: part P1 is late")
    assert order_of_work(UNIT, Asked("build", "A3")).steps == ("A2", "A3")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("fliter", "hand unit has no part or step 'fliter'. Did you mean P3 filter?"),
        ("pmup", "Did you mean P2 oil pump?"),
        ("zzzz", "No part or step has a name like it."),
    ],
)
def test_an_unknown_part_is_answered_with_the_nearest(name: str, words: str) -> None:
    with pytest.raises(Unknown) as caught:
        goals_of(UNIT, "teardown", name)
    assert words in str(caught.value)


def test_a_part_that_no_step_touches_cannot_be_reached() -> None:
    with pytest.raises(GoalOutOfReach, match="no step of the teardown takes off P4 seal"):
        goals_of(UNIT, "teardown", "seal")


def test_a_late_part_blocks_what_needs_it_and_nothing_else() -> None:
    reality = reality_given(UNIT, "build", late=("filter",))
    order = order_of_work(UNIT, Asked("build", prove=True), reality)
    assert order.steps == ("A1",)
    assert order.blocked == (
        "A2: part P3 is late",
        "A3 waits for A2: part P3 is late",
        "A4 waits for A3 waits for A2: part P3 is late",
    )
    seen = outlook_of(UNIT, "build", reality)
    assert (seen.now, seen.late) == (("A1",), {"P3": ("A2", "A3", "A4")})


def test_an_impossible_way_is_gone_round_and_an_impossible_step_stops_what_needs_it() -> None:
    by_hand = order_of_work(UNIT, Asked(), reality_given(UNIT, "teardown", impossible=("T2/as-written",)))
    assert next(one.way for one in by_hand.doings if one.step.id == "T2") == "by hand"
    assert by_hand.blocked == ()
    without = reality_given(UNIT, "teardown", impossible=("T1",))
    assert order_of_work(UNIT, Asked(), without).steps == ("T2",)
    with pytest.raises(
        GoalOutOfReach, match=r"T3 \(filter out\), which needs T1 \(pan off\): that cannot be done"
    ):
        order_of_work(UNIT, Asked(reach="filter"), without)
    with pytest.raises(Unknown, match="'T9' is asked for, which is not there"):
        reality_given(UNIT, "teardown", done=("T9",))


def test_two_people_never_share_a_tool_and_wait_for_each_other() -> None:
    order = order_of_work(UNIT, Asked("teardown", people=2))
    ends = {one.step.id: one.ends for one in order.doings}
    starts = {one.step.id: one.begins for one in order.doings}
    assert starts["T3"] >= ends["T1"]
    assert order.bound <= order.total <= order.alone == 1120
    assert {person for one in order.doings for person in one.by} <= {0, 1}


def test_a_job_goes_on_from_how_its_last_step_left_the_unit() -> None:
    log = Log(UNIT)
    log.say(done("T2", "P2", way="hand"), StepSkipped(step="T1", because="done already"))
    reality = reality_of(UNIT, log.state, "teardown")
    assert (reality.start.done, reality.start.lies) == (frozenset({"T2/hand", "T1"}), "nose up")
    order = order_of_work(UNIT, Asked(prove=True), reality)
    assert (order.steps, order.total, order.turns) == (("T3",), 180, 1)
    assert setup_now(UNIT, "teardown", reality, ("T3",)) == {"T3": 120}


def test_what_the_log_says_of_parts_and_steps_counts_until_it_is_undone() -> None:
    log = Log(UNIT)
    log.say(PartLate(part="P3", until="Friday"), PartLate(part="P2", how="broken"))
    said = log.say(StepImpossible(step="T2", way="as-written", because="no puller"))
    assert reality_of(UNIT, log.state, "build").missing == {"P2", "P3"}
    reality = reality_of(UNIT, log.state, "teardown")
    assert reality.impossible == {"T2/as-written"}
    assert stopped(outlook_of(UNIT, "teardown", reality)) == ()
    log.say(Undone(target=said.id, because="found it"))
    assert reality_of(UNIT, log.state, "teardown").impossible == frozenset()


def test_the_build_knows_what_is_still_in_the_unit() -> None:
    log = Log(UNIT)
    assert waits_for_teardown(UNIT, log.state) == {"A1", "A2", "A3"}
    log.say(done("T2", "P2"))
    assert waits_for_teardown(UNIT, log.state) == {"A2", "A3"}


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("phase", ["teardown", "build"])
@pytest.mark.parametrize("people", [1, 2])
def test_orders_of_the_demos_obey_their_files(name: str, phase: str, people: int) -> None:
    unit = demo(name)
    order = order_of_work(unit, Asked("build" if phase == "build" else "teardown", people=people))
    ends = {one.step.id: one.ends for one in order.doings}
    assert sorted(order.steps) == sorted(step.id for step in unit.phase(phase))
    for one in order.doings:
        assert all(ends[need] <= one.begins for need in one.step.needs if need in ends and not one.way)
    assert order.bound <= order.total


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("phase", ["teardown", "build"])
def test_every_demo_is_planned_at_once_and_proven_when_asked(name: str, phase: str) -> None:
    unit = demo(name)
    asked = Asked("build" if phase == "build" else "teardown")
    began = time.process_time()
    first = order_of_work(unit, asked, Reality())
    assert time.process_time() - began <= 0.5
    proved = order_of_work(unit, Asked(asked.phase, prove=True))
    assert proved.proven
    assert first.bound <= proved.total <= first.total
