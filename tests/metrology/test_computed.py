"""A figure computed from measured ones.

Expected: the mean and spread of a cube of a rectangular value by calculus (E[g³] = g³(1 + 3 r²) with r the relative
standard uncertainty; numpy draws for the spread), and the relative law of a quotient (JCGM 100, 5.1.6).  The published
example of JCGM 101, 9.3 is held in tests/published/test_uncertainty.py.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from countershaft.errors import OutOfRange
from countershaft.metrology.computed import compute
from countershaft.metrology.conformity import Verdict
from countershaft.metrology.decision import decide, what_decides
from countershaft.metrology.readings import estimate


def test_a_quotient_keeps_the_relative_law() -> None:
    """(u/q)² = (u_a/a)² + (u_b/b)², to first order."""
    first, second = estimate([8.0], resolution=0.01), estimate([2.0, 2.01, 2.0], resolution=0.01)
    found = compute(lambda a, b: a / b, {"a": first, "b": second}, seed=1)
    relative = math.hypot(first.standard / first.mean, second.standard / second.mean)
    assert found.trials == 0
    assert found.standard == pytest.approx(found.mean * relative, rel=1e-4)
    assert found.degrees_of_freedom < 10
    assert found.factor > 2.3
    assert "as good as straight" in " ".join(found.working(""))


def test_a_cube_is_drawn() -> None:
    """The mean of a cube lies above the cube of the mean; the spread is that of a million draws of numpy."""
    gap = estimate([0.05], resolution=0.04)
    found = compute(lambda g: (g / 0.05) ** 3, {"gap": gap}, seed=1, digits=2)
    draws = (np.random.default_rng(5).uniform(0.03, 0.07, 1_000_000) / 0.05) ** 3
    assert found.mean == pytest.approx(1 + 3 * (gap.standard / 0.05) ** 2, abs=0.02)
    assert found.standard == pytest.approx(float(draws.std()), abs=0.02)
    assert found.trials >= 20_000
    assert f"{found.trials} draws" in " ".join(found.working(""))
    assert math.fsum(found.budget.shares) == pytest.approx(1, abs=0.05)


def test_the_same_seed_gives_the_same() -> None:
    gap = {"gap": estimate([0.05], resolution=0.04)}
    first, second = (compute(lambda g: g**3, gap, seed=7) for _ in range(2))
    assert first == second


def test_few_readings_still_widen_a_curved_result() -> None:
    """Student's 4.53 of three readings (JCGM 100, Table G.2) is not lost where the formula is curved."""
    few = compute(lambda g: g**3, {"gap": estimate([0.7, 1.0, 1.3], resolution=1e-6)}, seed=1)
    assert few.trials
    assert few.factor > 4.53 * 0.85


def test_a_computed_figure_is_judged_like_a_measured_one() -> None:
    found = compute(lambda a, b: a / b, {n: estimate([2.0], resolution=0.1) for n in "ab"}, seed=1)
    verdict = decide(found, lower=0.9, upper=1.02, unit="")
    assert verdict.verdict is Verdict.AGAIN
    assert not what_decides(found, lower=0.9, upper=1.02).possible


def test_nothing_to_compute_from_is_refused() -> None:
    with pytest.raises(OutOfRange, match="no input"):
        compute(lambda: 1.0, {}, seed=1)
