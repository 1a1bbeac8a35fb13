"""Dimension chains.  Expected values: by hand, numpy draws, and published chains in tests/published."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.stackup import Link, simulate, stack_up

FIGURES = st.floats(-50, 50)
LINKS = st.lists(
    st.builds(
        lambda nominal, ends, factor, shape: Link("", nominal, min(ends), max(ends), factor, shape),
        FIGURES, st.tuples(FIGURES, FIGURES), FIGURES, st.sampled_from(("normal", "rectangular", "triangular")),
    ),
    min_size=1, max_size=5,
).map(lambda links: [Link(f"d{n}", one.nominal, one.lower, one.upper, one.sensitivity, one.shape)
                     for n, one in enumerate(links)])  # fmt: skip


def chain() -> list[Link]:
    """Depth 30 +-0.2 less bearing 18 +-0.1 less twice a washer 5 +-0.05, the washers cut from one bar."""
    return [
        Link("depth", 30, -0.2, 0.2),
        Link("bearing", 18, -0.1, 0.1, -1, "triangular"),
        Link("washers", 5, -0.05, 0.05, -2, "normal"),
    ]


def test_a_chain_by_hand() -> None:
    """Middle 30 - 18 - 10 = 2; half widths 0.2 + 0.1 + 0.1 = 0.4; u^2 = 0.04/3 + 0.01/6 + 0.01/9."""
    found = stack_up(chain())
    assert found.middle == 2
    assert found.worst == pytest.approx((1.6, 2.4))
    squares = (0.04 / 3, 0.01 / 6, 0.01 / 9)
    assert found.standard == pytest.approx(sum(squares) ** 0.5)
    assert list(found.variance_share.values()) == pytest.approx([one / sum(squares) for one in squares])
    assert list(found.worst_share.values()) == pytest.approx([0.5, 0.25, 0.25])
    assert found.statistical == pytest.approx((2 - 3 * found.standard, 2 + 3 * found.standard))
    assert found.working[0] == "middle = 30 (depth) − 18 (bearing) − 2·5 (washers) = 2"


def test_a_simulation_agrees_with_numpy_and_with_the_sum_of_squares() -> None:
    draws = np.random.default_rng(1)
    size = 200_000
    sums = (
        draws.uniform(29.8, 30.2, size)
        - draws.triangular(17.9, 18, 18.1, size)
        - 2 * draws.normal(5, 0.05 / 3, size)
    )
    found = simulate(chain(), seed=2, trials=50_000, lower=1.8, upper=2.1)
    assert found.standard == pytest.approx(stack_up(chain()).standard, rel=0.02)
    assert found.interval == pytest.approx(tuple(np.quantile(sums, (0.025, 0.975))), abs=0.005)
    assert found.inside == pytest.approx(np.mean((sums >= 1.8) & (sums <= 2.1)), abs=0.01)


def test_one_seed_gives_one_answer() -> None:
    assert simulate(chain(), seed=2, trials=1000) == simulate(chain(), seed=2, trials=1000)
    assert simulate(chain(), seed=2, trials=1000) != simulate(chain(), seed=3, trials=1000)


@given(LINKS)
def test_worst_case_holds_every_corner_and_the_shares_add_up(links: list[Link]) -> None:
    found = stack_up(links)
    margin = 1e-9 * (1 + abs(found.worst[0]) + abs(found.worst[1]))
    for corner in range(2 ** len(links)):
        ends = [
            one.nominal + (one.upper if corner >> bit & 1 else one.lower) for bit, one in enumerate(links)
        ]
        total = sum(one.sensitivity * end for one, end in zip(links, ends, strict=True))
        assert found.worst[0] - margin <= total <= found.worst[1] + margin
    for shares in (found.worst_share, found.variance_share):
        assert sum(shares.values()) == pytest.approx(1) or not any(shares.values())


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (lambda: stack_up([]), "the chain has no dimension"),
        (lambda: stack_up([chain()[0]] * 2), "two dimensions of the chain are called depth"),
        (lambda: stack_up(chain(), coverage=0), "the coverage factor is 0"),
        (lambda: Link("depth", 1, 0.2, 0.1), "the lower deviation 0.2 of depth is above the upper 0.1"),
        (lambda: Link("depth", float("nan"), 0, 0), "a figure of depth is not finite"),
        (lambda: Link("depth", 1, 0, 0, coverage=0), "the coverage factor of depth is 0"),
        (lambda: simulate(chain(), seed=1, trials=10), "10 trials are too few"),
        (lambda: simulate(chain(), seed=1, lower=2, upper=1), "the lower limit 2 is above the upper limit 1"),
    ],
)
def test_slips_are_refused(asked: Callable[[], Any], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        asked()
