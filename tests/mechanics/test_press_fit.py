"""Press fits.

Expected: the two rings solved as a system of four linear equations (a second route of ours), and bounds that hold for
any fit.  Published values stand in tests/published/test_parts_condition.py.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.press_fit import (
    PressFit,
    PressMaterial,
    interference_range,
    press_force,
    press_state,
    smoothed,
)

STEEL = PressMaterial("steel", 206e9, 0.3, 11.5e-6, 400e6)
CASE = PressMaterial("aluminium", 72e9, 0.33, 22.5e-6, 140e6)
SLEEVE = PressFit(40e-3, 60e-3, 15e-3, CASE, STEEL, shaft_bore=32e-3)


@st.composite
def fits(draw: st.DrawFn) -> PressFit:
    diameter = draw(st.floats(10e-3, 0.15))
    hub, shaft = (
        PressMaterial(name, draw(st.floats(60e9, 220e9)), draw(st.floats(0.2, 0.35)), 12e-6, 1e9)
        for name in ("hub", "shaft")
    )
    bore = diameter * draw(st.sampled_from([0.0, 0.3, 0.8]))
    return PressFit(diameter, diameter * draw(st.floats(1.15, 4)), 0.02, hub, shaft, bore)


def solved(fit: PressFit, interference: float) -> tuple[float, float]:
    """Pressure and hoop stress at the bore of the hub, from u = A r + B/r in both rings."""
    outer, joint, bore = fit.hub_outer / 2, fit.diameter / 2, fit.shaft_bore / 2

    def radial(material: PressMaterial, radius: float) -> tuple[float, float]:
        stiff = material.modulus / (1 - material.poisson**2)
        return stiff * (1 + material.poisson), -stiff * (1 - material.poisson) / radius**2

    hub_free, hub_joint = radial(fit.hub, outer), radial(fit.hub, joint)
    shaft_joint = radial(fit.shaft, joint)
    inner = radial(fit.shaft, bore) if bore else (0.0, 1.0)
    rows = np.array(
        [
            [*hub_free, 0, 0],
            [0, 0, *inner],
            [*hub_joint, -shaft_joint[0], -shaft_joint[1]],
            [joint, 1 / joint, -joint, -1 / joint],
        ]
    )
    scale = np.array([1.0, joint**2, 1.0, joint**2])
    found = np.linalg.solve(rows * scale, np.array([0, 0, 0, interference / 2])) * scale
    pressure = -(hub_joint[0] * found[0] + hub_joint[1] * found[1])
    return pressure, hub_joint[0] * found[0] - hub_joint[1] * found[1]


@given(fits(), st.floats(0.05, 0.9))
def test_two_rings_of_two_materials(fit: PressFit, share: float) -> None:
    interference = share * 1e-3 * fit.diameter
    state = press_state(fit, interference=interference)
    assert (state.pressure, state.hub_hoop) == pytest.approx(solved(fit, interference), rel=1e-6)
    assert state.shaft_hoop < 0 < state.hub_hoop


@given(fits(), st.floats(1.01, 2))
def test_every_direction(fit: PressFit, more: float) -> None:
    tight = 2e-4 * fit.diameter
    base = press_state(fit, interference=tight)
    assert press_state(fit, interference=more * tight).pressure == pytest.approx(more * base.pressure)
    thicker = replace(fit, hub_outer=fit.hub_outer * more)
    assert press_state(thicker, interference=tight).pressure > base.pressure
    stiffer = replace(fit, shaft=replace(fit.shaft, modulus=fit.shaft.modulus * more))
    assert press_state(stiffer, interference=tight).pressure > base.pressure


@given(fits(), st.floats(0.05, 0.15), st.floats(0.15, 0.3))
def test_force_and_torque(fit: PressFit, low: float, high: float) -> None:
    told = press_force(fit, interference=2e-4 * fit.diameter, friction=(low, high))
    assert told.least <= told.most
    assert told.slip_torque == pytest.approx(told.least * fit.diameter / 2)
    assert press_force(fit, interference=0.0, friction=(low, high)).most == 0


def test_a_sleeve_in_a_case_and_its_working() -> None:
    state = press_state(SLEEVE, interference=40e-6)
    assert state.working[-2].endswith(f"= {state.hub_hoop / 1e6:.6g} MPa")
    assert state.hub_share == pytest.approx((state.pressure + state.hub_hoop) / 140e6)
    assert state.shaft_share == pytest.approx(-state.shaft_hoop / 400e6)


sizes = st.floats(29e-3, 31e-3)


@given(sizes, sizes, sizes, sizes, st.floats(0, 1), st.floats(0, 1))
def test_every_pair_lies_in_the_range(
    one: float, two: float, three: float, four: float, of_shaft: float, of_bore: float
) -> None:
    shaft, bore = sorted((one, two)), sorted((three, four))
    told = interference_range(shaft=(shaft[0], shaft[1]), bore=(bore[0], bore[1]))
    pair = (shaft[0] + of_shaft * (shaft[1] - shaft[0])) - (bore[0] + of_bore * (bore[1] - bore[0]))
    assert told.least - 1e-12 <= pair <= told.most + 1e-12
    assert told.always_tight == (shaft[0] > bore[1])


def test_smoothing_never_makes_play() -> None:
    assert smoothed(5e-6, shaft_roughness=10e-6, bore_roughness=10e-6) == 0
    assert smoothed(50e-6, shaft_roughness=0, bore_roughness=0) == 50e-6


@pytest.mark.parametrize(
    ("material", "said"),
    [
        (
            "hub",
            r"80 µm of interference press with .* and make the hub \(aluminium\) yield: \d\.\d\d times its 60 MPa",
        ),
        ("shaft", r"make the shaft \(steel\) yield: \d+\.\d\d times its 20 MPa; expected less than 1"),
    ],
)
def test_what_yields_is_refused(material: str, said: str) -> None:
    hub, shaft = (replace(CASE, yield_strength=60e6), STEEL)
    if material == "shaft":
        hub, shaft = replace(CASE, yield_strength=900e6), replace(STEEL, yield_strength=20e6)
    with pytest.raises(OutOfRange, match=said):
        press_state(replace(SLEEVE, hub=hub, shaft=shaft), interference=80e-6)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"hub_outer": 40e-3}, "the joint 40 mm, the hub 40 mm outside; expected them in rising order"),
        ({"shaft_bore": 45e-3}, "the bore of the shaft is 45 mm, the joint 40 mm"),
        ({"length": 0.0}, "length of a press fit is 0 m; expected more than zero"),
    ],
)
def test_what_is_no_fit(changes: dict[str, float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        replace(SLEEVE, **changes)


def test_what_else_is_refused() -> None:
    with pytest.raises(
        OutOfRange, match=r"interference is -1e-06 m; expected zero or more\. Below zero it is play"
    ):
        press_state(SLEEVE, interference=-1e-6)
    with pytest.raises(
        OutOfRange, match=r"friction is 0\.2 to 0\.1; expected a band above zero and at most 1"
    ):
        press_force(SLEEVE, interference=1e-6, friction=(0.2, 0.1))
    with pytest.raises(OutOfRange, match=r"the shaft is 30 mm to 29 mm; expected the least diameter first"):
        interference_range(shaft=(30e-3, 29e-3), bore=(30e-3, 30e-3))
    with pytest.raises(OutOfRange, match=r"Poisson's ratio of steel is 0\.6; expected 0 to 0\.5"):
        replace(STEEL, poisson=0.6)
