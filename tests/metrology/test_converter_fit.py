"""Converter gap, and the trial of re-clocking the hub.

Expected: hubs built from two known arrows, every position tried by adding them; numpy for more trials than needed.
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.converter_fit import converter_gap, reclock

PATTERN = [math.radians(120 * place) for place in range(3)]
arrow = st.builds(cmath.rect, st.floats(0.01e-3, 0.3e-3), st.floats(0, 6.28))


def polar(value: complex) -> tuple[float, float]:
    return abs(value), cmath.phase(value)


@given(arrow, arrow, st.integers(3, 8))
def test_two_trials_foretell_every_position(plate: complex, own: complex, places: int) -> None:
    turns = [2 * math.pi * place / places for place in range(places)]
    true = [plate + own * cmath.exp(1j * turn) for turn in turns]
    found = reclock({0: polar(true[0]), 1: polar(true[1])}, turns)
    assert [total for total, _ in found.totals] == pytest.approx([2 * abs(one) for one in true], abs=1e-12)
    assert found.totals[found.best][0] == pytest.approx(2 * min(map(abs, true)), abs=2e-12)
    assert found.plate[0] == pytest.approx(abs(plate), abs=1e-12)
    assert found.converter[0] == pytest.approx(abs(own), abs=1e-12)
    assert found.misfit is None


def test_one_trial_and_the_plate_do_as_well() -> None:
    plate, own = cmath.rect(0.06e-3, 0.4), cmath.rect(0.1e-3, 2.0)
    found = reclock({0: polar(plate + own)}, PATTERN, plate=polar(plate))
    assert [total for total, _ in found.totals] == pytest.approx(
        [2 * abs(plate + own * cmath.exp(1j * turn)) for turn in PATTERN]
    )


def test_three_trials_by_least_squares() -> None:
    chance = np.random.default_rng(3)
    turns = np.array([0.0, 1.1, 2.9])
    read = [complex(a, b) for a, b in chance.normal(0, 1e-4, (3, 2))]
    matrix = np.stack([np.ones(3), np.exp(1j * turns)], axis=1)
    parts, left, *_ = np.linalg.lstsq(matrix, np.array(read), rcond=None)
    found = reclock(dict(enumerate(map(polar, read))), list(turns), standard=2e-6)
    assert found.plate[0] == pytest.approx(abs(parts[0]))
    assert found.converter[0] == pytest.approx(abs(parts[1]))
    assert found.misfit == pytest.approx(math.sqrt(float(left[0])))
    hat = matrix @ np.linalg.inv(matrix.conj().T @ matrix) @ matrix.conj().T
    assert [u for _, u in found.totals] == pytest.approx(
        [2 * 2e-6 * math.sqrt(hat[k, k].real) for k in range(3)]
    )


def test_what_no_position_mends_is_said() -> None:
    plate, own = cmath.rect(0.2e-3, 0.0), cmath.rect(0.03e-3, 1.0)
    true = [plate + own * cmath.exp(1j * turn) for turn in PATTERN]
    found = reclock({0: polar(true[0]), 1: polar(true[1])}, PATTERN, standard=1e-6)
    assert "the drive plate or crank flange alone makes 0.40 mm TIR" in found.words(0.28e-3)
    assert "Mark it, bolt up and read again" in found.words(0.5e-3)


@pytest.mark.parametrize(
    ("trials", "turns", "said"),
    [
        ({5: (1.0, 0.0)}, PATTERN, "position 5 was tried; the pattern has positions 0 to 2"),
        ({0: (1.0, 0.0)}, PATTERN, "in two positions, or in one and the plate by itself"),
        ({0: (1.0, 0.0), 1: (1.0, 0.0)}, [0.0, 1e-5], "too close together"),
    ],
)
def test_trials_that_tell_nothing_are_refused(
    trials: dict[int, tuple[float, float]], turns: list[float], said: str
) -> None:
    with pytest.raises(OutOfRange, match=said):
        reclock(trials, turns)


def test_gap_at_every_pad() -> None:
    found = converter_gap(
        [22.1e-3, 22.3e-3, 22.2e-3], [19.0e-3, 19.1e-3, 19.0e-3], spacer=0.5e-3, standard=0.1e-3
    )
    assert found.gaps == pytest.approx((3.6e-3, 3.7e-3, 3.7e-3))
    assert found.spread == pytest.approx(0.1e-3)
    assert found.standard == pytest.approx(math.sqrt(3) * 0.1e-3)
    assert (
        found.words()
        == "Gap 3.60 mm to 3.70 mm; the converter comes forward by that much when it is bolted up."
    )
    assert "22.10 + 0.50 - 19.00 = 3.60 mm" in found.working


def test_no_gap_is_a_converter_that_is_not_home() -> None:
    found = converter_gap([19.1e-3], [19.0e-3], standard=0.1e-3)
    assert found.words().startswith("NOTICE: gap 0.10 mm to 0.10 mm. The converter is not seated")


def test_pads_and_plate_must_match() -> None:
    with pytest.raises(OutOfRange, match="3 depths but 2 plate values"):
        converter_gap([1.0, 1.0, 1.0], [1.0, 1.0])
    with pytest.raises(OutOfRange, match="depth of at least one pad"):
        converter_gap([], [1.0])


def test_the_working_tells_arrows_and_positions() -> None:
    plate, own = cmath.rect(0.1e-3, 0.0), cmath.rect(0.05e-3, math.pi)
    true = [plate + own * cmath.exp(1j * turn) for turn in (0.0, math.pi)]
    said = reclock({0: polar(true[0]), 1: polar(true[1])}, [0.0, math.pi], standard=2e-6).working()
    assert said == (
        "plate and crank: 0.100 mm toward 0°",
        "converter in position 0: 0.050 mm toward 180°",
        "position 0: TIR 0.100 mm, u = 0.004 mm",
        "position 1: TIR 0.300 mm, u = 0.004 mm",
    )
