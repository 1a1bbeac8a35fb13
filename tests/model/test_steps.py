"""Where the expected values come from: small orders of steps that are decided by hand."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from pydantic import ValidationError

from countershaft.definitions.reader import read_transmission
from countershaft.errors import DefinitionError
from countershaft.model.checks import cross_check
from countershaft.model.step_order import always_before, circles
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission
from tests.strategies_files import needs


def unit(*steps: dict[str, Any], **more: Any) -> Transmission:
    made = [{"phase": "teardown", "title": step["id"], **step} for step in steps]
    return Transmission.model_validate({"format": 1, "name": "x", "steps": made, **more})


def messages(transmission: Transmission) -> list[str]:
    return [finding.message for finding in cross_check(transmission)]


def test_the_tools_are_one_line_whichever_way_they_are_given() -> None:
    base = {"id": "T", "phase": "teardown", "title": "t"}
    assert Step.model_validate({**base, "tool": "press"}).tool_words == "press"
    assert Step.model_validate({**base, "tools": ["press", "cup puller"]}).tool_words == "press, cup puller"
    assert Step.model_validate(base).tool_words is None


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"tool": "press", "tools": ["press"]}, "tool and tools are both given"),
        ({"where": "bench", "lies": "pan up"}, "the work is done at 'bench'"),
        (
            {"alternatives": [{"id": "w", "title": "a"}, {"id": "w", "title": "b"}]},
            "the way 'w' stands twice",
        ),
        ({"either": [["T01"]]}, "at least 2 items"),
        ({"either": [["T01", "T01"]]}, "a step is named twice"),
        ({"why": {"T09": "so"}}, "T does not wait for 'T09'"),
        ({"holds": [{"what": "ring"}]}, "holds.0.until"),
    ],
)
def test_a_step_that_contradicts_itself_is_refused(changed: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        Step.model_validate({"id": "T", "phase": "teardown", "title": "t", **changed})


def test_a_reason_may_be_given_for_every_step_that_is_waited_for() -> None:
    step = {"id": "T03", "needs": ["T01"], "either": [["T02", "T04"]], "why": {"T01": "a", "T04": "b"}}
    assert messages(unit({"id": "T01"}, {"id": "T02"}, {"id": "T04"}, step)) == []


@pytest.mark.parametrize(
    "step",
    [
        {"id": "T02", "either": [["T01", "T9"]]},
        {"id": "T02", "holds": [{"what": "ring", "until": "T9"}]},
        {"id": "T02", "open_time": {"what": "sealant", "minutes": 5, "until": "T9"}},
        {"id": "T02", "alternatives": [{"id": "w", "title": "w", "needs": ["T9"]}]},
    ],
)
def test_a_step_that_is_not_there_is_told(step: dict[str, Any]) -> None:
    assert "there is no step 'T9'" in messages(unit({"id": "T01"}, step))


@pytest.mark.parametrize("key", ["parts_needed", "drops", "sticks"])
def test_a_part_that_is_not_there_is_told(key: str) -> None:
    assert messages(unit({"id": "T01", key: ["P9"]})) == ["there is no part 'P9'"]


def test_what_is_hidden_must_be_there() -> None:
    assert messages(unit({"id": "T01", "hides": ["C9"]})) == ["there is no fit, limit or step 'C9'"]


def test_an_orientation_is_one_of_the_list_where_there_is_one() -> None:
    step = {"id": "T01", "lies": "pan upp"}
    assert messages(unit(step)) == []
    (finding,) = cross_check(unit(step, about={"orientations": {"pan up": "so", "nose up": "so"}}))
    assert (finding.loc, finding.cure) == (("steps", 0, "lies"), "Did you mean 'pan up'?")


def test_a_hold_ends_only_at_a_step_that_comes_after_it() -> None:
    hold = [{"what": "ring", "until": "T02"}]
    assert messages(unit({"id": "T01", "holds": hold}, {"id": "T02", "needs": ["T01"]})) == []
    assert messages(unit({"id": "T01", "holds": hold}, {"id": "T02"})) == [
        "what T01 holds ends with T02, which need not come after T01"
    ]


def test_open_time_ends_only_at_a_step_that_comes_after_it() -> None:
    laid = {"id": "T01", "open_time": {"what": "sealant", "minutes": 10, "until": "T02"}}
    assert messages(unit(laid, {"id": "T02"})) == [
        "the open time of T01 ends with T02, which need not come after T01"
    ]


def test_a_step_cannot_hide_what_comes_only_after_it() -> None:
    steps = ({"id": "T01", "hides": ["T02"]}, {"id": "T02", "needs": ["T01"]})
    assert messages(unit(*steps)) == ["T01 hides T02, which comes only after it"]
    assert messages(unit({"id": "T01", "hides": ["T02"]}, {"id": "T02"})) == []


CIRCLE = """\
format: 1
name: x
steps:
  - {id: T01, phase: teardown, title: a, needs: [T03]}
  - {id: T02, phase: teardown, title: b, needs: [T01]}
  - id: T03
    phase: teardown
    title: c
    needs: [T02]
"""


def test_a_circle_is_named_whole_with_its_lines() -> None:
    with pytest.raises(DefinitionError) as caught:
        read_transmission(CIRCLE, "unit.yaml")
    (fault,) = caught.value.faults
    named = fault.message.partition(": ")[2].split(" needs ")
    assert (len(named), set(named), named[0]) == (4, {"T01", "T02", "T03"}, named[-1])
    assert sorted(fault.got.removeprefix("lines ").replace(" and ", ", ").split(", ")) == ["4", "5", "9"]
    assert fault.line in (4, 5, 9)


def test_one_free_way_breaks_no_circle_and_no_free_way_makes_one() -> None:
    free = unit({"id": "A", "either": [["B", "C"]]}, {"id": "B", "needs": ["A"]}, {"id": "C"})
    assert list(circles(free)) == []
    (stuck,) = circles(
        unit({"id": "A", "either": [["B", "C"]]}, {"id": "B", "needs": ["A"]}, {"id": "C", "needs": ["A"]})
    )
    assert stuck.message in (
        "these steps wait for each other: A needs B needs A",
        "these steps wait for each other: B needs A needs B",
        "these steps wait for each other: A needs C needs A",
        "these steps wait for each other: C needs A needs C",
    )
    assert ("steps", 0, "either", 0) in {loc[:4] for loc in stuck.along}


def test_what_comes_before_in_any_order_goes_through_either_way_only_where_both_lead_there() -> None:
    steps = unit(
        {"id": "A"},
        {"id": "B", "needs": ["A"]},
        {"id": "C", "needs": ["A"]},
        {"id": "D", "either": [["B", "C"]]},
    )
    assert always_before(steps)["D"] == {"A"}
    assert always_before(steps)["B"] == {"A"}


@given(needs(circles=True))
def test_a_circle_is_found_where_the_brute_search_finds_one(graph: dict[int, list[int]]) -> None:
    """A second route: steps are taken one by one as long as any is free; what is left is a circle or waits for one."""
    steps = [{"id": f"S{key}", "needs": [f"S{need}" for need in wanted]} for key, wanted in graph.items()]
    left = set(graph)
    while free := {key for key in left if not left.intersection(graph[key])}:
        left -= free
    found = list(circles(unit(*steps)))
    assert bool(found) == bool(left)
    for circle in found:
        named = circle.message.partition(": ")[2].split(" needs ")
        assert named[0] == named[-1] and {int(name[1:]) for name in named} <= left
        assert len(circle.along) == len(named) - 1
