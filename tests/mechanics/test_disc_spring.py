"""Disc springs and stacks.

Expected: slopes by small steps, the work of the ring section turned by hand (a second route of ours), inverses and
bounds.  Published values stand in tests/published/test_parts_condition.py.
"""

from __future__ import annotations

from dataclasses import replace
from math import log, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.disc_spring import DiscSpring, DiscStack, disc_deflection, disc_load, stack_load

DISC = DiscSpring(25e-3, 12.2e-3, 1.5e-3, 0.55e-3)
shares = st.floats(0, 1)


@st.composite
def discs(draw: st.DrawFn, steepest: float = 1.4) -> DiscSpring:
    outer = draw(st.floats(8e-3, 0.2))
    thickness = draw(st.floats(outer / 45, outer / 15)) if outer < 0.09 else draw(st.floats(2e-3, 6e-3))
    return DiscSpring(
        outer, outer / draw(st.floats(1.3, 2.9)), thickness, thickness * draw(st.floats(0.2, steepest))
    )


@given(discs(2.5), st.floats(0.05, 0.95))
def test_the_rate_is_the_slope_of_the_load(disc: DiscSpring, share: float) -> None:
    step, at = 1e-6 * disc.cone_height, share * disc.cone_height
    above, below = (disc_load(disc, deflection=at + one).load for one in (step, -step))
    rate = disc_load(disc, deflection=at).rate
    steepest = disc_load(disc, deflection=0).rate
    assert rate == pytest.approx((above - below) / (2 * step), rel=1e-5, abs=1e-5 * steepest)


THICK = DiscSpring(125e-3, 64e-3, 8e-3, 2.6e-3, reduced=7.5e-3)


@given(st.floats(0.05, 0.95))
def test_flats_keep_slope_and_inverse(share: float) -> None:
    at = share * THICK.travel
    above, below = (disc_load(THICK, deflection=at + one).load for one in (1e-8, -1e-8))
    told = disc_load(THICK, deflection=at)
    assert told.rate == pytest.approx((above - below) / 2e-8, rel=1e-5)
    assert disc_deflection(THICK, load=told.load) == pytest.approx(at, rel=1e-9)
    assert any(line.startswith("K4² of the flats: ") for line in told.working)


def test_flats_make_up_for_the_thickness_that_they_cost() -> None:
    """The standard thins the disc so that it carries what the full one would by the plain formula, within 3 %.

    The plain formula is worked here by hand for 8 mm: δ = 1.953, K1 = 0.6830.
    """
    first = ((1.953125 - 1) / 1.953125) ** 2 / (2.953125 / 0.953125 - 2 / log(1.953125)) / pi
    pressed, high = 1.95 / 8, 2.6 / 8
    whole = 4 * 206e9 / 0.91 * 8e-3**4 / (first * 0.125**2)
    plain = whole * pressed * ((high - pressed) * (high - pressed / 2) + 1)
    assert disc_load(THICK, deflection=1.95e-3).load == pytest.approx(plain, rel=0.03)
    assert 1 < THICK.stiffening < 1.12
    assert DISC.stiffening == 1
    assert DiscStack(THICK, parallel=2, series=3).free_length == pytest.approx(3 * (10.6e-3 + 7.5e-3))


