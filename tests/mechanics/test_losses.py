"""Losses mesh by mesh and set by set.

Expected values: efficiencies of the six ways to use a plain set, from the formulas that handbooks give for its standing
efficiency e and its ratio i = ring / sun (Müller H.W., Epicyclic Drive Trains, 1982; the formulas from memory, and each
worked out again here from the torques of the two sides); further trains by hand, beside each.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from countershaft.errors import OutOfRange, TrainError
from countershaft.mechanics.gear_sets import (
    CompoundPlanet,
    DoublePinion,
    GearPair,
    Ravigneaux,
    SinglePinion,
    Wheel,
)
from countershaft.mechanics.gears import load_gear
from countershaft.mechanics.losses import Losses, MeshLosses, SetLosses
from countershaft.mechanics.meshes import stars_of
from countershaft.mechanics.network import Network
from countershaft.mechanics.states import StateKind

SET = SinglePinion("P", "S", "C", "R", 30, 72)
RATIO, E = 2.4, 0.97

#: Driving member, driven member, held member; ratio; efficiency by the standing efficiency E.
SIX_WAYS = [
    ("S", "R", "C", -RATIO, E),
    ("R", "S", "C", -1 / RATIO, E),
    ("S", "C", "R", 1 + RATIO, (1 + RATIO * E) / (1 + RATIO)),
    ("C", "S", "R", 1 / (1 + RATIO), (1 + RATIO) / (1 + RATIO / E)),
    ("R", "C", "S", 1 + 1 / RATIO, (RATIO + E) / (1 + RATIO)),
    ("C", "R", "S", RATIO / (1 + RATIO), (1 + RATIO) / (RATIO + 1 / E)),
]


@pytest.mark.parametrize(
    "losses",
    [
        SetLosses(str(E)),
        MeshLosses(1, special={"P sun-planet": str(E)}),
        MeshLosses(1, internal=str(E)),
        MeshLosses(str(E), internal=1),
    ],
    ids=["set", "sun mesh", "inner meshes", "outer meshes"],
)
@pytest.mark.parametrize(("driver", "driven", "held", "ratio", "efficiency"), SIX_WAYS)
def test_the_six_ways_of_a_plain_set(
    driver: str, driven: str, held: str, ratio: float, efficiency: float, losses: Losses
) -> None:
    """It does not matter which of the two meshes loses, nor whether the set is charged as a whole."""
    gear = load_gear(Network(driver, driven, sets=(SET,), grounded=(held,)), [], losses=losses)
    assert gear.ratio == pytest.approx(ratio)
    assert gear.efficiency == pytest.approx(efficiency)
    assert gear.load is not None and gear.load.with_losses is not None
    assert gear.load.with_losses.torque_ratio == pytest.approx(ratio * efficiency)


@pytest.mark.parametrize(("driver", "driven", "held", "ratio", "efficiency"), SIX_WAYS)
def test_a_locked_set_and_a_coupling_lose_nothing(
    driver: str, driven: str, held: str, ratio: float, efficiency: float
) -> None:
    """Only rolling loses: what turns as one has efficiency 1; what rolls has less, and on coast as by its own way."""
    train = Network(driver, driven, sets=(SET,), grounded=(held,))
    coast = load_gear(train, [], input_torque=-1, losses=SetLosses(str(E)))
    back = next(way for way in SIX_WAYS if way[:3] == (driven, driver, held))
    assert coast.ratio == pytest.approx(ratio)
    assert coast.efficiency == pytest.approx(back[4])
    assert efficiency < 1
    pair = Network(driver, driven, sets=(SET,), pairs=(GearPair("Z", driver, driven, 1, 1, internal=True),))
    assert load_gear(pair, [], losses=MeshLosses("0.9", special={"Z": 1})).efficiency == 1


def test_a_double_pinion_set_loses_in_three_meshes() -> None:
    """Carrier held: sun to ring through 0.98 · 0.98 · 0.99.  Ring held: 1 − i drives, so power rolls from ring to sun.

    i = 2.4; sun torque 1, ring −2.4 · s, carrier 2.4 · s − 1, with s = e or 1 / e; the carrier turns at 1 / (1 − 2.4),
    so that the sun turns at 2.4 / 1.4 against it, and its power of 1.7 flows from the sun to the ring.
    """
    part = DoublePinion("D", "S", "C", "R", 30, 72)
    losses, e = MeshLosses("0.98", internal="0.99"), 0.98 * 0.98 * 0.99
    direct = load_gear(Network("S", "R", sets=(part,), grounded=("C",)), [], losses=losses)
    assert direct.ratio == Fraction(12, 5)
    assert direct.efficiency == pytest.approx(e)
    reverse = load_gear(Network("S", "C", sets=(part,), grounded=("R",)), [], losses=losses)
    assert reverse.ratio == -Fraction(7, 5)
    assert reverse.efficiency == pytest.approx((2.4 * e - 1) / 1.4)
    as_whole = load_gear(Network("S", "C", sets=(part,), grounded=("R",)), [], losses=SetLosses(str(e)))
    assert as_whole.efficiency == pytest.approx((2.4 * e - 1) / 1.4)


def test_a_ravigneaux_set_counts_the_ring_mesh_once_mesh_by_mesh_and_twice_set_by_set() -> None:
    """Small sun to large sun at standing carrier: power passes three outer meshes and never the ring.

    Charged as two sets that share carrier and ring, it passes both of them.
    """
    part = Ravigneaux("V", "a", "b", "C", "R", 30, 36, 78)
    train = Network("a", "b", sets=(part,), grounded=("C",))
    by_mesh = load_gear(train, [], losses=MeshLosses("0.98", internal="0.9"))
    assert by_mesh.ratio == -Fraction(36, 30)
    assert by_mesh.efficiency == pytest.approx(0.98**3)
    by_set = load_gear(train, [], losses=SetLosses("0.97"))
    assert by_set.efficiency == pytest.approx(0.97**2)
    one_of_them = load_gear(train, [], losses=SetLosses("0.97", special={"V b": 1}))
    assert one_of_them.efficiency == pytest.approx(0.97)


def test_single_meshes_and_sets_may_have_their_own() -> None:
    """A pair, a set with its ring held and another pair: 0.99 · (1 + 2.4 · 0.95) / 3.4 · 0.97."""
    pairs = (GearPair("Z1", "in", "S", 20, 30), GearPair("Z2", "C", "out", 20, 30))
    train = Network("in", "out", sets=(SET,), pairs=pairs, grounded=("R",))
    expected = 0.99 * (1 + RATIO * 0.95) / (1 + RATIO) * 0.97
    whole = SetLosses("0.9", pair="0.99", special={"P": "0.95", "Z2": 0.97})
    assert load_gear(train, [], losses=whole).efficiency == pytest.approx(expected)
    mesh = MeshLosses("0.99", internal=1, special={"P sun-planet": Fraction(19, 20), "Z2": "97/100"})
    assert load_gear(train, [], losses=mesh).efficiency == pytest.approx(expected)


def test_pairs_lose_as_sets_do_where_nothing_else_is_said() -> None:
    train = Network("a", "b", pairs=(GearPair("Z", "a", "b", 20, 30),))
    assert load_gear(train, [], losses=SetLosses("0.96")).efficiency == pytest.approx(0.96)


def test_an_efficiency_is_the_fraction_that_was_written() -> None:
    """0.1 + 0.2 in binary is not 0.3; what is written counts."""
    (star,) = stars_of(GearPair("Z", "a", "b", 20, 30))
    for value in ("0.98", 0.98, "49/50", Fraction(49, 50)):
        assert MeshLosses(value).charges(star)[0][0][1] == Fraction(49, 50)
        assert SetLosses(value).charges(star)[1][0][1] == Fraction(49, 50)


@pytest.mark.parametrize("value", [0, -0.1, "1.01", "101/100"])
def test_an_efficiency_lies_between_nothing_and_one(value: float | str) -> None:
    for build in (
        lambda: MeshLosses(value),
        lambda: MeshLosses(1, internal=value),
        lambda: MeshLosses(1, chain=value),
        lambda: MeshLosses(1, bevel=value),
        lambda: MeshLosses(1, special={"Z": value}),
        lambda: SetLosses(value),
        lambda: SetLosses(1, pair=value),
        lambda: SetLosses(1, special={"Z": value}),
    ):
        with pytest.raises(OutOfRange, match=rf"is {value}; expected above 0 and at most 1, such as 0\.98"):
            build()


def test_what_is_no_number_is_told_with_its_place() -> None:
    with pytest.raises(OutOfRange, match=r"efficiency of internal is 'x'; expected a number such as 0\.98\."):
        MeshLosses("0.98", internal="x")
    with pytest.raises(OutOfRange, match="efficiency of V b is '1/0'; expected a number"):
        SetLosses("0.98", special={"V b": "1/0"})


def test_a_mesh_that_is_not_there_is_told_with_the_nearest() -> None:
    train = Network("S", "C", sets=(SET,), grounded=("R",))
    with pytest.raises(
        TrainError,
        match=r"there is no mesh or set 'P ring-planed' to lose power; did you mean 'P ring-planet'\?",
    ):
        load_gear(train, [], losses=MeshLosses(1, special={"P ring-planed": "0.9"}))
    with pytest.raises(TrainError, match=r"there is no mesh or set 'p' to lose power; did you mean 'P'\?"):
        load_gear(train, [], losses=SetLosses(1, special={"p": "0.9"}))


def test_a_worm_like_train_drives_one_way_only() -> None:
    """Two suns on a stepped planet, 49·51 against 50·50: i = 2499 / 2500, and the arm makes 2500 turns per one.

    Driven at the arm it turns, with the efficiency (1 − i) / (1 − i · e); from the output no torque however large turns
    the arm, since i lies between e and 1 / e (Müller, as above).
    """
    wheels = (Wheel("held", 49, 50), Wheel("out", 50, 51))
    train = Network("arm", "out", sets=(CompoundPlanet("P", "arm", "p", wheels),), grounded=("held",))
    losses, e, i = MeshLosses("0.99"), 0.99**2, 49 * 51 / 2500
    drive = load_gear(train, [], losses=losses)
    assert drive.ratio == 2500
    assert drive.efficiency == pytest.approx((1 - i) / (1 - i * e), rel=1e-9)
    assert drive.efficiency is not None and drive.efficiency < 0.5
    coast = load_gear(train, [], input_torque=-1, losses=losses)
    assert coast.kind is StateKind.SELF_LOCKING
    assert coast.kind.value == "self-locking"
    assert coast.load is not None and coast.load.self_locking
    assert coast.load.with_losses is None and coast.efficiency is None
    assert coast.load.torques is not None and coast.load.torques.external["out"] == 2500
