"""Figures that a formula accepts.

Expected: written by hand.
"""

from __future__ import annotations

import math

import pytest

from countershaft.errors import OutOfRange
from countershaft.mechanics.sizes import above_zero, between, not_below_zero

NO_FIGURES = [math.nan, math.inf, -math.inf]


def test_good_figures_pass() -> None:
    above_zero("size", 1e-9, "m")
    not_below_zero("size", 0.0, "m")
    between("size", 2.0, 2.0, 3.0, "m", "No cure.")
    between("size", 3.0, 2.0, 3.0, "m", "No cure.")


@pytest.mark.parametrize("value", [0.0, -1.0, *NO_FIGURES])
def test_what_is_not_above_zero(value: float) -> None:
    with pytest.raises(
        OutOfRange, match=r"the size is .* m; expected more than zero\. Measure it, or look it up\."
    ):
        above_zero("size", value, "m")


@pytest.mark.parametrize("value", [-1e-9, *NO_FIGURES])
def test_what_is_below_zero(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"the size is .* m; expected zero or more\. Look at its sign\."):
        not_below_zero("size", value, "m")


@pytest.mark.parametrize("value", [1.9, 3.1, *NO_FIGURES])
def test_what_is_out_of_range(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"the share is \S+; expected 2 to 3\. Measure again\."):
        between("share", value, 2.0, 3.0, "", "Measure again.")
