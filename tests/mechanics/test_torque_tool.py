"""Torque tools, adapters, and one torque in three units.

Where the expected values come from: levers by hand; NIST SP 811 for the units (from memory, exact by definition);
published adapter examples are judged in tests/published/test_fasteners.py.
"""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.torque_tool import (
    TorqueTool,
    adapter_setting,
    permissible_deviation,
    setting_with_drag,
    side_by_side,
    torque_with_adapter,
    usable,
)


@given(st.floats(1, 500), st.floats(0.2, 1.2), st.floats(0.01, 0.2), st.floats(0, math.pi / 2))
def test_setting_and_result_are_inverse(torque: float, wrench: float, adapter: float, angle: float) -> None:
    setting = adapter_setting(torque, wrench=wrench, adapter=adapter, angle=angle)
    assert torque_with_adapter(setting, wrench=wrench, adapter=adapter, angle=angle) == pytest.approx(torque)
    assert setting <= torque * (1 + 1e-12)


def test_an_adapter_that_points_back_needs_a_higher_setting() -> None:
    """A lever of 15 in − 3 in·cos 45° = 12.88 in: 100·15/12.88 = 116.5, by hand from TM 9-254."""
    found = adapter_setting(100, wrench=15, adapter=3, angle=math.radians(135))
    assert found == pytest.approx(116.5, abs=0.05)


def test_drag_is_added() -> None:
    """FAA AC 43.13-1B 7-40: 135 and 12 lbf·in make 147."""
    assert setting_with_drag(135, 12) == 147


@pytest.mark.parametrize(
    ("setting", "good", "why"),
    [
        (20, True, "inside the checked range, ±4 %"),
        (100, True, "inside the checked range, ±4 %"),
        (
            15,
            False,
            "15 N·m is below 20 N·m, 20 % of the largest, where nothing was checked: take a smaller tool",
        ),
        (5, False, "5 N·m is below 10 N·m, where the scale begins: take a smaller tool"),
        (101, False, "101 N·m is above 100 N·m, the largest of the tool: take a larger one"),
    ],
)
def test_where_a_tool_may_be_used(setting: float, good: bool, why: str) -> None:
    found = usable(TorqueTool("II", "A", 10, 100), setting)
    assert (found.good, found.why) == (good, why)


@pytest.mark.parametrize(
    ("kind", "letter", "most", "share"),
    [
        ("I", "A", 100, 0.06),
        ("I", "B", 100, 0.04),
        ("II", "D", 12, 0.06),
        ("II", "C", 10, 0.06),
        ("II", "C", 11, 0.04),
    ],
)
def test_the_largest_torque_decides(kind: str, letter: str, most: float, share: float) -> None:
    """ISO 6789:2003, from memory."""
    tool = TorqueTool(kind, letter, most / 5, most)  # type: ignore[arg-type]  # the table is plain text
    assert permissible_deviation(tool) == share


@pytest.mark.parametrize(
    ("figure", "unit", "words"),
    [
        ("24", "N·m", "24 N·m = 17.7 lbf·ft = 212 lbf·in"),
        ("10.0", "N·m", "10.0 N·m = 7.38 lbf·ft = 88.5 lbf·in"),
        ("20", "lbf·in", "20 lbf·in = 2.26 N·m = 1.67 lbf·ft"),
        ("35", "lbf·ft", "35 lbf·ft = 47.5 N·m = 420 lbf·in"),
    ],
)
def test_side_by_side(figure: str, unit: str, words: str) -> None:
    assert side_by_side(Decimal(figure), unit).words == words


@given(st.decimals("0.1", "2000", places=1), st.sampled_from(["N·m", "lbf·ft", "lbf·in"]))
def test_the_three_figures_are_one_torque(figure: Decimal, unit: str) -> None:
    """1 lbf = 0.45359237 · 9.80665 N, 1 ft = 0.3048 m, exactly."""
    found = side_by_side(figure, unit)
    pound = 0.45359237 * 9.80665
    assert found.newton_metre == pytest.approx(found.pound_foot * pound * 0.3048, rel=1e-12)
    assert found.pound_inch == pytest.approx(found.pound_foot * 12, rel=1e-12)
    assert "E" not in found.words


@pytest.mark.parametrize(
    ("work", "error", "said"),
    [
        (lambda: side_by_side(Decimal(20), ""), BadInput, "'' is no unit of torque; expected N·m, lbf·ft, lbf·in"),
        (lambda: side_by_side(Decimal(0), "N·m"), OutOfRange, "must be more than 0"),
        (lambda: TorqueTool("II", "H", 1, 2), BadInput, "knows no tool of type II, class H"),  # type: ignore[arg-type]
        (lambda: TorqueTool("II", "A", 5, 2), OutOfRange, "a scale from 5 to 2 N·m is none"),
        (lambda: usable(TorqueTool("II", "A", 1, 5), 0), OutOfRange, "a setting must be more than 0"),
        (lambda: adapter_setting(0, wrench=1, adapter=1), OutOfRange, "a torque must be more than 0"),
        (lambda: torque_with_adapter(0, wrench=1, adapter=1), OutOfRange, "a setting must be more than 0"),
        (lambda: adapter_setting(1, wrench=0, adapter=1), OutOfRange, "need a length of more than 0"),
        (lambda: adapter_setting(1, wrench=0.2, adapter=0.15, angle=math.pi), OutOfRange, "reaches back over"),
        (lambda: setting_with_drag(10, -1), OutOfRange, "the drag not less"),
    ],
)  # fmt: skip
def test_nonsense_is_refused(work: object, error: type[Exception], said: str) -> None:
    with pytest.raises(error, match=said):
        work()  # type: ignore[operator]  # each is a function without arguments
