"""Where the expected values come from: networkx as an independent library of graphs, and small cases by hand."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given

from countershaft.errors import NoFeasibleOrder
from countershaft.planning.precedence import available, blocked_by, cycle, order, reverse
from tests.strategies_files import needs

Needs = dict[int, list[int]]


def graph(wanted: Needs) -> nx.DiGraph:
    """An edge leads from what comes first to what needs it."""
    made = nx.DiGraph()
    made.add_nodes_from(wanted)
    made.add_edges_from((need, key) for key, required in wanted.items() for need in required)
    return made


@given(needs())
def test_an_order_obeys_every_need(wanted: Needs) -> None:
    found = order(wanted, first=list(wanted))
    place = {key: index for index, key in enumerate(found)}
    assert sorted(found) == sorted(wanted)
    assert all(place[need] < place[key] for key, required in wanted.items() for need in required)


@given(needs())
def test_an_order_keeps_the_given_one_as_networkx_does(wanted: Needs) -> None:
    first = list(wanted)
    expected = nx.lexicographical_topological_sort(graph(wanted), key=first.index)
    assert list(order(wanted, first=first)) == list(expected)


@given(needs())
def test_an_order_that_obeys_already_is_not_changed(wanted: Needs) -> None:
    once = order(wanted, first=list(wanted))
    assert order(wanted, first=once) == once


@given(needs())
def test_what_can_be_done_step_by_step_leads_to_the_end(wanted: Needs) -> None:
    done: list[int] = []
    while open_now := available(wanted, done):
        assert all(not blocked_by(wanted, done, key) for key in open_now)
        blocked = set(wanted) - set(done) - set(open_now)
        assert all(blocked_by(wanted, done, key) for key in blocked)
        done.append(open_now[-1])
    assert sorted(done) == sorted(wanted)


@given(needs(circles=True))
def test_a_circle_is_found_where_networkx_finds_one(wanted: Needs) -> None:
    found = cycle(wanted)
    assert (found is None) == nx.is_directed_acyclic_graph(graph(wanted))
    if found is not None:
        assert found[0] == found[-1]
        assert len(set(found[:-1])) == len(found) - 1
        assert all(need in wanted[key] for key, need in pairwise(found))


@given(needs(circles=True))
def test_an_order_exists_or_the_whole_circle_is_named(wanted: Needs) -> None:
    circle = cycle(wanted)
    if circle is None:
        assert order(wanted, first=list(wanted))
    else:
        with pytest.raises(NoFeasibleOrder) as caught:
            order(wanted, first=list(wanted))
        assert " needs ".join(map(str, circle)) in str(caught.value)


@given(needs())
def test_putting_back_turns_every_need_round(wanted: Needs) -> None:
    turned = reverse(wanted)
    assert {(need, key) for key, required in turned.items() for need in required} == {
        (key, need) for key, required in wanted.items() for need in required
    }
    back = order(turned, first=list(reversed(order(wanted, first=list(wanted)))))
    place = {key: index for index, key in enumerate(back)}
    assert all(place[key] < place[need] for key, required in wanted.items() for need in required)


def test_a_strip_and_its_way_back_by_hand() -> None:
    strip = {"pan": [], "valve body": ["pan"], "pump": ["valve body"], "drum": ["pump"], "tail": []}
    assert order(strip, first=list(strip)) == ("pan", "valve body", "pump", "drum", "tail")
    back = order(reverse(strip), first=["tail", "drum", "pump", "valve body", "pan"])
    assert back == ("tail", "drum", "pump", "valve body", "pan")
    assert available(strip, {"pan"}) == ("valve body", "tail")
    assert blocked_by({"pump": ["pan", "converter"]}, {"pan"}, "pump") == ("converter",)


def test_the_message_names_the_circle_and_the_cure() -> None:
    circle = {"a": ["b"], "b": ["c"], "c": ["a"]}
    with pytest.raises(
        NoFeasibleOrder, match=r"No order obeys these needs: .* needs .*\. Take one of them out"
    ):
        order(circle, first=list(circle))


def test_a_need_outside_the_order_is_no_part_of_it() -> None:
    assert order({"a": ["elsewhere"]}, first=["a"]) == ("a",)
