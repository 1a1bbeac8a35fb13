"""Gear trains against published speeds and ratios.

Where the expected values come from: `gear_trains.json`, each case with its book, page and example, and
whether the printed value was read or recalled.  Values under `derived` and cases of the kind "derived" are
ours: they show that nothing changed, and are no evidence from outside.  Torques, powers and efficiencies of
the same cases are not judged here.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from countershaft.mechanics.speeds import solve_speeds
from countershaft.mechanics.states import solve_state
from countershaft.model.train import Train

CASES: list[dict[str, Any]] = json.loads(
    Path(__file__).with_name("gear_trains.json").read_text(encoding="utf-8")
)["cases"]

# The keys of an expectation that are judged here.
JUDGED = ("ratio", "speeds")

# Values of ours have six digits: half a unit of the last one is at most this share of the value.
SIX_DIGITS = 5e-6


@dataclass(frozen=True)
class Value:
    """One value that a case expects of one state; `member` is empty for a ratio."""

    case: dict[str, Any]
    state: str
    part: str
    key: str
    member: str
    value: float

    @property
    def tolerance(self) -> float:
        """The case's own tolerance for what a source prints, the rounding of the file for what is ours."""
        if self.part == "derived":
            return SIX_DIGITS * abs(self.value)
        tol = self.case["tol"][self.key]
        if isinstance(tol, dict):
            tol = next(tol[name] for name in (self.state, self.member, "default") if name in tol)
        return float(tol)


def values(case: dict[str, Any], state: str) -> Iterator[Value]:
    for part in ("expected", "derived"):
        for key, expectation in case[part].get(state, {}).items():
            if key == "ratio":
                yield Value(case, state, part, key, "", expectation)
            elif key == "speeds":
                for member, value in expectation.items():
                    yield Value(case, state, part, key, member, value)


def teeth_as_in_files(part: dict[str, Any]) -> dict[str, Any]:
    """The cases' short names for tooth counts, as a transmission file spells them."""
    names = {"z": "teeth", "planet_z": "planet_teeth"}
    out = {names.get(key, key): value for key, value in part.items() if key not in ("za", "zb")}
    if "wheels" in out:
        out["wheels"] = [teeth_as_in_files(wheel) for wheel in out["wheels"]]
    if "za" in part:
        out["teeth"] = [part["za"], part["zb"]]
    return out


def train_of(case: dict[str, Any], state: str) -> Train:
    inputs, asked = case["inputs"], case["inputs"]["states"][state]
    network = inputs["network"] if "network" in inputs else inputs["networks"][asked.get("net", state)]
    sets = [teeth_as_in_files(part) for part in network["sets"]]
    pairs = [teeth_as_in_files(part) for part in network.get("pairs", [])]
    ends = {key: asked.get(key) or inputs.get(key) for key in ("input", "output")}
    if ends["input"] is None or ends["output"] is None:
        # Trains with two inputs have no ratio; any two of their members stand in.
        ends = dict(zip(("input", "output"), asked_members(case, state), strict=True))
    return Train.model_validate(
        {
            **ends,
            "sets": sets,
            "pairs": pairs,
            "grounded": network.get("grounded", []),
            "elements": inputs.get("elements", {}),
        }
    )


def asked_members(case: dict[str, Any], state: str) -> tuple[str, str]:
    given = list(case["inputs"]["states"][state]["speeds"])
    wanted = [value.member for value in values(case, state) if value.member and value.member not in given[:1]]
    return given[0], (wanted or given[1:])[0]


def solved(case: dict[str, Any], state: str) -> tuple[dict[str, Fraction], Fraction | None]:
    """Speeds and ratio of one state, by way of the model of a transmission file."""
    asked, train = case["inputs"]["states"][state], train_of(case, state)
    if "applied" in asked:
        found = solve_state(train.network(), asked["applied"])
        return dict(found.speeds), found.ratio
    speeds = solve_speeds(
        train.network(),
        given={member: Fraction(speed) for member, speed in asked["speeds"].items()},
        held=asked.get("held", []),
        locked=[tuple(pair) for pair in asked.get("locked", [])],
    )
    return dict(speeds.values), speeds.ratio(train.input, train.output)


def judged() -> list[tuple[dict[str, Any], str]]:
    return [(case, state) for case in CASES for state in case["inputs"]["states"] if any(values(case, state))]


@pytest.mark.parametrize(
    ("case", "state"), [pytest.param(case, state, id=f"{case['id']}: {state}") for case, state in judged()]
)
def test_speeds_and_ratios_are_as_published(case: dict[str, Any], state: str) -> None:
    """Every speed and ratio that the case states lies within its tolerance of the computed one."""
    speeds, ratio = solved(case, state)
    for value in values(case, state):
        computed = ratio if value.key == "ratio" else speeds.get(value.member)
        where = f"{case['id']}, {state}, {value.part} {value.key} {value.member}; {case['source']}"
        assert computed is not None, f"{where}: nothing was determined"
        assert abs(computed - Fraction(value.value)) <= value.tolerance, (
            f"{where}: expected {value.value} within {value.tolerance}, computed {float(computed)}"
        )


def leaves(tree: Any, key: str = "") -> Iterator[str]:
    """Name of the judged key above every number below one, counted without the runner's own walk."""
    if isinstance(tree, dict):
        for name, below in tree.items():
            yield from leaves(below, name if name in JUDGED else key)
    elif key:
        yield key


def test_no_value_drops_out() -> None:
    """The runner judges as many speeds and ratios as the file holds, and no case has lost its states."""
    in_file = [leaf for case in CASES for part in ("expected", "derived") for leaf in leaves(case[part])]
    run = [value.key for case, state in judged() for value in values(case, state)]
    assert sorted(run) == sorted(in_file)
    assert {key: run.count(key) for key in JUDGED} == {"ratio": 147, "speeds": 357}
    assert len(CASES) == 26


def test_every_state_of_an_expectation_exists() -> None:
    """No expectation is keyed by a state that the case does not define."""
    for case in CASES:
        for part in ("expected", "derived"):
            assert set(case[part]) <= set(case["inputs"]["states"]), case["id"]


def test_every_case_names_its_source() -> None:
    """Each case says where it comes from, how that was seen, and why its tolerance is what it is."""
    for case in CASES:
        assert case["source"], case["id"]
        assert case["tol_reason"], case["id"]
        assert case["seen"] in ("read", "memory"), case["id"]
        assert case["kind"] in ("published", "derived"), case["id"]
