"""The smallest grouping against brute force and against networkx's chromatic polynomial.

Where the expected values come from: a plain backtracking over all groupings, and the chromatic polynomial of an
independent library, which counts the colourings.
"""

from __future__ import annotations

import random

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import BadInput
from countershaft.planning.tags import Grouping, smallest_grouping

Edges = list[tuple[int, int]]


@st.composite
def graphs(draw: st.DrawFn, most: int) -> tuple[int, Edges]:
    count = draw(st.integers(0, most))
    pairs = [(one, other) for one in range(count) for other in range(one)]
    return count, draw(st.lists(st.sampled_from(pairs), unique=True)) if pairs else []


def obeys(count: int, conflicts: Edges, found: Grouping) -> bool:
    group_of = {item: number for number, group in enumerate(found.groups) for item in group}
    return sorted(group_of) == list(range(count)) and all(group_of[a] != group_of[b] for a, b in conflicts)


def fewest(count: int, conflicts: Edges) -> int:
    """The least number of groups, by trying all groupings."""
    near = {item: {b if a == item else a for a, b in conflicts if item in (a, b)} for item in range(count)}

    def can(colours: list[int], groups: int) -> bool:
        item = len(colours)
        if item == count:
            return True
        free = [
            c
            for c in range(min(groups, max(colours, default=-1) + 2))
            if all(o >= item or colours[o] != c for o in near[item])
        ]
        return any(can([*colours, colour], groups) for colour in free)

    return next(groups for groups in range(count + 1) if can([], groups))


@given(graphs(9))
def test_it_is_the_smallest(graph: tuple[int, Edges]) -> None:
    count, conflicts = graph
    found = smallest_grouping([1] * count, conflicts)
    assert obeys(count, conflicts, found)
    assert found.proven
    assert found.at_least == len(found.groups) == fewest(count, conflicts)


@settings(max_examples=25, deadline=None)
@given(graphs(6))
def test_the_chromatic_polynomial_agrees(graph: tuple[int, Edges]) -> None:
    """There is a colouring with as many colours as groups, and none with one fewer."""
    count, conflicts = graph
    if count == 0:
        return
    made = nx.Graph(conflicts)
    made.add_nodes_from(range(count))
    polynomial = nx.chromatic_polynomial(made)
    (variable,) = polynomial.free_symbols
    groups = len(smallest_grouping([1] * count, conflicts).groups)
    assert polynomial.subs(variable, groups) > 0
    assert polynomial.subs(variable, groups - 1) == 0


@given(graphs(8), st.data())
def test_the_heaviest_group_comes_first_and_cannot_gain_from_another(
    graph: tuple[int, Edges], data: st.DataObject
) -> None:
    count, conflicts = graph
    weights = data.draw(st.lists(st.integers(1, 9), min_size=count, max_size=count))
    found = smallest_grouping(weights, conflicts)
    sums = [sum(weights[item] for item in group) for group in found.groups]
    assert sums == sorted(sums, reverse=True)
    for group in found.groups[1:]:
        for item in group:
            assert any((item, other) in conflicts or (other, item) in conflicts for other in found.groups[0])


def test_a_wheel_with_five_spokes_needs_four() -> None:
    """An odd ring needs three groups, its hub a fourth, although no four items all conflict."""
    rim = [(n, (n + 1) % 5) for n in range(5)]
    found = smallest_grouping([1] * 6, [*rim, *((5, n) for n in range(5))])
    assert (len(found.groups), found.proven) == (4, True)


def test_groetzschs_graph_needs_four_without_a_triangle() -> None:
    """Mycielski: no three items all conflict, so no clique proves it; only search does."""
    graph = nx.mycielski_graph(4)
    found = smallest_grouping([1] * 11, list(graph.edges))
    assert (len(found.groups), found.at_least, found.proven) == (4, 4, True)


def test_what_is_not_proven_is_not_called_proven() -> None:
    chance = random.Random(1)
    conflicts = [(a, b) for a in range(60) for b in range(a) if chance.random() < 0.5]
    found = smallest_grouping([1] * 60, conflicts, most_nodes=50)
    assert obeys(60, conflicts, found)
    assert not found.proven
    assert found.at_least < len(found.groups)


def test_a_hundred_and_twenty_sorts_are_proven() -> None:
    """Lengths that the eye cannot tell apart, in three threads and two classes: as bolts conflict."""
    chance = random.Random(5)
    sorts = [
        (chance.randint(0, 2), chance.choice([16, 18, 20, 21, 22, 25, 30, 45, 60]), chance.randint(0, 9))
        for _ in range(120)
    ]
    conflicts = [
        (a, b)
        for a in range(120)
        for b in range(a)
        if sorts[a][0] == sorts[b][0] and abs(sorts[a][1] - sorts[b][1]) < 2 and sorts[a][2] != sorts[b][2]
    ]
    assert len(conflicts) > 200
    found = smallest_grouping([1] * 120, conflicts)
    assert obeys(120, conflicts, found)
    assert found.proven


@pytest.mark.parametrize("conflict", [(1, 1), (0, 3), (-1, 0)])
def test_impossible_conflicts_are_refused(conflict: tuple[int, int]) -> None:
    with pytest.raises(BadInput, match="expected two different items from 0 to 2"):
        smallest_grouping([1, 1, 1], [conflict])
