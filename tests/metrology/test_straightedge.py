"""Flatness from straightedge and feelers.

Expected: faces of known heights, from which the gaps under ideal straightedges are made; their flatness is taken from
the heights themselves.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import OutOfRange, Unknown
from countershaft.metrology.flatness import flatness
from countershaft.metrology.straightedge import straightedge_flatness

PLACES: dict[str, tuple[float, float]] = {
    "A": (0, 0), "AB": (100, 0), "B": (200, 0), "BC": (200, 60), "C": (200, 120),
    "CD": (100, 120), "D": (0, 120), "DA": (0, 60), "M": (100, 60),
}  # fmt: skip
#: Sides, diagonals and the two middle lines, as on a surface plate.
LAID = [
    ("A", "AB", "B"), ("B", "BC", "C"), ("D", "CD", "C"), ("A", "DA", "D"),
    ("A", "M", "C"), ("B", "M", "D"), ("AB", "M", "CD"), ("DA", "M", "BC"),
]  # fmt: skip


def gaps(heights: Mapping[str, float], line: tuple[str, str, str]) -> dict[str, float]:
    """Gaps under a straightedge that rests on a face: it touches twice, or once with three places in a hump."""
    ends = heights[line[0]], heights[line[2]]
    middle = heights[line[1]]
    if 2 * middle <= sum(ends):
        return {line[0]: 0.0, line[1]: (sum(ends) - 2 * middle) / 2, line[2]: 0.0}
    # It rocks on the middle; laid on the first place and the middle.
    return {line[0]: 0.0, line[1]: 0.0, line[2]: 2 * middle - ends[0] - ends[1]}


@settings(max_examples=80)
@given(st.lists(st.integers(-8, 8), min_size=9, max_size=9))
def test_the_heights_behind_the_gaps_are_found(values: list[int]) -> None:
    heights = {name: value / 1000 for name, value in zip(PLACES, values, strict=True)}
    found = straightedge_flatness(PLACES, [gaps(heights, line) for line in LAID])
    assert found.face is not None
    true = flatness([(*PLACES[name], height) for name, height in heights.items()])
    assert found.face.minimum.width == pytest.approx(true.minimum.width, rel=1e-6, abs=1e-12)
    assert found.misfit < 1e-12


@given(st.lists(st.integers(-8, 8), min_size=9, max_size=9))
def test_the_largest_feeler_is_the_safe_side_for_its_line(values: list[int]) -> None:
    heights = dict(zip(PLACES, values, strict=True))
    for line in LAID:
        under = gaps(heights, line)
        found = straightedge_flatness(PLACES, [under])
        (told,) = found.lines
        assert told is not None
        assert told.minimum.width <= max(under.values()) + 1e-12
        assert found.at_least == told.minimum.width


def test_sides_alone_do_not_tell_a_twist() -> None:
    """All four sides show no gap on a twisted face, so the face is not judged by them."""
    found = straightedge_flatness(PLACES, [dict.fromkeys(line, 0.0) for line in LAID[:4]])
    assert found.face is None
    assert (found.at_least, found.largest_gap) == (0.0, 0.0)
    assert "diagonals" in found.why


def test_readings_that_contradict_each_other_show_as_misfit() -> None:
    good = [gaps(dict.fromkeys(PLACES, 0), line) for line in LAID]
    wrong = [*good[:4], {"A": 0.0, "M": 0.05, "C": 0.0}, *good[5:]]
    found = straightedge_flatness(PLACES, wrong)
    assert 0.005 < found.misfit < 0.05


def test_a_hollow_in_the_middle() -> None:
    corners = {name: PLACES[name] for name in "ABCDM"}
    found = straightedge_flatness(corners, [{"A": 0, "M": 0.06, "C": 0}, {"B": 0, "M": 0.06, "D": 0}])
    assert found.face is not None
    assert found.face.minimum.width == pytest.approx(0.06, rel=1e-6)
    assert dict(found.heights)["M"] - dict(found.heights)["A"] == pytest.approx(-0.06)


@pytest.mark.parametrize(
    ("lines", "error", "said"),
    [
        ([], OutOfRange, "no line is given"),
        ([{"A": 0.0, "Z": 0.1}], Unknown, "line 1 names Z; known places are A, AB"),
        ([{"A": 0.0}], OutOfRange, "a straightedge needs at least two"),
        ([{"A": 0.0, "B": -0.1}], OutOfRange, "a feeler is never negative"),
        ([{"A": 0.0, "B": 0.1, "D": 0.0}], OutOfRange, "do not lie on a straight line"),
    ],
)
def test_what_cannot_be_laid_is_refused(
    lines: list[dict[str, float]], error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said):
        straightedge_flatness(PLACES, lines)
