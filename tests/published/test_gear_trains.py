"""Gear trains against published speeds, ratios, torques and efficiencies.

Where the expected values come from: `gear_trains.json`, each case with its book, page and example, and
whether the printed value was read or recalled.  Values under `derived` and cases of the kind "derived" are
ours: they show that nothing changed, and are no evidence from outside.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import Any

import pytest

from countershaft.mechanics.gears import GearLoad, engine_braking, load_gear
from countershaft.mechanics.load import Load, solve_load
from countershaft.mechanics.losses import Losses, MeshLosses, SetLosses
from countershaft.mechanics.oneways import OneWayDoes
from countershaft.mechanics.powerflow import PowerFlow, power_flow
from countershaft.mechanics.speeds import Speeds, solve_speeds
from countershaft.mechanics.states import StateKind
from countershaft.model.train import Train

CASES: list[dict[str, Any]] = json.loads(
    Path(__file__).with_name("gear_trains.json").read_text(encoding="utf-8")
)["cases"]

# The keys of an expectation, all of them judged, with the number of values that the file holds under each.
JUDGED = {
    "ratio": 147,
    "speeds": 357,
    "torques": 205,
    "clutch_torques": 66,
    "clutch_power": 66,
    "set_rolling_power": 60,
    "efficiency": 18,
    "torque_ratio": 16,
    "owc": 4,
}

# Values of ours have six digits: half a unit of the last one is at most this share of the value.
SIX_DIGITS = 5e-6

# What the cases call the doings of their one-way clutch.
DOES = {
    "locked": OneWayDoes.HOLDS,
    "overrunning": OneWayDoes.OVERRUNS,
    "released: no engine braking": OneWayDoes.SLACK,
}


@dataclass(frozen=True)
class Value:
    """One value that a case expects of one state; `name` is a member, element, set or loss, or empty."""

    case: dict[str, Any]
    state: str
    part: str
    key: str
    name: str
    value: float | str

    @property
    def tolerance(self) -> float:
        """The case's own tolerance for what a source prints, the rounding of the file for what is ours."""
        if self.part == "derived":
            return SIX_DIGITS * abs(float(self.value))
        tol = self.case["tol"][self.key]
        if isinstance(tol, dict):
            tol = next(tol[name] for name in (self.state, self.name, "default") if name in tol)
        return float(tol)

    def __str__(self) -> str:
        case = self.case
        return f"{case['id']}, {self.state}, {self.part} {self.key} {self.name}; {case['source']}"


def values(case: dict[str, Any], state: str) -> Iterator[Value]:
    for part in ("expected", "derived"):
        for key, expectation in case[part].get(state, {}).items():
            if isinstance(expectation, dict):
                for name, value in expectation.items():
                    yield Value(case, state, part, key, name, value)
            else:
                yield Value(case, state, part, key, "", expectation)


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
    wanted = [
        value.name for value in values(case, state) if value.key == "speeds" and value.name not in given[:1]
    ]
    return given[0], (wanted or given[1:])[0]


