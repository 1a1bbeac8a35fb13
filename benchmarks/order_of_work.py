"""The order of work, all in one run: the shipped demos proven, and 300 generated steps beside a general solver.

    python -m benchmarks.order_of_work [seconds for the solver, 60]

The peer is OR-Tools CP-SAT, which only `./bench speed` installs: where it is not there, its rows say so.  Both get the
same steps and the same plan to start from, once the plain topological order and once our own greedy one.  What is
compared is the set-up (turning the unit, changing tools): the steps themselves take the same time in any order.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from countershaft.planning.bound import bound_of
from countershaft.planning.improve import improved
from countershaft.planning.masks import Ordering, bits, ordering
from countershaft.planning.search import quick_order
from countershaft.planning.sequence import THOROUGH, best_plan
from countershaft.planning.work import Setup, Start, Work, WorkStep, need
from tests.planning.demo_work import DEMOS, demo

__all__ = ["generated", "main"]

Result = TypeVar("Result")

STEPS = 300
TOOLS, POSITIONS, REACH = 12, 4, 25
SETUP = Setup(turn=120, tool_change=20)
WIDTH, STRETCHES, STRETCH_WIDTH = 20, (60,), 20


def generated(steps: int, seed: int) -> Work:
    """A unit of many steps: each needs one or two of the 25 before it, and has one tool and one position."""
    chance = random.Random(seed)
    made = []
    for number in range(steps):
        near = range(max(0, number - REACH), number)
        needs = sorted(chance.sample(near, min(chance.choice((1, 2)), len(near))))
        made.append(
            WorkStep(
                f"s{number}",
                60 * chance.randint(1, 20),
                tuple(need(f"s{one}") for one in needs),
                frozenset({f"tool {chance.randrange(TOOLS)}"}),
                f"position {chance.randrange(POSITIONS)}",
            )
        )
    return Work(tuple(made), setup=SETUP)


def best_found(asked: Ordering) -> tuple[int, ...]:
    """Our plan: a quick search, then its stretches solved anew.  No clock steers it: it is the same every time."""
    found = quick_order(asked, bound_of(asked), width=WIDTH)
    assert found.order is not None
    return improved(asked, found.order, lengths=STRETCHES, width=STRETCH_WIDTH, rounds=2)


def by_solver(asked: Ordering, start: Sequence[int], seconds: float) -> tuple[int | None, int]:
    """Set-up [s] of the solver's best order, None without one, and its bound; raises ImportError without it."""
    from ortools.sat.python import cp_model  # a peer that need not be there

    model = cp_model.CpModel()
    size = len(asked.names)
    place = [model.new_int_var(0, size - 1, f"place {step}") for step in range(size)]
    at = [model.new_int_var(0, size - 1, f"at {number}") for number in range(size)]
    model.add_inverse(place, at)
    for step, mask in enumerate(asked.needs):
        for first in bits(mask):
            model.add(place[first] < place[step])
    tools = [mask.bit_length() for mask in asked.tools]
    costs = [
        *_changes(model, at, tools, 0, start, asked.tool_change),
        *_changes(model, at, list(asked.lies), asked.start.lies, start, SETUP.turn),
    ]
    for number, step in enumerate(start):
        model.add_hint(place[step], number)
        model.add_hint(at[number], step)
    model.minimize(sum(cost * changed for cost, changed in costs))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    bound = round(solver.best_objective_bound)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, bound
    order = [solver.value(one) for one in at]
    assert asked.obeys(order)
    return asked.price(order), bound


def _changes(
    model: Any, at: Sequence[Any], values: list[int], first: int, start: Sequence[int], cost: int
) -> list[tuple[int, Any]]:
    """Whether the tool, or the position, changes at each place; hinted by the plan to start from."""
    found = []
    before: Any = first
    hinted = first
    for number, step in enumerate(start):
        value = model.new_int_var(min(values), max(values), "")
        changed = model.new_bool_var("")
        model.add_element(at[number], values, value)
        model.add(value == before).only_enforce_if(~changed)
        model.add_hint(value, values[step])
        model.add_hint(changed, values[step] != hinted)
        before, hinted = value, values[step]
        found.append((cost, changed))
    return found


def demos() -> None:
    """The shipped demos: the first plan, and the proof."""
    print(f"{'demo':<28}{'steps':>6}{'first plan':>22}{'proven':>22}{'bound':>9}{'gap':>7}  verdict")
    for name in DEMOS:
        for phases in (("teardown",), ("build",), ("teardown", "build")):
            work = demo(name, *phases)
            first, at_once = _timed(lambda work=work: best_plan(work))
            best, soon = _timed(lambda work=work: best_plan(work, effort=THOROUGH))
            what = f"{name} {'+'.join(phases)}"
            print(
                f"{what:<28}{len(best.steps):>6}{first.total / 60:>11.1f} min {at_once:>4.2f} s"
                f"{best.total / 60:>11.1f} min {soon:>4.2f} s{best.bound / 60:>9.1f}{best.gap:>7.1%}  {best.verdict}"
            )


def unit_of_300(seconds: float, seed: int) -> None:
    """One generated unit: the plain order, our greedy order, our plan, and the solver from both."""
    work = generated(STEPS, seed)
    asked = ordering(work, work.step_of, Start(lies="position 0"))
    bound = bound_of(asked)
    least = bound.rest(asked.all, asked.start)
    plain = tuple(range(STEPS))
    greedy = quick_order(asked, bound, width=1).order
    assert greedy is not None
    processor = time.process_time()
    ours, took = _timed(lambda: best_found(asked))
    processor = time.process_time() - processor
    cost = asked.price(ours)
    working = sum(asked.durations)
    print(
        f"\n{STEPS} steps, seed {seed}: {working / 60:.0f} min of work in any order; set-up at least {least} s"
    )
    print(f"{'':<46}{'set-up':>9}{'gap':>7}{'time':>9}   beside ours")
    _line("plain topological order", asked.price(plain), least, None, cost)
    _line("greedy order", asked.price(greedy), least, None, cost)
    assert asked.obeys(ours)
    _line(f"ours, best found ({processor:.1f} s of processor time)", cost, least, took, cost)
    for words, start in (("plain", plain), ("greedy", greedy)):
        try:
            (found, known), took = _timed(lambda start=start: by_solver(asked, start, seconds))
        except ImportError:
            print("CP-SAT: absent (ortools is not installed here; ./bench speed sets it up)")
            return
        _line(f"CP-SAT from the {words} order (its bound {known} s)", found, least, took, cost)


def _line(what: str, setup: int | None, least: int, took: float | None, ours: int) -> None:
    if setup is None:
        print(f"{what:<46}no plan found in {took:.0f} s")
        return
    beside = f"ours is {1 - ours / setup:.0%} cheaper" if setup > ours else ""
    shown = f"{took:>7.1f} s" if took is not None else f"{'':>9}"
    print(f"{what:<46}{setup:>7} s{1 - least / setup:>7.1%}{shown}   {beside}")


def _timed(work: Callable[[], Result]) -> tuple[Result, float]:
    began = time.perf_counter()
    return work(), time.perf_counter() - began


def main(seconds: float = 60, seeds: Sequence[int] = (1, 2, 3)) -> None:
    """Print both tables."""
    demos()
    for seed in seeds:
        unit_of_300(seconds, seed)


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 60)
