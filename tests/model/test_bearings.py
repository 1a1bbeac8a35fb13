"""Bearings and speed sensors of a transmission file.

Expected values: places and texts of faults by hand, as a reader of the file would meet them.
"""

from __future__ import annotations

from math import radians

import pytest

from countershaft.definitions.reader import read_transmission
from countershaft.errors import DefinitionError
from countershaft.model.bearings import Bearing
from countershaft.model.transmission import Transmission

HEAD = """\
format: 1
name: x
train:
  input: in
  output: out
  sets:
    - {id: P, kind: single_pinion, sun: in, carrier: out, ring: R, planet: p, teeth: {sun: 30, ring: 72, planet: 21}}
  elements:
    B: {kind: brake, member: R}
"""


def file(*lines: str) -> str:
    return HEAD + "".join(f"  {line}\n" for line in lines)


def read(*lines: str) -> Transmission:
    return read_transmission(file(*lines), "x.yaml")


def test_figures_become_metres_and_radians() -> None:
    unit = read(
        "bearings:",
        "  - {id: B1, inner: out, balls: 9, ball_diameter_mm: 7.94, pitch_diameter_mm: 39.04, contact_angle_deg: 15}",
        "  - {id: B2, inner: out, outer: p, load: out, balls: 12, ball_diameter_mm: 2, pitch_diameter_mm: 12}",
        "speed_sensors:",
        "  - {id: S1, member: p, teeth: 21}",
    )
    assert unit.train is not None
    first, second = (bearing.mechanical() for bearing in unit.train.bearings)
    geometry = first.geometry
    assert geometry.elements == 9
    assert (geometry.element_diameter, geometry.pitch_diameter, geometry.contact_angle) == pytest.approx(
        (0.00794, 0.03904, radians(15))
    )
    assert (first.inner, first.outer, first.load) == ("out", None, None)
    assert (second.inner, second.outer, second.load) == ("out", "p", "out")
    assert unit.train.speed_sensors[0].mechanical().teeth == 21


GOOD = "balls: 9, ball_diameter_mm: 7.94, pitch_diameter_mm: 39.04"

UNKNOWN = "A shaft without gears is listed under members"

#: What is written -> the words at which the fault lies, and what is said.
WRONG = {
    f"{{id: B, inner: outt, {GOOD}}}": (
        "outt,",
        f".inner: no set or pair has a member 'outt'; did you mean 'out'? {UNKNOWN}",
    ),
    f"{{id: B, outer: R, load: C, {GOOD}}}": (
        "C,",
        f".load: no set or pair has a member 'C'; known are in, out, R, p. {UNKNOWN}",
    ),
    f"{{id: B, {GOOD}}}": ("{id", ": neither ring names a member; give inner, outer or both"),
    f"{{id: B, inner: out, outer: out, {GOOD}}}": (
        "out, balls",
        ".outer: both rings turn with 'out'; name two members, or leave out the ring in the case",
    ),
    "{id: B, inner: in, balls: 9, ball_diameter_mm: 39.04, pitch_diameter_mm: 7.94}": (
        "7.94}",
        ".pitch_diameter_mm: the pitch diameter must be larger than a ball (39.04 mm)",
    ),
    "{id: B, inner: in, balls: 16, ball_diameter_mm: 7.94, pitch_diameter_mm: 39.04}": (
        "16,",
        ".balls: 16 balls of 7.94 mm do not fit on 39.04 mm; at most 15 do",
    ),
    f"{{id: B, inner: in, {GOOD}, contact_angle_deg: 90}}": (
        "90}",
        ".contact_angle_deg: the figure is too big; expected less than 90, got '90'",
    ),
}


@pytest.mark.parametrize("written", WRONG)
def test_each_fault_is_told_at_its_key(written: str) -> None:
    words, said = WRONG[written]
    with pytest.raises(DefinitionError) as caught:
        read("bearings:", f"  - {written}")
    (fault,) = caught.value.faults
    assert (fault.line, fault.column) == (11, len("    - ") + 1 + written.index(words))
    assert str(fault).partition(": ")[2].startswith(f"train.bearings[B]{said}")


def test_an_id_stands_once() -> None:
    bearing = f"  - {{id: B, inner: out, {GOOD}}}"
    with pytest.raises(
        DefinitionError, match=r"12:12: train.bearings\[.*: id 'B' is used twice; give each its own"
    ):
        read("bearings:", bearing, bearing)
    sensor = "  - {id: S, member: out, teeth: 40}"
    with pytest.raises(DefinitionError, match=r"12:12: train.speed_sensors\[.*: id 'S' is used twice"):
        read("speed_sensors:", sensor, sensor)


def test_a_sensor_reads_a_member_that_is_there() -> None:
    with pytest.raises(
        DefinitionError, match=r"speed_sensors.*no set or pair has a member 'oot'; did you mean 'out'"
    ):
        read("speed_sensors:", "  - {id: S, member: oot, teeth: 40}")
    with pytest.raises(DefinitionError, match="the figure is too small"):
        read("speed_sensors:", "  - {id: S, member: out, teeth: 0}")


def test_a_sensor_makes_no_shaft() -> None:
    """An output that only a sensor names is misspelt, or leads nowhere."""
    text = file("speed_sensors:", "  - {id: S, member: tail, teeth: 40}").replace(
        "output: out", "output: tail"
    )
    with pytest.raises(DefinitionError, match=r"train\.output: no set, pair or element names 'tail'"):
        read_transmission(text, "x.yaml")


def test_a_full_row_of_balls_fits() -> None:
    """By hand: 15 balls of 8 mm need 8 / sin(12°) = 38.48 mm."""
    Bearing(id="B", inner="a", balls=15, ball_diameter_mm="8", pitch_diameter_mm="38.5")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=r"15 balls of 8 mm do not fit on 38\.4 mm; at most 14 do"):
        Bearing(id="B", inner="a", balls=15, ball_diameter_mm="8", pitch_diameter_mm="38.4")  # type: ignore[arg-type]