@dataclass(frozen=True)
class Solved:
    """One state of one case, solved by way of the model of a transmission file."""

    case: dict[str, Any]
    state: str

    @cached_property
    def asked(self) -> dict[str, Any]:
        asked: dict[str, Any] = self.case["inputs"]["states"][self.state]
        return asked

    @cached_property
    def train(self) -> Train:
        return train_of(self.case, self.state)

    def losses(self, value: str) -> Losses:
        per = self.case["inputs"]["loss"]["per"]
        return {"mesh": MeshLosses, "set": SetLosses}[per](value)

    def gear(self, losses: Losses | None = None) -> GearLoad:
        """A state of shift elements, under the torque at the input that the case gives."""
        usual = self.case["inputs"].get("input_torque", 1)
        torque = self.asked.get("torques", {}).get(self.train.input, usual)
        return load_gear(
            self.train.network(), self.asked["applied"], input_torque=Fraction(torque), losses=losses
        )

    @cached_property
    def by_hand(self) -> Speeds:
        """Speeds of a state that is held, locked and driven by hand."""
        return solve_speeds(
            self.train.network(),
            given={member: Fraction(speed) for member, speed in self.asked["speeds"].items()},
            held=self.asked.get("held", []),
            locked=[tuple(pair) for pair in self.asked.get("locked", [])],
        )

    def hand_load(self, losses: Losses | None = None) -> Load:
        """Torques of such a state; what a case asks for and does not hold reacts, and so does the output."""
        torques = {member: Fraction(torque) for member, torque in self.asked.get("torques", {}).items()}
        if "input_power_W" in self.asked:
            speed = self.by_hand.values[self.asked["input"]]
            torques[self.asked["input"]] = Fraction(self.asked["input_power_W"]) / speed
        wanted = [value.name for value in values(self.case, self.state) if value.key == "torques"]
        named = [self.asked.get("output") or self.case["inputs"].get("output"), *wanted]
        held = [*torques, *self.asked.get("held", [])]
        reacting = dict.fromkeys(member for member in named if member and member not in held)
        return solve_load(
            self.train.network(), self.by_hand, torques=torques, reacting=list(reacting), losses=losses
        )

    @cached_property
    def load(self) -> Load | None:
        return self.gear().load if "applied" in self.asked else self.hand_load()

    @cached_property
    def flow(self) -> PowerFlow:
        assert self.load is not None
        return power_flow(self.train.network(), self.load)

    def speeds(self, name: str) -> Fraction | None:
        turning = self.gear().state.speeds if "applied" in self.asked else self.by_hand.values
        return turning.get(name)

    def ratio(self, _name: str) -> Fraction | None:
        if "applied" in self.asked:
            return self.gear().ratio
        return self.by_hand.ratio(self.train.input, self.train.output)

    def torques(self, name: str) -> Fraction | None:
        if self.load is None:
            # Nothing carries torque; what a one-way clutch at that member exerts is said all the same.
            clutches = {each.id: each for each in self.train.network().one_ways if name in each.members}
            (action,) = (self.gear().one_ways[clutch] for clutch in clutches)
            return action.torque
        assert self.load.torques is not None
        return self.load.torques.ground if name == "ground" else self.load.torques.external.get(name)

    def clutch_torques(self, name: str) -> Fraction | None:
        assert self.load is not None and self.load.torques is not None
        return self.load.torques.elements.get(name)

    def clutch_power(self, name: str) -> Fraction | None:
        return self.flow.elements.get(name)

    def set_rolling_power(self, name: str) -> Fraction:
        return next(flow.rolling_power for flow in self.flow.sets if flow.origin == name)

    def _with_losses(self, value: str) -> Any:
        load = (
            self.gear(self.losses(value)).load
            if "applied" in self.asked
            else self.hand_load(self.losses(value))
        )
        assert load is not None and load.with_losses is not None
        return load.with_losses

    def efficiency(self, name: str) -> float:
        found: float = self._with_losses(name).efficiency
        return found

    def torque_ratio(self, name: str) -> float:
        found: float = self._with_losses(name).torque_ratio
        return found


def judged() -> list[tuple[dict[str, Any], str]]:
    return [(case, state) for case in CASES for state in case["inputs"]["states"] if any(values(case, state))]


PARAMETERS = pytest.mark.parametrize(
    ("case", "state"), [pytest.param(case, state, id=f"{case['id']}: {state}") for case, state in judged()]
)


@PARAMETERS
def test_every_value_is_as_published(case: dict[str, Any], state: str) -> None:
    """Every figure that the case states lies within its tolerance of the computed one."""
    solved = Solved(case, state)
    for value in values(case, state):
        if value.key == "owc":
            continue
        computed = getattr(solved, value.key)(value.name)
        assert computed is not None, f"{value}: nothing was determined"
        assert abs(computed - Fraction(value.value)) <= value.tolerance, (
            f"{value}: expected {value.value} within {value.tolerance}, computed {float(computed)}"
        )


