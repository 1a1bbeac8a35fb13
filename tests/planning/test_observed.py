"""The order that teardowns leave.

Expected values: the definition itself, written out by brute force over all pairs; networkx for the transitive closure
and the transitive reduction (an independent library); small teardowns by hand.
"""

from __future__ import annotations

from itertools import pairwise, product

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput, NoFeasibleOrder
from countershaft.planning.observed import Groups, always_before, matching_key, observed_order

KEYS = "abcdefgh"


@st.composite
def teardown(draw: st.DrawFn, *, whole: bool = False) -> list[list[str]]:
    """One teardown of some or all keys, some of them together."""
    keys = draw(st.permutations(KEYS))
    keys = keys if whole else keys[: draw(st.integers(0, len(keys)))]
    groups: list[list[str]] = []
    for key in keys:
        if groups and draw(st.integers(0, 3)) == 0:
            groups[-1].append(key)
        else:
            groups.append([key])
    return groups


def teardowns(*, whole: bool = False, least: int = 0) -> st.SearchStrategy[list[list[list[str]]]]:
    """Up to four teardowns."""
    return st.lists(teardown(whole=whole), min_size=least, max_size=4)


def place_of(one: Groups) -> dict[str, int]:
    """Key -> number of its group."""
    return {key: at for at, group in enumerate(one) for key in group}


def by_definition(logs: list[list[list[str]]]) -> set[tuple[str, str]]:
    """The intersection, word by word: in every teardown that has both, and there is one, strictly before."""
    found = set()
    for before, after in product(KEYS, KEYS):
        had = [places for places in map(place_of, logs) if before in places and after in places]
        if had and all(places[before] < places[after] for places in had):
            found.add((before, after))
    return found


def graph(pairs: object, keys: object) -> nx.DiGraph:
    """Pairs as a graph."""
    made = nx.DiGraph()
    made.add_nodes_from(keys)
    made.add_edges_from(pairs)
    return made


def direct(logs: list[list[list[str]]], **more: object) -> set[tuple[str, str]]:
    """The direct musts as pairs."""
    return {(must.before, must.after) for must in observed_order(logs, **more).musts}  # type: ignore[arg-type]


def closed(logs: list[list[list[str]]]) -> set[tuple[str, str]]:
    """Every pair that follows from the musts."""
    return set(nx.transitive_closure_dag(graph(direct(logs), KEYS)).edges)


@given(teardowns())
def test_always_before_is_the_definition(logs: list[list[list[str]]]) -> None:
    assert always_before(logs) == by_definition(logs)


@given(teardowns(whole=True, least=1))
def test_of_whole_teardowns_the_musts_are_the_reduced_intersection(logs: list[list[list[str]]]) -> None:
    """An intersection of orders of the same things is an order: nothing is doubtful, and networkx reduces it alike."""
    found = observed_order(logs)
    assert found.doubtful == ()
    reduced = nx.transitive_reduction(graph(by_definition(logs), KEYS))
    assert {(must.before, must.after) for must in found.musts} == set(reduced.edges)
    assert closed(logs) == by_definition(logs)


@given(teardowns())
def test_every_teardown_obeys_what_is_left(logs: list[list[list[str]]]) -> None:
    """Also through third things: no must that follows was seen otherwise."""
    pairs = closed(logs)
    for places in map(place_of, logs):
        assert not [
            one for one in pairs if one[0] in places and one[1] in places and places[one[0]] >= places[one[1]]
        ]


@given(teardowns())
def test_only_what_was_always_seen_is_a_must_and_only_doubt_drops_it(logs: list[list[list[str]]]) -> None:
    found = observed_order(logs)
    kept = by_definition(logs) - set(found.doubtful)
    assert set(found.doubtful) <= by_definition(logs)
    assert nx.is_directed_acyclic_graph(graph(kept, KEYS))
    assert {(must.before, must.after) for must in found.musts} == set(
        nx.transitive_reduction(graph(kept, KEYS)).edges
    )


@given(teardowns())
def test_a_pair_is_doubtful_only_where_its_way_was_seen_otherwise(logs: list[list[list[str]]]) -> None:
    """By networkx: the pair lies on a walk from x to y, and a teardown had y before or with x, or x is y."""
    always = graph(by_definition(logs), KEYS)
    reach = {key: nx.descendants(always, key) for key in KEYS}
    reach |= {
        key: reach[key] | {key} for key in KEYS if any(key in reach[one] for one in always.successors(key))
    }
    denied = {
        (x, y)
        for x, y in product(KEYS, KEYS)
        if x == y or any(x in p and y in p and p[x] >= p[y] for p in map(place_of, logs))
    }
    wrong = {(x, y) for x, y in denied if y in reach[x]}
    expected = {
        (u, v)
        for u, v in always.edges
        if any((x == u or u in reach[x]) and (y == v or y in reach[v]) for x, y in wrong)
    }
    assert set(observed_order(logs).doubtful) == expected


@given(teardowns(whole=True, least=1), teardown(whole=True))
def test_another_teardown_of_the_same_things_never_adds_a_must(
    logs: list[list[list[str]]], more: list[list[str]]
) -> None:
    assert closed([*logs, more]) <= closed(logs)


@given(teardowns(), teardown())
def test_another_teardown_never_adds_a_pair_that_had_been_seen_otherwise(
    logs: list[list[list[str]]], more: list[list[str]]
) -> None:
    together = {
        (x, y)
        for places in map(place_of, logs)
        for x, y in product(KEYS, KEYS)
        if x in places and y in places
    }
    assert always_before([*logs, more]) & together <= always_before(logs)


