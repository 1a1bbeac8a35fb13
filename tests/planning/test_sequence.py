"""Plans against every order tried (work_by_hand.py), against published optima, and against themselves relabelled."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from countershaft.errors import GoalOutOfReach, NoFeasibleOrder
from countershaft.planning.sequence import FIRST, THOROUGH, Effort, best_plan
from countershaft.planning.work import Choice, Hold, Need, Setup, Start, Work, WorkStep, need
from tests.planning.work_by_hand import cheapest, cost, faults
from tests.strategies_work import works

QUICK = settings(deadline=None, max_examples=60)


@QUICK
@given(works(6))
def test_a_plan_is_cheapest_of_all_orders(work: Work) -> None:
    least = cheapest(work, superfluous=False)
    if least is None:
        with pytest.raises(NoFeasibleOrder):
            best_plan(work, effort=THOROUGH)
        return
    plan = best_plan(work, effort=THOROUGH)
    assert plan.proven
    assert plan.bound == plan.total
    assert not faults(work, plan.order)
    assert cost(work, plan.order) == plan.total
    lowest = cheapest(work, superfluous=True)
    assert lowest is not None
    assert lowest <= plan.total <= least
    if not any(step.optional for step in work.steps):
        assert plan.total == least


@QUICK
@given(
    works(14), st.sampled_from([FIRST, Effort(width=1), Effort(width=2, stretches=(4, 6), stretch_width=3)])
)
def test_a_quick_plan_obeys_every_rule_and_knows_its_bound(work: Work, effort: Effort) -> None:
    try:
        plan = best_plan(work, effort=effort)
    except NoFeasibleOrder:
        return
    assert not faults(work, plan.order)
    assert cost(work, plan.order) == plan.total
    assert plan.bound <= plan.total
    assert best_plan(work, effort=effort) == plan
    thorough = best_plan(work, effort=THOROUGH)
    assert plan.bound <= thorough.total <= plan.total


@QUICK
@given(works(8), st.randoms(use_true_random=False))
def test_other_names_and_another_listing_cost_the_same(work: Work, random: object) -> None:
    order = list(work.steps)
    random.shuffle(order)  # type: ignore[attr-defined]
    name = {step.id: f"x{place}" for place, step in enumerate(order)} | {
        one.id: f"c {one.id}" for one in work.choices
    }

    def renamed(names: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(name[one] for one in names)

    other = Work(
        tuple(
            replace(
                step,
                id=name[step.id],
                needs=tuple(Need(renamed(one.of)) for one in step.needs),
                conflicts=frozenset(renamed(tuple(step.conflicts))),
            )
            for step in order
        ),
        tuple(
            replace(
                hold,
                begins=name[hold.begins],
                ends=name[hold.ends],
                during=renamed(hold.during),
                breaks=renamed(hold.breaks),
            )
            for hold in work.holds
        ),
        tuple(Choice(name[one.id], renamed(one.ways)) for one in work.choices),
        work.setup,
    )
    assert _total(other) == _total(work)


def _total(work: Work) -> int | None:
    try:
        return best_plan(work, effort=THOROUGH).total
    except NoFeasibleOrder:
        return None


def test_what_soaks_is_begun_first_and_only_the_rest_is_waited_for() -> None:
    steps = (WorkStep("wash", 300), WorkStep("soak", 60, waits=1800), WorkStep("stack", 600, (need("soak"),)))
    plan = best_plan(Work(steps, setup=Setup(0, 0)), effort=THOROUGH)
    assert plan.order == ("soak", "wash", "stack")
    assert (plan.working, plan.idle, plan.total, plan.steps[2].begins) == (960, 1500, 2460, 1860)
    assert (plan.bound, plan.verdict) == (2460, "optimal")


def test_a_plan_goes_on_from_how_things_stand() -> None:
    steps = (
        WorkStep("a", 1, lies="up"),
        WorkStep("b", 1, lies="down", tools=frozenset({"puller"})),
        WorkStep("c", 1, (need("a"),), lies="up"),
    )
    work = Work(steps, setup=Setup(10, 2))
    plan = best_plan(work, start=Start(frozenset({"a"}), "down", frozenset({"puller"})), effort=THOROUGH)
    assert plan.order == ("b", "c")
    assert (plan.working, plan.setup, plan.steps[1].turn, plan.steps[0].take) == (2, 10, "up", ())


def test_the_shorter_way_is_taken_with_what_only_it_needs() -> None:
    steps = (
        WorkStep("bolts", 60),
        WorkStep("heat", 50, optional=True),
        WorkStep("pull", 100, (need("bolts"), need("heat"))),
        WorkStep("press", 170, (need("bolts"),)),
        WorkStep("lift", 10, (need("off"),)),
    )
    work = Work(steps, choices=(Choice("off", ("pull", "press")),))
    assert best_plan(work, effort=THOROUGH).order == ("bolts", "heat", "pull", "lift")
    assert best_plan(work, without=["heat"], effort=THOROUGH).order == ("bolts", "press", "lift")


def test_the_ring_is_held_while_the_drum_is_lifted() -> None:
    steps = (
        WorkStep("turn the pump", 5, tools=frozenset({"pliers"})),
        WorkStep("spread", 5),
        WorkStep("lift", 5),
        WorkStep("let go", 5),
    )
    hold = Hold(
        "ring", "spread", "let go", ("lift",), ("turn the pump",), people=1, tools=frozenset({"pliers"})
    )
    order = best_plan(Work(steps, (hold,)), effort=THOROUGH).order
    assert order[order.index("spread") :][:3] == ("spread", "lift", "let go")


def test_a_lift_for_two_cannot_be_done_while_one_of_them_holds() -> None:
    steps = (WorkStep("spread", 5), WorkStep("lift", 5, people=2), WorkStep("let go", 5))
    work = Work(steps, (Hold("ring", "spread", "let go", ("lift",), people=1),))
    with pytest.raises(GoalOutOfReach, match=r"no order was found that obeys every hold \('ring'\)"):
        best_plan(work)
    assert best_plan(replace(work, people=3)).order == ("spread", "lift", "let go")


def test_a_goal_behind_an_impossible_step_names_the_way_to_it() -> None:
    work = Work((WorkStep("pan", 1, where="unit.yaml:7"), WorkStep("filter", 1, (need("pan"),))))
    with pytest.raises(
        GoalOutOfReach, match=r"filter, which needs pan \(unit.yaml:7\): that cannot be done as things stand"
    ):
        best_plan(work, goals=[need("filter")], without=["pan"])


def test_two_steps_that_ask_for_different_ways_are_told() -> None:
    steps = (
        WorkStep("a", 1),
        WorkStep("b", 1),
        WorkStep("c", 1, (need("a"),)),
        WorkStep("d", 1, (need("b"),)),
    )
    with pytest.raises(GoalOutOfReach, match=r"more than one way of a choice \(off: one of a, b\)"):
        best_plan(Work(steps, choices=(Choice("off", ("a", "b")),)))


@QUICK
@given(st.integers(1, 6), st.integers(1, 6))
def test_two_chains_of_two_tools_in_turn(length: int, others: int) -> None:
    """By hand: k chains a-b-a-b… of one length can go side by side, so the tools change once for each link."""
    assume(length * others <= 20)
    steps = [
        WorkStep(
            f"{chain}.{link}",
            1,
            (need(f"{chain}.{link - 1}"),) if link else (),
            frozenset({"ab"[link % 2]}),
        )
        for chain in range(others)
        for link in range(length)
    ]
    plan = best_plan(Work(tuple(steps), setup=Setup(0, 1)), effort=THOROUGH)
    assert (plan.setup, plan.proven) == (length, True)


def _chains(*words: str) -> Work:
    """One chain of steps a word, one tool a letter: the fewest tool changes are the shortest common supersequence."""
    steps = [
        WorkStep(f"{row}.{place}", 1, (need(f"{row}.{place - 1}"),) if place else (), frozenset({letter}))
        for row, word in enumerate(words)
        for place, letter in enumerate(word)
    ]
    return Work(tuple(steps), setup=Setup(0, 1))


@pytest.mark.parametrize(
    ("words", "length"),
    [
        # Cormen, Leiserson, Rivest, Stein, Introduction to Algorithms, 3rd ed., 15.4 (from memory): the longest common
        # subsequence of these two has 4 letters, so the shortest common supersequence has 7 + 6 - 4.
        (("ABCBDAB", "BDCABA"), 9),
        # The same for AGGTAB and GXTXAYB, a common classroom pair (from memory): 6 + 7 - 4.
        (("AGTAB", "GXTXAYB"), 8),
    ],
)
def test_the_shortest_common_supersequence_of_the_textbook(words: tuple[str, str], length: int) -> None:
    plan = best_plan(_chains(*words), effort=THOROUGH)
    assert (plan.setup, plan.verdict) == (length, "optimal")


@QUICK
@given(st.text("abcd", min_size=1, max_size=9), st.text("abcd", min_size=1, max_size=9))
def test_two_chains_cost_what_the_longest_common_subsequence_says(one: str, other: str) -> None:
    first, second = ("".join(letter for letter, _ in groupby(word)) for word in (one, other))
    plan = best_plan(_chains(first, second), effort=THOROUGH)
    assert plan.setup == len(first) + len(second) - _common(first, second)


def _common(one: str, other: str) -> int:
    """Length of the longest common subsequence, by the usual table."""
    row = [0] * (len(other) + 1)
    for letter in one:
        before = row
        row = [0]
        for place, against in enumerate(other, 1):
            row.append(before[place - 1] + 1 if letter == against else max(before[place], row[-1]))
    return row[-1]


def test_a_hold_lasts_while_its_end_is_waited_for() -> None:
    """What breaks a hold is not put into the wait for the step that ends it; by hand, 4 s of wait and one turn."""
    work = Work(
        (
            WorkStep("s0", 0),
            WorkStep("s1", 0),
            WorkStep("s2", 0),
            WorkStep("s3", 1),
            WorkStep("s4", 0, lies="nose up"),
            WorkStep("s5", 0, lies="on its side", waits=4),
        ),
        holds=(Hold("hold 0", "s0", "s1", during=("s5",), breaks=("either way",), people=0),),
        choices=(Choice("either way", ("s3", "s4")),),
        setup=Setup(turn=1, tool_change=0),
    )
    plan = best_plan(work, effort=THOROUGH)
    assert (plan.total, plan.proven, faults(work, plan.order)) == (5, True, [])