@pytest.mark.parametrize("state", next(case for case in CASES if case["id"] == "GT-20")["expected"])
def test_the_one_way_clutch_does_as_stated(state: str) -> None:
    """The case says in words whether it locks, overruns or lets go; where it lets go, the engine does not brake."""
    solved = Solved(next(case for case in CASES if case["id"] == "GT-20"), state)
    word = solved.case["expected"][state]["owc"]
    gear = solved.gear()
    assert gear.one_ways["OWC"].does is DOES[word]
    if "no engine braking" in word:
        assert gear.kind is StateKind.NEUTRAL
        assert not engine_braking(solved.train.network(), solved.asked["applied"])


@PARAMETERS
def test_torques_add_up_and_power_balances(case: dict[str, Any], state: str) -> None:
    """The external torques and what the case bears of pairs add up to zero, and so do their powers."""
    load = Solved(case, state).load
    if load is None or load.torques is None or not load.given:
        return
    torques = load.torques
    assert torques.bearings is not None
    assert sum(torques.external.values()) + torques.bearings == 0
    assert sum(torque * load.speeds[member] for member, torque in torques.external.items()) == 0


def case_of(case_id: str) -> dict[str, Any]:
    return next(case for case in CASES if case["id"] == case_id)


def test_misprints_of_the_sources_are_not_met() -> None:
    """GT-16 prints 1.5 where its own equation gives 3; GT-29 prints an intermediate −0.2857 as second gear.

    GT-09 rounds two speeds before it subtracts them: its 37.15 rpm are 37.5.
    """
    assert Solved(case_of("GT-16"), "rear axle blocked").speeds("front") == 3
    assert Solved(case_of("GT-29"), "2").ratio("") == Fraction(81, 32)
    assert Solved(case_of("GT-09"), "1").speeds("D") == Fraction(75, 2)


@pytest.mark.parametrize(("state", "wrong"), [("30/34/74", 0.9801), ("31/38/85", 0.9790)])
def test_two_sets_in_place_of_a_ravigneaux_count_one_mesh_twice(state: str, wrong: float) -> None:
    """The note of GT-36: what the coarser model gives, with three meshes at 0.99 for one sun and two for the other."""
    solved = Solved(case_of("GT-36"), state)
    coarse = SetLosses("0.99", special={"P Ss": Fraction(99, 100) ** 3, "P Sl": Fraction(99, 100) ** 2})
    found = solved.hand_load(coarse).with_losses
    assert found is not None and found.efficiency == pytest.approx(wrong, abs=5e-5)


def test_what_circulates_is_as_stated() -> None:
    """The note of GT-23: in fifth 0.2549 of the input power goes back through clutch B and the front set."""
    (loop,) = Solved(case_of("GT-23"), "5").flow.loops
    assert float(loop.power) == pytest.approx(0.2549, abs=5e-5)
    assert set(loop.through) == {"E", "rear", "B", "front"}
    assert Solved(case_of("GT-23"), "4").flow.loops == ()


def leaves(tree: Any, key: str = "") -> Iterator[str]:
    """Name of the judged key above every value below one, counted without the runner's own walk."""
    if isinstance(tree, Mapping):
        for name, below in tree.items():
            yield from leaves(below, name if name in JUDGED else key)
    else:
        yield key or "not judged"


def test_no_value_drops_out() -> None:
    """The runner judges every value that the file holds, and no case has lost its states."""
    in_file = [leaf for case in CASES for part in ("expected", "derived") for leaf in leaves(case[part])]
    run = [value.key for case, state in judged() for value in values(case, state)]
    assert sorted(run) == sorted(in_file)
    assert {key: run.count(key) for key in dict.fromkeys(run)} == dict.fromkeys(JUDGED) | JUDGED
    assert all(hasattr(Solved, key) for key in JUDGED if key != "owc")
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
