"""What elements must hold against what they can.

Expected values: the invented hill of the demonstration unit, computed by another program (consistency only); shares of
torque from the balance of power at a slipping element; products by hand.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians

import pytest

from countershaft.errors import OutOfRange
from countershaft.mechanics.band import Band, Servo
from countershaft.mechanics.element_load import BandBrake, LoadCase, element_loads
from countershaft.mechanics.friction import DiscPack, FluidChamber
from countershaft.mechanics.slip import slip_factors
from tests.mechanics.test_slip import CHART, DEMO

WORN = DiscPack(6, 0.088, 0.068, 0.07, 0.092, 0.069, return_spring=1300)
NEW = replace(WORN, friction_coefficient=0.13)


def shares(gear: str) -> dict[str, float]:
    """Without other losses the power lost at a slipping element comes from the input: one over its slip factor."""
    return {one.element: float(1 / one.factor) for one in slip_factors(DEMO, CHART[gear])}


@pytest.mark.parametrize(
    ("gear", "pressure", "pack", "turbine", "limit", "holds"),
    [
        ("2", 426e3, WORN, 140, 124.6, False),
        ("2", 639e3, WORN, 140, 209.1, True),
        ("6", 256e3, WORN, 118, 165.4, True),
        ("6", 256e3, WORN, 172, 165.4, False),
        ("2", 594e3, NEW, 140, 355.2, True),
        ("6", 356e3, NEW, 172, 522.3, True),
    ],
)
def test_brake_c_of_the_invented_unit(
    gear: str, pressure: float, pack: DiscPack, turbine: float, limit: float, holds: bool
) -> None:
    """`limit` is the turbine torque at which the brake lets go; its pressures are rounded to 1 kPa."""
    case = LoadCase(gear, engine_torque=turbine, pressures={"C": pressure})
    load = next(one for one in element_loads(case, shares(gear), {"C": pack}) if one.element == "C")
    assert load.holds is holds
    assert load.factor is not None
    assert load.factor * turbine == pytest.approx(limit, rel=0.004)


def test_the_converter_multiplies_the_engine_torque() -> None:
    """320 N·m at a stall ratio of 1.9, a share of 0.5: 304 N·m."""
    case = LoadCase("1", engine_torque=320, torque_ratio=1.9)
    load = element_loads(case, {"A": 0.5}, {"A": NEW})[0]
    assert load.input_torque == pytest.approx(608)
    assert load.required == pytest.approx(304)
    assert (load.capacity, load.factor, load.holds) == (None, None, None)
    assert load.pressure_needed is not None
    assert load.working[0] == "required: 0.5 · 320 N·m · 1.9 = 304 N·m"
    again = LoadCase("1", engine_torque=320, torque_ratio=1.9, pressures={"A": load.pressure_needed})
    assert element_loads(again, {"A": 0.5}, {"A": NEW})[0].factor == pytest.approx(1)


def test_the_drum_speed_counts_for_clutches() -> None:
    chamber = FluidChamber(0.075, 0.046, 0.030)
    pack = DiscPack(12, 0.072, 0.052, 0.13, 0.075, 0.046, return_spring=1300, chamber=chamber)
    still = LoadCase("4", engine_torque=200, pressures={"A": 400e3})
    turning = replace(still, speeds={"A": 4000 * pi / 30})
    slow, fast = (element_loads(case, {"A": 0.6}, {"A": pack})[0] for case in (still, turning))
    assert slow.capacity is not None
    assert fast.capacity is not None
    assert fast.capacity > slow.capacity
    assert (fast.pressure_needed or 0) < (slow.pressure_needed or 0)


BAND = BandBrake(Band(0.07, 1.75 * pi, 0.12), Servo(0.002, return_spring=200), energised_by="+")


def test_a_band_holds_more_the_way_that_helps_it() -> None:
    """Held by −0.8, the drum pushes the + way, which helps the servo."""
    case = LoadCase("2", engine_torque=100, pressures={"G": 600e3})
    back, on = (element_loads(case, {"G": share}, {"G": BAND})[0] for share in (-0.8, 0.8))
    ratio = BAND.band.tension_ratio
    assert back.capacity == pytest.approx((on.capacity or 0) * ratio)
    assert (600e3 * 0.002 - 200) * 0.07 * (ratio - 1) == pytest.approx(back.capacity)
    assert (back.pressure_needed or 0) < (on.pressure_needed or 0)
    unknown = element_loads(case, {"G": -0.8}, {"G": replace(BAND, energised_by=None)})[0]
    assert unknown.capacity == pytest.approx(on.capacity)


def test_a_band_with_the_pressure_that_is_needed_just_holds() -> None:
    case = LoadCase("2", engine_torque=100)
    needed = element_loads(case, {"G": -0.8}, {"G": BAND})[0].pressure_needed
    assert needed is not None
    again = replace(case, pressures={"G": needed})
    assert element_loads(again, {"G": -0.8}, {"G": BAND})[0].factor == pytest.approx(1)


def test_a_servo_that_its_spring_keeps_off_holds_nothing() -> None:
    case = LoadCase("2", engine_torque=100, pressures={"G": 50e3})
    load = element_loads(case, {"G": -0.8}, {"G": BAND})[0]
    assert (load.capacity, load.factor, load.holds) == (0.0, 0.0, False)
    assert "the servo's spring keeps the band off at 50 kPa" in load.working


def test_an_element_without_a_pack_says_so() -> None:
    load = element_loads(LoadCase("1", engine_torque=100), {"F": 3.2}, {})[0]
    assert load.required == pytest.approx(320)
    assert (load.capacity, load.pressure_needed, load.factor) == (None, None, None)
    assert load.working[-1] == "F has no pack or band here, so what it holds is not known"


def test_an_element_that_carries_nothing_has_no_factor() -> None:
    load = element_loads(LoadCase("1", engine_torque=100, pressures={"B": 500e3}), {"B": 0.0}, {"B": NEW})[0]
    assert load.capacity is not None
    assert load.factor is None


def test_a_converter_without_torque_is_refused() -> None:
    with pytest.raises(OutOfRange, match="torque ratio of 0 is not above zero; it is 1 when locked"):
        LoadCase("1", engine_torque=100, torque_ratio=0)


def test_the_working_of_a_band_can_be_followed_to_the_pressure() -> None:
    """By hand: 66 mm piston 34.2119 cm², (850 kPa · 34.2119 cm² − 200) · 1.4 = 3791.2 N; e^(0.12 · 300°) = 1.87446."""
    band = BandBrake(Band(0.076, radians(300), 0.12), Servo(pi * 0.033**2, 200, 1.4), energised_by="-")
    (load,) = element_loads(LoadCase("2", 210, pressures={"G": 850e3}), {"G": 1.0}, {"G": band})
    assert load.working == (
        "required: 1 · 210 N·m · 1 = 210 N·m",
        "pull needed, self-energised: 210 N·m / ((1.87446 − 1) · 76 mm) = 3159.86 N",
        "pressure needed: (3159.86 / 1.4 + 200 spring) N / 34.2119 cm² = 718.183 kPa",
        "servo: (850 kPa · 34.2119 cm² − 200 N spring) · 1.4 = 3791.22 N",
        "tight over slack: e^(0.12 · 5.23599 rad) = 1.87446",
        "self-energised: 3791.22 N · (1.87446 − 1) · 76 mm = 251.959 N·m",
        "factor: 251.959 / 210 = 1.2",
    )