@pytest.mark.parametrize(
    ("disc", "said"),
    [
        (
            {"reduced": 1.4e-3},
            "1.5 mm thick and its reduced thickness is 1.4 mm; expected one above 6 mm and none",
        ),
        (
            {"outer": 0.125, "inner": 0.064, "thickness": 8e-3, "reduced": 6e-3},
            "reduced over nominal thickness is 0.75",
        ),
        (
            {"outer": 0.125, "inner": 0.064, "thickness": 8e-3, "reduced": float("nan")},
            "reduced over nominal",
        ),
    ],
)
def test_flats_only_where_the_standard_has_them(disc: dict[str, float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        replace(DISC, **disc)


@given(discs(), shares)
def test_load_and_deflection_turn_round(disc: DiscSpring, share: float) -> None:
    load = disc_load(disc, deflection=share * disc.cone_height).load
    back = disc_load(disc, deflection=disc_deflection(disc, load=load)).load
    assert back == pytest.approx(load, rel=1e-9, abs=1e-6)


@given(discs(), shares, shares)
def test_a_flatter_disc_carries_more_up_to_root_two(disc: DiscSpring, one: float, other: float) -> None:
    low, high = sorted((one, other))
    less, more = (disc_load(disc, deflection=share * disc.cone_height) for share in (low, high))
    assert less.load <= more.load * (1 + 1e-12)
    assert more.stress <= less.stress <= 0


@given(discs(2.5), shares, st.floats(1.1, 4))
def test_a_larger_disc_of_the_same_shape(disc: DiscSpring, share: float, times: float) -> None:
    """Same stresses, so the loads are as the squares of the lengths."""
    small = replace(disc, thickness=min(disc.thickness, 1.4e-3), cone_height=min(disc.cone_height, 1e-3))
    large = DiscSpring(
        *(times * one for one in (small.outer, small.inner, small.thickness, small.cone_height))
    )
    at = share * small.cone_height
    here, there = disc_load(small, deflection=at), disc_load(large, deflection=times * at)
    assert there.load == pytest.approx(times**2 * here.load)
    assert there.stress == pytest.approx(here.stress)


def test_a_thin_cone_is_flat_at_root_two() -> None:
    """At h0 = √2 t the slope comes down to zero when the disc is flat, and nowhere below."""
    disc = replace(DISC, cone_height=sqrt(2) * DISC.thickness)
    rates = [disc_load(disc, deflection=step / 200 * disc.cone_height).rate for step in range(201)]
    assert min(rates) == pytest.approx(0, abs=1e-9 * rates[0])


@given(discs(), st.integers(1, 4), st.integers(1, 8), shares, st.floats(0, 0.05), st.floats(0, 0.05))
def test_stacks(
    disc: DiscSpring, parallel: int, series: int, share: float, between_discs: float, at_edges: float
) -> None:
    stack = DiscStack(disc, parallel, series)
    told = stack_load(
        stack,
        deflection=share * disc.cone_height * series,
        between_discs=between_discs,
        at_edges=at_edges,
    )
    one = disc_load(disc, deflection=share * disc.cone_height).load
    assert told.load == pytest.approx(parallel * one)
    assert told.releasing <= told.load <= told.pressing
    assert told.length == pytest.approx(stack.free_length - share * disc.cone_height * series)
    assert told.length >= series * parallel * disc.thickness * (1 - 1e-9)


def test_cautions_are_told() -> None:
    assert disc_load(DISC, deflection=0.75 * DISC.cone_height).cautions == ()
    assert disc_load(DISC, deflection=0.8 * DISC.cone_height).cautions == (
        "Beyond three quarters of its cone height the real disc is stiffer than computed.",
    )
    steep = replace(DISC, cone_height=1.6 * DISC.thickness)
    assert "falls again before it is flat" in disc_load(steep, deflection=0.1e-3).cautions[0]
    with pytest.raises(OutOfRange, match=r"cone height over thickness is 1\.6; expected at most 1\.414"):
        disc_deflection(steep, load=100)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"inner": 24e-3}, "outer over inner diameter is 1.04167; expected 1.2 to 3"),
        (
            {"outer": 0.1, "inner": 0.05, "thickness": 7e-3},
            "the disc is 7 mm thick and its reduced thickness is not given; expected one above 6 mm",
        ),
        ({"cone_height": 5e-3}, "cone height over thickness is 3.33333; expected 0 to 2.82843"),
        ({"cone_height": 0.0}, "A flat washer is no spring"),
        ({"poisson": 0.6}, "Poisson's ratio is 0.6; expected 0 to 0.5"),
    ],
)
def test_what_is_no_disc_spring(changes: dict[str, float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        replace(DISC, **changes)


def test_beyond_flat() -> None:
    with pytest.raises(OutOfRange, match=r"deflection of a disc spring is 0\.6 mm; expected 0 to 0\.55 mm"):
        disc_load(DISC, deflection=0.6e-3)
    with pytest.raises(OutOfRange, match=r"N make the disc flat; expected less"):
        disc_deflection(DISC, load=1e5)


def test_stacks_that_are_none() -> None:
    with pytest.raises(
        OutOfRange, match=r"the stack has 0 in parallel and 1 in series; expected one or more"
    ):
        DiscStack(DISC, 0)
    with pytest.raises(OutOfRange, match=r"friction of the set adds to 1\.5; expected less than 1"):
        stack_load(DiscStack(DISC, 6), deflection=0.1e-3, between_discs=0.3)
