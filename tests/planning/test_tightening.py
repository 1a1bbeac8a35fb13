"""Orders of tightening: every place once, level while it comes down, reversed for loosening.

Where the expected values come from: small joints by hand (common practice, no source); the cross pattern of circles is
judged in tests/published/test_fasteners.py.
"""

from __future__ import annotations

import cmath
import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput, OutOfRange
from countershaft.planning.tightening import loosening_rounds, rounds, tightening_order, usual_stages
from tests.strategies_fasteners import positions

Points = dict[str, tuple[float, float]]


@given(positions())
def test_every_place_comes_once(points: Points) -> None:
    found = tightening_order(list(points), points)
    assert sorted(found.sequence or ()) == sorted(points)
    assert found.loosening == (found.sequence or ())[::-1]
    assert found.reason


@given(positions(), st.integers(-500, 500))
def test_scale_and_place_on_the_sheet_do_not_matter(points: Points, shift: int) -> None:
    whole = tightening_order(list(points), points)
    moved = {key: (x + shift, y - shift) for key, (x, y) in points.items()}
    assert tightening_order(list(moved), moved) == whole
    larger = {key: (x * 2, y * 2) for key, (x, y) in points.items()}
    assert tightening_order(list(larger), larger).sequence == whole.sequence


@given(st.integers(3, 24), st.floats(0, math.tau), st.floats(5, 300))
def test_a_turned_circle_keeps_its_star(count: int, turn: float, radius: float) -> None:
    spots = [cmath.rect(radius, turn - math.tau * number / count) for number in range(count)]
    points = {number: (spot.real, spot.imag) for number, spot in enumerate(spots)}
    found = tightening_order(list(points), points)
    straight = {
        number: (math.sin(math.tau * number / count), math.cos(math.tau * number / count))
        for number in points
    }
    assert found.pattern == "circle"
    assert found.sequence == tightening_order(list(straight), straight).sequence


@given(st.integers(4, 40))
def test_what_is_tight_never_tips_more_than_one_bolt_would(count: int) -> None:
    """On a circle the tightened bolts, as forces, never pull harder to one side than about one and a half bolts."""
    points = {n: (math.sin(math.tau * n / count), math.cos(math.tau * n / count)) for n in range(count)}
    sequence = tightening_order(list(points), points).sequence or ()
    for some in range(1, count + 1):
        assert abs(sum(complex(*points[key]) for key in sequence[:some])) < 1.5


def grid(rows: int, columns: int) -> Points:
    return {f"{row}{column}": (column * 90, row * 60) for row in range(rows) for column in range(columns)}


@pytest.mark.parametrize(
    ("points", "pattern", "first"),
    [
        (grid(1, 5), "rows", ["02", "01", "03"]),
        (grid(2, 5), "rows", ["02", "12"]),
        (grid(3, 4), "rows", ["11", "12"]),
        (grid(2, 2), "circle", ["00", "11"]),
        ({"a": (0, 0), "b": (10, 3)}, "rows", ["a", "b"]),
    ],
)
def test_rows_begin_in_the_middle(points: Points, pattern: str, first: list[str]) -> None:
    found = tightening_order(list(points), points)
    assert found.pattern == pattern
    assert list(found.sequence or ())[: len(first)] == first


def test_rows_go_outward_in_pairs_across() -> None:
    points = grid(2, 5)
    sequence = tightening_order(list(points), points).sequence or ()
    outward = [abs(points[key][0] - 180) for key in sequence]
    assert outward == sorted(outward)
    for one, other in zip(sequence[::2], sequence[1::2], strict=True):
        assert [sum(pair) for pair in zip(points[one], points[other], strict=True)] == [360, 60], (
            "opposite each other"
        )


def pan() -> Points:
    """Eighteen bolts round a rectangle of 300 by 200."""
    points: Points = {}
    for number in range(6):
        points[f"t{number}"], points[f"b{number}"] = (-125 + 50 * number, 100), (-125 + 50 * number, -100)
    for number in range(3):
        points[f"l{number}"], points[f"r{number}"] = (-150, -50 + 50 * number), (150, -50 + 50 * number)
    return points


def test_a_pan_goes_outward_from_the_middle_of_its_long_sides() -> None:
    points = pan()
    found = tightening_order(list(points), points)
    sequence = found.sequence or ()
    assert found.pattern == "flange"
    assert set(sequence[:4]) == {"t2", "t3", "b2", "b3"}
    assert set(sequence[-4:]) == {"t0", "t5", "b0", "b5"}
    assert "from the centre outward" in found.reason


def test_a_bolt_in_the_middle_of_a_flange_comes_first() -> None:
    points = {**pan(), "middle": (4, -3)}
    assert (tightening_order(list(points), points).sequence or ("",))[0] == "middle"


def test_half_a_circle_is_no_circle() -> None:
    points = {n: (math.sin(n / 3), math.cos(n / 3)) for n in range(8)}
    assert tightening_order(list(points), points).pattern == "flange"


def test_a_housing_whose_bolts_lie_nearly_on_a_circle_is_told_so() -> None:
    points = {
        n: (r * math.sin(math.tau * n / 6), r * math.cos(math.tau * n / 6))
        for n, r in enumerate([95, 100, 105] * 2)
    }
    found = tightening_order(list(points), points)
    assert found.pattern == "circle"
    assert "6 places on nearly a circle (radius 95 to 105)" in found.reason


def test_the_order_of_the_file_stands() -> None:
    points = grid(1, 3)
    found = tightening_order(list(points), points, given=["00", "01", "02"])
    assert (found.sequence, found.pattern, found.reason) == (
        ("00", "01", "02"),
        "given",
        "the order that the file gives",
    )


def test_without_positions_no_order_is_invented() -> None:
    found = tightening_order(["a", "b", "c"], {"a": (0, 0)})
    assert (found.sequence, found.loosening, found.pattern) == (None, None, "unknown")
    assert found.reason == "no order is given, and b, c have no position to compute one from"
    twice = tightening_order(["a", "b", "c"], {"a": (0, 0), "b": (0, 0), "c": (1, 1)})
    assert twice.sequence is None
    assert "two places share one position" in twice.reason


def test_one_place_needs_no_position() -> None:
    assert tightening_order(["a"], {}).sequence == ("a",)
    assert tightening_order([], {}).sequence == ()


@pytest.mark.parametrize(
    ("keys", "given", "said"),
    [(["a", "a"], (), "a place is named twice"), (["a", "b"], ("a",), "does not name every place once")],
)
def test_contradictions_are_refused(keys: list[str], given: tuple[str, ...], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        tightening_order(keys, {}, given=given)


def test_rounds_and_stages() -> None:
    stages = usual_stages(Decimal(25), "N·m", gasket=True)
    assert stages == (
        "by hand until the faces meet", "12.5 N·m", "25 N·m", "25 N·m once more, because the gasket settles",
    )  # fmt: skip
    found = rounds(["a", "b"], stages)
    assert [one.number for one in found] == [1, 2, 3, 4]
    assert all(one.places == ("a", "b") for one in found)
    assert [(one.action, one.places) for one in loosening_rounds(["a", "b"])] == [
        ("half a turn", ("b", "a")),
        ("out", ("b", "a")),
    ]
    with pytest.raises(OutOfRange, match="a torque must be more than 0, got 0 N·m"):
        usual_stages(Decimal(0), "N·m")
