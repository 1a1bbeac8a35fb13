"""How far a shaft is bent.

Expected: shafts built from a known bow and known errors of the two holding places.
"""

from __future__ import annotations

import cmath
import math

import pytest

from countershaft.errors import OutOfRange
from countershaft.metrology.harmonics import Harmonic, runout
from countershaft.metrology.shaft_bow import shaft_bow


def wave(arrow: complex, standard: float = 0.0) -> Harmonic:
    return Harmonic(1, arrow.real, arrow.imag, standard)


def test_worn_centres_are_taken_off() -> None:
    """Ends run off by their own arrows; the bow 0.03 mm at 200° sits at mid length."""
    left, right, bow = (
        cmath.rect(0.05e-3, 0.3),
        cmath.rect(0.02e-3, 2.0),
        cmath.rect(0.03e-3, math.radians(200)),
    )
    stations = {
        0.0: wave(left),
        0.1: wave(0.75 * left + 0.25 * right + 0.5 * bow),
        0.2: wave(0.5 * left + 0.5 * right + bow),
        0.4: wave(right),
    }
    found = shaft_bow(stations, bearings=(0.0, 0.4))
    assert found.worst == pytest.approx(0.03e-3)
    assert found.total == pytest.approx(0.06e-3)
    assert found.worst_at == 0.2
    assert math.degrees(found.high) == pytest.approx(200)
    assert [place for place, _, _ in found.bows] == [0.1, 0.2]
    assert found.bows[0][1] == pytest.approx(0.015e-3)


def test_an_oval_journal_is_no_bend() -> None:
    turns = [math.radians(45 * place) for place in range(8)]
    readings = [0.02e-3 * math.cos(turn) + 0.05e-3 * math.cos(2 * turn) for turn in turns]
    found = shaft_bow({0.1: runout(turns, readings).eccentricity}, bearings=(0.0, 0.2))
    assert found.worst == pytest.approx(0.02e-3)


def test_uncertainty_adds_the_ends_by_their_share() -> None:
    stations = {0.0: wave(0j, 3e-6), 0.1: wave(1e-5 + 0j, 4e-6), 0.2: wave(0j, 3e-6)}
    assert shaft_bow(stations, bearings=(0.0, 0.2)).standard == pytest.approx(
        math.hypot(4e-6, 1.5e-6, 1.5e-6)
    )


def test_what_tells_no_bow_is_refused() -> None:
    with pytest.raises(OutOfRange, match="they must differ"):
        shaft_bow({0.1: wave(1j)}, bearings=(0.2, 0.2))
    with pytest.raises(OutOfRange, match="no place beside the two bearings"):
        shaft_bow({0.0: wave(1j)}, bearings=(0.0, 0.2))
    with pytest.raises(OutOfRange, match="the wave with one crest"):
        shaft_bow({0.1: Harmonic(2, 1.0, 0.0, 0.0)}, bearings=(0.0, 0.2))


def test_the_working_tells_every_place() -> None:
    found = shaft_bow({0.1: wave(0.02e-3j, 1e-6)}, bearings=(0.0, 0.2))
    assert found.working() == (
        "at 100.00 mm: 0.0200 mm off toward 90°",
        "TIR of the bow = 2 · 0.0200 mm = 0.0400 mm, u of the bow 0.0010 mm",
    )
