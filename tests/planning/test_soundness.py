"""What cannot be done is refused with the whole circle, the place in the source and the nearest name.

Circles and what can be reached are held against networkx; the messages are written by hand.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput, HoldNeverEnds, NoFeasibleOrder, Unknown
from countershaft.planning.soundness import check_work, reachable
from countershaft.planning.work import Choice, Hold, Need, Setup, Work, WorkStep, need


def plain(needs: dict[str, list[str]], **places: str) -> Work:
    return Work(
        tuple(
            WorkStep(name, 1, tuple(need(other) for other in others), where=places.get(name, ""))
            for name, others in needs.items()
        )
    )


def test_a_circle_is_named_whole_with_its_places() -> None:
    work = plain(
        {"pan": [], "pump": ["drum"], "drum": ["case"], "case": ["pump"]},
        pump="unit.yaml:12",
        drum="unit.yaml:30",
    )
    with pytest.raises(NoFeasibleOrder) as caught:
        check_work(work)
    assert str(caught.value) == (
        "No order obeys these needs: pump (unit.yaml:12) needs drum (unit.yaml:30) needs case needs "
        "pump (unit.yaml:12). Take one of them out of the circle."
    )


@given(st.lists(st.lists(st.integers(0, 6), max_size=2, unique=True), min_size=7, max_size=7))
def test_a_circle_is_found_where_networkx_finds_one(needs: list[list[int]]) -> None:
    work = plain({f"s{step}": [f"s{other}" for other in others] for step, others in enumerate(needs)})
    graph = nx.DiGraph([(step, other) for step, others in enumerate(needs) for other in others])
    if nx.is_directed_acyclic_graph(graph):
        check_work(work)
        return
    with pytest.raises(NoFeasibleOrder) as caught:
        check_work(work)
    names = str(caught.value).removeprefix("No order obeys these needs: ").split(". Take")[0].split(" needs ")
    circle = [int(name[1:]) for name in names]
    assert circle[0] == circle[-1]
    assert all(graph.has_edge(one, other) for one, other in pairwise(circle))


@given(
    st.lists(st.lists(st.integers(0, 6), max_size=2, unique=True), min_size=7, max_size=7),
    st.sets(st.integers(0, 6)),
)
def test_what_hangs_on_an_impossible_step_is_its_descendants(needs: list[list[int]], out: set[int]) -> None:
    forward = [[other for other in others if other < step] for step, others in enumerate(needs)]
    work = plain({f"s{step}": [f"s{other}" for other in others] for step, others in enumerate(forward)})
    graph = nx.DiGraph([(other, step) for step, others in enumerate(forward) for other in others])
    graph.add_nodes_from(range(7))
    lost = out.union(*(nx.descendants(graph, step) for step in out))
    assert reachable(work, without=[f"s{step}" for step in out]) == {
        f"s{step}" for step in range(7) if step not in lost
    }


def test_a_circle_through_either_of_two_needs_all_ways_closed() -> None:
    steps = (WorkStep("a", 1, (Need(("b", "c")),)), WorkStep("b", 1, (need("a"),)), WorkStep("c", 1))
    check_work(Work(steps))
    with pytest.raises(NoFeasibleOrder, match=r"a needs b needs a|b needs a needs b"):
        check_work(Work((*steps[:2], WorkStep("c", 1, (need("b"),)))))


def test_an_unknown_name_is_told_with_the_nearest() -> None:
    work = Work(
        (
            WorkStep("valve body", 1, where="unit.yaml:4"),
            WorkStep("pan", 1, (need("valve bdy"),), where="unit.yaml:9"),
        )
    )
    with pytest.raises(
        Unknown,
        match=r"'pan' \(unit.yaml:9\) names the step 'valve bdy', which is not there\. Did you mean 'valve body'",
    ):
        check_work(work)
    with pytest.raises(
        Unknown, match=r"hold 'ring' names the step 'lfit', which is not there\. Did you mean 'lift'\?"
    ):
        check_work(Work((WorkStep("lift", 1),), (Hold("ring", "lfit", "lift"),)))


def test_a_hold_that_can_never_end_says_what_breaks_it() -> None:
    work = Work(
        (
            WorkStep("spread", 1, where="unit.yaml:5"),
            WorkStep("turn over", 1, (need("spread"),), where="unit.yaml:8"),
            WorkStep("let go", 1, (need("turn over"),)),
        ),
        (Hold("ring", "spread", "let go", breaks=("turn over",), where="unit.yaml:6"),),
    )
    with pytest.raises(HoldNeverEnds) as caught:
        check_work(work)
    assert str(caught.value) == (
        "hold 'ring' (unit.yaml:6) can never end: let go needs turn over (unit.yaml:8), which breaks the hold and "
        "itself needs spread (unit.yaml:5). Let the hold end earlier, or take the step out of what breaks it."
    )
    backward = Work((WorkStep("b", 1, (need("e"),)), WorkStep("e", 1)), (Hold("ring", "b", "e"),))
    with pytest.raises(HoldNeverEnds, match="begins with b, which needs e that ends it"):
        check_work(backward)


GOOD = WorkStep("a", 1)


@pytest.mark.parametrize(
    ("work", "said"),
    [
        (
            Work((GOOD, replace(GOOD, where="u:2"))),
            r"the name 'a' stands for 2 steps \(u:2\); give each its own",
        ),
        (Work((replace(GOOD, duration=-1),)), "a: the time -1 s is negative; expected 0 s or more"),
        (Work((replace(GOOD, people=3),)), "a: it needs 3 people, and 2 can be there; expected 1 to 2"),
        (Work((replace(GOOD, needs=(Need(()),)),)), "a: one of its needs names no step"),
        (Work((GOOD,), choices=(Choice("c", ("a",)),)), "choice 'c' has fewer than two ways"),
        (Work((GOOD,), setup=Setup(-1)), "a change of set-up has a negative time"),
        (
            Work((GOOD, WorkStep("b", 1)), choices=(Choice("c", ("a", "b")), Choice("d", ("b", "a")))),
            "step 'a' is a way of 2 choices",
        ),
    ],
)
def test_a_figure_that_cannot_be_is_refused(work: Work, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        check_work(work)
