"""A file from logged teardowns.

Expected values: the intersection of the orders, by hand for small teardowns and by its definition for random ones;
identity of what is written and read again.
"""

from __future__ import annotations

from itertools import product

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.definitions.reader import read_transmission
from countershaft.definitions.writer import write_transmission
from countershaft.errors import EntryRefused, NoFeasibleOrder
from countershaft.job.entry import JobOpened, OrderSaid, SameSaid, StepDone
from countershaft.model.checks import cross_check
from countershaft.model.transmission import Transmission
from countershaft.stages.draft import Draft, Teardown, draft
from countershaft.stages.work import work
from tests.small_unit import UNIT
from tests.stages.unknown import BARE, Unknown


def log_of(job: str, *names: str, base: Transmission = BARE) -> Unknown:
    """A teardown in which these came off, one after the other; "pan:2" is two, "+hub" came off with the one before."""
    log = Unknown(base)
    opened = JobOpened(tag=job, vehicle="van", unit=base.name, definition="0" * 64)
    log.entries[0] = log.entries[0].model_copy(update={"body": opened})
    for name in names:
        what, _, count = name.removeprefix("+").partition(":")
        log.off(what, int(count or 1), "mat", together=name.startswith("+"))
    return log


def teardown(log: Unknown) -> Teardown:
    """A log as the draft takes it."""
    return Teardown(log.state.opened.tag, log.file, log.state)


def made(*logs: Unknown, base: Transmission = BARE) -> Draft:
    """The draft from some logs."""
    return draft(base, [teardown(log) for log in logs])


def musts(one: Draft) -> set[tuple[str, str]]:
    """The direct musts by what came off."""
    return {(one.called(must.before), one.called(must.after)) for must in one.order.musts}


def test_one_teardown_is_its_own_order_with_everything_that_was_counted() -> None:
    log = Unknown()
    log.off("oil pan", 1, "mat", "14:M6x20")
    log.off("Oil pump", 1, "mat", "6:M8x25 LH", "2:7.9 x 40")
    file = made(log).transmission
    assert [(step.id, step.title, step.needs) for step in file.steps] == [
        ("T01", "oil pan", ()),
        ("T02", "Oil pump", ("T01",)),
    ]
    assert file.step("T02").why == {"T01": "before in 1 of 1 teardown that had both"}
    assert [(part.id, part.quantity) for part in file.parts] == [("P01", 1), ("P02", 1), ("P02a", 2)]
    joint = file.joint("J02a")
    assert (joint.thread, joint.hand, joint.count, str(joint.length_mm)) == ("M8x1.25", "left", 6, "25")
    assert joint.grip_mm is None and joint.last_torque is None
    assert file.about.note == "Written from 1 teardown: job J1."
    assert "counted and measured at 1 teardown: job J1" in str(file.source(joint.source))
    assert file.about.cautions[0].signal == "NOTICE"
    assert file.limits == () and cross_check(file) == ()


def test_two_teardowns_leave_only_what_was_always_so() -> None:
    one = log_of("A", "pan", "filter", "pump", "drum")
    two = log_of("B", "Pans", "PUMP", "filters", "drum")
    both = made(one, two)
    assert musts(both) == {("pan", "filter"), ("pan", "pump"), ("filter", "drum"), ("pump", "drum")}
    assert {must.evidence for must in both.order.musts} == {"before in 2 of 2 teardowns that had both"}
    assert both.only_in == ()


def test_the_second_washer_is_another_part() -> None:
    one = log_of("A", "washer", "drum", "washers:2")
    two = log_of("B", "washer", "washer", "drum")
    both = made(one, two)
    assert [part.name for part in both.transmission.parts] == ["washer", "drum", "washers 2"]
    assert both.transmission.parts[2].quantity == 2
    assert both.transmission.parts[2].note == "2 were counted before, 1 in job B"
    assert musts(both) == {("washer", "drum"), ("washer", "washers 2")}


def test_a_part_that_one_teardown_called_otherwise_is_named_and_can_be_said_to_be_the_same() -> None:
    one, two = log_of("A", "pan", "oil pump"), log_of("B", "pan", "front pump")
    both = made(one, two)
    assert [(both.called(step), jobs) for step, jobs in both.only_in] == [
        ("oil pump", ("A",)),
        ("front pump", ("B",)),
    ]
    two.say(SameSaid(name="front pump", called="oil pump"))
    both = made(one, two)
    assert both.only_in == ()
    assert [part.name for part in both.transmission.parts] == ["pan", "oil pump"]
    observed = both.transmission.observed
    assert observed is not None and observed.also_called == {"P02": ("front pump",)}
    third = log_of("C", "Front Pumps", "pan")
    again = made(third, base=both.transmission)  # the file remembers the other name
    assert again.only_in == () and musts(again) == set()


