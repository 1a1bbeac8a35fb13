"""What can go on and what waits, against networkx's descendants and by hand."""

from __future__ import annotations

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import NoFeasibleOrder
from countershaft.planning.sequence import THOROUGH
from countershaft.planning.waiting import Reality, outlook, replan
from countershaft.planning.work import Choice, Hold, Setup, Start, Work, WorkStep, need
from tests.planning.work_by_hand import faults
from tests.strategies_work import works

PUMP = Work(
    (
        WorkStep("seal", 60, parts=frozenset({"P7"})),
        WorkStep("pump", 60, (need("seal", why="the seal sits behind it"),)),
        WorkStep("drum", 60, parts=frozenset({"P2"})),
        WorkStep("case", 60, (need("pump"), need("drum"))),
        WorkStep("wash", 60),
    ),
    setup=Setup(0, 0),
)


def test_each_late_part_says_what_it_blocks() -> None:
    seen = outlook(PUMP, Reality(late=frozenset({"P2", "P7"})))
    assert seen.now == ("wash",)
    assert seen.later == ()
    assert seen.late == {"P2": ("drum", "case"), "P7": ("seal", "pump", "case")}
    assert [str(one) for one in seen.blocked] == [
        "seal: part P7 is late",
        "pump waits for seal: part P7 is late",
        "drum: part P2 is late",
        "case waits for pump waits for seal: part P7 is late",
    ]


def test_what_is_done_needs_its_parts_no_more() -> None:
    seen = outlook(PUMP, Reality(Start(frozenset({"seal"})), late=frozenset({"P7"})))
    assert (seen.now, seen.later, seen.blocked) == (("pump", "drum", "wash"), ("case",), ())


def test_a_broken_part_is_late_and_its_done_step_comes_again() -> None:
    seen = outlook(PUMP, Reality(Start(frozenset({"drum"})), broken=frozenset({"P2", "P7"})))
    assert seen.again == ("drum",)
    assert str(seen.blocked[0]) == "seal: part P7 is broken and must be got"


def test_a_step_done_early_is_taken_as_done_and_told() -> None:
    reality = Reality(Start(frozenset({"pump"})))
    assert outlook(PUMP, reality).early == (("pump", need("seal", why="the seal sits behind it")),)
    assert set(replan(PUMP, reality).order) == {"seal", "drum", "case", "wash"}


def test_another_way_is_taken_where_the_usual_one_is_impossible() -> None:
    steps = (
        WorkStep("pull", 60),
        WorkStep("press", 90),
        WorkStep("bearing", 30, (need("off"),)),
        WorkStep("race", 30, (need("pull"),)),
    )
    work = Work(steps, choices=(Choice("off", ("pull", "press")),), setup=Setup(0, 0))
    reality = Reality(impossible=frozenset({"pull"}))
    assert replan(work, reality, effort=THOROUGH).order == ("press", "bearing")
    blocked = outlook(work, reality).blocked
    assert [str(one) for one in blocked] == [
        "pull: it cannot be done",
        "race waits for pull: it cannot be done",
    ]


def test_a_way_that_nobody_needs_any_more_is_not_called_blocked() -> None:
    work = Work((WorkStep("pull", 60), WorkStep("press", 90)), choices=(Choice("off", ("pull", "press")),))
    seen = outlook(work, Reality(Start(frozenset({"press"}))))
    assert (seen.now, seen.later, seen.blocked) == ((), (), ())


def test_a_hold_is_not_begun_where_it_could_not_be_ended() -> None:
    steps = (WorkStep("spread", 5), WorkStep("lift", 5), WorkStep("let go", 5, parts=frozenset({"P1"})))
    work = Work(steps, (Hold("ring", "spread", "let go", ("lift",)),))
    seen = outlook(work, Reality(late=frozenset({"P1"})))
    assert (seen.now, seen.later) == ((), ())
    assert str(seen.blocked[0]) == "spread waits for let go: part P1 is late"
    assert replan(work, Reality(late=frozenset({"P1"}))).order == ()


def test_what_a_lasting_hold_bars_cannot_be_done_now() -> None:
    steps = (WorkStep("spread", 5), WorkStep("turn", 5), WorkStep("let go", 5))
    work = Work(steps, (Hold("ring", "spread", "let go", breaks=("turn",)),))
    seen = outlook(work, Reality(Start(frozenset({"spread"}))))
    assert (seen.now, seen.later) == (("let go",), ("turn",))


@given(
    st.lists(st.lists(st.integers(0, 7), max_size=2, unique=True), min_size=8, max_size=8), st.integers(0, 7)
)
def test_a_late_part_blocks_the_step_and_its_descendants(needs: list[list[int]], late: int) -> None:
    forward = [[other for other in others if other < step] for step, others in enumerate(needs)]
    steps = tuple(
        WorkStep(f"s{step}", 1, tuple(need(f"s{other}") for other in others), parts=frozenset({f"P{step}"}))
        for step, others in enumerate(forward)
    )
    graph = nx.DiGraph([(other, step) for step, others in enumerate(forward) for other in others])
    graph.add_nodes_from(range(8))
    seen = outlook(Work(steps), Reality(late=frozenset({f"P{late}"})))
    waiting = {f"s{step}" for step in nx.descendants(graph, late) | {late}}
    assert set(seen.late[f"P{late}"]) == waiting == {one.step for one in seen.blocked}


@settings(deadline=None, max_examples=80)
@given(works(8), st.data())
def test_a_new_plan_goes_on_lawfully_from_any_point(work: Work, data: st.DataObject) -> None:
    try:
        whole = replan(work, Reality()).order
    except NoFeasibleOrder:
        return
    done = whole[: data.draw(st.integers(0, len(whole)))]
    out = data.draw(st.frozensets(st.sampled_from([step.id for step in work.steps]), max_size=2)) - set(done)
    reality = Reality(Start(frozenset(done)), impossible=out)
    seen = outlook(work, reality)
    listed = [*seen.now, *seen.later, *(one.step for one in seen.blocked)]
    ruled_out = {way for one in work.choices if set(done).intersection(one.ways) for way in one.ways}
    assert sorted(listed) == sorted({step.id for step in work.steps} - set(done) - ruled_out)
    try:
        rest = replan(work, reality).order
    except NoFeasibleOrder:
        return
    assert not faults(work, (*done, *rest))
    assert not out.intersection(rest)
    if not out:
        assert set(rest) <= set(seen.now) | set(seen.later)
