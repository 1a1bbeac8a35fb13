"""Assignment against networkx: as many pairs, at the same cost.

Where the expected values come from: the matching of most weight in an independent library.
"""

from __future__ import annotations

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput
from countershaft.planning.assignment import assign

Costs = list[list[int | None]]


@st.composite
def cost_tables(draw: st.DrawFn) -> Costs:
    rows, columns = draw(st.integers(0, 7)), draw(st.integers(0, 7))
    cost = st.one_of(st.none(), st.integers(0, 30))
    return draw(st.lists(st.lists(cost, min_size=columns, max_size=columns), min_size=rows, max_size=rows))


@given(cost_tables())
def test_most_pairs_at_the_least_cost(costs: Costs) -> None:
    found = assign(costs)
    pairs = [(row, column) for row, column in enumerate(found) if column is not None]
    taken = [costs[row][column] for row, column in pairs]
    graph = nx.Graph()
    for row, line in enumerate(costs):
        for column, cost in enumerate(line):
            if cost is not None:
                graph.add_edge(("row", row), ("column", column), weight=-cost)
    best = nx.max_weight_matching(graph, maxcardinality=True)
    assert len({column for _, column in pairs}) == len(pairs), "no column twice"
    assert None not in taken, "no forbidden pair"
    assert len(pairs) == len(best)
    assert sum(cost or 0 for cost in taken) == -sum(graph.edges[pair]["weight"] for pair in best)


@pytest.mark.parametrize(
    ("costs", "said"), [([[1, 2], [1]], "every row needs a cost"), ([[-1]], "a cost is not negative")]
)
def test_broken_tables_are_refused(costs: Costs, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        assign(costs)
