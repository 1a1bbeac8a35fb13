"""Selective fits: needed sizes, choices and dimension chains against selective_fits.json beside this file.

Evidence are the limits and fits of ISO 286 and the additive models of JCGM 101 (recalled); the probability of JCGM 106
is weak; the fits of the demo units are ours, worked out by plain arithmetic apart from the program.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from countershaft.metrology.stackup import Link, simulate, stack_up
from countershaft.planning.choosing import choose_fits
from countershaft.planning.clutch_fits import Plates, clutch_by_arithmetic
from countershaft.planning.gap_fits import Measured, Needed, end_play, interference, preload_by_gap
from countershaft.planning.likelihood import within
from countershaft.planning.shelf import Family, Gap, Listed, Piece, Place, Shop, Term
from countershaft.planning.torque_fits import by_known_rate

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case
    for case in json.loads(Path(__file__).with_name("selective_fits.json").read_text(encoding="utf-8"))
}
DEMO_FITS = [name for name in CASES if name.startswith("FIT-") and "method" in CASES[name]["inputs"]]
#: Readings to a hundredth: what one step of the scale leaves uncertain.
HUNDREDTH = 0.003


@pytest.mark.parametrize("name", CASES["T05-04"]["expected"])
def test_clearance_of_a_preferred_fit(name: str) -> None:
    """Worst case of hole less shaft, from the limit deviations in micrometres."""
    hole, _, shaft = name.partition("/")
    deviations = CASES["T05-04"]["inputs"]["deviations_um"]
    links = [
        Link("hole", 30_000, *deviations[hole]),
        Link("shaft", 30_000, *deviations[shaft], sensitivity=-1),
    ]
    assert stack_up(links).worst == tuple(reversed(CASES["T05-04"]["expected"][name]))


def links_of(case: str) -> list[Link]:
    """Four dimensions of standard deviation 1, or three of 1 and one of 10."""
    root = 3**0.5
    if case == "a":
        return [Link(name, 0, -1, 1, shape="normal", coverage=1) for name in "wxyz"]
    last = 10 if case == "c" else 1
    return [*(Link(name, 0, -root, root) for name in "wxy"), Link("z", 0, -last * root, last * root)]


@pytest.mark.parametrize("case", ["a", "b", "c"])
def test_additive_models(case: str) -> None:
    """200 000 draws, to the tolerance of the case."""
    standard, half = CASES["T06-11"]["expected"][case]
    found = simulate(links_of(case), seed=7, trials=200_000)
    assert found.standard == pytest.approx(standard, abs=0.051)
    assert (found.interval[1] - found.interval[0]) / 2 == pytest.approx(half, abs=0.051)
    assert stack_up(links_of(case)).standard == pytest.approx(standard, abs=0.051)


def test_probability_of_conformity() -> None:
    inputs = CASES["T06-07"]["inputs"]
    found = within(inputs["y"], inputs["u"], lower=inputs["TL"], upper=inputs["TU"])
    assert round(found, 2) == CASES["T06-07"]["expected"]["pc"]


def measured(text: str) -> Measured:
    """A figure read to a hundredth."""
    return Measured(Fraction(text), HUNDREDTH)


def needed_of(inputs: dict[str, Any]) -> Needed:
    """The needed size of a fit that is read as a length."""
    lower, upper = (Fraction(text) for text in inputs["spec"])
    if inputs["method"] == "arithmetic":
        stack = [Plates("pack", 1, measured(inputs["stack"]))]
        return clutch_by_arithmetic(measured(inputs["depth"]), stack, goal=(lower + upper) / 2)
    trial, reading, goal = measured(inputs["trial"]), measured(inputs["reading"]), Fraction(inputs["goal"])
    if inputs["method"] == "preload gap":
        return preload_by_gap(trial, reading, goal=goal)
    return end_play(trial, reading, goal=goal)


def gap_of(name: str, place: str) -> Gap:
    """A demo fit as it is chosen for."""
    inputs = CASES[name]["inputs"]
    lower, upper = (Fraction(text) for text in inputs["spec"])
    if inputs["method"] == "turning torque":
        found = by_known_rate(
            measured(inputs["trial"]),
            Measured(Fraction(inputs["torque"]), 0.03),
            rate=Measured(Fraction(inputs["rate"])),
            goal=Fraction(inputs["goal"]),
        )
        return found.as_gap(name, place=place, lower=lower, upper=upper)
    if inputs["method"] == "preload gap":
        lower, upper = -upper, -lower
    return needed_of(inputs).as_gap(name, place=place, lower=lower, upper=upper)


@pytest.mark.parametrize("name", [name for name in DEMO_FITS if "needed" in CASES[name]["expected"]])
def test_needed_size_and_what_the_choice_leaves(name: str) -> None:
    expected = CASES[name]["expected"]
    found = needed_of(CASES[name]["inputs"])
    assert found.size == Fraction(expected["needed"])
    assert abs(found.leaves(Fraction(expected["chosen"]))) == Fraction(expected["left"])


@pytest.mark.parametrize("letter", ["A", "B", "C"])
def test_all_fits_of_a_demo_chosen_together_come_to_its_sizes(letter: str) -> None:
    """All sizes can be had at one price: every fit gets the size of the demo's table that stands there."""
    names = [name for name in DEMO_FITS if name.startswith(f"FIT-{letter}-")]
    tables = {name: tuple(Fraction(text) for text in CASES[name]["inputs"]["table"]) for name in names}
    shop = Shop(
        families=tuple(Family(name, tables[name]) for name in names),
        places=tuple(Place(f"at {name}", name) for name in names),
        gaps=tuple(gap_of(name, f"at {name}") for name in names),
        listed=tuple(Listed(name, size) for name in names for size in tables[name]),
    )
    answer = choose_fits(shop)
    assert answer.verdict == "optimal" and not answer.beyond and not answer.no_step
    chosen = {one.family: one.size for one in answer.best.selected}
    assert chosen == {name: Fraction(CASES[name]["expected"]["chosen"]) for name in names}
    for one in answer.best.left:
        assert abs(one.value) == Fraction(CASES[one.gap]["expected"]["left"])
        assert one.inside


def test_exchanged_shims_are_each_right_in_the_other_place() -> None:
    case = CASES["FIT-A-exchanged"]
    inputs = case["inputs"]
    low, high = (Fraction(text) for text in inputs["spec"])
    found = {place: measured(text) for place, text in inputs["found"].items()}
    zero = {place: measured(text) for place, text in inputs["zero"].items()}
    for place, other in (("L1", "L2"), ("L2", "L1")):
        stood = interference(found[place], zero[place]).value
        assert stood == Fraction(case["expected"]["interference"][place])
        assert not low <= stood <= high
        assert interference(found[other], zero[place]).value == Fraction(
            case["expected"]["with_the_other"][place]
        )
    sizes = tuple(sorted(one.value for one in found.values()))
    gaps = tuple(
        Gap(place, one.value, one.standard, (Term(place),), -high, -low, -Fraction(inputs["goal"]))
        for place, one in zero.items()
    )
    pieces = tuple(
        Piece(f"found in {place}", "shim", one.value, one.standard) for place, one in found.items()
    )
    places = tuple(Place(place, "shim") for place in zero)
    plan = choose_fits(Shop((Family("shim", sizes),), places, gaps, pieces)).best
    assert {one.place: one.piece for one in plan.selected} == {"L1": "found in L2", "L2": "found in L1"}
    assert plan.probability > 0.99
