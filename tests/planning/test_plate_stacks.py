"""Steels of several thicknesses.  Expected values: trying every selection, and by hand."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import GoalOutOfReach, OutOfRange
from countershaft.planning.plate_stacks import plates_to_target

SIZES = st.integers(15, 25).map(lambda tenths: Fraction(tenths, 10))


@given(
    st.integers(50, 130).map(lambda tenths: Fraction(tenths, 10)),
    st.integers(1, 5),
    st.dictionaries(SIZES, st.integers(0, 4), min_size=1, max_size=3),
    st.lists(SIZES, max_size=2, unique=True).map(tuple),
)
def test_the_nearest_of_all_selections(
    target: Fraction, count: int, at_hand: dict[Fraction, int], to_order: tuple[Fraction, ...]
) -> None:
    sizes = sorted({*at_hand, *to_order}, reverse=True)
    keys = []
    for numbers in product(range(count + 1), repeat=len(sizes)):
        pairs = list(zip(sizes, numbers, strict=True))
        missing = sum(max(0, number - at_hand.get(size, 0)) for size, number in pairs)
        free = all(number <= at_hand.get(size, 0) or size in to_order for size, number in pairs)
        if sum(numbers) == count and free:
            height = sum((size * number for size, number in pairs), Fraction(0))
            kinds = sum(1 for number in numbers if number)
            keys.append((abs(height - target), height, missing, kinds, tuple(-number for number in numbers)))
    if not keys:
        with pytest.raises(GoalOutOfReach, match="plates are wanted"):
            plates_to_target(target, count=count, at_hand=at_hand, to_order=to_order)
        return
    found = plates_to_target(target, count=count, at_hand=at_hand, to_order=to_order)
    off, height, missing, _, numbers = min(keys)
    assert (abs(found.off), found.height) == (off, height)
    assert sum(number for _, number in found.to_order) == missing
    assert found.plates == tuple(
        (size, -number) for size, number in zip(sizes, numbers, strict=True) if number
    )


def test_two_thicknesses_make_a_target_between() -> None:
    """3 x 1.8 + 2 x 2.0 = 9.4."""
    found = plates_to_target(Fraction("9.4"), count=5, at_hand={Fraction("1.8"): 9, Fraction("2.0"): 1},
                             to_order=(Fraction("2.0"),))  # fmt: skip
    assert found.plates == ((Fraction(2), 2), (Fraction("1.8"), 3))
    assert found.to_order == ((Fraction(2), 1),)
    assert found.working == ("2 × 2 + 3 × 1.8 = 9.4 mm, wanted 9.4 mm; the next height is 0.2 mm off it",)


def test_slips_are_refused() -> None:
    with pytest.raises(OutOfRange, match="no negative counts"):
        plates_to_target(Fraction(5), count=2, at_hand={Fraction(2): -1})
