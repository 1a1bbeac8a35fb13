"""Torques of the published trains whose states are applied elements.

Expected values: gear_trains.json beside this file.  Torques of brakes and clutches in automatics are `derived` there:
ours by another route, which shows consistency and is no outside evidence; those of `expected` are printed.
"""

from __future__ import annotations

from typing import Any

import pytest

from countershaft.mechanics.gears import load_gear
from tests.published.test_gear_trains import CASES, train_of

KINDS = ("torques", "clutch_torques")


def judged() -> list[tuple[dict[str, Any], str, str, str]]:
    """Case, state, kind and part of the file of every torque table that a state of applied elements has."""
    return [
        (case, state, kind, part)
        for case in CASES
        for part in ("expected", "derived")
        for state, values in case[part].items()
        for kind in KINDS
        if isinstance(values, dict)
        and kind in values
        and "applied" in case["inputs"]["states"][state]
        and case["inputs"].get("input_torque") == 1.0
    ]


@pytest.mark.parametrize(
    ("case", "state", "kind", "part"),
    judged(),
    ids=lambda value: value["id"] if isinstance(value, dict) else value,
)
def test_torques_per_unit_of_input_torque(case: dict[str, Any], state: str, kind: str, part: str) -> None:
    found = load_gear(train_of(case, state).network(), case["inputs"]["states"][state]["applied"])
    assert found.load is not None and found.load.torques is not None
    table = found.load.torques.external if kind == "torques" else found.load.torques.elements
    for name, value in case[part][state][kind].items():
        assert float(table.get(name, 0)) == pytest.approx(value, rel=1e-5, abs=1e-5), name


def test_there_is_something_to_judge() -> None:
    assert len(judged()) > 40
