"""A chart worked out once.

Expected values: Willis by hand, 1 + 60/30 = 3 with the ring held; a one-way clutch alone lets the engine run free on
coast, a brake beside it does not.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from countershaft.desk.worked_chart import WorkedChart, worked_chart
from countershaft.mechanics.gear_sets import SinglePinion
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, OneWayToGround
from countershaft.mechanics.states import StateKind
from countershaft.model.train import Train

SET = {
    "input": "in",
    "output": "out",
    "sets": [{
        "id": "P", "kind": "single_pinion", "sun": "in", "carrier": "out", "ring": "R",
        "teeth": {"sun": 30, "ring": 60},
    }],
    "elements": {
        "B": {"kind": "brake", "member": "R"},
        "F": {"kind": "one_way_to_ground", "member": "R", "free_direction": "+"},
        "K": {"kind": "clutch", "members": ["in", "out"]},
    },
    "chart": {"N": [], "1": ["F"], "1 manual": ["F", "B"], "2": ["K"]},
}  # fmt: skip


@pytest.fixture
def worked() -> WorkedChart:
    return worked_chart(Train.model_validate(SET))


def test_gears_have_their_ratios_and_brake_or_not(worked: WorkedChart) -> None:
    assert {gear: state.ratio for gear, state in worked.states.items()} == {
        "N": None, "1": Fraction(3), "1 manual": Fraction(3), "2": Fraction(1),
    }  # fmt: skip
    assert [gear for gear in worked.chart if worked.brakes(gear)] == ["1 manual", "2"]
    load = worked.drive["1"].load
    assert load is not None
    assert load.torques is not None
    assert load.torques.external["out"] == -3
    assert worked.coast["1"].kind is StateKind.NEUTRAL


def test_check_and_roles_are_those_of_the_chart(worked: WorkedChart) -> None:
    assert worked.check is not None
    assert worked.check.spread == 3
    assert worked.roles["K"].lost == ("2",)


def test_the_same_train_is_worked_out_once_and_another_anew(worked: WorkedChart) -> None:
    again = worked_chart(Train.model_validate(SET))
    assert again is worked
    assert again.states is worked.states
    other = worked_chart(Train.model_validate(SET | {"chart": {"1": ["B"]}}))
    assert list(other.states) == ["1"]
    assert list(worked.states) == ["N", "1", "1 manual", "2"]


def test_a_train_with_too_much_to_try_has_no_check() -> None:
    """Twenty brakes beside each other are 2 to the 20th combinations."""
    set_ = SinglePinion("P", "in", "out", "R", 30, 60)
    brakes = tuple(Brake(f"B{place}", "R") for place in range(20))
    many = Network("in", "out", sets=(set_,), elements=(*brakes, OneWayToGround("F", "R", "+")))
    worked = WorkedChart(many, (("1", ("B0",)),))
    assert worked.check is None
    assert worked.states["1"].ratio == 3
