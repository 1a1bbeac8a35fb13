"""The choice of parts for all fits of a job, beside a general solver on the same model, all in one run.

    python -m benchmarks.choosing [seconds for the solver, 30]

The peer is OR-Tools CP-SAT, which only `./bench speed` installs: where it is not there, its rows say so.  Both get the
same places, candidates and whole-number costs, and the same order of goals.  The solver gets the cost of a shared fit
as a table of all pairs; building its model is not counted, building ours is.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from itertools import product
from statistics import median
from typing import TypeVar

from countershaft.planning.choosing import Answer, choose_fits
from countershaft.planning.fit_costs import Goals, compiled
from countershaft.planning.shelf import Shop
from tests.planning.fit_shops import big_shop

__all__ = ["by_solver", "main"]

Result = TypeVar("Result")

PROMISED_MS = 100


def by_solver(goals: Goals, seconds: float) -> tuple[tuple[int, ...] | None, bool, float]:
    """Goals of the solver's best choice, whether it proved it, and its seconds; raises ImportError without it.

    The goals are solved one after the other, each with the ones before it held: their one sum is too large for it.
    """
    from ortools.sat.python import cp_model  # a peer that need not be there

    model = cp_model.CpModel()
    takes = [
        [model.new_bool_var(f"{name} {number}") for number in range(len(goals.alone[place]))]
        for place, name in enumerate(goals.names)
    ]
    for place in takes:
        model.add_exactly_one(place)
    for family, candidates in goals.candidates.items():
        users = [place for place, name in enumerate(goals.family_of) if name == family]
        for number, one in enumerate(candidates):
            if one.pieces:
                model.add(sum(takes[place][number] for place in users) <= len(one.pieces))
    terms = [
        (takes[place][number], goals.weights.split(cost))
        for place, costs in enumerate(goals.alone)
        for number, cost in enumerate(costs)
    ]
    for number, gap in enumerate(goals.shared):
        for chosen in product(*(range(len(part)) for part in gap.parts)):
            both = model.new_bool_var("")
            literals = [takes[place][one] for place, one in zip(gap.places, chosen, strict=True)]
            model.add_bool_or(both, *(~literal for literal in literals))
            terms.append((both, goals.weights.split(goals.cost(number, chosen))))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.random_seed = 1
    found: list[int] = []
    began = time.perf_counter()
    for place in range(4):
        weighed = sum(parts[place] * literal for literal, parts in terms if parts[place])
        if isinstance(weighed, int):
            found.append(0)
            continue
        model.minimize(weighed)
        solver.parameters.max_time_in_seconds = max(0.1, seconds - (time.perf_counter() - began))
        if solver.solve(model) != cp_model.OPTIMAL:
            return (tuple(found) or None), False, time.perf_counter() - began
        found.append(round(solver.objective_value))
        model.add(weighed <= found[-1])
    return tuple(found), True, time.perf_counter() - began


def main(seconds: float = 30, seeds: Sequence[int] = tuple(range(12))) -> None:
    """Print both: shelves alone, with a price list beside them, and fits that all want the same few sizes."""
    print("\n12 fits of 20 sizes, one piece of each on the shelf, two fits that hang on a neighbour's")
    print(f"{'':<36}{'median':>10}{'worst':>10}{'processor':>11}   promised ≤ {PROMISED_MS} ms")
    for what, listed, crowded in (
        ("shelf alone", False, False),
        ("with a price list", True, False),
        ("crowded, with a list", True, True),
    ):
        shops = [big_shop(seed, listed=listed, crowded=crowded) for seed in seeds]
        answers, times, processor = _ours(shops)
        assert all(one.verdict == "optimal" for one in answers)
        _line(f"ours, {what}", times, median(processor))
        _peer(shops, answers, what, seconds, median(times))


def _ours(shops: Sequence[Shop]) -> tuple[list[Answer], list[float], list[float]]:
    """Answers, and milliseconds of clock and of processor for each."""
    answers, times, processor = [], [], []
    for shop in shops:
        used = time.process_time()
        answer, took = _timed(lambda shop=shop: choose_fits(shop))
        processor.append(1e3 * (time.process_time() - used))
        answers.append(answer)
        times.append(took)
    return answers, times, processor


def _peer(shops: Sequence[Shop], answers: Sequence[Answer], what: str, seconds: float, ours: float) -> None:
    times, same, proven = [], 0, 0
    for shop, answer in zip(shops, answers, strict=True):
        try:
            found, is_proven, took = by_solver(compiled(shop, shop.gaps, shop.listed), seconds)
        except ImportError:
            print(f"{'CP-SAT, ' + what:<36}absent (ortools is not installed here; ./bench speed sets it up)")
            return
        times.append(1e3 * took)
        proven += is_proven
        same += found == answer.best.goals
    _line(f"CP-SAT, {what}", times, None)
    ratio = ours / median(times)
    print(
        f"{'':<36}proved {proven} of {len(shops)}, the same goals in {same}; ours takes {ratio:.3f} of its time"
    )


def _line(what: str, times: Sequence[float], processor: float | None) -> None:
    used = f"{processor:>8.1f} ms" if processor is not None else f"{'':>11}"
    print(f"{what:<36}{median(times):>7.1f} ms{max(times):>7.1f} ms{used}")


def _timed(work: Callable[[], Result]) -> tuple[Result, float]:
    began = time.perf_counter()
    return work(), 1e3 * (time.perf_counter() - began)


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 30)
