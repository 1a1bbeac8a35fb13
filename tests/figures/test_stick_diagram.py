"""Stick diagrams, read back from their SVG text and held to what a reader relies on.

Expected: the networks themselves (every name in them is in the drawing or said to be missing), and the ratios
that the gear list of the invented demo A gives; widths of texts come from the glyph table of the vendored face.
Every train of the published cases and of the demos is drawn, at rest and in all its gears.
Golden files are pinned own output, looked at in a browser.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from countershaft.errors import TrainError
from countershaft.figures.stick_diagram import StickDiagram, stick_diagram
from countershaft.mechanics.gear_sets import GearPair, SinglePinion
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import (
    Brake,
    Clutch,
    OneWayBetween,
    OneWayToGround,
    Sleeve,
)
from countershaft.mechanics.states import StateKind, solve_chart, solve_state
from countershaft.model.train import Train
from tests.strategies import TrainInState, trains

from . import drawn
from .trains import (
    CHART_A,
    CHARTS,
    DEMO_A,
    GEARS,
    NETWORKS,
    beyond,
    crossed_out,
    drawn_in_gear,
    shares,
)

ROOT = Path(__file__).parents[2]
WIDEST = 22.0 * 780 / 20
"""A drawing no wider than this shows its letters of 22 at 20 px or more on a page of 780 px."""

SPLIT = Network("in", "out", sets=(SinglePinion("P", "in", "out", "J", 30, 70),), elements=(Brake("B", "J"),))


def at_rest(name: str) -> drawn.Drawn:
    return drawn.read(stick_diagram(StickDiagram(NETWORKS[name], name)))


def spoken(drawing: drawn.Drawn) -> str:
    return " ".join(element.text or "" for element in drawing.root if element.tag.endswith(("title", "desc")))


def faults(drawing: drawn.Drawn) -> dict[str, object]:
    """Whatever spoils a drawing; empty for a good one."""
    found: dict[str, object] = {
        "texts on texts": drawn.overlaps(tuple(words for words in drawing.words if words.text)),
        "texts on lines": crossed_out(drawing),
        "out of the frame": beyond(drawing),
    }
    return {name: fault for name, fault in found.items() if fault}


@pytest.mark.parametrize("name", NETWORKS)
def test_no_text_lies_on_another_or_on_a_line_at_rest(name: str) -> None:
    assert faults(at_rest(name)) == {}


@pytest.mark.parametrize(("name", "gear"), GEARS)
def test_no_text_lies_on_another_or_on_a_line_in_gear(name: str, gear: str) -> None:
    assert faults(drawn_in_gear(name, gear)) == {}


@pytest.mark.parametrize("name", NETWORKS)
def test_text_stays_readable_on_a_tablet(name: str) -> None:
    drawing = at_rest(name)
    assert drawing.frame.right <= WIDEST
    assert {words.size for words in drawing.words} == {22.0}


@pytest.mark.parametrize("name", NETWORKS)
def test_every_member_and_element_is_named_in_the_drawing_and_in_words(name: str) -> None:
    network, drawing = NETWORKS[name], at_rest(name)
    written = {words.text for words in drawing.words}
    elements = {element.id for element in network.elements}
    assert {*network.members, *elements} - written == set()
    said = spoken(drawing)
    parts = {part.id for part in network.sets}
    assert [one for one in (*network.members, *elements, *parts) if one not in said] == []
    assert "Not drawn" not in said
    assert not any(words.text.startswith(("Not drawn", "Not named")) for words in drawing.words)


@pytest.mark.parametrize("name", NETWORKS)
def test_every_element_has_its_sign(name: str) -> None:
    network, drawing = NETWORKS[name], at_rest(name)
    kinds = [type(element) for element in network.elements]
    to_case = kinds.count(Brake) + kinds.count(OneWayToGround) + len(network.grounded)
    ticks = drawing.styled("line", "d-case")
    assert len(ticks) > 4 * to_case if network.grounded else len(ticks) == 4 * to_case
    assert len(drawing.styled("circle", "d-open")) == kinds.count(OneWayBetween) + kinds.count(OneWayToGround)
    assert len(drawing.styled("rect", "d-open")) == kinds.count(Sleeve)
    assert facing_plates(drawing) == kinds.count(Clutch)


def facing_plates(drawing: drawn.Drawn) -> int:
    """Pairs of upright plates of one height that stand 10 apart: clutches."""
    lines = [drawing.figures(e, "x1", "y1", "x2", "y2") for e in drawing.styled("line", "d-shaft")]
    plates = [(x1, y1) for x1, y1, x2, y2 in lines if x1 == x2 and abs(abs(y2 - y1) - 24.0) < 0.05]
    return sum(abs(x + 10.0 - other) < 0.05 and y == level for x, y in plates for other, level in plates)


@pytest.mark.parametrize(("name", "gear"), GEARS)
def test_what_is_applied_is_filled_and_said(name: str, gear: str) -> None:
    network, drawing = NETWORKS[name], drawn_in_gear(name, gear)
    state = solve_state(network, CHARTS[name][gear])
    held = {applied.partition(":")[0] for applied in state.applied} - set(state.overrunning)
    tagged = {words.text for words in drawing.words if "d-ontag" in words.style}
    assert tagged == held | set(state.catching)
    signs = [e for tag in ("rect", "circle") for e in drawing.styled(tag, "d-applied")]
    assert len(signs) == 2 * len(tagged)
    said = spoken(drawing)
    assert all(one in said for one in state.applied)
    assert ("Applied:" in said) == bool(state.applied)


def test_still_members_are_hatched_and_said() -> None:
    open_drawing = drawn.read(stick_diagram(StickDiagram(SPLIT, "one set")))
    state = solve_state(SPLIT, ["B"])
    held = drawn.read(stick_diagram(StickDiagram(SPLIT, "one set", "1", state)))
    assert len(open_drawing.styled("line", "d-case")) == 4
    assert len(held.styled("line", "d-case")) > 4
    assert "Standing still: J" in spoken(held)
    assert "hatched: still" in held.words[-1].text


def test_floating_members_are_dashed_and_said() -> None:
    state = solve_state(SPLIT, [])
    drawing = drawn.read(stick_diagram(StickDiagram(SPLIT, "one set", "N", state)))
    assert drawing.styled("g", "d-idle")
    assert "Free: " in spoken(drawing)
    assert "neutral: the output is not driven" in [words.text for words in drawing.words][1]


def test_a_tie_up_is_drawn_and_says_what_fights() -> None:
    network = NETWORKS["GT-22"]
    state = solve_state(network, ["Ks", "BSl", "BC"])
    assert state.kind == StateKind.TIE_UP
    drawing = drawn.read(stick_diagram(StickDiagram(network, "tie-up", "?", state, shares(network, state))))
    assert faults(drawing) == {}
    assert "tie-up" in " ".join(words.text for words in drawing.words)
    assert not drawing.styled("line", "d-flow")


def test_a_train_without_elements_or_of_one_typed_set_is_drawn() -> None:
    typed = Train.model_validate(
        {
            "input": "s",
            "output": "c",
            "sets": [
                {
                    "id": "P",
                    "kind": "single_pinion",
                    "sun": "s",
                    "carrier": "c",
                    "ring": "r",
                    "teeth": {"sun": 20, "ring": 70},
                }
            ],
        }
    ).network()
    for network in (typed, Network("a", "b", pairs=(GearPair("Z", "a", "b", 20, 30),))):
        drawing = drawn.read(stick_diagram(StickDiagram(network, "typed")))
        assert faults(drawing) == {}
        assert set(network.members) <= {words.text for words in drawing.words}


def test_what_cannot_be_drawn_is_named_under_the_drawing() -> None:
    inner = SinglePinion("P", "s", "c", "r", 20, 70, "p", 25)
    network = Network("s", "c", sets=(inner,), elements=(Brake("B", "p"),), further=("alone",))
    drawing = drawn.read(stick_diagram(StickDiagram(network, "odd")))
    foot = " ".join(words.text for words in drawing.words if words.style == "d-quiet")
    assert "Not drawn: B, on a planet; alone: nothing here touches it" in foot
    assert "Not drawn: B, on a planet; alone" in spoken(drawing)


def test_the_same_train_gives_the_same_bytes_in_every_process() -> None:
    script = (
        "from tests.figures.trains import *\n"
        "for name in ('GT-24', 'GT-29', 'demo A', 'demo B'):\n"
        "    print(stick_diagram(StickDiagram(NETWORKS[name], name)))\n"
    )

    def run(seed: str) -> bytes:
        env = os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": f"{ROOT / 'src'}:{ROOT}"}
        done = subprocess.run(
            [sys.executable, "-c", script], env=env, cwd=ROOT, capture_output=True, check=True
        )
        return done.stdout

    first = run("1")
    assert first.count(b"<svg") == 4
    assert first == run("2")


@pytest.mark.parametrize(
    ("name", "gear", "file"),
    [
        ("demo A", "R", "stick-diagram-demo-a-reverse.svg"),
        ("demo B", "5", "stick-diagram-demo-b-5.svg"),
        ("GT-24", "1", "stick-diagram-gt-24-1.svg"),
    ],
)
def test_a_drawing_that_was_looked_at_stays_as_it_is(
    name: str, gear: str, file: str, golden: Callable[[str, str], None]
) -> None:
    network = NETWORKS[name]
    state = solve_state(network, CHARTS[name][gear])
    golden(file, stick_diagram(StickDiagram(network, name, gear, state, shares(network, state))))


def test_demo_a_has_the_ratios_of_its_gear_list() -> None:
    # The list prints four decimals.
    listed = {"1": 14.4958, "2": 8.3634, "3": 5.5361, "4": 3.8536, "5": 2.7611, "R": -13.4087}
    found = {gear: float(state.ratio or 0) for gear, state in solve_chart(DEMO_A, CHART_A).items()}
    assert found == pytest.approx(listed, abs=5.1e-5)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(trains())
def test_any_train_is_drawn_cleanly_in_any_state(train: TrainInState) -> None:
    network = train.network
    state = solve_state(network, train.applied)
    power = None
    if state.ratio is not None:
        with suppress(TrainError):  # what holds the load may be left open
            power = shares(network, state)
    drawing = drawn.read(stick_diagram(StickDiagram(network, "a train", "1", state, power)))
    assert faults(drawing) == {}
    written = " ".join(words.text for words in drawing.words)
    for name in (*network.members, *(element.id for element in network.elements)):
        assert name in written, name
        assert name in spoken(drawing), name
