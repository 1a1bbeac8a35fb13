"""Agreement of two results: E_n by hand (ISO 13528), and what must not matter."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.agreement import compare, normalised_error
from countershaft.metrology.readings import estimate

VALUES = st.floats(-100, 100)
WIDTHS = st.floats(1e-3, 10)


@pytest.mark.parametrize(
    ("first", "second", "e_n"),
    [((10.0, 3.0), (5.0, 4.0), 1.0), ((1.0, 0.0), (2.0, 0.5), -2.0), ((1, 1), (1, 1), 0)],
)
def test_by_hand(first: tuple[float, float], second: tuple[float, float], e_n: float) -> None:
    """A difference of 5 against √(3² + 4²) = 5; of -1 against 0.5."""
    assert normalised_error(*first, *second) == pytest.approx(e_n)


@given(VALUES, WIDTHS, VALUES, WIDTHS)
def test_it_turns_its_sign_with_the_order(one: float, half: float, other: float, width: float) -> None:
    assert normalised_error(one, half, other, width) == -normalised_error(other, width, one, half)


@given(VALUES, WIDTHS, VALUES, WIDTHS, st.floats(1, 5))
def test_less_certain_results_agree_more(
    one: float, half: float, other: float, width: float, more: float
) -> None:
    wider = abs(normalised_error(one, half * more, other, width))
    assert wider <= abs(normalised_error(one, half, other, width)) + 1e-12


@given(st.lists(VALUES, min_size=1, max_size=4), st.lists(VALUES, min_size=1, max_size=4))
def test_one_instrument_explains_less(mine: list[float], yours: list[float]) -> None:
    """What both share cannot explain a difference, so agreement on one instrument is agreement on two."""
    one, two = (estimate(found, resolution=0.1, permitted_error=5.0) for found in (mine, yours))
    apart, together = (compare(one, two, unit="mm", same_instrument=same) for same in (False, True))
    if len(mine) == len(yours) == 1:
        assert together.expanded < apart.expanded
        assert apart.agree or not together.agree
    assert together.difference == apart.difference


def test_the_sentence_says_it() -> None:
    """By hand: U = 2·0.01/√12 = 0.00577 each, together 0.00816; 0.02 is 2.45 times that."""
    found = compare(estimate([0.38], resolution=0.01), estimate([0.36], resolution=0.01), unit="mm")
    assert not found.agree
    assert found.e_n == pytest.approx(2.449, abs=1e-3)
    assert found.why == (
        "0.38 and 0.36 mm do not agree: they differ by 0.020 mm, and 0.008 mm is explained (E_n = 2.45). "
        "Measure together."
    )


def test_nonsense_is_refused() -> None:
    for first, second in ((-1.0, 1.0), (0.0, 0.0)):
        with pytest.raises(OutOfRange, match="none may be negative, nor both zero"):
            normalised_error(1.0, first, 2.0, second)


def test_means_between_two_digits_show_the_difference_that_is_told() -> None:
    """By hand: 10.015 and 10.055 differ by 0.040; rounded to 10.02 and 10.05 they would seem to differ by 0.03."""
    first, second = (estimate(found, resolution=0.01) for found in ([10.01, 10.02], [10.05, 10.06]))
    said = compare(first, second, unit="mm").why
    assert said.startswith("10.015 and 10.055 mm ") and "differ by 0.040 mm" in said
