"""Instruments: days counted by hand, and the budget that an instrument brings."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from countershaft.errors import OutOfRange
from countershaft.metrology.budget import Contribution
from countershaft.metrology.instrument import Instrument, calibration_fault, measured_with
from countershaft.metrology.readings import estimate

DIAL = Instrument("dial 3", "dial indicator", 0.01, 0.012, 0.0, date(2026, 1, 8), date(2027, 1, 8))


@pytest.mark.parametrize("day", [date(2026, 1, 8), date(2026, 11, 25), date(2027, 1, 8)])
def test_within_its_interval_nothing_speaks_against_it(day: date) -> None:
    """Both days themselves are inside."""
    assert calibration_fault(DIAL, day) is None


@pytest.mark.parametrize(
    ("instrument", "day", "words"),
    [
        (DIAL, date(2027, 1, 9), r"dial 3: its calibration ran out on 2027-01-08, 1 day before\. Have it"),
        (DIAL, date(2027, 3, 1), "52 days before"),
        (DIAL, date(2026, 1, 7), "its calibration of 2026-01-08 came after 2026-01-07"),
        (replace(DIAL, next_calibration=None), date(2026, 2, 1), "last or next calibration is not known"),
        (replace(DIAL, last_calibration=None), date(2026, 2, 1), "last or next calibration is not known"),
        (
            replace(DIAL, zero_offset=-0.03),
            date(2026, 2, 1),
            r"shows -0\.03 at zero, more than its permitted",
        ),
    ],
)
def test_the_reason_is_said(instrument: Instrument, day: date, words: str) -> None:
    fault = calibration_fault(instrument, day)
    assert fault is not None
    assert re.search(words, fault)


def test_a_zero_that_nobody_looked_at_is_no_fault() -> None:
    assert calibration_fault(replace(DIAL, zero_offset=None), date(2026, 2, 1)) is None


def test_the_instrument_is_in_the_budget() -> None:
    """The same as handing over each of its figures."""
    heat = Contribution("temperature of the part", 0.5, 0.002)
    found = measured_with([0.36, 0.38], replace(DIAL, zero_offset=0.01), others=[heat])
    assert found == estimate(
        [0.36, 0.38], resolution=0.01, permitted_error=0.012, zero_offset=0.01, others=[heat]
    )
    assert found.mean == pytest.approx(0.36)
    assert "temperature of the part" in [one.name for one in found.budget.contributions]


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"resolution": 0.0}, "dial 3: one step is 0"),
        ({"permitted_error": -0.1}, r"dial 3: permitted error -0\.1"),
        ({"next_calibration": date(2026, 1, 8)}, "is not after the last"),
    ],
)
def test_a_senseless_instrument_is_refused(changed: dict[str, object], words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        replace(DIAL, **changed)  # type: ignore[arg-type]  # each case names its own field
