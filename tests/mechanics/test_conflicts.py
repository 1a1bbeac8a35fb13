"""Which elements fight, and which must let go.  Expected values: by hand, and by trying every choice."""

from __future__ import annotations

from fractions import Fraction
from itertools import chain, combinations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from countershaft.mechanics.conflicts import minimal_conflicts, smallest_hits
from countershaft.mechanics.constraints import ConstraintMatrix, Row, RowKind, still, together, willis
from tests.strategies import TrainInState, trains

TEETH = willis("P", "P", a=("S", Fraction(30)), b=("R", Fraction(-72)), carrier="C")
STRUCTURE = ConstraintMatrix(("S", "C", "R", "X"), (TEETH,))


def brake(member: str) -> Row:
    return still(member, kind=RowKind.ELEMENT, origin=member)


def test_two_brakes_or_a_brake_and_a_lock_hold_a_set() -> None:
    """Any two of carrier, ring and lock stop the sun; a brake on a loose shaft has no part in it."""
    lock = together("S", "R", kind=RowKind.ELEMENT, origin="K")
    held = {"C": brake("C"), "R": brake("R"), "K": lock, "X": brake("X")}
    assert minimal_conflicts(STRUCTURE, held, "S") == (("C", "R"), ("C", "K"), ("R", "K"))


def test_a_structure_that_holds_by_itself_blames_nobody() -> None:
    still_all = ConstraintMatrix(("S", "C", "R"), (TEETH, brake("C"), brake("R")))
    assert minimal_conflicts(still_all, {"S": brake("S")}, "S") == ()


def test_what_holds_nothing_is_no_conflict() -> None:
    assert minimal_conflicts(STRUCTURE, {"C": brake("C")}, "S") == ()


def every(names: list[str]) -> list[tuple[str, ...]]:
    return list(chain.from_iterable(combinations(names, count) for count in range(len(names) + 1)))


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
@given(trains(one_ways=False))
def test_conflicts_are_the_smallest_choices_that_hold_the_input(case: TrainInState) -> None:
    """Every choice is tried: those that hold the input while no part of them does."""
    network = case.network
    held = {name: network.held(name) for name in case.applied}
    locks = [
        set(names)
        for names in every(list(held))
        if network.structure.with_rows([held[name] for name in names]).locks(network.input)
    ]
    smallest = {frozenset(names) for names in locks if names and not any(other < names for other in locks)}
    found = minimal_conflicts(network.structure, held, network.input)
    assert {frozenset(names) for names in found} == smallest
    assert len(found) == len(smallest)


@given(st.lists(st.lists(st.sampled_from("ABCDE"), min_size=1, max_size=3, unique=True), max_size=4))
def test_hits_are_all_smallest_choices(sets: list[list[str]]) -> None:
    names = list("ABCDE")
    hitting = [choice for choice in every(names) if all(set(choice) & set(one) for one in sets)]
    least = min(map(len, hitting))
    expected = [choice for choice in hitting if len(choice) == least] if sets else []
    assert list(smallest_hits(names, sets)) == expected
