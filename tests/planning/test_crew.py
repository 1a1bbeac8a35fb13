"""Schedules against the rules one by one, against networkx's longest path, and small cases by hand."""

from __future__ import annotations

from itertools import combinations, pairwise

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import NoFeasibleOrder
from countershaft.planning.crew import Booking, Schedule, crew_schedule
from countershaft.planning.work import Hold, Setup, Work, WorkStep, need
from tests.planning.demo_work import DEMOS, demo
from tests.planning.work_by_hand import turning
from tests.strategies_work import works

QUICK = settings(deadline=None, max_examples=80)


def overlap(one: Booking, other: Booking) -> bool:
    return one.begins < other.ends and other.begins < one.ends


def check(work: Work, found: Schedule) -> None:
    """No person and no tool in two places; needs, positions, conflicts and holds obeyed."""
    by_step = {one.step: one for one in found.bookings}
    assert len(by_step) == len(found.bookings)
    for one, other in combinations(found.bookings, 2):
        first, second = work.step_of[one.step], work.step_of[other.step]
        if overlap(one, other):
            assert not set(one.by) & set(other.by)
            assert not first.tools & second.tools
            assert other.step not in first.conflicts and one.step not in second.conflicts
            assert first.lies is None or second.lies is None or first.lies == second.lies
    for one in found.bookings:
        step = work.step_of[one.step]
        assert len(one.by) >= step.people
        assert one.ends - one.ready == step.duration
        for wanted in step.needs:
            ways = [by_step[way] for name in wanted.of for way in work.ways(name) if way in by_step]
            assert any(way.ends + work.step_of[way.step].waits <= one.begins for way in ways)
    check_turns(work, found)
    for hold in work.holds:
        check_hold(work, hold, by_step)


def check_turns(work: Work, found: Schedule) -> None:
    lying = sorted(
        (one for one in found.bookings if work.step_of[one.step].lies), key=lambda one: (one.ready, one.ends)
    )
    for one, other in pairwise(lying):
        before, after = work.step_of[one.step].lies, work.step_of[other.step].lies
        assert before is not None and after is not None
        if before != after:
            assert (
                max(sooner.ends for sooner in lying[: lying.index(other)]) + turning(work, before, after)
                <= other.ready
            )


def check_hold(work: Work, hold: Hold, by_step: dict[str, Booking]) -> None:
    begin = next((by_step[way] for way in work.ways(hold.begins) if way in by_step), None)
    end = next((by_step[way] for way in work.ways(hold.ends) if way in by_step), None)
    if begin is None or end is None:
        return
    for name in work.all_ways(hold.during) & by_step.keys():
        assert begin.ends <= by_step[name].begins and (name == end.step or by_step[name].ends <= end.begins)
    for one in by_step.values():
        if one.step in (begin.step, end.step):
            continue
        inside = one.begins < end.ends and begin.ends < one.ends
        assert not (inside and one.step in work.all_ways(hold.breaks))
        if inside and one.begins < end.begins:
            busy = [person for person in begin.by[: hold.people] if person in one.by]
            assert not busy, f"{one.step} by one who holds {hold.id}"


@QUICK
@given(works(9))
def test_nobody_and_no_tool_is_in_two_places(work: Work) -> None:
    try:
        found = crew_schedule(work, tries=60)
    except NoFeasibleOrder:
        return
    check(work, found)
    assert found.bound <= found.makespan == max((one.ends for one in found.bookings), default=0)
    assert crew_schedule(work, tries=60) == found


@pytest.mark.parametrize("name", DEMOS)
def test_two_people_at_a_demo_are_faster_than_one(name: str) -> None:
    work = demo(name, "teardown")
    found = crew_schedule(work)
    check(work, found)
    assert found.makespan < sum(one.ends - one.begins for one in found.bookings)


@QUICK
@given(works(8, holds=False, ways=False), st.integers(0, 5))
def test_the_bound_is_never_under_the_longest_path_of_networkx(work: Work, waits: int) -> None:
    steps = tuple(WorkStep(one.id, one.duration, one.needs, people=1, waits=waits) for one in work.steps)
    plain = Work(steps, setup=Setup(0, 0), people=len(steps))
    graph = nx.DiGraph()
    for step in steps:
        graph.add_edge(("begin", step.id), ("end", step.id), weight=step.duration)
        for one in step.needs:
            graph.add_edge(("end", one.of[0]), ("begin", step.id), weight=waits)
    longest = nx.dag_longest_path_length(graph)
    found = crew_schedule(plain, tries=0)
    assert (found.makespan, found.bound) == (longest, longest)


def test_one_holds_the_ring_while_the_other_lifts() -> None:
    steps = (
        WorkStep("spread", 60, tools=frozenset({"pliers"})),
        WorkStep("lift", 120, tools=frozenset({"hoist"})),
        WorkStep("let go", 10),
        WorkStep("wash", 50),
    )
    hold = Hold("ring", "spread", "let go", ("lift",), people=1, tools=frozenset({"pliers"}))
    found = crew_schedule(Work(steps, (hold,), setup=Setup(0, 0)))
    by = {one.step: one for one in found.bookings}
    assert by["spread"].by == by["let go"].by != by["lift"].by
    assert (found.makespan, found.bound, found.verdict) == (190, 190, "optimal")
    assert {one.step for one in found.bookings if one.by == by["lift"].by} == {"lift", "wash"} or by[
        "wash"
    ].begins >= 60


def test_even_shares_are_proven_best() -> None:
    """By hand: 7 + 5 + 4 + 4 = 20 for two people."""
    work = Work(
        tuple(WorkStep(f"s{time}{n}", time) for n, time in enumerate((4, 4, 5, 7))), setup=Setup(0, 0)
    )
    found = crew_schedule(work)
    assert found.bound == 10
    assert found.makespan <= 11


def test_steps_that_conflict_wait_for_each_other() -> None:
    steps = (WorkStep("hammer", 50, conflicts=frozenset({"measure"})), WorkStep("measure", 30))
    found = crew_schedule(Work(steps, setup=Setup(0, 0)))
    assert found.makespan == 80


def test_a_dry_wait_counts_for_two_as_well() -> None:
    steps = (WorkStep("soak", 60, waits=600), WorkStep("stack", 100, (need("soak"),)), WorkStep("wash", 300))
    found = crew_schedule(Work(steps, setup=Setup(0, 0)))
    assert (found.makespan, found.verdict) == (760, "optimal")
