"""Published bearing and gear lines: see noise.json beside this file for each source.

Where the check says "derived", teeth or geometry were read and the frequencies are ours: they show that nothing
changed.  Two cases are known errors of their sources, and the test is that we see them.
"""

from __future__ import annotations

import json
from math import radians
from pathlib import Path
from typing import Any

import pytest

from countershaft.mechanics.bearing_lines import (
    BearingGeometry,
    BearingLines,
    bearing_lines,
    multiplier_faults,
)
from countershaft.mechanics.frequencies import LineKind, TrainLines, train_lines
from countershaft.mechanics.gear_sets import GearPair, SinglePinion
from countershaft.mechanics.network import Network
from countershaft.mechanics.states import solve_state
from countershaft.mechanics.tooth_lines import tooth_pair

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case
    for case in json.loads(Path(__file__).with_name("noise.json").read_text(encoding="utf-8"))
}


def judge(case: str, **found: float | list[float]) -> None:
    """Every value that the case expects and that was found, within the case's tolerance."""
    expected = CASES[case]["expected"]
    for name, value in found.items():
        assert value == pytest.approx(expected[name], **CASES[case]["tol"]), f"{case} {name}"


def bearing(case: str, speed: float) -> BearingLines:
    given = CASES[case]["inputs"]
    ball = given.get("ball_mm") or given.get("ball_in") or given["ball"]
    pitch = given.get("pitch_mm") or given.get("pitch_in") or given["pitch"]
    geometry = BearingGeometry(given["n"], ball, pitch, radians(given.get("contact_deg", 0)))
    return bearing_lines(geometry, inner_speed=speed)


def test_multiples_of_a_catalogue_bearing() -> None:
    """What the table calls rolling element is two strikes a turn."""
    lines = bearing("BRG-6205-MULT", 1)
    judge(
        "BRG-6205-MULT",
        bpfo=lines.outer_pass,
        bpfi=lines.inner_pass,
        ftf=lines.cage,
        two_bsf=lines.element_strikes,
    )


def test_passes_at_a_speed() -> None:
    judge("BRG-6205-1797", bpfo_hz=bearing("BRG-6205-1797", 1797 / 60).outer_pass)


@pytest.mark.parametrize("case", ["BRG-1800-8-10-50", "BRG-MFPT-25HZ"])
def test_lines_in_hertz(case: str) -> None:
    given = CASES[case]["inputs"]
    lines = bearing(case, given.get("shaft_hz") or given["rpm"] / 60)
    judge(case, bpfo_hz=lines.outer_pass, bpfi_hz=lines.inner_pass, bsf_hz=lines.spin)
    if "ftf_hz" in CASES[case]["expected"]:
        judge(case, ftf_hz=lines.cage)


@pytest.mark.parametrize(("case", "speed"), [("BRG-25HZ-15DEG", 25), ("BRG-6203ZZ-OTTAWA", 1)])
def test_lines_from_published_geometry(case: str, speed: float) -> None:
    lines = bearing(case, speed)
    judge(case, bpfo=lines.outer_pass, bpfi=lines.inner_pass, bsf=lines.spin, ftf=lines.cage)


def test_a_stored_cage_line_that_contradicts_itself_is_told() -> None:
    given, speed = CASES["BRG-MFPT-FTF-ERR"]["inputs"], CASES["BRG-MFPT-25HZ"]["inputs"]["shaft_hz"]
    outer = given["stored_bpfo_hz"] / speed
    inner = CASES["BRG-MFPT-25HZ"]["expected"]["bpfi_hz"] / speed
    found = multiplier_faults(
        given["n"], outer_pass=outer, inner_pass=inner, cage=given["stored_ftf_hz"] / speed
    )
    assert len(found) == 1
    assert "this is the cage of a turning outer ring" in found[0]
    right = bearing("BRG-MFPT-25HZ", speed).cage
    judge("BRG-MFPT-FTF-ERR", correct_ftf_hz=right)
    assert multiplier_faults(given["n"], outer_pass=outer, inner_pass=inner, cage=right / speed) == ()


@pytest.mark.parametrize(
    "case", [case for case in CASES if "n" in CASES[case]["inputs"] and "FTF" not in case]
)
def test_passes_add_up_to_the_elements(case: str) -> None:
    lines, tol = bearing(case, 1), CASES["BRG-IDENTITY"]["tol"]
    count = lines.geometry.elements
    assert lines.outer_pass + lines.inner_pass == pytest.approx(count, **tol)
    assert lines.outer_pass == pytest.approx(count * lines.cage, **tol)
    assert lines.inner_pass == pytest.approx(count * (1 - lines.cage), **tol)