def test_a_person_fixes_and_loosens_and_takes_it_back() -> None:
    log = log_of("A", "pan", "filter", "pump")
    log.say(OrderSaid(before="pan", after="filter", how="free", because="reached from the side"))
    assert musts(made(log)) == {("pan", "pump"), ("filter", "pump")}
    log.say(OrderSaid(before="filter", after="pan", how="must", because="it tears"))
    one = made(log)
    assert musts(one) == {("filter", "pan"), ("pan", "pump")}
    why = one.transmission.step("T01").why["T02"]
    assert why.startswith("fixed by a person: it tears (R. Bench, ")
    log.say(OrderSaid(before="filter", after="pan", how="as seen", because="a slip"))
    log.say(OrderSaid(before="pan", after="filter", how="as seen", because="a slip"))
    assert musts(made(log)) == {("pan", "filter"), ("filter", "pump")}


def test_a_circle_of_what_was_fixed_is_named() -> None:
    log = log_of("A", "pan", "filter", "pump")
    log.say(OrderSaid(before="pump", after="pan", how="must", because="so"))
    with pytest.raises(NoFeasibleOrder, match=r"T03 pump before T01 pan \(fixed by a person\)"):
        made(log)


def test_the_second_job_is_guided_and_its_order_loosens_the_file() -> None:
    first = made(log_of("A", "pan", "filter", "pump")).transmission
    second = log_of("B", base=first)
    plan = work(second.file, second.state, "teardown")
    assert plan.next is not None and plan.next.step.title == "pan"
    for step, ahead in (("T01", ()), ("T03", ("T02",)), ("T02", ())):
        part = first.step(step).off[0].part
        second.say(StepDone(step=step, ahead=ahead, placed=({"part": part, "count": 1, "place": "mat"},)))
    refined = made(second, base=first)
    assert musts(refined) == {("pan", "filter"), ("pan", "pump")}
    observed = refined.transmission.observed
    assert observed is not None and [one.job for one in observed.teardowns] == ["A", "B"]
    assert refined.transmission.about.note == "Written from 2 teardowns: jobs A, B."
    assert (
        made(second, base=refined.transmission) == refined
    )  # laid over it again, a teardown changes nothing


def test_what_a_person_added_to_the_file_by_hand_stays() -> None:
    file = made(log_of("A", "pan", "filter", "pump")).transmission.model_dump()
    file["about"]["note"] = "our grey box"
    file["steps"][2]["needs"] = ("T02", "LOOK")
    file["steps"][2]["minutes"] = 12
    file["steps"] = [*file["steps"], {"id": "LOOK", "phase": "teardown", "title": "look at the seal"}]
    by_hand = Transmission.model_validate(file)
    refined = made(log_of("B", "pan", "pump", "filter", "magnet"), base=by_hand).transmission
    assert refined.about.note == "our grey box"
    assert refined.step("T03").needs == ("LOOK", "T01")
    assert refined.step("T03").minutes == 12
    assert refined.steps[-1].title == "magnet"
    assert cross_check(refined) == ()


def test_a_file_that_somebody_wrote_and_an_empty_log_are_refused() -> None:
    with pytest.raises(EntryRefused, match="its order is not learned from teardowns"):
        draft(UNIT, [])
    with pytest.raises(EntryRefused, match="No teardown of grey box is logged yet"):
        draft(BARE, [])
    with pytest.raises(EntryRefused, match="No teardown of grey box is logged yet"):
        made(log_of("A"))


NAMES = ("pan", "filter", "pump", "drum", "washer")


@st.composite
def orders(draw: st.DrawFn) -> list[list[str]]:
    """Up to three teardowns of some of the names."""
    return draw(
        st.lists(
            st.lists(st.sampled_from(NAMES), unique=True, min_size=1, max_size=5), min_size=1, max_size=3
        )
    )


@settings(max_examples=40, deadline=None)
@given(orders())
def test_every_teardown_obeys_the_file_and_the_file_reads_back(logs: list[list[str]]) -> None:
    """Whole, or one after the other, the file is the same; and read again it is equal."""
    found = made(*(log_of(f"J{at}", *names) for at, names in enumerate(logs)))
    file = found.transmission
    assert read_transmission(write_transmission(file), "draft.yaml") == file
    graph = nx.DiGraph()
    graph.add_nodes_from(NAMES)
    graph.add_edges_from(
        (found.called(need), found.called(step.id)) for step in file.phase("teardown") for need in step.needs
    )
    before = nx.transitive_closure_dag(graph).edges
    for names in logs:
        assert not [
            (a, b) for a, b in product(names, names) if (a, b) in before and names.index(a) > names.index(b)
        ]
    grown = BARE
    for at, names in enumerate(logs):
        grown = made(log_of(f"J{at}", *names), base=grown).transmission
    assert {step.id: step for step in grown.steps} == {step.id: step for step in file.steps}
    assert grown.observed == file.observed
