"""Power as line width: shares computed by hand from the tooth counts.

Two trains whose power divides, worked by hand with torques over tooth counts (torque on sun : torque on ring =
teeth of sun : teeth of ring) and speeds over the lever:

- GT-19 A, first gear: the input turns the front ring, the rear carrier is held.  The front sun takes 35/73 of
  the input torque, the front carrier gives 108/73, the rear ring 1; the output turns at 73/181.
- Demo B, fifth gear: the front carrier turns the large sun at 77/124, the input the rear carrier; the ring
  turns at 3/2 - 77/248 = 295/248.  The sun gives power
  back, from the front ring to the input: it goes round.
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from countershaft.figures.stick_diagram import StickDiagram, stick_diagram
from countershaft.figures.train_columns import Spacing
from countershaft.figures.train_flow import PowerShares, level, wire_shares
from countershaft.figures.train_layout import lay_out
from countershaft.mechanics.states import solve_state

from . import drawn
from .trains import CHARTS, GEARS, NETWORKS, drawn_in_gear, shares

CARRIER, SUN = Fraction(108, 181), Fraction(73, 181)
BACK = Fraction(77, 295)


NEAR = 16.0
"""A band ends no further from the next one than half a row of teeth, which joins them to the eye."""


def in_gear(name: str, gear: str) -> tuple[dict[str, set[float]], str]:
    """Power in the lines of each member, rounded, and the drawing."""
    network = NETWORKS[name]
    state = solve_state(network, CHARTS[name][gear])
    power = shares(network, state)
    assert power is not None
    found: dict[str, set[float]] = {}
    for wire, share in wire_shares(lay_out(network, Spacing()), power).items():
        found.setdefault(wire.member, set()).add(round(share, 4))
    return found, stick_diagram(StickDiagram(network, name, gear, state, power))


def widths(svg: str) -> set[int]:
    return {int(found) for found in re.findall(r"d-flow-(\d+)", svg)}


def test_power_that_splits_over_two_sets_is_drawn_in_its_shares() -> None:
    lines, svg = in_gear("GT-19", "A:1")
    assert lines["in"] - {0.0} == {1.0}
    assert lines["Rf"] == {1.0}
    assert lines["S"] - {0.0} == {round(float(SUN), 4)}
    assert lines["Cr"] == {0.0}
    assert lines["out"] - {0.0} == {1.0, *(round(float(share), 4) for share in (CARRIER, SUN))}
    # Widths are in eighths of the input's power: 8, 8 * 108/181 = 4.8 and 8 * 73/181 = 3.2.
    assert widths(svg) == {8, 5, 3}


def test_power_that_goes_round_is_wider_than_the_input() -> None:
    lines, svg = in_gear("demo B", "5")
    back, over = round(float(BACK), 4), round(float(1 + BACK), 4)
    assert lines["K2"] - {0.0} == {over}
    assert lines["Sl"] - {0.0} == {back}
    assert lines["K1"] - {0.0} == {back}
    assert lines["in"] - {0.0} == {1.0, back, over}
    assert lines["out"] == {1.0}
    # 8, 8 * 77/295 = 2.1 and 8 * 372/295 = 10.1.
    assert widths(svg) == {8, 2, 10}


def _touch(one: tuple[float, ...], two: tuple[float, ...]) -> bool:
    return all(
        max(min(one[axis], one[axis + 2]), min(two[axis], two[axis + 2]))
        <= min(max(one[axis], one[axis + 2]), max(two[axis], two[axis + 2])) + NEAR
        for axis in (0, 1)
    )


def _apart(bands: list[tuple[float, ...]]) -> list[tuple[float, ...]]:
    """Bands that cannot be reached along bands from the first."""
    waiting, left = bands[:1], bands[1:]
    while waiting:
        here = waiting.pop()
        waiting += [band for band in left if _touch(here, band)]
        left = [band for band in left if band not in waiting]
    return left


@pytest.mark.parametrize(("name", "gear"), GEARS)
def test_power_is_one_way_without_a_gap(name: str, gear: str) -> None:
    """Through a carrier whose set carries nothing, too, as in reverse of demo C."""
    drawing: drawn.Drawn = drawn_in_gear(name, gear)
    assert (
        _apart([drawing.figures(band, "x1", "y1", "x2", "y2") for band in drawing.styled("line", "d-flow")])
        == []
    )


@pytest.mark.parametrize(
    ("share", "width"), [(0.0, 0), (0.004, 0), (0.01, 1), (0.5, 4), (-0.5, 4), (1.0, 8), (1.5, 12), (9.0, 12)]
)
def test_width_grows_with_power_and_has_an_end(share: float, width: int) -> None:
    assert level(share) == width


def test_without_shares_no_line_carries_power() -> None:
    layout = lay_out(NETWORKS["GT-22"], Spacing())
    ends = {"in", "R"}
    found = wire_shares(layout, PowerShares())
    assert {share for wire, share in found.items() if wire.member not in ends} == {0.0}
