"""Chains and the pinions of a differential in a transmission file.  Expected: places and texts of faults, by hand."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from pydantic import ValidationError

from countershaft.mechanics.gear_sets import Differential, GearPair
from countershaft.model.gear_sets import DifferentialSet, Pair
from countershaft.model.train import Train


def faults(record: type[Any], data: dict[str, Any]) -> list[tuple[tuple[str | int, ...], str]]:
    with pytest.raises(ValidationError) as caught:
        record.model_validate(data)
    return [(error["loc"], error["msg"]) for error in caught.value.errors()]


def test_a_chain_is_a_pair_whose_wheels_turn_the_same_way() -> None:
    pair = Pair.model_validate({"a": "in", "b": "out", "kind": "chain", "teeth": ["36", "38"]})
    assert pair.mechanical() == GearPair("in-out", "in", "out", 36, 38, chain=True)
    train = Train.model_validate(
        {"input": "in", "output": "out", "pairs": [pair], "chart": {"D": []}},
    )
    assert train.states()["D"].ratio == Fraction(38, 36)


def test_a_pair_is_of_gears_where_it_does_not_say() -> None:
    pair = Pair.model_validate({"a": "in", "b": "out", "teeth": [20, 40], "internal": "yes"})
    assert pair.mechanical() == GearPair("in-out", "in", "out", 20, 40, internal=True)


def test_a_chain_has_no_inner_teeth() -> None:
    found = faults(Pair, {"a": "in", "b": "out", "kind": "chain", "teeth": [36, 38], "internal": "true"})
    assert found == [
        (
            ("internal",),
            "Value error, the two wheels of a chain turn the same way already; leave internal out",
        )
    ]


def test_an_unknown_kind_of_pair_is_a_fault_at_its_key() -> None:
    found = faults(Pair, {"a": "in", "b": "out", "kind": "belt", "teeth": [36, 38]})
    assert [place for place, _ in found] == [("kind",)]
    assert "'gears' or 'chain'" in found[0][1]


def test_a_differential_has_bevel_pinions_where_it_does_not_say() -> None:
    data = {"id": "D", "kind": "differential", "carrier": "case", "sides": ["l", "r"]}
    assert DifferentialSet.model_validate(data).mechanical() == Differential("D", "case", "l", "r")
    spur = DifferentialSet.model_validate({**data, "pinions": "spur"}).mechanical()
    assert spur == Differential("D", "case", "l", "r", spur=True)
    assert [place for place, _ in faults(DifferentialSet, {**data, "pinions": "worm"})] == [("pinions",)]