@given(teardowns(), st.randoms())
def test_the_same_teardowns_again_and_in_another_order_change_nothing(
    logs: list[list[list[str]]], by: object
) -> None:
    shuffled = [*logs, *logs]
    by.shuffle(shuffled)  # type: ignore[attr-defined]
    assert direct(shuffled) == direct(logs)


@given(teardown(whole=True))
def test_one_teardown_is_its_own_order(log: list[list[str]]) -> None:
    """Every one of a group before every one of the next, and no more."""
    expected = {(u, v) for first, then in pairwise(log) for u, v in product(first, then)}
    assert direct([log]) == expected


@given(teardowns(least=1), st.data())
def test_a_loosened_pair_is_free_unless_it_follows_through_others(
    logs: list[list[list[str]]], data: st.DataObject
) -> None:
    musts = sorted(direct(logs))
    if not musts:
        return
    pair = data.draw(st.sampled_from(musts))
    found = observed_order(logs, loosened=[pair])
    assert found.without_effect == ()  # a direct must hangs on nothing else
    after = nx.transitive_closure_dag(graph(((one.before, one.after) for one in found.musts), KEYS)).edges
    assert (
        by_definition(logs) - set(observed_order(logs).doubtful) - {pair}
        <= set(after)
        <= closed(logs) - {pair}
    )


@given(teardowns(least=1), st.tuples(st.sampled_from(KEYS), st.sampled_from(KEYS)))
def test_a_fixed_pair_is_a_must_or_is_refused_with_its_circle(
    logs: list[list[list[str]]], pair: tuple[str, str]
) -> None:
    keys = {key for log in logs for group in log for key in group}
    if not keys.issuperset(pair):
        with pytest.raises(BadInput, match="came off in none of these teardowns"):
            observed_order(logs, fixed=[pair])
        return
    if pair[0] == pair[1] or (pair[1], pair[0]) in closed(logs):
        with pytest.raises(NoFeasibleOrder, match="This makes a circle"):
            observed_order(logs, fixed=[pair])
        return
    made = graph(direct(logs, fixed=[pair]), KEYS)
    assert set(nx.transitive_closure_dag(made).edges) == set(
        nx.transitive_closure_dag(graph({*closed(logs), pair}, KEYS)).edges
    )


def test_the_circle_is_named_with_what_is_known_of_each_pair() -> None:
    logs = [[["pan"], ["filter"], ["pump"]]] * 2
    with pytest.raises(NoFeasibleOrder) as caught:
        observed_order(logs, fixed=[("pump", "pan")], loosened=[("pan", "pump")])
    words = str(caught.value)
    assert "pump before pan (fixed by a person)" in words
    assert "pan before filter (seen in 2 of 2)" in words
    assert "filter before pump (seen in 2 of 2)" in words
    assert "Loosen one of these" in words


def test_pairs_that_contradict_each_other_through_a_third_are_doubtful() -> None:
    logs = [[["a"], ["b"]], [["b"], ["c"]], [["c"], ["a"]]]
    found = observed_order(logs)
    assert found.musts == ()
    assert found.doubtful == (("a", "b"), ("b", "c"), ("c", "a"))
    less = observed_order(
        [*logs, [["b"], ["a"]]]
    )  # what is left would still put b before a, which one teardown denies
    assert (less.musts, less.doubtful) == ((), (("b", "c"), ("c", "a")))


def test_the_evidence_is_said() -> None:
    logs = [[["pan"], ["pump"]], [["pan"], ["pump"]], [["pump"]]]
    (must,) = observed_order(logs).musts
    assert must.evidence == "before in 2 of 2 teardowns that had both; in 1 it came off without the other"
    (must,) = observed_order(logs, fixed=[("pan", "pump")]).musts
    assert must.evidence.startswith("fixed by a person, and before in 2 of 2")


def test_a_loosened_pair_that_still_follows_is_named() -> None:
    found = observed_order([[["a"], ["b"], ["c"]]], loosened=[("a", "c")])
    assert found.without_effect == (("a", "c"),)
    assert [(must.before, must.after) for must in found.musts] == [("a", "b"), ("b", "c")]


def test_what_comes_off_twice_is_refused() -> None:
    with pytest.raises(BadInput, match="'washer' comes off twice in one teardown"):
        observed_order([[["washer"], ["drum"], ["washer"]]])


def test_no_teardown_is_no_order() -> None:
    assert observed_order([]).musts == ()
    assert observed_order([[]]).keys == ()


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Pump", "pump"),
        ("snap-ring", "Snap  rings"),
        ("bush", "bushes"),
        ("pulley", "pulleys"),
        ("body", "bodies"),
        ("Gehäuse", "GEHÄUSE"),
        ("valve_body", "valve body"),
        ("box", "boxes"),
        ("race", "races"),
        ("case", "cases"),
    ],
)
def test_spellings_that_mean_the_same_are_matched(one: str, other: str) -> None:
    assert matching_key(one) == matching_key(other)


@pytest.mark.parametrize(
    ("one", "other"), [("drum", "drum 2"), ("pump", "pump cover"), ("gas", "gear"), ("glass", "glas")]
)
def test_other_names_stay_apart(one: str, other: str) -> None:
    assert matching_key(one) != matching_key(other)


@given(st.text(max_size=40))
def test_a_matched_name_is_matched_to_itself(name: str) -> None:
    """Once cleaned, a name is clean but for a plural of a plural."""
    once = matching_key(name)
    assert matching_key(name.swapcase()) == once or name.swapcase().casefold() != name.casefold()
    assert matching_key(f"  {name}  ") == once
