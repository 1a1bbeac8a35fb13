"""Press fits warm and cold.

Expected: inverses and bounds that hold for any fit.  Published values stand in tests/published/test_parts_condition.py.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.press_fit import PressFit, PressMaterial
from countershaft.mechanics.warm_fit import heating, interference_at

STEEL = PressMaterial("steel", 206e9, 0.3, 11.5e-6, 400e6)
CASE = PressMaterial("aluminium", 72e9, 0.33, 22.5e-6, 140e6)
SLEEVE = PressFit(40e-3, 60e-3, 15e-3, CASE, STEEL, shaft_bore=32e-3)
SAME = replace(SLEEVE, hub=STEEL)
tights = st.floats(0, 60e-6)
temperatures = st.floats(-40, 150)


@given(tights, st.floats(0, 40e-6), st.floats(-100, 20))
def test_at_its_temperature_the_hub_has_the_play(interference: float, play: float, shaft: float) -> None:
    warm = heating(SLEEVE, interference=interference, play=play, shaft_temperature=shaft, ceiling=400)
    left = interference_at(SLEEVE, interference=interference, hub=warm.temperature, shaft=shaft)
    assert left <= -play + 1e-12
    if warm.rise > 0:
        assert left == pytest.approx(-play, abs=1e-12)


@given(tights, temperatures)
def test_one_material_keeps_its_interference_and_a_case_loses_it(interference: float, warm: float) -> None:
    assert interference_at(SAME, interference=interference, hub=warm, shaft=warm) == pytest.approx(
        interference, abs=1e-15
    )
    left = interference_at(SLEEVE, interference=interference, hub=warm, shaft=warm)
    assert (left <= interference) == (warm >= 20) or left == pytest.approx(interference)


@given(tights, tights)
def test_more_interference_needs_a_warmer_hub(one: float, other: float) -> None:
    low, high = sorted((one, other))
    less, more = (heating(SLEEVE, interference=tight, ceiling=400).temperature for tight in (low, high))
    assert less <= more


def test_a_cooled_shaft_spares_the_hub() -> None:
    plain, cooled = (
        heating(SLEEVE, interference=60e-6, shaft_temperature=shaft, ceiling=400) for shaft in (20, -60)
    )
    assert cooled.rise == pytest.approx(plain.rise - 80 * 11.5 / 22.5)
    assert heating(SLEEVE, interference=0.0, play=0.0, ceiling=30).temperature == 20


def test_what_is_refused() -> None:
    with pytest.raises(
        OutOfRange, match=r"the hub would have to reach 277 °C; expected at most 120 °C. Cool the shaft"
    ):
        heating(SAME, interference=78e-6, ceiling=120)
    with pytest.raises(OutOfRange, match=r"temperature of the hub is 900 °C; expected -200 to 400 °C"):
        interference_at(SAME, interference=0.0, hub=900, shaft=20)
    with pytest.raises(OutOfRange, match=r"expansion of the hub is 0 1/K; expected more than zero"):
        heating(replace(SAME, hub=replace(STEEL, expansion=0.0)), interference=1e-6, ceiling=120)