def stages(*teeth: int, speed: float) -> TrainLines:
    """Gear pairs one behind the other, two teeth counts each."""
    shafts = [f"s{index}" for index in range(len(teeth) // 2 + 1)]
    pairs = tuple(
        GearPair(f"Z{index}", shafts[index], shafts[index + 1], teeth[2 * index], teeth[2 * index + 1])
        for index in range(len(teeth) // 2)
    )
    network = Network(shafts[0], shafts[-1], pairs=pairs)
    return train_lines(network, solve_state(network, []), input_speed=speed)


def hertz(lines: TrainLines, kind: LineKind) -> list[float]:
    return [line.frequency for line in lines.of(kind)]


def test_pair_with_a_common_factor() -> None:
    given = CASES["GEAR-8-42"]["inputs"]
    lines = stages(given["z1"], given["z2"], speed=given["f1"])
    shafts = hertz(lines, LineKind.SHAFT)
    judge(
        "GEAR-8-42",
        f_in=shafts[0],
        f_out=shafts[1],
        mesh=hertz(lines, LineKind.MESH)[0],
        assembly_phase=hertz(lines, LineKind.ASSEMBLY_PHASE)[0],
    )
    judge(
        "GEAR-8-42-HTF",
        na=tooth_pair(given["z1"], given["z2"]).phases,
        htf=hertz(lines, LineKind.HUNTING_TOOTH)[0],
        apf=hertz(lines, LineKind.ASSEMBLY_PHASE)[0],
    )


def test_pair_without_a_common_factor() -> None:
    given = CASES["GEAR-13-35"]["inputs"]
    lines = stages(given["z1"], given["z2"], speed=given["f1_hz"])
    mesh = lines.of(LineKind.MESH)[0]
    beside = dict(mesh.modulations)
    judge(
        "GEAR-13-35",
        mesh_hz=mesh.frequency,
        f2_hz=hertz(lines, LineKind.SHAFT)[1],
        htf_hz=hertz(lines, LineKind.HUNTING_TOOTH)[0],
        sidebands_pinion_fault_hz=[mesh.frequency - beside["s0"], mesh.frequency + beside["s0"]],
        sidebands_gear_fault_hz=[mesh.frequency - beside["s1"], mesh.frequency + beside["s1"]],
    )
    assert lines.of(LineKind.ASSEMBLY_PHASE) == ()


def test_a_hunting_tooth_is_not_the_shaft() -> None:
    given, expected = CASES["GEAR-23-67-CONFLICT"]["inputs"], CASES["GEAR-23-67-CONFLICT"]["expected"]
    lines = stages(given["z1"], given["z2"], speed=given["rpm1"] / 60)
    hunting = hertz(lines, LineKind.HUNTING_TOOTH)[0]
    judge("GEAR-23-67-CONFLICT", mesh_hz=hertz(lines, LineKind.MESH)[0], htf_hz=hunting)
    assert hunting != pytest.approx(expected["wrong_published_htf_hz"], rel=0.5)


@pytest.mark.parametrize("case", ["GEAR-2STAGE-PHM", "GEAR-2STAGE-UCONN"])
def test_two_stages(case: str) -> None:
    given = CASES[case]["inputs"]
    lines = stages(*given["z"], speed=given["f_in_hz"])
    shafts, meshes = hertz(lines, LineKind.SHAFT), hertz(lines, LineKind.MESH)
    judge(case, mesh1_hz=meshes[0], f_mid_hz=shafts[1], mesh2_hz=meshes[1], f_out_hz=shafts[2])


def test_planetary_set_with_its_ring_held() -> None:
    """31 + 2 · 31 is not 95: shifted teeth; the note's own counts are taken as they are."""
    given = CASES["GEAR-PLANETARY"]["inputs"]
    set_ = SinglePinion("P", "S", "C", "R", given["zs"], given["zr"], planet="p", planet_teeth=given["zp"])
    network = Network("C", "S", sets=(set_,), grounded=("R",))
    state = solve_state(network, [])
    lines = train_lines(network, state, input_speed=given["fc_hz"], planets={"P": given["planets"]})
    mesh = lines.of(LineKind.MESH)[0]
    bad = {line.label: line.frequency for line in lines.of(LineKind.BAD_TOOTH)}
    beside = dict(mesh.modulations)
    judge(
        "GEAR-PLANETARY",
        mesh_hz=mesh.frequency,
        sun_hz=next(line.frequency for line in lines.of(LineKind.SHAFT) if line.origin == "S"),
        sun_rel_carrier_hz=beside["S"],
        sun_fault_hz=bad["tooth of S"],
        planet_rel_carrier_hz=beside["p"],
        planet_fault_hz=bad["tooth of p"],
        ring_fault_hz=bad["tooth of R"],
    )
