"""Bands and load cases of a transmission file.

Expected values: areas and radii by hand; pull and holding torque of the invented trainer's band (3791 N, 252 N·m
wrapping on, 134 N·m unwrapping), computed by another program (consistency only); places and texts of faults by hand.
"""

from __future__ import annotations

from math import pi, radians
from typing import Any

import pytest
from pydantic import ValidationError

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.definitions.writer import write_transmission
from countershaft.errors import DefinitionError
from countershaft.mechanics.band import band_capacity, servo_force
from countershaft.model.bands import Band

FIGURES: dict[str, Any] = {
    "element": "G", "name": "band G", "drum_od_mm": "152", "wrap_deg": "300", "friction_coefficient": "0.12",
    "piston_od_mm": "66", "return_spring": "200 N", "lever_ratio": "1.4", "energised_by": "-",
}  # fmt: skip


def band(**changes: Any) -> Band:
    return Band.model_validate({**FIGURES, **changes})


def test_figures_become_radii_and_areas() -> None:
    found = band(piston_id_mm="12").mechanical()
    assert found is not None
    assert (found.band.drum_radius, found.band.wrap_angle) == pytest.approx((0.076, radians(300)))
    assert found.servo.area == pytest.approx(pi * (0.033**2 - 0.006**2))
    assert (found.servo.return_spring, found.servo.lever_ratio) == pytest.approx((200, 1.4))
    assert found.energised_by == "-"


def test_the_band_of_the_shipped_trainer_holds_what_was_computed_elsewhere() -> None:
    (one,) = read_transmission(library_text("demo-c"), "demo-c").bands
    found = one.mechanical()
    assert found is not None and one.full_pressure is not None
    pull = servo_force(found.servo, pressure=one.full_pressure.to("kPa") * 1e3)
    both = band_capacity(found.band, force=pull)
    assert (pull, both.energised, both.de_energised) == pytest.approx((3791, 252, 134), abs=0.5)


@pytest.mark.parametrize("key", ["drum_od_mm", "wrap_deg", "friction_coefficient", "piston_od_mm"])
def test_without_a_figure_nothing_is_made_up(key: str) -> None:
    lacking = band(**{key: None})
    assert lacking.mechanical() is None
    assert lacking.missing == (key,)


@pytest.mark.parametrize(
    ("changes", "place", "said"),
    [
        ({"piston_id_mm": "70"}, ("piston_id_mm",), "smaller than the outer one (66 mm); are they swapped?"),
        ({"energised_by": "yes"}, ("energised_by",), "Input should be '+' or '-'"),
        ({"wrap_deg": "0"}, ("wrap_deg",), "greater than 0"),
        ({"friction_coefficient": "1.2"}, ("friction_coefficient",), "less than 1"),
    ],
)
def test_faults_lie_at_their_key(changes: dict[str, Any], place: tuple[str, ...], said: str) -> None:
    with pytest.raises(ValidationError) as caught:
        band(**changes)
    (error,) = caught.value.errors()
    assert error["loc"] == place
    assert said in error["msg"]


FILE = """format: 1
name: small
train:
  input: in
  output: out
  sets:
    - {id: P, kind: single_pinion, sun: in, carrier: out, ring: R, teeth: {sun: 30, ring: 60}}
  elements:
    G: {kind: band, member: R}
    K: {kind: clutch, members: [in, out]}
  chart: {"1": [G], "2": [K]}
bands:
  - {element: G, name: band G}
load_cases:
  - {gear: "1", torque_ratio: 2.0, pressures: {G: 700 kPa}}
"""


def test_a_file_with_bands_is_written_as_it_was_read() -> None:
    for text in (FILE, library_text("demo-c")):
        unit = read_transmission(text, "f")
        assert read_transmission(write_transmission(unit), "f") == unit


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ("{element: G, name", "{element: H, name", 13, "there is no shift element 'H'"),
        ("{element: G, name", "{element: K, name", 13, "K is a clutch in the train"),
        ('{gear: "1"', '{gear: "3"', 15, "there is no gear '3'"),
        ("pressures: {G:", "pressures: {GG:", 15, "there is no shift element 'GG'"),
        ("name: band G}", "name: band G, source: sheet}", 13, "there is no source 'sheet'"),
        ("700 kPa}}", "700 kPa}, source: sheet}", 15, "there is no source 'sheet'"),
        ("torque_ratio: 2.0", "torque_ratio: -2", 15, "expected more than 0"),
    ],
)
def test_what_leads_nowhere_is_told_at_its_line(old: str, new: str, line: int, said: str) -> None:
    with pytest.raises(DefinitionError) as caught:
        read_transmission(FILE.replace(old, new, 1), "f")
    assert [(fault.line, said in str(fault)) for fault in caught.value.faults] == [(line, True)], str(
        caught.value
    )


def test_a_band_that_stands_twice_is_told() -> None:
    twice = FILE.replace("name: band G}\n", "name: band G}\n  - {element: G, name: again}\n")
    with pytest.raises(DefinitionError, match="band 'G' stands twice"):
        read_transmission(twice, "f")


def test_names_are_told_beside_a_band_that_cannot_be_read() -> None:
    wrong = FILE.replace(
        "name: band G}\n", "name: band G}\n  - {element: G2, name: x, wrap_deg: no}\n"
    ).replace('{gear: "1"', '{gear: "3"')
    with pytest.raises(DefinitionError) as caught:
        read_transmission(wrong, "f")
    assert [fault.line for fault in caught.value.faults] == [14, 16]
