"""What a later change makes void.  Expected values: by hand, and what networkx can reach."""

from __future__ import annotations

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from countershaft.planning.voids import voided_fits

NAMES = st.sampled_from("abcdefg")


@given(
    st.dictionaries(NAMES, st.sets(NAMES, max_size=3), max_size=7),
    st.dictionaries(st.sampled_from("abc"), st.integers(0, 9), min_size=1),
    st.dictionaries(NAMES, st.integers(0, 9)),
)
def test_what_is_reached_and_changed_later_voids(
    rests_on: dict[str, set[str]], measured: dict[str, int], changed: dict[str, int]
) -> None:
    """Circles included: a fit never voids itself."""
    graph = nx.DiGraph([(upper, lower) for upper, below in rests_on.items() for lower in below])
    graph.add_nodes_from("abcdefg")
    expected = {
        fit
        for fit, when in measured.items()
        if any(changed.get(below, -1) > when for below in nx.descendants(graph, fit))
    }
    found = voided_fits(rests_on, measured=measured, changed=changed)
    assert {one.fit for one in found} == expected
    for one in found:
        assert (one.way[0], one.way[-1]) == (one.fit, one.changed)
        assert len(one.way) - 1 == nx.shortest_path_length(graph, one.fit, one.changed)


def test_the_reason_names_the_way() -> None:
    rests_on = {"input end play": {"pump", "gear case"}, "pump": {"pump gasket"}, "split": {"input end play"}}
    found = voided_fits(
        rests_on, measured={"input end play": 40, "split": 60}, changed={"pump gasket": 57, "gear case": 12}
    )
    way = "input end play rests on pump; pump rests on pump gasket"
    cure = "pump gasket was changed after input end play was measured. Measure it again."
    assert [one.why for one in found] == [f"{way}; {cure}"]


def test_a_fit_that_is_set_anew_voids_what_rests_on_it() -> None:
    found = voided_fits({"backlash": {"preload"}}, measured={"backlash": 5}, changed={"preload": 6})
    assert [one.fit for one in found] == ["backlash"]
