"""Crossed studies: sums of squares by projection with numpy, made-up truth found again, and what must not matter.

The published example is held in tests/published/test_reference_data.py.
"""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.study import crossed_study

STUDIES = st.tuples(st.integers(2, 3), st.integers(2, 4), st.integers(2, 3)).flatmap(
    lambda size: st.lists(
        st.lists(
            st.lists(st.integers(-20, 20), min_size=size[2], max_size=size[2]),
            min_size=size[1],
            max_size=size[1],
        ),
        min_size=size[0],
        max_size=size[0],
    )
)


@given(STUDIES)
def test_the_sums_are_those_of_means_about_means(readings: list[list[list[int]]]) -> None:
    """Each line of the table as deviations of means, the other way round than the program computes it."""
    table = np.array(readings, dtype=float)
    people, parts, repeats = table.shape
    whole = table.mean()
    person, part, cell = table.mean(axis=(1, 2)), table.mean(axis=(0, 2)), table.mean(axis=2)
    expected = [
        people * repeats * ((part - whole) ** 2).sum(),
        parts * repeats * ((person - whole) ** 2).sum(),
        repeats * ((cell - person[:, None] - part[None, :] + whole) ** 2).sum(),
        ((table - cell[:, :, None]) ** 2).sum(),
    ]
    found = crossed_study(readings)
    assert [row.sum_of_squares for row in found.sources] == pytest.approx(expected, rel=1e-9, abs=1e-9)
    assert sum(row.degrees_of_freedom for row in found.sources) == table.size - 1


@given(STUDIES, st.integers(-100, 100))
def test_a_shift_changes_nothing(readings: list[list[list[int]]], shift: int) -> None:
    moved = [[[value + shift for value in cell] for cell in person] for person in readings]
    assert crossed_study(moved) == crossed_study(readings)


@given(STUDIES)
def test_the_order_of_people_changes_nothing(readings: list[list[list[int]]]) -> None:
    assert crossed_study(readings[::-1]) == crossed_study(readings)


@given(STUDIES)
def test_components_add_up(readings: list[list[list[int]]]) -> None:
    found = crossed_study(readings)
    assert found.reproducibility == pytest.approx(math.hypot(found.people, found.interaction))
    assert found.measuring == pytest.approx(math.hypot(found.repeatability, found.reproducibility))
    assert found.total == pytest.approx(math.hypot(found.measuring, found.parts))
    assert 0 <= found.share <= 1


def test_a_made_up_truth_is_found_again() -> None:
    """40 people, 60 parts, 3 repeats drawn with known deviations: each is found within a fifth."""
    chance = Random(8)
    by_person = [chance.gauss(0, 0.5) for _ in range(40)]
    by_part = [chance.gauss(0, 2.0) for _ in range(60)]
    readings = []
    for one in by_person:
        crossed = [chance.gauss(0, 0.3) for _ in by_part]
        readings.append(
            [
                [one + part + both + chance.gauss(0, 0.2) for _ in range(3)]
                for part, both in zip(by_part, crossed, strict=True)
            ]
        )
    found = crossed_study(readings, window=12.0)
    assert not found.pooled
    expected = (0.2, 0.5, 0.3, 2.0)
    assert (found.repeatability, found.people, found.interaction, found.parts) == pytest.approx(
        expected, rel=0.2
    )
    assert found.of_window == pytest.approx(6 * found.measuring / 12.0)


def test_people_who_read_alike() -> None:
    """No scatter at all: nothing to tell apart, and no division by zero."""
    found = crossed_study([[[1, 1], [1, 1]], [[1, 1], [1, 1]]])
    assert (found.measuring, found.parts, found.share, found.classes) == (0.0, 0.0, 0.0, None)


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([], "0 people, 0 parts, 0 readings"),
        ([[[1, 2], [1, 2]]], "1 people, 2 parts, 2 readings"),
        ([[[1], [1]], [[1], [1]]], "1 readings each"),
        ([[[1, 2], [1, 2]], [[1, 2], [1]]], "person 2 has a gap"),
        ([[[1, 2], [1, 2]], [[1, 2]]], "person 2 has a gap"),
        ([[[1, 2], [1, math.nan]], [[1, 2], [1, 2]]], "a reading of person 1 is not finite"),
    ],
)
def test_a_study_with_gaps_is_refused(readings: list[list[list[float]]], words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        crossed_study(readings)


def test_a_window_has_a_width() -> None:
    with pytest.raises(OutOfRange, match="window is 0 wide"):
        crossed_study([[[1, 2], [1, 2]], [[1, 2], [1, 2]]], window=0.0)
