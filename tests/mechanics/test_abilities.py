"""Every ratio of a train.

Expected values: the same combinations solved one by one by `solve_state`, itself held against a general algebra
library (a second route of ours); published charts, whose every gear must be found; and small trains by hand.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import chain, combinations
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from countershaft.errors import OutOfRange, TrainError
from countershaft.mechanics.abilities import train_abilities
from countershaft.mechanics.gear_sets import GearPair, SinglePinion
from countershaft.mechanics.holding import HoldingTable
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch, Element, Sleeve
from countershaft.mechanics.states import StateKind, solve_state
from tests.mechanics.six_speed import SIX_SPEED
from tests.mechanics.test_states import renamed
from tests.strategies import MEMBERS, TrainInState, trains

SLOW = settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


#: Four single-pinion sets in a row with eight shift elements (invented tooth counts).
EIGHT_ELEMENTS = Network(
    "in",
    "out",
    sets=(
        SinglePinion("P1", "S1", "C1", "R1", 40, 80),
        SinglePinion("P2", "S1", "in", "R2", 44, 76),
        SinglePinion("P3", "S3", "C3", "R2", 35, 85),
        SinglePinion("P4", "C1", "out", "R4", 30, 90),
    ),
    elements=(
        Brake("A", "S1"),
        Brake("B", "R1"),
        Clutch("C", "in", "S3"),
        Clutch("D", "C3", "out"),
        Clutch("E", "R2", "C1"),
        Brake("F", "R4"),
        Clutch("G", "S3", "R4"),
        Brake("H", "C3"),
    ),
)


def every_choice(network: Network) -> list[tuple[str, ...]]:
    """All combinations by plain counting, sleeves with one position each."""
    names = [
        f"{element.id}:near" if isinstance(element, Sleeve) else element.id for element in network.elements
    ]
    return list(chain.from_iterable(combinations(names, count) for count in range(len(names) + 1)))


@SLOW
@given(trains())
def test_every_combination_equals_the_state_solved_alone(case: TrainInState) -> None:
    """Kind, ratio, and which one-way clutches overrun or catch."""
    table = HoldingTable(case.network)
    choices = every_choice(case.network)
    assert sorted(table.names(mask) for mask in table.masks()) == sorted(choices)
    for applied in choices:
        state, outcome = solve_state(case.network, applied), table.outcome(table.mask(applied))
        assert (outcome.kind, outcome.ratio) == (state.kind, state.ratio), applied
        assert table.names(outcome.overrunning) == state.overrunning
        assert set(table.names(outcome.catching)) == set(state.catching)


@SLOW
@given(trains())
def test_the_groups_hold_all_definite_states_and_no_other(case: TrainInState) -> None:
    found = train_abilities(case.network)
    definite = {
        applied: state.ratio
        for applied in every_choice(case.network)
        if (state := solve_state(case.network, applied)).kind == StateKind.DEFINITE
    }
    listed = {one.applied: group.ratio for group in found.groups for one in group.combinations}
    assert listed == definite
    assert found.tried == 2 ** len(case.network.elements) == len(definite) + found.neutral + found.tied
    assert len({group.ratio for group in found.groups}) == len(found.groups)


@SLOW
@given(trains(one_ways=False), st.permutations(MEMBERS), st.randoms(use_true_random=False))
def test_names_and_order_change_nothing(case: TrainInState, order: list[str], random: Any) -> None:
    """The same ratios from the same elements, whatever the members are called and whichever element stands first."""
    elements: list[Element] = random.sample(case.network.elements, len(case.network.elements))
    names = dict(zip(MEMBERS, (f"x{name}" for name in order), strict=True))
    other: Network = renamed(replace(case.network, elements=tuple(elements)), names)
    assert groups_of(other) == groups_of(case.network)


def groups_of(network: Network) -> dict[Fraction | None, set[frozenset[str]]]:
    return {
        group.ratio: {frozenset(one.applied) for one in group.combinations}
        for group in train_abilities(network).groups
    }


@SLOW
@given(trains())
def test_a_needless_element_may_be_let_go(case: TrainInState) -> None:
    for group in train_abilities(case.network).groups:
        for one in group.combinations:
            for name in one.applied:
                rest = [other for other in one.applied if other != name]
                same = solve_state(case.network, rest)
                unchanged = same.kind == StateKind.DEFINITE and same.ratio == group.ratio
                assert unchanged == (name in one.needless)


def test_ratios_of_the_six_speed_by_hand() -> None:
    """K turns 2/3; carrier held: K·78/30 and −K·78/36; large sun held, small sun at K; carrier at the input."""
    found = train_abilities(SIX_SPEED)
    first = found.group(Fraction(3, 2) * Fraction(78, 30))
    assert first is not None
    assert first.lean == (("A", "D"), ("A", "W"))
    assert [group.ratio for group in found.groups][-1] == -Fraction(3, 2) * Fraction(78, 36)
    direct = found.group(Fraction(3, 2))
    assert direct is not None
    assert direct.lean == (("A", "B"),)


def test_a_one_way_clutch_that_drive_lets_go_makes_no_gear() -> None:
    """Reverse pushes the carrier forward, where the one-way clutch is free: only the brake holds it."""
    reverse = train_abilities(SIX_SPEED).groups[-1]
    by_way = next(one for one in reverse.combinations if one.applied == ("B", "W"))
    assert by_way.fails_on_drive == ("W",)
    assert reverse.lean == (("B", "D"),)


def test_the_list_runs_from_first_to_reverse() -> None:
    ratios = [group.ratio for group in train_abilities(SIX_SPEED).groups]
    forward = [ratio for ratio in ratios if ratio is not None and ratio > 0]
    reverse = [ratio for ratio in ratios if ratio is not None and ratio < 0]
    assert ratios == sorted(forward, reverse=True) + sorted(reverse)


def test_positions_of_one_sleeve_exclude_each_other() -> None:
    """Two positions and none: three combinations; a sleeve of one position may be written without it."""
    pairs = (
        GearPair("3", "in", "w3", 20, 40, internal=True),
        GearPair("4", "in", "w4", 30, 30, internal=True),
    )
    sleeve = Sleeve("S", (("3", ("w3", "out")), ("4", ("w4", "out"))))
    network = Network("in", "out", pairs=pairs, elements=(sleeve,))
    found = train_abilities(network)
    assert found.tried == 3
    assert [(group.ratio, group.lean) for group in found.groups] == [(2, (("S:3",),)), (1, (("S:4",),))]
    table = HoldingTable(network)
    with pytest.raises(TrainError, match="S is applied twice in one state; name it once"):
        table.mask(["S:3", "S:4"])
    single = Sleeve("S", (("3", ("w3", "out")),))
    assert HoldingTable(replace(network, elements=(single,))).mask(["S"]) == 1


def test_an_output_that_gears_hold_has_its_own_place() -> None:
    """Sun at −1 and ring at 1/2 leave the carrier, which is the output, at rest (30·(−1) + 60/2 = 0)."""
    network = Network(
        "in",
        "out",
        sets=(SinglePinion("P", "S", "out", "R", 30, 60),),
        pairs=(GearPair("s", "in", "S", 20, 20), GearPair("r", "in", "w", 20, 40, internal=True)),
        elements=(Clutch("K", "w", "R"), Brake("B", "R")),
    )
    assert [group.ratio for group in train_abilities(network).groups] == [None, -3]


def test_a_name_that_is_not_there_is_told() -> None:
    with pytest.raises(TrainError, match=r"there is no shift element 'AA'; did you mean 'A'\?"):
        HoldingTable(SIX_SPEED).mask(["AA"])


def test_more_combinations_than_can_be_tried_are_refused() -> None:
    elements = tuple(Brake(f"B{index}", "R") for index in range(20))
    network = Network("S", "C", sets=(SinglePinion("P", "S", "C", "R", 30, 60),), elements=elements)
    with pytest.raises(
        OutOfRange, match="the train has 1048576 combinations of shift elements; at most 131072"
    ):
        train_abilities(network)


def test_every_combination_of_eight_elements_is_tried() -> None:
    found = train_abilities(EIGHT_ELEMENTS)
    assert found.tried == 256
    assert len(found.groups) > 8
