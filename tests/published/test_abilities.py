"""Published charts against what their trains can do.

Where the expected values come from: the ratios of `gear_trains.json`, each with its own source.  Every published gear
must be among the ratios that a complete count of the train's combinations finds, under the elements that the source
applies.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from countershaft.mechanics.abilities import Abilities, train_abilities
from countershaft.mechanics.holding import HoldingTable
from countershaft.mechanics.network import Network
from tests.published.test_gear_trains import CASES, train_of, values


def charts() -> list[Any]:
    """Cases with shift elements, by the network that each state uses."""
    found: dict[tuple[str, Network], list[tuple[dict[str, Any], str]]] = {}
    for case in CASES:
        for state, asked in case["inputs"]["states"].items():
            if "applied" in asked:
                key = (case["id"], train_of(case, state).network())
                found.setdefault(key, []).append((case, state))
    return [
        pytest.param(network, gears, id=f"{name}: {len(gears)} gears of {len(network.elements)} elements")
        for (name, network), gears in found.items()
    ]


def printed(case: dict[str, Any], state: str) -> tuple[float, float] | None:
    """The printed ratio of a state and its tolerance."""
    ratios = (value for value in values(case, state) if value.key == "ratio" and value.part == "expected")
    return next(((value.value, value.tolerance) for value in ratios), None)


def ratio_under(found: Abilities, applied: tuple[str, ...]) -> Fraction | None:
    for group in found.groups:
        for one in group.combinations:
            if set(one.applied) == set(applied):
                return group.ratio
    return None


@pytest.mark.parametrize(("network", "gears"), charts())
def test_every_published_gear_is_found(network: Network, gears: list[tuple[dict[str, Any], str]]) -> None:
    found, table = train_abilities(network), HoldingTable(network)
    for case, state in gears:
        wanted = printed(case, state)
        if wanted is None:
            continue
        applied = table.names(table.mask(case["inputs"]["states"][state]["applied"]))
        ratio = ratio_under(found, applied)
        assert ratio is not None, f"{case['id']} {state}: {applied} is not definite; {case['source']}"
        assert abs(float(ratio) - wanted[0]) <= wanted[1], f"{case['id']} {state}; {case['source']}"


def test_most_charts_are_judged() -> None:
    states = [(case, state) for case in CASES for state in case["inputs"]["states"]]
    judged = [printed(*one) for one in states if "applied" in one[0]["inputs"]["states"][one[1]]]
    assert len([one for one in judged if one is not None]) > 50
