"""The pattern page: every widget of the face with invented data, to look at and to test."""

from __future__ import annotations

from dataclasses import dataclass, replace

from jinja2 import Environment

from countershaft.figures.hole_map import Hole, HoleMap, hole_map
from countershaft.figures.slot_gauge import SlotGauge, Verdict, slot_gauge
from countershaft.metrology.budget import combine, from_half_width, from_repeats, from_step
from countershaft.papers.measured import BudgetTable, budget_table

__all__ = ["PatternsPage", "patterns_page"]


@dataclass(frozen=True, slots=True)
class Stage:
    """One station of the stage line."""

    name: str
    state: str
    href: str


@dataclass(frozen=True, slots=True)
class Working:
    """The lines behind a figure, where the limit comes from, and the budget of its uncertainty."""

    lines: tuple[str, ...]
    source: str
    table: BudgetTable


@dataclass(frozen=True, slots=True)
class Place:
    """The value at one of several places."""

    place: str
    value: str
    word: Verdict


@dataclass(frozen=True, slots=True)
class Standing:
    """By which rule a verdict stands, the value at each place, and what would decide it."""

    rule: str
    places: tuple[Place, ...]
    ways: tuple[str, ...]
    again_href: str


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A step beside the one on the page."""

    text: str
    href: str


@dataclass(frozen=True, slots=True)
class Shown:
    """A drawn gauge with its verdict."""

    svg: str
    verdict: Verdict
    why: str


@dataclass(frozen=True, slots=True)
class Measured:
    """A value in its slot, as a step shows it."""

    svg: str
    word: Verdict
    why: str
    working: Working
    rule: str = "guarded"
    places: tuple[Place, ...] = ()
    ways: tuple[str, ...] = ()
    again_href: str = ""


@dataclass(frozen=True, slots=True)
class Record:
    """Something that was measured at a step."""

    name: str
    href: str
    action: str
    answer: Measured
    because_href: str


@dataclass(frozen=True, slots=True)
class PatternsPage:
    """Everything that patterns.html reads."""

    stages: tuple[Stage, ...]
    working: Working
    standing: Standing
    record: Record
    gauges: tuple[Shown, ...]
    maps: tuple[str, ...]
    before: Neighbour
    after: Neighbour


_END_PLAY = SlotGauge(
    0.30, 0.80, 0.46, 0.03, 0.50, "mm", "good", 2, "End play of the input shaft", (0.33, 0.77)
)
_BUDGET = combine([from_repeats(0.01, 3), from_step(0.01), from_half_width("permitted error", 0.012)])


def _gauges() -> tuple[Shown, ...]:
    """Return one gauge of each kind."""
    kinds: tuple[tuple[SlotGauge, str], ...] = (
        (_END_PLAY, "0.46 mm lies inside 0.30 to 0.80 mm with its whole uncertainty."),
        (
            replace(_END_PLAY, value=0.87, verdict="bad"),
            "0.87 mm lies above 0.80 mm, further than its uncertainty.",
        ),
        (
            replace(_END_PLAY, value=0.79, verdict="measure again"),
            "0.79 mm is nearer to the limit than its uncertainty: take three more readings.",
        ),
        (replace(_END_PLAY, value=None, expanded_uncertainty=None, verdict="not measured"), ""),
        (
            replace(_END_PLAY, value=4.10, verdict="bad"),
            "4.10 mm lies far above 0.80 mm: look for a missing part.",
        ),
        (
            SlotGauge(
                1.90,
                None,
                1.42,
                0.01,
                None,
                "mm",
                "bad",
                2,
                "Friction plate thickness, brake C, worst of five",
            ),
            "1.42 mm lies below 1.90 mm.",
        ),
        (
            SlotGauge(None, 0.10, 0.04, 0.02, None, "mm", "good", 2, "Bore wear of the pump bushing"),
            "0.04 mm lies below 0.10 mm.",
        ),
    )
    return tuple(Shown(slot_gauge(gauge), gauge.verdict, why) for gauge, why in kinds)


_RING = (
    (92, 0),
    (74, 54),
    (28, 87),
    (-28, 87),
    (-74, 54),
    (-92, 0),
    (-74, -54),
    (-28, -87),
    (28, -87),
    (74, -54),
)
_RING_ORDER = (10, 3, 1, 5, 7, 9, 4, 2, 6, 8)


def _ring_map() -> str:
    """Return a joint of ten equal bolts, four of them done."""
    holes = tuple(
        Hole(f"P{index:02}", order, x, y, 18, 40, order <= 4, order == 5, "right", "#map")
        for index, ((x, y), order) in enumerate(zip(_RING, _RING_ORDER, strict=True), start=1)
    )
    return hole_map(HoleMap("Pump to case", holes, 2, 3, "12 N·m, in this order"))


def _row_map() -> str:
    """Return a joint whose places are not known, with a left-hand thread and lengths that differ."""
    kinds = ((60, 22), (45, 12), (45, 12), (30, 9))
    holes = tuple(
        Hole(
            f"R{turn}",
            turn,
            None,
            None,
            stands,
            length,
            turn == 1,
            turn == 2,
            "left" if turn == 4 else "right",
            None,
        )
        for turn, (length, stands) in enumerate(kinds, start=1)
    )
    return hole_map(HoleMap("Rear cover", holes, 1, 1, "25 N·m"))


_STAGES = (
    ("Intake", "done"),
    ("Diagnose", "done"),
    ("Teardown", "now"),
    ("Inspect", "open"),
    ("Decide", "open"),
    ("Fit", "open"),
    ("Build", "blocked"),
    ("Prove", "open"),
    ("Hand over", "open"),
)


_WORKING = Working(
    (
        "Three readings: 0.45, 0.46, 0.47 mm; mean 0.46 mm",
        "Resolution 0.01 mm, spread 0.01 mm, expanded uncertainty 0.03 mm",
    ),
    "invented for this page",
    budget_table(_BUDGET, "mm"),
)


def patterns_page(env: Environment) -> str:
    """Render patterns.html; the environment is the app's, with its globals."""
    page = PatternsPage(
        stages=tuple(Stage(name, state, "" if state == "blocked" else "#stages") for name, state in _STAGES),
        working=_WORKING,
        record=Record(
            "pump face clearance",
            "#measure",
            "Measure",
            Measured(slot_gauge(_END_PLAY), "good", "0.46 ± 0.03 mm lies inside 0.30 to 0.80 mm.", _WORKING),
            "",
        ),
        standing=Standing(
            "guarded",
            (
                Place("12 o'clock", "0.79 ± 0.03 mm", "measure again"),
                Place("6 o'clock", "0.46 ± 0.03 mm", "good"),
            ),
            ("5 readings in all would decide it, if they scatter as before.",),
            "#again",
        ),
        gauges=_gauges(),
        maps=(_ring_map(), _row_map()),
        before=Neighbour("Lift the input shaft out of the drum", "#before"),
        after=Neighbour("Count the plates of brake C", "#after"),
    )
    return env.get_template("patterns.html").render(page=page)
