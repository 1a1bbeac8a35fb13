"""Expected values: Torricelli by hand (√(2 · 2e5/800) = 22.36 m/s through 1 mm²), and what a hole must do by its law.

Published figures stand in tests/published/parts_condition.json.
"""

from __future__ import annotations

from math import pi, sqrt

import pytest

from countershaft.errors import OutOfRange
from countershaft.mechanics.orifice import orifice_diameter, orifice_flow


def test_torricelli_by_hand() -> None:
    told = orifice_flow(sqrt(4 / pi) / 1e3, pressure_drop=2e5, density=800, coefficient=1.0)
    assert told.flow == pytest.approx(1e-6 * sqrt(500), rel=1e-12)
    assert told.speed == pytest.approx(22.360679775, rel=1e-9)
    assert told.reynolds is None


def test_four_times_the_pressure_passes_twice_and_twice_the_hole_four_times() -> None:
    one = orifice_flow(1e-3, pressure_drop=1e5, density=830).flow
    assert orifice_flow(1e-3, pressure_drop=4e5, density=830).flow == pytest.approx(2 * one)
    assert orifice_flow(2e-3, pressure_drop=1e5, density=830).flow == pytest.approx(4 * one)
    assert orifice_flow(1e-3, pressure_drop=0.0, density=830).flow == 0.0


def test_the_reynolds_number_is_told_with_the_viscosity() -> None:
    told = orifice_flow(1e-3, pressure_drop=1e5, density=830, viscosity=0.01)
    assert told.reynolds == pytest.approx(830 * told.speed * 1e-3 / 0.01)
    assert "Reynolds number" in told.working[-1]


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"diameter": 0.0}, "diameter of the hole is 0 m"),
        ({"pressure_drop": -1.0}, "pressure drop is -1 Pa; expected zero or more"),
        ({"density": float("nan")}, "density is nan"),
        ({"coefficient": 1.2}, "coefficient of discharge is 1.2; expected 0.3 to 1"),
        ({"viscosity": 0.0}, "viscosity is 0"),
    ],
)
def test_what_is_no_hole_is_refused(changed: dict[str, float], words: str) -> None:
    given = {"diameter": 1e-3, "pressure_drop": 1e5, "density": 830.0, **changed}
    with pytest.raises(OutOfRange, match=words):
        orifice_flow(given.pop("diameter"), **given)


def test_a_hole_for_no_flow_is_refused() -> None:
    with pytest.raises(OutOfRange, match="the flow is 0"):
        orifice_diameter(0.0, pressure_drop=1e5, density=830)
