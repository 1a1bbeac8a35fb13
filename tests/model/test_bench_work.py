"""Where the expected values come from: minutes times 60, and needs of the file that every plan must obey."""

from __future__ import annotations

from typing import Any

import pytest

from countershaft.definitions.library import library, library_text
from countershaft.definitions.reader import read_transmission
from countershaft.model.bench_work import AS_WRITTEN, bench_work, step_and_way
from countershaft.model.transmission import Transmission
from countershaft.planning.crew import crew_schedule
from countershaft.planning.sequence import best_plan


def unit(*steps: dict[str, Any], **more: Any) -> Transmission:
    made = [{"phase": "teardown", "title": f"do {step['id']}", **step} for step in steps]
    return Transmission.model_validate({"format": 1, "name": "x", "steps": made, **more})


def test_a_step_goes_over_with_its_time_tools_and_needs() -> None:
    work = bench_work(
        unit(
            {"id": "A", "minutes": 5, "tool": "press", "wait_min": 30},
            {
                "id": "B",
                "needs": ["A"],
                "why": {"A": "it is in the way"},
                "tools": ["hook", "dye"],
                "lies": "pan up",
            },
        ),
        "teardown",
    )
    first, second = work.steps
    assert (first.duration, first.waits, first.tools) == (300, 1800, {"press"})
    assert [(need.of, need.why) for need in second.needs] == [(("A",), "it is in the way")]
    assert (second.duration, second.lies, second.tools, second.where) == (
        0,
        "pan up",
        {"hook", "dye"},
        "do B",
    )


def test_what_an_earlier_phase_has_done_is_not_waited_for() -> None:
    work = bench_work(
        unit(
            {"id": "T"},
            {"id": "A", "phase": "build", "needs": ["T"], "either": [["T", "B"]]},
            {"id": "B", "phase": "build"},
        ),
        "build",
    )
    assert [step.id for step in work.steps] == ["A", "B"]
    assert work.steps[0].needs == ()


def test_parts_must_be_at_hand_for_the_build_only() -> None:
    parts = [{"id": "P1", "name": "p"}, {"id": "P2", "name": "q"}]
    transmission = unit(
        {"id": "T", "off": ["P1"], "parts_needed": ["P2"]},
        {"id": "A", "phase": "build", "on": ["P1"], "parts_needed": ["P2"]},
        parts=parts,
    )
    assert bench_work(transmission, "teardown").steps[0].parts == frozenset()
    assert bench_work(transmission, "build").steps[0].parts == {"P1", "P2"}


def test_alternatives_become_a_choice_of_which_one_is_done() -> None:
    hoist = {
        "id": "hoist",
        "title": "lifted",
        "tools": ["hoist"],
        "where": "crane",
        "people": 1,
        "minutes": 2,
    }
    step = {
        "id": "A",
        "lies": "pan up",
        "tools": ["rope"],
        "people": 2,
        "minutes": 9,
        "alternatives": [hoist],
    }
    work = bench_work(unit(step, {"id": "B", "needs": ["A"]}), "teardown")
    own, other, _ = work.steps
    assert [choice.ways for choice in work.choices] == [("A/as-written", "A/hoist")]
    assert (own.lies, own.tools, own.people, own.duration) == ("pan up", {"rope"}, 2, 540)
    assert (other.lies, other.tools, other.people, other.duration) == (None, {"hoist"}, 1, 120)
    plan = best_plan(work)
    assert plan.order == ("A/hoist", "B")
    assert [step_and_way(name) for name in plan.order] == [("A", "hoist"), ("B", None)]
    assert step_and_way(own.id) == ("A", AS_WRITTEN)


def test_a_hold_lasts_from_its_step_to_its_end() -> None:
    held = {"id": "A", "holds": [{"what": "ring spread", "until": "B", "people": 1, "tool": "pliers"}]}
    (hold,) = bench_work(unit(held, {"id": "B", "needs": ["A"]}), "teardown").holds
    assert (hold.begins, hold.ends, hold.people, hold.tools, hold.why) == (
        "A",
        "B",
        1,
        {"pliers"},
        "ring spread",
    )


def test_turning_takes_as_long_as_the_file_says() -> None:
    steps = ({"id": "A", "lies": "up"}, {"id": "B", "lies": "down", "needs": ["A"]})
    work = bench_work(unit(*steps, about={"turning_min": 7}), "teardown")
    assert best_plan(work).setup == 7 * 60


@pytest.mark.parametrize("phase", ["teardown", "build"])
@pytest.mark.parametrize("name", library())
def test_every_plan_of_the_shipped_units_obeys_every_need_and_hold(name: str, phase: str) -> None:
    """Read from the file and not from the work: what a step needs stands before it, whole and once."""
    transmission = read_transmission(library_text(name), name)
    steps = {step.id: step for step in transmission.phase(phase)}
    plan = best_plan(bench_work(transmission, phase))
    order = [step_and_way(one)[0] for one in plan.order]
    assert sorted(order) == sorted(steps)
    at = {step: place for place, step in enumerate(order)}
    for step in steps.values():
        assert all(at[need] < at[step.id] for need in step.needs if need in at)
        assert all(at[step.id] < at[hold.until] for hold in step.holds)
    ways = dict(step_and_way(one) for one in plan.order)
    listed = sum(
        next(
            (way.minutes for way in step.alternatives if way.id == ways[step.id] and way.minutes),
            step.minutes,
        )
        or 0
        for step in steps.values()
    )
    assert plan.working == listed * 60
    assert plan.bound <= plan.total


def test_two_people_are_done_with_the_split_case_before_one_is() -> None:
    work = bench_work(read_transmission(library_text("demo-a"), "demo-a"), "teardown")
    assert crew_schedule(work).makespan < best_plan(work).total
