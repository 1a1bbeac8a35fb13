"""The least work to reach a part: by hand, and against all sets of steps tried one by one."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.planning.needed import goals_of_all, step_sets
from countershaft.planning.sequence import THOROUGH, best_plan
from countershaft.planning.work import Choice, Hold, Need, Setup, Start, Work, WorkStep, need
from tests.planning.work_by_hand import faults
from tests.strategies_work import works

UNIT = Work(
    (
        WorkStep("pan", 600),
        WorkStep("valve body", 900, (need("pan"),)),
        WorkStep("extension", 300),
        WorkStep("pump", 1200, (need("valve body"),)),
        WorkStep("governor", 100, (Need(("extension", "pump"), "it can be reached from both ends"),)),
        WorkStep("park pawl", 50, (need("extension"), need("pan"))),
    ),
    setup=Setup(0, 0),
)


def test_the_near_end_is_opened_and_nothing_else() -> None:
    plan = best_plan(UNIT, goals=[need("governor")], effort=THOROUGH)
    assert (plan.order, plan.total, plan.verdict) == (("extension", "governor"), 400, "optimal")


def test_two_goals_share_what_both_need() -> None:
    plan = best_plan(UNIT, goals=[need("governor"), need("park pawl")], effort=THOROUGH)
    assert set(plan.order) == {"extension", "governor", "pan", "park pawl"}


def test_what_is_off_already_counts() -> None:
    done = Start(frozenset({"pan", "valve body", "pump"}))
    assert best_plan(UNIT, goals=[need("governor")], start=done).order == ("governor",)
    assert best_plan(UNIT, goals=[need("pan")], start=done).order == ()


def test_the_far_way_is_taken_where_the_near_one_is_closed() -> None:
    plan = best_plan(UNIT, goals=[need("governor")], without=["extension"], effort=THOROUGH)
    assert plan.order == ("pan", "valve body", "pump", "governor")


def test_a_hold_on_the_way_is_let_go_again() -> None:
    steps = (WorkStep("spread", 1), WorkStep("lift", 1), WorkStep("other", 1), WorkStep("let go", 1))
    work = Work(steps, (Hold("ring", "spread", "let go", ("lift", "other")),))
    assert best_plan(work, goals=[need("lift")]).order == ("spread", "lift", "let go")


def test_steps_that_hang_on_each_other_are_entered_from_outside() -> None:
    """x opens y and y opens x; one of the doors must come first."""
    steps = (
        WorkStep("x", 1, (Need(("y", "front")),)),
        WorkStep("y", 1, (Need(("x", "back")),)),
        WorkStep("front", 50, optional=True),
        WorkStep("back", 40, optional=True),
    )
    plan = best_plan(Work(steps, setup=Setup(0, 0)), effort=THOROUGH)
    assert plan.order == ("back", "y", "x")


def test_sets_come_with_rising_time_and_each_once() -> None:
    steps = (WorkStep("a", 3), WorkStep("b", 1), WorkStep("c", 4), WorkStep("d", 2))
    work = Work(steps, choices=(Choice("one", ("a", "b")), Choice("two", ("c", "d"))))
    found = list(step_sets(work, goals_of_all(work), Start()))
    assert [one.working for one in found] == [3, 5, 5, 7]
    assert len({one.steps for one in found}) == 4


@settings(deadline=None, max_examples=80)
@given(works(7, holds=False), st.data())
def test_no_smaller_work_reaches_the_goal(work: Work, data: st.DataObject) -> None:
    names = [step.id for step in work.steps]
    goals = [Need(tuple(data.draw(st.lists(st.sampled_from(names), min_size=1, max_size=2, unique=True))))]
    least = min(
        (
            sum(work.step_of[name].duration for name in chosen)
            for count in range(len(names) + 1)
            for chosen in combinations(names, count)
            if set(chosen).intersection(goals[0].of) and _lawful(work, chosen)
        ),
        default=None,
    )
    first = next(step_sets(work, goals, Start()), None)
    assert (first.working if first else None) == least


def _lawful(work: Work, chosen: tuple[str, ...]) -> bool:
    """Whether some order of the steps is lawful: whatever can come next is put next."""
    order: list[str] = []
    while fresh := [name for name in chosen if name not in order and not faults(work, [*order, name])]:
        order.append(fresh[0])
    return len(order) == len(chosen)
