"""What a sweep means.

Expected: the order of remedies that the trade keeps (common practice, no source); no limit here is one of a real unit.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.alignment_advice import StandingDowel, advise
from countershaft.metrology.conformity import Verdict
from countershaft.metrology.housing_bore import bore_offset
from countershaft.metrology.housing_face import face_from_total, face_tilt

QUARTERS = [math.radians(turn) for turn in (0, 90, 180, 270)]
AT_HAND = {0.15e-3: 2, 0.30e-3: 2}
HOME = StandingDowel("1, upper left", 10.0e-3, 9.7e-3, 10.3e-3)
OUT = bore_offset(QUARTERS, [0.0, 0.3e-3, 0.0, -0.3e-3], standard=3e-6)
TRUE = bore_offset(QUARTERS, [0.0, 0.02e-3, 0.0, -0.02e-3], standard=3e-6)
FLAT = face_from_total(0.05e-3, diameter=0.3, standard=3e-6)
LEANS = face_tilt(QUARTERS, [0.2e-3, 0.0, -0.2e-3, 0.0], diameter=0.3, standard=3e-6)
LIMITS = {"bore_limit": 0.25e-3, "face_limit": 0.25e-3}


def test_a_good_housing_needs_nothing() -> None:
    found = advise(TRUE, FLAT, standing=[HOME], offset_dowels=AT_HAND, **LIMITS)
    assert (found.bore, found.face, found.dowels) == (Verdict.GOOD, Verdict.GOOD, None)
    assert len(found.sentences) == 2


def test_a_bore_that_is_out_with_dowels_home_gets_offset_dowels() -> None:
    found = advise(OUT, FLAT, standing=[HOME], offset_dowels=AT_HAND, **LIMITS)
    assert (found.bore, found.face) == (Verdict.BAD, Verdict.GOOD)
    assert found.dowels is not None
    assert found.dowels.size == 0.30e-3
    assert "points to 3:00" in found.sentences[-1]


def test_a_dowel_that_is_not_home_comes_first() -> None:
    proud = StandingDowel("2, lower right", 13.4e-3, 9.7e-3, 10.3e-3)
    found = advise(OUT, FLAT, standing=[HOME, proud], offset_dowels=AT_HAND, **LIMITS)
    assert found.dowels is None
    assert (
        "Dowel 2, lower right stands 13.40 mm instead of 9.70 mm to 10.30 mm: it is not home."
        in found.sentences
    )
    assert "no offset dowel is chosen until then" in found.sentences[-1]
    assert not any("upper left" in said for said in found.sentences)
    deep = StandingDowel("2", 9.0e-3, 9.7e-3, 10.3e-3)
    assert deep.words("in") == "Dowel 2 stands 0.354 in instead of 0.382 in to 0.406 in: it sits too deep."
    assert HOME.words() == "Dowel 1, upper left stands 10.00 mm, as it should (9.70 mm to 10.30 mm)."


def test_a_dowel_never_mends_a_face() -> None:
    for bore in (OUT, TRUE):
        found = advise(bore, LEANS, offset_dowels=AT_HAND, **LIMITS)
        assert found.face is Verdict.BAD
        assert found.dowels is None
        assert "A dowel moves the bore, never the face" in found.sentences[-1]


def test_a_sweep_that_does_not_close_is_swept_again() -> None:
    open_ = bore_offset(QUARTERS, [0.0, 0.3e-3, 0.1e-3, -0.3e-3], standard=3e-6)
    found = advise(open_, FLAT, offset_dowels=AT_HAND, **LIMITS)
    assert (found.bore, found.dowels) == (Verdict.AGAIN, None)
    assert "does not close" in found.sentences[-1]
    assert "do not move the housing by it" in found.sentences[0]
    crooked = face_tilt(QUARTERS, [0.0, 0.3e-3, 0.1e-3, -0.3e-3], diameter=0.3, standard=3e-6)
    assert advise(TRUE, crooked, **LIMITS).face is Verdict.AGAIN


def test_a_limit_within_the_uncertainty_is_not_decided() -> None:
    close = bore_offset(QUARTERS, [0.0, 0.125e-3, 0.0, -0.125e-3], standard=3e-6)
    found = advise(close, None, bore_limit=0.25e-3)
    assert (found.bore, found.face) == (Verdict.AGAIN, Verdict.NOT_MEASURED)
    assert "finer indicator" in found.sentences[-1]


def test_nothing_fitting_at_hand_is_said_with_what_to_order() -> None:
    found = advise(OUT, FLAT, offset_dowels={0.05e-3: 2}, **LIMITS)
    assert found.sentences[-1] == (
        "Order a pair of about 0.30 mm offset; if there is none, housing or block is at fault."
    )


def test_more_uncertainty_never_makes_a_bad_bore_good() -> None:
    """Wider uncertainty may only take a verdict to "measure again"."""
    for size in (0.1e-3, 0.125e-3, 0.14e-3):
        read = [0.0, size, 0.0, -size]
        told = [
            advise(bore_offset(QUARTERS, read, standard=u), None, bore_limit=0.25e-3).bore
            for u in (1e-7, 1e-6, 1e-5, 1e-4)
        ]
        first_again = told.index(Verdict.AGAIN)
        assert len(set(told[:first_again])) <= 1
        assert set(told[first_again:]) == {Verdict.AGAIN}


def test_a_limit_is_needed() -> None:
    with pytest.raises(OutOfRange, match="must be above zero"):
        advise(TRUE, None, bore_limit=0.0)
    with pytest.raises(OutOfRange, match="the face was swept but has no limit"):
        advise(TRUE, FLAT, bore_limit=0.25e-3)


@given(st.floats(0, 0.4e-3), st.floats(1e-7, 2e-5), st.floats(0.05e-3, 0.5e-3), st.floats(0, 0.3e-3))
def test_a_wider_limit_never_turns_good_to_bad(size: float, off: float, limit: float, more: float) -> None:
    worth = {Verdict.BAD: 0, Verdict.AGAIN: 1, Verdict.GOOD: 2}
    bore = bore_offset(QUARTERS, [0.0, size, 0.0, -size], standard=off)
    narrow, wide = (advise(bore, None, bore_limit=one).bore for one in (limit, limit + more))
    assert worth[wide] >= worth[narrow]
