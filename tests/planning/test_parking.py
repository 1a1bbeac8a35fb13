"""Expected: transitive closure by networkx, and the words of the rule on small units drawn by hand."""

from __future__ import annotations

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import NoFeasibleOrder, Unknown
from countershaft.planning.parking import Parking, Removal, parking


@st.composite
def teardowns(draw: st.DrawFn) -> list[Removal]:
    """Steps that need earlier ones only, each with its own joint."""
    found = []
    for number in range(draw(st.integers(1, 9))):
        earlier = [one.id for one in found]
        needs = draw(st.lists(st.sampled_from(earlier), unique=True, max_size=3)) if earlier else []
        found.append(Removal(f"S{number}", tuple(needs), (f"J{number}",), draw(st.booleans())))
    return found


def one(found: tuple[Parking, ...], joint: str) -> Parking:
    """The answer for one joint."""
    return next(each for each in found if each.joint == joint)


@given(teardowns(), st.data())
def test_what_keeps_a_bolt_out_is_all_that_still_comes_off_after_it(
    removals: list[Removal], data: st.DataObject
) -> None:
    over = set(data.draw(st.lists(st.sampled_from([each.id for each in removals]), unique=True)))
    graph = networkx.DiGraph()
    graph.add_nodes_from(each.id for each in removals)
    graph.add_edges_from((need, each.id) for each in removals for need in each.needs)
    for answer in parking(removals, over):
        through = {
            each.id
            for each in removals
            if each.takes_off and each.id in networkx.descendants(graph, answer.step)
        }
        assert set(answer.kept_out_by) == through - over
        assert set(answer.since) == through & over
        assert answer.may == (through <= over)


@given(teardowns())
def test_all_may_be_parked_when_everything_is_apart(removals: list[Removal]) -> None:
    assert all(answer.may for answer in parking(removals, [each.id for each in removals]))


@given(teardowns(), st.data())
def test_a_step_more_never_forbids_what_was_allowed(removals: list[Removal], data: st.DataObject) -> None:
    over = data.draw(st.lists(st.sampled_from([each.id for each in removals]), unique=True))
    further = data.draw(st.sampled_from([each.id for each in removals]))
    before, after = parking(removals, over), parking(removals, [*over, further])
    assert all(later.may for earlier, later in zip(before, after, strict=True) if earlier.may)


def test_a_bolt_taken_out_twice_counts_from_its_last_removal() -> None:
    first = Removal("lift", loosens=("cover",), takes_off=True)
    second = Removal("again", needs=("lift",), loosens=("cover",))
    assert one(parking([first, second]), "cover").step == "again"


def test_a_step_that_only_measures_keeps_nothing_out() -> None:
    cover, reading = Removal("cover", loosens=("bolts",)), Removal("read", needs=("cover",), takes_off=False)
    assert one(parking([cover, reading]), "bolts").may


def test_a_need_that_is_not_there_is_named() -> None:
    with pytest.raises(Unknown, match="'pump' needs 'pann', and there is no such step"):
        parking([Removal("pump", needs=("pann",))])


def test_a_circle_is_named_in_full() -> None:
    with pytest.raises(NoFeasibleOrder, match=r"a needs b needs a|b needs a needs b"):
        parking([Removal("a", needs=("b",)), Removal("b", needs=("a",))])
