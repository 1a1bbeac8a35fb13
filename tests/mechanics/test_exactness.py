"""No rank is decided by a tolerance.

Expected values: the program text itself, and trains that differ from each other by one part in 10^30, which no floating
figure can tell apart; what each must do is plain from its ratios.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

import countershaft.mechanics
from countershaft.mechanics.abilities import train_abilities
from countershaft.mechanics.gear_sets import BasicRatio, GearPair
from countershaft.mechanics.gears import load_gear
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Clutch
from countershaft.mechanics.states import StateKind, solve_state

FOLDER = Path(countershaft.mechanics.__file__).parent

#: Modules that decide what turns, floats, locks, carries or holds, with the few functions in which a floating figure
#: may stand, and why.
DECIDING: dict[str, dict[str, str]] = {
    **{
        name: {}
        for name in (
            "abilities", "conflicts", "constraints", "exact", "gear_sets", "holding", "layout", "meshes",
            "network", "oneways", "powerflow", "sharing", "shift_elements", "sparse", "speeds", "states",
        )
    },
    "forces": {"loss_ports": "the efficiency as a figure for what is told of a mesh, beside the exact one"},
    "statics": {"_divided": "a torque with losses becomes a figure once it is settled"},
    "load": {"_add_mesh_loads": "the figures of a balance that is settled, mesh by mesh"},
    "rolling": {
        "_BELOW_ONE": "the margin that a bound must keep, so that rounding makes more work and no other answer",
        "_settles_all": "a bound",
        "_undecided": "a bound",
        "_contracts": "a bound",
    },
}  # fmt: skip

#: Functions that make floating figures, or compare with a tolerance.
SUSPECT = {"float", "round", "isclose", "sqrt", "matrix_rank", "lstsq", "allclose"}


def floating(name: str) -> Iterator[str]:
    """Outermost function or name of every floating figure and of every suspect call in a module."""
    for statement in ast.parse((FOLDER / f"{name}.py").read_text(encoding="utf-8")).body:
        inner = statement.body if isinstance(statement, ast.ClassDef) else [statement]
        for part in inner:
            target = part.targets[0] if isinstance(part, ast.Assign) else None
            place = target.id if isinstance(target, ast.Name) else getattr(part, "name", "")
            for node in ast.walk(part):
                called = node.func if isinstance(node, ast.Call) else None
                word = getattr(called, "id", None) or getattr(called, "attr", None)
                if word in SUSPECT or (isinstance(node, ast.Constant) and isinstance(node.value, float)):
                    yield place


@pytest.mark.parametrize("name", sorted(DECIDING))
def test_what_decides_uses_whole_numbers_and_fractions(name: str) -> None:
    assert set(floating(name)) == set(DECIDING[name])


def test_the_search_for_floating_figures_finds_them() -> None:
    """A module that is known to round its answers for people shows up."""
    assert set(floating("slip")) >= {"explain_speeds", "_candidate"}


HAIR = Fraction(1, 10**30)


def parallel(ratio: Fraction) -> Network:
    """Two ways from input to output: a pair 1 to 1, and one with its own ratio, each on a clutch."""
    sets = (
        BasicRatio("P", "case", "w1", (("in", Fraction(1)),)),
        BasicRatio("Q", "case", "w2", (("in", ratio),)),
    )
    return Network(
        "in",
        "out",
        sets=sets,
        grounded=("case",),
        elements=(Clutch("K1", "w1", "out"), Clutch("K2", "w2", "out")),
    )


def test_a_hair_makes_a_tie_up() -> None:
    """Equal ratios turn together; one part in 10^30 apart they fight, and no gear is listed for both."""
    same, apart = parallel(Fraction(1)), parallel(1 + HAIR)
    assert solve_state(same, ["K1", "K2"]).kind is StateKind.DEFINITE
    tied = solve_state(apart, ["K1", "K2"])
    assert tied.kind is StateKind.TIE_UP
    assert tied.fighting == (("K1", "K2"),)
    assert train_abilities(same).tied == 0
    assert train_abilities(apart).tied == 1
    assert [group.ratio for group in train_abilities(apart).groups] == [1 + HAIR, 1]


def test_a_hair_makes_a_gear() -> None:
    """in = m and out = (1 − k) · m: at k = 1 the output stands still, a hair beside it there is a ratio of 10^30."""

    def train(k: Fraction) -> Network:
        part = BasicRatio("P", "in", "out", (("held", 1 / k),))
        return Network("in", "out", sets=(part,), grounded=("held",))

    still = solve_state(train(Fraction(1)), [])
    assert still.output_at_rest
    assert load_gear(train(Fraction(1)), []).load is None
    crawling = load_gear(train(1 - HAIR), [])
    assert crawling.ratio == 10**30
    assert crawling.load is not None and crawling.load.torques is not None
    assert crawling.load.torques.external["out"] == -(10**30)


def test_a_hair_strains_two_layshafts() -> None:
    """With equal ratios two layshafts share a load; with ratios a hair apart they lock the train."""

    def train(teeth: Fraction) -> Network:
        pairs = (
            GearPair("a1", "in", "a", 20, 40),
            GearPair("a2", "a", "out", 25, 35),
            GearPair("b1", "in", "b", 20, 40),
            GearPair("b2", "b", "out", 25, teeth),
        )
        return Network("in", "out", pairs=pairs)

    assert load_gear(train(Fraction(35)), []).kind is StateKind.DEFINITE
    locked = load_gear(train(35 + HAIR), [])
    assert locked.kind is StateKind.TIE_UP
    assert locked.state.fighting == ()
