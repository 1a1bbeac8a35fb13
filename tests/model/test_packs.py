"""Packs of a transmission file as the mechanics know them.

Expected values: millimetres turned into radii by hand; what brake C of the invented six-speed holds, computed by
another program (consistency only); places and texts of faults by hand.
"""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.mechanics.friction import FluidChamber, PressureLaw, pack_capacity, self_apply_speed
from countershaft.model.packs import Pack

FIGURES: dict[str, Any] = {
    "element": "C", "name": "brake C", "friction": {"count": 3, "thickness_mm": "2.05"},
    "steel": {"count": 3, "thickness_mm": "2.00"}, "faces": 6, "lining_od_mm": "176", "lining_id_mm": "136",
    "piston_od_mm": "184", "piston_id_mm": "138", "return_spring": "1.3 kN", "friction_coefficient": "0.07",
}  # fmt: skip


def pack(**changes: Any) -> Pack:
    return Pack.model_validate({**FIGURES, **changes})


def test_figures_become_radii_and_newtons() -> None:
    found = pack().mechanical()
    assert found is not None
    assert (found.lining_outer_radius, found.piston_inner_radius) == pytest.approx((0.088, 0.069))
    assert found.return_spring == pytest.approx(1300)
    assert (found.chamber, found.law) == (None, PressureLaw.UNIFORM_PRESSURE)
    assert pack_capacity(found, pressure=639e3).torque == pytest.approx(202.0, abs=0.5)
    worn = pack().mechanical(PressureLaw.UNIFORM_WEAR)
    assert worn is not None
    assert worn.law == PressureLaw.UNIFORM_WEAR


def test_fluid_makes_chambers() -> None:
    fluid = {"fed_at_mm": "60", "balance_od_mm": "170", "balance_id_mm": "138", "balance_fed_at_mm": "64"}
    found = pack(fluid=fluid).mechanical()
    assert found is not None
    assert found.chamber == FluidChamber(0.092, 0.069, 0.030)
    assert found.balance == FluidChamber(0.085, 0.069, 0.032)
    alone = pack(fluid={"fed_at_mm": "60"}).mechanical()
    assert alone is not None
    assert alone.balance is None


@pytest.mark.parametrize("key", ["faces", "lining_od_mm", "piston_id_mm", "friction_coefficient"])
def test_without_a_figure_nothing_is_made_up(key: str) -> None:
    lacking = pack(**{key: None})
    assert lacking.mechanical() is None
    assert lacking.missing == (key,)


def test_a_spring_that_is_not_there_pulls_with_nothing() -> None:
    found = pack(return_spring=None).mechanical()
    assert found is not None
    assert found.return_spring == 0


@pytest.mark.parametrize(
    ("changes", "place", "said"),
    [
        (
            {"lining_id_mm": "180"},
            ("lining_id_mm",),
            "smaller than the outer one (176 mm); are they swapped?",
        ),
        (
            {"piston_id_mm": "184"},
            ("piston_id_mm",),
            "smaller than the outer one (184 mm); are they swapped?",
        ),
        ({"fluid": {"fed_at_mm": "60", "balance_od_mm": "170"}}, ("fluid",), "balance_id_mm is missing"),
        (
            {
                "fluid": {
                    "fed_at_mm": "60",
                    "balance_od_mm": "90",
                    "balance_id_mm": "92",
                    "balance_fed_at_mm": "64",
                }
            },
            ("fluid", "balance_id_mm"),
            "smaller than the outer one (90 mm)",
        ),
    ],
)
def test_faults_lie_at_their_key(changes: dict[str, Any], place: tuple[str, ...], said: str) -> None:
    with pytest.raises(ValidationError) as caught:
        pack(**changes)
    (error,) = caught.value.errors()
    assert error["loc"] == place
    assert said in error["msg"]


def test_the_clutches_of_the_shipped_file_do_not_apply_themselves_in_use() -> None:
    """Their invented balance chambers hold the fluid back beyond 7000 rpm; brakes do not turn at all."""
    unit = read_transmission(library_text("demo-b"), "demo-b")
    speeds = {one.element: self_apply_speed(found) for one in unit.packs if (found := one.mechanical())}
    assert {name for name, speed in speeds.items() if speed is None} == {"C", "D"}
    assert all(speed is None or speed > 7000 * 3.1416 / 30 for speed in speeds.values())
