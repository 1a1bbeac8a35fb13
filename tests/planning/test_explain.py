"""Every "must come before" is told, and what is not told is free: by hand, and by changing the order."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import given, settings

from countershaft.errors import NoFeasibleOrder, Unknown
from countershaft.planning.explain import reasons
from countershaft.planning.rebuild import BuildStep, build_work
from countershaft.planning.sequence import THOROUGH, best_plan
from countershaft.planning.work import Choice, Hold, Need, Setup, Work, WorkStep, need
from tests.planning.work_by_hand import faults
from tests.strategies_work import works

WORK = Work(
    (
        WorkStep("bolts", 60),
        WorkStep("pull", 60, (need("bolts", why="they hold the cover"),)),
        WorkStep("press", 90),
        WorkStep("spread", 10, (need("off", why="the ring lies under the cover"),)),
        WorkStep("lift", 10, (Need(("bolts", "side plate"), "one opening is enough"),)),
        WorkStep("side plate", 5),
        WorkStep("let go", 10),
        WorkStep("tilt", 10),
    ),
    (Hold("ring", "spread", "let go", ("lift",), ("tilt",), why="it snaps shut"),),
    (Choice("off", ("pull", "press")),),
    Setup(0, 0),
)
ORDER = ("bolts", "pull", "spread", "lift", "let go", "tilt", "side plate")


def test_each_kind_of_reason_is_said_in_words() -> None:
    assert not faults(WORK, ORDER)
    said = {name: [str(one) for one in ones] for name, ones in reasons(WORK, ORDER).items()}
    assert said == {
        "bolts": [],
        "pull": ["bolts before pull: they hold the cover"],
        "spread": [
            "pull before spread: the ring lies under the cover; of the ways of off this one was chosen (not press)"
        ],
        "lift": [
            "bolts before lift: one opening is enough; one is enough, and it came first (else side plate)",
            "spread before lift: hold ring, it snaps shut: it must be held meanwhile",
        ],
        "let go": ["lift before let go: hold ring, it snaps shut: it is held until this is done"],
        "tilt": ["let go before tilt: hold ring, it snaps shut: tilt would break it"],
        "side plate": [],
    }


def test_a_step_that_is_not_there_is_refused() -> None:
    with pytest.raises(
        Unknown, match=r"the step 'bolt' is asked for, which is not there\. Did you mean 'bolts'"
    ):
        reasons(WORK, ["bolt"])


@settings(deadline=None, max_examples=80)
@given(works(8))
def test_any_order_that_keeps_the_reasons_is_lawful(work: Work) -> None:
    """The reasons are enough: networkx orders the steps by them alone, in quite another order."""
    work = _alone(work)
    try:
        plan = best_plan(work)
    except NoFeasibleOrder:
        return
    graph = nx.DiGraph()
    graph.add_nodes_from(plan.order)
    graph.add_edges_from(
        (one.before, one.after) for ones in reasons(work, plan.order).values() for one in ones
    )
    other = list(nx.lexicographical_topological_sort(graph, key=lambda name: -plan.order.index(name)))
    assert not faults(work, other)


def _alone(work: Work) -> Work:
    """Holds that bind nobody and no tool: what they keep busy gives no order by itself."""
    return replace(work, holds=tuple(replace(one, people=0, tools=frozenset()) for one in work.holds))


@settings(deadline=None, max_examples=80)
@given(works(8))
def test_the_way_back_of_any_plan_is_lawful_and_turns_back_again(work: Work) -> None:
    try:
        plan = best_plan(_alone(work))
    except NoFeasibleOrder:
        return
    built = build_work(_alone(work), plan.order)
    back = tuple(reversed(plan.order))
    assert not faults(built, back)
    assert set(best_plan(built).order) == set(plan.order)
    again = build_work(built, back)
    assert not faults(again, plan.order)


def test_building_adds_its_own_steps_where_they_belong() -> None:
    oil = BuildStep(WorkStep("oil", 30, (need("lift"),)), (need("spread", why="it cannot be reached later"),))
    built = build_work(WORK, ORDER, extra=[oil])
    plan = best_plan(built, effort=THOROUGH)
    place = {name: number for number, name in enumerate(plan.order)}
    assert place["let go"] < place["lift"] < place["oil"] < place["spread"] < place["pull"] < place["bolts"]
    said = [str(one) for one in reasons(built, plan.order)["spread"] if one.before == "oil"]
    assert said == ["oil before spread: it cannot be reached later"]
    with pytest.raises(Unknown, match="'sprad'"):
        build_work(WORK, ORDER, extra=[BuildStep(WorkStep("oil", 30), (need("sprad"),))])
