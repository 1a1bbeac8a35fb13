"""The work of the shipped demos: a plan at once, a proof soon, and every rule obeyed.

The rules are those of work_by_hand.py; the times are what is promised, with ample room for a busy machine.
"""

from __future__ import annotations

import pytest

from countershaft.planning.bound import bound_of
from countershaft.planning.improve import improved, stretch
from countershaft.planning.masks import ordering
from countershaft.planning.rebuild import build_work
from countershaft.planning.search import exact_order, quick_order
from countershaft.planning.sequence import THOROUGH, best_plan
from countershaft.planning.work import Start, Work
from tests.planning.demo_work import DEMOS, demo
from tests.planning.work_by_hand import cost, faults


@pytest.mark.parametrize("phases", [("teardown",), ("build",), ("teardown", "build")], ids="+".join)
@pytest.mark.parametrize("name", DEMOS)
def test_a_plan_at_once_and_then_a_proof(name: str, phases: tuple[str, ...]) -> None:
    work = demo(name, *phases)
    first = best_plan(work)
    best = best_plan(work, effort=THOROUGH)
    assert best.verdict == "optimal"
    assert best.total <= first.total
    for plan in (first, best):
        assert not faults(work, plan.order)
        assert cost(work, plan.order) == plan.total
        assert plan.bound <= best.total


@pytest.mark.parametrize("name", DEMOS)
def test_what_came_off_can_go_on_again(name: str) -> None:
    work = demo(name, "teardown")
    plan = best_plan(work)
    built = build_work(work, plan.order)
    back = best_plan(built, effort=THOROUGH)
    assert sorted(back.order) == sorted(plan.order)
    assert not faults(built, back.order)


@pytest.fixture(scope="module")
def both() -> Work:
    return demo("demo-b", "teardown", "build")


def test_a_wider_search_of_stretches_is_never_dearer(both: Work) -> None:
    plan = best_plan(both)
    asked = ordering(both, plan.order, Start())
    place = {name: number for number, name in enumerate(asked.names)}
    order = (
        tuple(range(len(asked.names)))
        if asked.obeys(range(len(asked.names)))
        else tuple(map(place.get, plan.order))
    )
    better = improved(asked, order, lengths=(12, 24), width=10)
    assert asked.obeys(better)
    assert asked.price(better) < asked.price(order)


def test_a_stretch_costs_what_it_costs_in_the_whole(both: Work) -> None:
    asked = ordering(both, best_plan(both).order, Start(lies="nose up"))
    order = quick_order(asked, bound_of(asked), width=5).order
    assert order is not None
    for first in range(0, len(order), 7):
        part, steps = stretch(asked, order, first, first + 10)
        assert part.obeys(range(len(part.names)))
        moved = exact_order(part, bound_of(part), below=10**6, most_states=20_000)
        assert moved.order is not None
        whole = (
            *order[:first],
            *(steps[one] for one in moved.order if one < len(steps)),
            *order[first + 10 :],
        )
        assert asked.obeys(whole)
        saved = part.price(range(len(part.names))) - moved.setup
        assert asked.price(order) - asked.price(whole) == saved >= 0
