"""The trains that the drawings of trains are judged on: all published cases, the demos of the library, and demo A.

Demo A is typed here by hand from its gear list: a parallel-shaft unit of five axes, invented.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from xml.etree.ElementTree import Element

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.figures.canvas import Box
from countershaft.figures.stick_diagram import StickDiagram, stick_diagram
from countershaft.figures.train_flow import PowerShares, power_shares
from countershaft.mechanics.gear_sets import GearPair
from countershaft.mechanics.load import load_state
from countershaft.mechanics.network import Network
from countershaft.mechanics.powerflow import power_flow
from countershaft.mechanics.shift_elements import Clutch, Sleeve
from countershaft.mechanics.states import TrainState, solve_state
from countershaft.model.train import Train
from tests.published.test_gear_trains import CASES, train_of

from .drawn import Drawn, read

DEMO_A = Network(
    "IS",
    "D",
    pairs=(
        GearPair("1st", "g1", "L1", 15, 49),
        GearPair("4th", "IS", "d4", 38, 33),
        GearPair("5th", "IS", "d5", 45, 28),
        GearPair("2nd", "g2", "d2", 21, 47),
        GearPair("3rd", "IS", "d3", 27, 40),
        GearPair("final L1", "L1", "D", 16, 71),
        GearPair("final L2", "L2", "D", 19, 71),
        GearPair("reverse a", "g2", "RI", 17, 24),
        GearPair("reverse b", "RI", "dR", 24, 61),
    ),
    elements=(
        Clutch("K1", "IS", "g1"),
        Clutch("K2", "IS", "g2"),
        Clutch("K3", "d3", "L2"),
        Clutch("K4", "d4", "L1"),
        Clutch("K5", "d5", "L1"),
        Sleeve("SV", (("F", ("d2", "L2")), ("R", ("dR", "L2")))),
    ),
)
CHART_A = {
    "1": ("K1",),
    "2": ("K2", "SV:F"),
    "3": ("K3",),
    "4": ("K4",),
    "5": ("K5",),
    "R": ("K2", "SV:R"),
}


def published() -> dict[str, Network]:
    """Every train of the published cases, each once, by its case."""
    found: dict[Network, str] = {}
    for case in CASES:
        for number, state in enumerate(case["inputs"]["states"]):
            name = case["id"] if number == 0 else f"{case['id']} {state}"
            found.setdefault(train_of(case, state).network(), name)
    return {name: network for network, name in found.items()}


def demo(name: str) -> Train:
    """The train of a demo of the library."""
    train = read_transmission(library_text(name), name).train
    assert train is not None
    return train


def shares(network: Network, state: TrainState) -> PowerShares | None:
    """Power in every line of a gear that drives."""
    if state.ratio is None:
        return None
    return power_shares(power_flow(network, load_state(network, state, Fraction(1))))


def charts() -> dict[str, dict[str, tuple[str, ...]]]:
    """Every gear of every train that has gears: the applied elements by the name of the gear."""
    found: dict[str, dict[str, tuple[str, ...]]] = {"demo A": CHART_A}
    for letter in "BC":
        chart = demo(f"demo-{letter.lower()}").chart
        found[f"demo {letter}"] = {str(gear): tuple(applied) for gear, applied in chart.items()}
    names = {network: name for name, network in PUBLISHED.items()}
    for case in CASES:
        for state, asked in case["inputs"]["states"].items():
            if "applied" in asked:
                name = names[train_of(case, state).network()]
                found.setdefault(name, {})[state] = tuple(asked["applied"])
    return found


PUBLISHED = published()
NETWORKS = {
    **PUBLISHED,
    "demo A": DEMO_A,
    "demo B": demo("demo-b").network(),
    "demo C": demo("demo-c").network(),
}

CHARTS = charts()
GEARS = [(name, gear) for name, chart in CHARTS.items() for gear in chart]

_AIR = 0.5


def drawn_in_gear(name: str, gear: str) -> Drawn:
    """A train in one of its gears, with the power in it."""
    network = NETWORKS[name]
    state = solve_state(network, CHARTS[name][gear])
    return read(stick_diagram(StickDiagram(network, name, gear, state, shares(network, state))))


def solids(drawing: Drawn) -> Iterator[tuple[str, Box]]:
    """What is drawn in ink and stands upright or flat: lines, boxes, circles; power and grounds left out."""
    for element in drawing.root.iter():
        style, tag = element.get("class", ""), element.tag.rpartition("}")[2]
        if tag == "line" and "d-flow" not in style:
            x1, y1, x2, y2 = drawing.figures(element, "x1", "y1", "x2", "y2")
            yield style, Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))
        elif tag == "circle":
            x, y, radius = drawing.figures(element, "cx", "cy", "r")
            yield style, Box(x - radius, y - radius, x + radius, y + radius)
        elif tag == "rect" and (box := rect(drawing, element)) not in grounds(drawing):
            yield style, box


def rect(drawing: Drawn, element: Element) -> Box:
    """The box of a rectangle."""
    x, y, wide, high = drawing.figures(element, "x", "y", "width", "height")
    return Box(x, y, x + wide, y + high)


def grounds(drawing: Drawn) -> list[Box]:
    """The boxes that hold a text: names of applied elements, and relations that have no gears."""
    boxes = [rect(drawing, e) for style in ("d-applied", "d-head") for e in drawing.styled("rect", style)]
    return [box for box in boxes if any(words.box.inside(box) for words in drawing.words)]


def crossed_out(drawing: Drawn) -> list[tuple[str, str]]:
    """Texts that a line, a box or a circle runs through, with its class."""
    drawn = list(solids(drawing))
    return [
        (words.text, style)
        for words in drawing.words
        for style, box in drawn
        if words.box.touches(box, -_AIR)
    ]


def beyond(drawing: Drawn) -> list[object]:
    """What reaches out of the frame: texts, lines, circles, boxes."""
    boxes = [*((words.text, words.box) for words in drawing.words if words.text), *solids(drawing)]
    return [pair for pair in boxes if not pair[1].inside(drawing.frame)]
