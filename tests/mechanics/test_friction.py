"""Clutch and brake packs.

Expected values: integration by small steps (a second route of ours), bounds that hold for any pack, and the invented
figures of a demonstration unit that another program computed (consistency only).  Published values stand in
tests/published/test_friction.py.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.friction import (
    DiscPack,
    FluidChamber,
    PressureLaw,
    clamp_force,
    head_force,
    lining_pressure,
    mean_radius,
    pack_capacity,
    pack_pressure,
    self_apply_speed,
)

#: Brake C of the invented six-speed, with its new lining.
BRAKE = DiscPack(6, 0.088, 0.068, 0.13, 0.092, 0.069, return_spring=1300)
CHAMBER = FluidChamber(outer_radius=0.075, inner_radius=0.046, free_radius=0.030)
CLUTCH = DiscPack(12, 0.072, 0.052, 0.13, 0.075, 0.046, return_spring=1300, chamber=CHAMBER)

radii = st.tuples(st.floats(0.02, 0.09), st.floats(0.002, 0.05)).map(
    lambda pair: (pair[0] + pair[1], pair[0])
)


@st.composite
def packs(draw: st.DrawFn) -> DiscPack:
    outer, inner = draw(radii)
    lining = draw(radii)
    chamber = FluidChamber(outer, inner, draw(st.floats(0, 0.12)))
    balance = FluidChamber(outer, draw(st.floats(0, 0.9)) * outer, draw(st.floats(0, 0.12)))
    return DiscPack(
        draw(st.integers(1, 16)),
        *lining,
        draw(st.floats(0.05, 0.2)),
        outer,
        inner,
        return_spring=draw(st.floats(0, 3000)),
        law=draw(st.sampled_from(PressureLaw)),
        chamber=draw(st.sampled_from([chamber, None])),
        fluid_density=draw(st.floats(700, 1000)),
    ) if draw(st.booleans()) else DiscPack(
        2, *lining, 0.1, outer, inner, return_spring=900, chamber=chamber, balance=balance
    )  # fmt: skip


def in_rings(outer: float, inner: float, count: int = 20000) -> list[tuple[float, float]]:
    """Radius and width of many thin rings."""
    width = (outer - inner) / count
    return [(inner + (place + 0.5) * width, width) for place in range(count)]


@pytest.mark.parametrize("law", PressureLaw)
def test_mean_radius_by_thin_rings(law: PressureLaw) -> None:
    """Friction force and its torque summed over rings; under uniform wear the pressure goes as 1/r."""
    rings = in_rings(0.088, 0.068)
    weight = [r * dr * (1 if law == PressureLaw.UNIFORM_PRESSURE else 1 / r) for r, dr in rings]
    by_rings = sum(w * r for w, (r, _) in zip(weight, rings, strict=True)) / sum(weight)
    assert mean_radius(0.088, 0.068, law=law) == pytest.approx(by_rings, rel=1e-7)


@pytest.mark.parametrize("law", PressureLaw)
def test_lining_pressure_by_thin_rings(law: PressureLaw) -> None:
    """The greatest pressure stands inside; spread by its law it adds up to the clamp force."""
    top = lining_pressure(4000, outer_radius=0.125, inner_radius=0.0875, law=law)
    spread = [
        top * (1 if law == PressureLaw.UNIFORM_PRESSURE else 0.0875 / r) * 2 * pi * r * dr
        for r, dr in in_rings(0.125, 0.0875)
    ]
    assert sum(spread) == pytest.approx(4000, rel=1e-7)


@pytest.mark.parametrize("free", [0.0, 0.030, 0.046, 0.060, 0.080])
def test_head_by_thin_rings(free: float) -> None:
    """Fluid that is fed outside the inner edge, or outside the whole annulus, presses on what it reaches only."""
    omega, density = 500.0, 850.0
    by_rings = sum(
        density * omega**2 * max(r**2 - free**2, 0) / 2 * 2 * pi * r * dr for r, dr in in_rings(0.075, 0.046)
    )
    found = head_force(replace(CHAMBER, free_radius=free), density=density, speed=omega)
    assert found == pytest.approx(by_rings, rel=1e-6, abs=1e-9)


@given(packs(), st.floats(0, 2e6), st.floats(0, 2e6), st.floats(0, 700))
def test_more_pressure_never_holds_less(pack: DiscPack, one: float, other: float, speed: float) -> None:
    low, high = (
        pack_capacity(pack, pressure=pressure, speed=speed).torque for pressure in sorted((one, other))
    )
    assert 0 <= low <= high


@given(packs(), st.floats(1, 3000), st.floats(0, 700))
def test_the_pressure_that_is_needed_just_holds(pack: DiscPack, torque: float, speed: float) -> None:
    needed = pack_pressure(pack, torque=torque, speed=speed)
    assert needed == replace(pack_pressure(pack, torque=-torque, speed=speed), torque=torque)
    if needed.pressure > 0:
        assert pack_capacity(pack, pressure=needed.pressure, speed=speed).torque == pytest.approx(
            torque, rel=1e-9
        )
    else:
        assert pack_capacity(pack, pressure=0, speed=speed).torque >= torque * (1 - 1e-9)


@given(radii)
def test_run_in_linings_hold_less(pair: tuple[float, float]) -> None:
    """Uniform wear moves the pressure inward, so it is the careful assumption."""
    assert mean_radius(*pair, law=PressureLaw.UNIFORM_WEAR) < mean_radius(
        *pair, law=PressureLaw.UNIFORM_PRESSURE
    )


@pytest.mark.parametrize(
    ("pressure", "mu", "holds"),
    [(546e3, 0.07, 166.4), (426e3, 0.07, 120.4), (639e3, 0.07, 202.0), (256e3, 0.07, 55.1), (594e3, 0.13, 343.2),
     (317e3, 0.13, 145.9), (356e3, 0.13, 174.1)],
)  # fmt: skip
def test_the_brake_of_the_invented_unit(pressure: float, mu: float, holds: float) -> None:
    """Computed by another program from the same invented figures; its pressures are rounded to 1 kPa."""
    found = pack_capacity(replace(BRAKE, friction_coefficient=mu), pressure=pressure).torque
    assert found == pytest.approx(holds, abs=0.5)


def test_a_spring_that_is_not_overcome_holds_nothing() -> None:
    found = pack_capacity(BRAKE, pressure=50e3)
    assert (found.torque, found.applied) == (0.0, False)
    assert found.clamp.net < 0
    assert found.working[-1] == "held: 0 N·m, the return spring keeps the plates apart"


def test_the_head_adds_to_a_clutch_and_a_balance_takes_it_away() -> None:
    speed = 6000 * pi / 30
    alone = clamp_force(CLUTCH, pressure=400e3, speed=speed)
    balanced = clamp_force(replace(CLUTCH, balance=CHAMBER), pressure=400e3, speed=speed)
    still = clamp_force(CLUTCH, pressure=400e3)
    assert alone.net > still.net
    assert balanced.net == pytest.approx(still.net)
    assert balanced.head == balanced.balance > 0


def test_an_unbalanced_clutch_applies_itself_at_a_speed() -> None:
    speed = self_apply_speed(CLUTCH)
    assert speed is not None
    assert clamp_force(CLUTCH, pressure=0, speed=speed).net == pytest.approx(0, abs=1e-6)
    assert clamp_force(CLUTCH, pressure=0, speed=1.01 * speed).net > 0


def test_brakes_and_full_balance_chambers_never_apply_themselves() -> None:
    assert self_apply_speed(BRAKE) is None
    assert self_apply_speed(replace(CLUTCH, balance=CHAMBER)) is None
    dry = replace(CLUTCH, chamber=replace(CHAMBER, free_radius=0.08))
    assert self_apply_speed(dry) is None


def test_a_smaller_balance_chamber_helps_in_part() -> None:
    part = replace(CLUTCH, balance=replace(CHAMBER, outer_radius=0.065))
    alone, helped = self_apply_speed(CLUTCH), self_apply_speed(part)
    assert alone is not None
    assert helped is not None
    assert helped > alone


def test_the_working_shows_the_figures() -> None:
    found = pack_capacity(BRAKE, pressure=639e3)
    assert found.working == (
        "piston: 639 kPa · 116.333 cm² = 7433.69 N",
        "clamp force: 7433.69 + 0 head − 0 balance − 1300 spring = 6133.69 N",
        "held: 0.13 · 6 faces · 6133.69 N · 78.4274 mm = 375.218 N·m",
    )
    needed = pack_pressure(BRAKE, torque=375.218)
    assert needed.working[-1].startswith("pressure needed: (6133.69 + 1300 spring − 0 head + 0 balance) N")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"faces": 0}, "0 rubbing faces; a pack has at least one"),
        ({"lining_inner_radius": 0.09}, "lining: outer radius 0.088 m and inner radius 0.09 m make no ring"),
        (
            {"piston_outer_radius": 0.069},
            "piston: outer radius 0.069 m and inner radius 0.069 m make no ring",
        ),
        ({"friction_coefficient": 0.0}, "friction coefficient 0 is not above zero"),
        ({"return_spring": -1.0}, "the return spring pulls with zero or more"),
        ({"balance": CHAMBER}, "a balance chamber needs an apply chamber"),
    ],
)
def test_what_is_no_pack_is_refused(changes: dict[str, object], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        replace(BRAKE, **changes)  # type: ignore[arg-type]


def test_what_is_no_chamber_or_pressure_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"free radius -0.01 m is below zero"):
        FluidChamber(0.07, 0.05, -0.01)
    with pytest.raises(OutOfRange, match="a pressure of -1 Pa is below zero"):
        pack_capacity(BRAKE, pressure=-1)
    with pytest.raises(OutOfRange, match="make no ring"):
        mean_radius(0.05, 0.05, law=PressureLaw.UNIFORM_WEAR)
