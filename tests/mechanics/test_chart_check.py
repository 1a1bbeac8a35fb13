"""An application chart against its train.

Expected values: by hand from tooth counts, beside each; the published ratios of a six-speed (from memory) for its
steps; and charts broken on purpose.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from countershaft.errors import TrainError
from countershaft.mechanics.chart_check import ChartCheck, check_chart
from countershaft.mechanics.gear_sets import GearPair, Ravigneaux, SinglePinion
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch, OneWayToGround, Sleeve
from countershaft.mechanics.states import StateKind

#: The teeth of the six-speed of docs/theory/gear-train.md.
SIX = Network(
    "in",
    "R",
    sets=(
        SinglePinion("front", "gnd", "K", "in", 37, 71),
        Ravigneaux("rear", "Ss", "Sl", "C", "R", 31, 38, 85),
    ),
    grounded=("gnd",),
    elements=(
        Clutch("A", "K", "Ss"),
        Clutch("B", "K", "Sl"),
        Clutch("E", "in", "C"),
        Brake("Bc", "Sl"),
        Brake("Bd", "C"),
        OneWayToGround("W", "C", "+"),
    ),
)
CHART = {
    "P": [],
    "N": [],
    "R": ["B", "Bd"],
    "1": ["A", "W"],
    "2": ["A", "Bc"],
    "3": ["A", "B"],
    "4": ["A", "E"],
    "5": ["B", "E"],
    "6": ["E", "Bc"],
}


@pytest.fixture(scope="module")
def six() -> ChartCheck:
    return check_chart(SIX, CHART)


def test_a_sound_chart_has_nothing_to_complain_of(six: ChartCheck) -> None:
    assert six.dead == six.driving_idle == six.doubles == six.skipped == ()
    assert list(six.ratios) == ["R", "1", "2", "3", "4", "5", "6"]


def test_steps_and_spread_of_published_ratios(six: ChartCheck) -> None:
    """4.171, 2.340, 1.521, 1.143, 0.867, 0.691 (widely published; from memory)."""
    printed = [4.171, 2.340, 1.521, 1.143, 0.867, 0.691]
    for step, (low, high) in zip(six.steps, pairwise(printed), strict=True):
        assert float(step.step) == pytest.approx(low / high, rel=0.001)
    assert six.spread is not None
    assert float(six.spread) == pytest.approx(4.171 / 0.691, rel=0.001)
    assert six.steps[0].working == "1 over 2: 4.17083 / 2.33973 = 1.78261"
    assert six.working[-1] == "spread: 4.17083 / 0.691057 = 6.03544"


def test_shifts_between_neighbours_change_one_for_one(six: ChartCheck) -> None:
    """As the six-speeds of this kind are known for (common practice, no source)."""
    neighbours = [shift for shift in six.shifts if shift.neighbours]
    assert [(shift.gear, shift.next_gear) for shift in neighbours] == [
        ("1", "2"), ("2", "3"), ("3", "4"), ("4", "5"), ("5", "6"),
    ]  # fmt: skip
    assert all(shift.one_for_one for shift in neighbours)
    first = neighbours[0]
    assert (first.off, first.on, first.by_itself) == (("W",), ("Bc",), ("W",))


def test_a_wide_jump_changes_two_for_two(six: ChartCheck) -> None:
    jump = next(shift for shift in six.shifts if (shift.gear, shift.next_gear) == ("2", "5"))
    assert (jump.off, jump.on, jump.one_for_one) == (("A", "Bc"), ("B", "E"), False)
    assert not jump.neighbours
    assert all("R" not in (shift.gear, shift.next_gear) for shift in six.shifts)


def test_what_is_wrong_with_a_chart_is_told() -> None:
    """Third lost an element, fourth has one too many, N drives, 2 and 2+ are one gear, fifth is left out."""
    chart = {
        "N": ["A", "Bd"],
        "1": ["A", "W"],
        "2": ["A", "Bc"],
        "2+": ["A", "Bc", "W"],
        "3": ["A"],
        "4": ["A", "E", "B"],
        "4-": ["A", "E", "Bc"],
        "6": ["E", "Bc"],
    }
    check = check_chart(SIX, chart)
    assert [(dead.gear, dead.kind) for dead in check.dead] == [
        ("3", StateKind.NEUTRAL),
        ("4", StateKind.TIE_UP),
        ("4-", StateKind.TIE_UP),
    ]
    assert check.driving_idle == ("N",)
    assert check.doubles == (("2", "2+"),)
    skipped = {skip.combinations: (skip.higher, skip.lower) for skip in check.skipped}
    assert skipped[(("A", "B"),)] == ("2", "6")
    assert skipped[(("B", "E"),)] == ("2", "6")
    assert skipped[(("B", "Bd"),)] == (None, None)
    assert [(step.gear, step.next_gear) for step in check.steps] == [("1", "2"), ("2", "6")]


def test_a_skipped_ratio_outside_the_chart_has_one_neighbour() -> None:
    check = check_chart(SIX, {gear: CHART[gear] for gear in ("2", "3", "4", "5")})
    outside = {skip.combinations[0]: (skip.higher, skip.lower) for skip in check.skipped}
    assert outside[("A", "Bd")] == (None, "2")
    assert outside[("E", "Bc")] == ("5", None)


def test_an_output_held_by_its_gears_is_dead() -> None:
    """Sun 30 at −1 and ring 60 at 1/2 leave the carrier at rest."""
    network = Network(
        "in",
        "out",
        sets=(SinglePinion("P", "S", "out", "R", 30, 60),),
        pairs=(GearPair("s", "in", "S", 20, 20), GearPair("r", "in", "w", 20, 40, internal=True)),
        elements=(Clutch("K", "w", "R"), Brake("B", "R")),
    )
    check = check_chart(network, {"0": ["K"], "1": ["B"]})
    assert [(dead.gear, dead.kind) for dead in check.dead] == [("0", StateKind.DEFINITE)]
    assert check.spread is None
    assert check.ratios == {"1": Fraction(-3)}


def test_sleeves_change_positions() -> None:
    pairs = (
        GearPair("3", "in", "w3", 20, 40, internal=True),
        GearPair("4", "in", "w4", 30, 30, internal=True),
    )
    network = Network(
        "in", "out", pairs=pairs, elements=(Sleeve("S", (("3", ("w3", "out")), ("4", ("w4", "out")))),)
    )
    check = check_chart(network, {"3": ["S:3"], "4": ["S:4"]})
    assert (check.shifts[0].off, check.shifts[0].on) == (("S:3",), ("S:4",))


def test_a_chart_without_gears_is_no_fault() -> None:
    check = check_chart(SIX, {"N": []})
    assert (check.steps, check.spread, check.shifts, check.working) == ((), None, (), ())
    assert len(check.skipped) == len(check.abilities.groups) == 7


def test_an_unknown_element_is_told() -> None:
    with pytest.raises(TrainError, match="there is no shift element 'Bcc'"):
        check_chart(SIX, {"1": ["A", "Bcc"]})
