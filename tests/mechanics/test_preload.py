"""Torque and preload: both directions agree, friction eats what it must, and nonsense is refused.

Where the expected values come from: statics of the screw, by hand where shown; tables are judged in
tests/published/test_fasteners.py.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.bearing_face import BearingFace, bearing_face, bearing_pressure
from countershaft.mechanics.preload import (
    Friction,
    nut_factor,
    preload_at,
    preload_by_nut_factor,
    tightening_torque,
    torque_by_nut_factor,
)
from countershaft.mechanics.preload_scatter import TIGHTENING_METHODS, scatter, tightening_factor
from countershaft.mechanics.thread import Thread, parse_thread
from countershaft.mechanics.tightening_stress import preload_at_yield_share, tightening_stress
from tests.strategies_fasteners import listed_threads

COEFFICIENTS = st.floats(0.04, 0.4)
FORCES = st.floats(1e2, 1e6)


def face_of(thread: Thread) -> BearingFace:
    return BearingFace(1.6 * thread.diameter, 1.1 * thread.diameter)


@given(listed_threads(), FORCES, COEFFICIENTS, COEFFICIENTS)
def test_torque_and_preload_are_inverse(thread: Thread, force: float, mu: float, head: float) -> None:
    friction = Friction(mu, head)
    torque = tightening_torque(force, thread, face_of(thread), friction).total
    found = preload_at(torque, thread, face_of(thread), friction)
    assert found.preload == pytest.approx(force)
    factor = nut_factor(torque, force, thread.diameter)
    assert factor * force * thread.diameter == pytest.approx(torque)


@given(listed_threads(), FORCES, COEFFICIENTS)
def test_the_linear_form_lies_close_to_the_wedge(thread: Thread, force: float, mu: float) -> None:
    """The exact wedge is F·d2/2·tan(lead + friction angle); the long form leaves out a product below 5 %."""
    found = tightening_torque(force, thread, face_of(thread), Friction(mu, 0.1))
    lead = math.atan(thread.pitch / (math.pi * thread.pitch_diameter))
    angle = math.atan(mu / math.cos(math.radians(30)))
    wedge = force * thread.pitch_diameter / 2 * math.tan(lead + angle)
    assert found.pitch + found.thread == pytest.approx(wedge, rel=0.06)


def test_most_of_the_torque_is_friction() -> None:
    """Common practice: about a tenth stretches the bolt, half rubs under the head."""
    found = tightening_torque(
        18.6e3, parse_thread("M8"), bearing_face("hex", parse_thread("M8")), Friction(0.12, 0.12)
    )
    assert 0.10 < found.pitch / found.total < 0.20
    assert 0.40 < found.head / found.total < 0.55
    assert found.working == "24.47 N·m = 3.7 (pitch) + 9.26 (thread) + 11.5 (head) for 18.6 kN"


def test_a_left_hand_thread_needs_the_same_torque() -> None:
    """Common practice, no source: only the direction changes."""
    right, left = parse_thread("M10x1.5"), parse_thread("M10x1.5-LH")
    shares = [
        tightening_torque(30e3, thread, face_of(thread), Friction(0.12, 0.12)) for thread in (right, left)
    ]
    assert shares[0] == shares[1]


@given(listed_threads(), FORCES, COEFFICIENTS)
def test_twist_raises_the_stress(thread: Thread, force: float, mu: float) -> None:
    stress = tightening_stress(force, thread, mu)
    assert stress.tension == pytest.approx(force / thread.stress_area)
    assert stress.equivalent == pytest.approx(math.sqrt(stress.tension**2 + 3 * stress.torsion**2))
    assert stress.equivalent > stress.tension


@given(listed_threads(), COEFFICIENTS, st.floats(0.1, 1.0))
def test_the_preload_at_a_share_of_yield_has_that_stress(thread: Thread, mu: float, share: float) -> None:
    force = preload_at_yield_share(thread, 640e6, mu, share)
    assert tightening_stress(force, thread, mu).equivalent == pytest.approx(share * 640e6)


def test_plastic_twist_by_hand() -> None:
    """M8, 10 kN, 0.12: thread torque 10 kN·(1.25/2π + 0.12·7.188/1.7321) mm = 6.969 N·m over π·6.8273³/12 mm³."""
    stress = tightening_stress(10e3, parse_thread("M8"), 0.12)
    by_hand = 6.9693 / (math.pi * 6.8273e-3**3 / 12)
    assert stress.torsion == pytest.approx(by_hand, rel=1e-3)


@pytest.mark.parametrize("method", TIGHTENING_METHODS)
def test_scatter_is_the_wider_one_of_the_method(method: str) -> None:
    band = scatter(20e3, method)
    assert (band.least + band.most) / 2 == pytest.approx(20e3)
    assert band.factor == pytest.approx(tightening_factor(TIGHTENING_METHODS[method][1]))


def test_the_short_form_by_hand() -> None:
    """0.2 · 20 kN · 8 mm = 32 N·m."""
    assert torque_by_nut_factor(20e3, 8e-3, 0.2) == pytest.approx(32)
    assert preload_by_nut_factor(32, 8e-3, 0.2) == pytest.approx(20e3)


def test_pressure_by_hand() -> None:
    """12 kN on a ring of 16 and 9 mm: 12000 / (π/4·(256 − 81)) = 87.31 MPa."""
    assert bearing_pressure(12e3, BearingFace(16e-3, 9e-3)) / 1e6 == pytest.approx(87.31, abs=0.01)


M8 = parse_thread("M8")
FACE = BearingFace(12e-3, 9e-3)
GOOD = Friction(0.1, 0.1)


@pytest.mark.parametrize(
    ("work", "said"),
    [
        (lambda: Friction(0.7, 0.1), "friction of the thread must lie from 0.02"),
        (lambda: Friction(0.1, 0.0), "friction of the head must lie"),
        (lambda: BearingFace(9e-3, 9e-3), "has no area; the head must be wider than its hole"),
        (lambda: tightening_torque(-1, M8, FACE, GOOD), "a preload must be more than 0 N, got -1 N"),
        (lambda: preload_at(math.inf, M8, FACE, GOOD), "a torque must be more than 0 N·m, got inf"),
        (lambda: nut_factor(0, 1, 1), "must all be more than 0"),
        (lambda: torque_by_nut_factor(1e4, 8e-3, 20), "a nut factor lies from 0.05 to 0.5, got 20; is a unit mixed up"),
        (lambda: torque_by_nut_factor(0, 8e-3, 0.2), "preload and diameter must both be more than 0"),
        (lambda: preload_by_nut_factor(0, 8e-3, 0.2), "torque and diameter must both be more than 0"),
        (lambda: tightening_stress(-1, M8, 0.1), "a bolt pulls"),
        (lambda: preload_at_yield_share(M8, 640e6, 0.1, 1.1), "more than 0 and at most 1"),
        (lambda: tightening_factor(1.0), "from 0 to less than 1"),
        (lambda: scatter(0, "power driver"), "a preload must be more than 0 N"),
        (lambda: bearing_pressure(-1, FACE), "a bolt pulls"),
        (lambda: bearing_face("hex", parse_thread("M7")), "gives no hex head for M7"),
        (lambda: bearing_face("hex", parse_thread("3/8-16")), "gives no hex head for 3/8-16"),
    ],
)  # fmt: skip
def test_nonsense_is_refused(work: object, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        work()  # type: ignore[operator]  # each is a function without arguments


def test_unknown_names_are_told_with_the_known_ones() -> None:
    with pytest.raises(BadInput, match="method 'by feel' is not known; known are yield or angle controlled"):
        scatter(20e3, "by feel")
    with pytest.raises(
        BadInput, match="'round' head is not known; known are hex, hex flange, socket, hexalobular pan"
    ):
        bearing_face("round", M8)
