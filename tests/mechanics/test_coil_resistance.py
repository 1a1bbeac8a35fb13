"""Resistance of windings.

Expected: bounds and inverses that hold for any winding, and figures worked by hand.  Published values stand in
tests/published/test_parts_condition.py.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.coil_resistance import coil_temperature, resistance_at

ohms = st.floats(0.5, 200)
temperatures = st.floats(-40, 150)


@given(ohms, temperatures, temperatures)
def test_there_and_back(reading: float, here: float, there: float) -> None:
    away = resistance_at(reading, coil_temperature=here, wanted_temperature=there).resistance
    back = resistance_at(away, coil_temperature=there, wanted_temperature=here).resistance
    assert back == pytest.approx(reading)
    assert (away >= reading) == (there >= here) or away == pytest.approx(reading)


@given(ohms, temperatures, temperatures)
def test_the_temperature_is_found_again(cold: float, start: float, end: float) -> None:
    hot = resistance_at(cold, coil_temperature=start, wanted_temperature=end).resistance
    told = coil_temperature(cold=cold, cold_temperature=start, hot=hot)
    assert told.temperature == pytest.approx(end, abs=1e-6)


def test_leads_and_temperature_are_told() -> None:
    told = resistance_at(6.2, coil_temperature=70, leads=0.2, temperature_half_width=5)
    assert told.resistance == pytest.approx(6.0 / 1.1965)
    off = 6.0 / (1 + 0.00393 * 45) - 6.0 / 1.1965
    assert told.half_width == pytest.approx(off, rel=0.03)
    assert told.working[0].startswith("at 20 °C: (6.2 − 0.2) Ω · (1 + 0.00393 · 0) / (1 + 0.00393 · 50)")


@pytest.mark.parametrize(
    ("reading", "changes", "said"),
    [
        (0.0, {}, "reading of a winding is 0 Ω; expected more than zero. A shorted winding"),
        (5.0, {"coil_temperature": 250.0}, "coil temperature is 250 °C; expected -50 to 200 °C"),
        (5.0, {"leads": 5.0}, "leads have 5 Ω and the winding reads 5 Ω; expected less in the leads"),
        (5.0, {"leads": -1.0}, "resistance of the leads is -1 Ω; expected zero or more"),
    ],
)
def test_what_cannot_be(reading: float, changes: dict[str, float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        resistance_at(reading, **{"coil_temperature": 20.0, **changes})


def test_a_winding_that_would_glow() -> None:
    with pytest.raises(
        OutOfRange, match=r"temperature of the winding is .* Look for a short or a bad contact"
    ):
        coil_temperature(cold=5.0, cold_temperature=20, hot=15.0)
