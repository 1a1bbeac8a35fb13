"""Threads, preload, stripping, torque tools and tightening orders against published values.

Where the expected values come from: `fasteners.json`, each case with its standard, book or paper, and whether the
printed value was read or recalled.  Two known misprints are not met: T03-01 calls a maximum a minimum, and the sum of
FA-07 was made with a wrong spring; their notes say so, and tests below show the difference.
"""

from __future__ import annotations

import json
import math
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from countershaft.mechanics.bearing_face import BearingFace, bearing_face
from countershaft.mechanics.bolted_joint import (
    Layer,
    bolt_stiffness,
    joint_constant,
    member_stiffness,
    turn_for_preload,
)
from countershaft.mechanics.engagement import (
    bolt_thread_factor,
    hole_thread_factor,
    nut_wall_factor,
    shear_areas,
)
from countershaft.mechanics.preload import Friction, nut_factor, tightening_torque, torque_by_nut_factor
from countershaft.mechanics.preload_scatter import TIGHTENING_METHODS, tightening_factor
from countershaft.mechanics.property_class import proof_load, strength, tensile_load
from countershaft.mechanics.tapped_material import tapped_material
from countershaft.mechanics.thread import Thread, parse_thread
from countershaft.mechanics.thread_limits import ThreadLimits, limits_of_size
from countershaft.mechanics.tightening_stress import preload_at_yield_share
from countershaft.mechanics.torque_tool import TorqueTool, adapter_setting, check_points, usable
from countershaft.metrology.readings import estimate
from countershaft.planning.tightening import tightening_order

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case
    for case in json.loads(Path(__file__).with_name("fasteners.json").read_text(encoding="utf-8"))
}
INCH = 25.4e-3
POUND = 4.4482216152605
KSI = 6.894757293e6
MPSI_INCH = 1e6 * POUND / INCH  # a stiffness of 1 Mlbf/in


def half_a_digit(printed: str) -> float:
    """Half a unit of the last printed digit."""
    return 0.5000001 * 10.0 ** -len(printed.partition(".")[2])


def near(case: str, name: str) -> Any:
    """The printed value of a case, to half a unit of its last digit."""
    printed = CASES[case]["printed"][name]
    return pytest.approx(float(printed), abs=half_a_digit(printed))


def entries(case: str, group: str = "expected") -> list[Any]:
    return [pytest.param(case, name, id=f"{case}-{name}") for name in CASES[case][group]]


def metric(figures: dict[str, float]) -> Thread:
    return parse_thread(f"M{figures['d_mm']}x{figures['P_mm']}")


# --- 1 threads ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("case", "name"), entries("T01-01"))
def test_metric_stress_area(case: str, name: str) -> None:
    """ISO 898-1, areas of three figures: above 100 mm² the last printed digit is a whole one."""
    assert metric(CASES[case]["inputs"][name]).stress_area * 1e6 == near(case, name)


@pytest.mark.parametrize(("case", "name"), [*entries("T01-02"), *entries("T01-05")])
def test_basic_dimensions(case: str, name: str) -> None:
    """ISO 724: pitch diameter, minor diameter of the hole, root of the bolt."""
    inputs = CASES[case]["inputs"][name]
    thread = metric(inputs) if isinstance(inputs, dict) else parse_thread(f"M{inputs[0]}x{inputs[1]}")
    found = [thread.pitch_diameter, thread.minor_diameter, thread.root_diameter]
    assert [value * 1e3 for value in found] == pytest.approx(CASES[case]["expected"][name], abs=0.0006)


@pytest.mark.parametrize(("case", "name"), [*entries("T01-06"), *entries("T01-08")])
def test_proof_and_tensile_loads(case: str, name: str) -> None:
    """ISO 898-1: the standard multiplies rounded areas and rounds again, so 0.7 % is allowed."""
    load = proof_load if case == "T01-06" else tensile_load
    found = [load(each, parse_thread(name)) for each in ("8.8", "9.8", "10.9", "12.9")]
    assert found == pytest.approx(CASES[case]["expected"][name], rel=0.007)


@pytest.mark.parametrize(("case", "name"), entries("T01-09"))
def test_unified_stress_area(case: str, name: str) -> None:
    """ASME B1.1, in²."""
    found = parse_thread(name).stress_area / INCH**2
    assert found == pytest.approx(CASES[case]["expected"][name], rel=0.002)


def test_limits_of_m10() -> None:
    """ISO 965-2: M10x1.5-6g, to the printed micrometre."""
    printed = CASES["T01-10"]["expected"]["limits_mm"]
    assert bolt_limits(parse_thread("M10x1.5-6g")) == pytest.approx(printed, abs=0.0005001)


@pytest.mark.parametrize(("case", "name"), entries("FA-01"))
def test_limits_of_bolts(case: str, name: str) -> None:
    """6g limits."""
    assert bolt_limits(parse_thread(name)) == pytest.approx(CASES[case]["expected"][name], abs=0.0005001)


def bolt_limits(thread: Thread) -> list[float]:
    limits = limits_of_size(thread)
    found = (limits.bolt_major_max, limits.bolt_major_min, limits.bolt_pitch_max, limits.bolt_pitch_min)
    return [value * 1e3 for value in found]


@pytest.mark.parametrize(("case", "name"), entries("FA-02"))
def test_pitch_diameter_tolerance_of_holes(case: str, name: str) -> None:
    """6H, in µm."""
    thread = parse_thread(name)
    tolerance = limits_of_size(thread).hole_pitch_max - thread.pitch_diameter
    assert round(tolerance * 1e6, 6) == CASES[case]["expected"][name]


def test_limits_of_a_quarter_inch() -> None:
    """ASME B1.1: 2A and 2B of 1/4-20 UNC; the largest minor diameter is printed to three decimals."""
    limits = limits_of_size(parse_thread("1/4-20 UNC"))
    found = [
        limits.bolt_major_max, limits.bolt_major_min, limits.bolt_pitch_max, limits.bolt_pitch_min,
        limits.hole_pitch_max, limits.hole_minor_max,
    ]  # fmt: skip
    expected = CASES["FA-10"]["expected"]["limits_in"]
    assert [value / INCH for value in found[:5]] == pytest.approx(expected[:5], abs=0.0001)
    assert found[5] / INCH == pytest.approx(expected[5], abs=0.0005)


@pytest.mark.parametrize(("case", "name"), entries("FA-03"))
def test_property_class(case: str, name: str) -> None:
    """ISO 898-1:2013: tensile strength, yield, proof stress, with the step of 8.8 above 16 mm."""
    class_, size = name.split()
    row = strength(class_, parse_thread(size))
    found = [row.tensile_strength, row.yield_stress, row.proof_stress]
    assert [value / 1e6 for value in found] == CASES[case]["expected"][name]


@pytest.mark.parametrize(("case", "name"), entries("FA-04"))
def test_sae_grade(case: str, name: str) -> None:
    """SAE J429 in ksi, with the steps above 3/4 in and 1 in."""
    grade, thread = name.split(maxsplit=2)[:2], name.split(maxsplit=2)[2]
    row = strength(" ".join(grade), parse_thread(thread))
    found = [row.tensile_strength, row.yield_stress, row.proof_stress]
    assert [value / KSI for value in found] == pytest.approx(CASES[case]["expected"][name], rel=1e-9)


# --- 2 torque and preload -----------------------------------------------------------------------------------


def assembly(thread: Thread, face: BearingFace, friction: float, yield_mpa: float) -> tuple[float, float]:
    """Preload [kN] at 90 % of the yield stress, and its torque [N m]."""
    preload = preload_at_yield_share(thread, yield_mpa * 1e6, friction, 0.9)
    return preload / 1e3, tightening_torque(preload, thread, face, Friction(friction, friction)).total


@pytest.mark.parametrize(
    ("case", "name"), [*entries("T02-01"), *entries("T02-03"), *entries("T02-05")]
)  # fmt: skip
def test_assembly_of_fine_threads(case: str, name: str) -> None:
    """VDI 2230: preload to 0.3 %, torque to 0.6 % (whole newton metres are printed)."""
    inputs = CASES[case]["inputs"]
    friction, class_ = name.removeprefix("mu").split("_")
    face = BearingFace(inputs["dw_mm"] * 1e-3, inputs["dh_mm"] * 1e-3)
    preload, torque = assembly(metric(inputs), face, float(friction), inputs["Rp02_MPa"][class_])
    expected = CASES[case]["expected"][name]
    assert preload == pytest.approx(expected[0], rel=0.003)
    assert torque == pytest.approx(expected[1], rel=0.006)


@pytest.mark.parametrize(
    ("case", "size"),
    [(case, size) for case in ("T02-06", "T02-08") for size in CASES[case]["inputs"]["sizes"]],
)
def test_assembly_of_coarse_threads(case: str, size: str) -> None:
    """VDI 2230, Table A1: four frictions, to 1.25 % (two figures are printed)."""
    inputs = CASES[case]["inputs"]
    thread = parse_thread(size)
    name = f"{thread.diameter_mm}"
    face = BearingFace(inputs["dw_mm"][name] * 1e-3, inputs["dh_mm"][name] * 1e-3)
    found = [assembly(thread, face, friction, 640) for friction in inputs["mu"]]
    preloads, torques = CASES[case]["expected"][f"M{name}"]
    assert [preload for preload, _ in found] == pytest.approx(preloads, rel=0.0125)
    assert [torque for _, torque in found] == pytest.approx(torques, rel=0.0125)


def test_most_and_least_preload() -> None:
    """M12 8.8: most preload at 90 % of yield, least by the tightening factor."""
    inputs, expected = CASES["T02-09"]["inputs"], CASES["T02-09"]["expected"]
    thread = parse_thread(inputs["thread"])
    most = preload_at_yield_share(thread, strength("8.8", thread).yield_stress, inputs["mu"])
    assert most / 1e3 == pytest.approx(expected["FMmax_kN"], abs=0.1)
    assert most / inputs["alpha_A"] / 1e3 == pytest.approx(expected["FMmin_kN"], abs=0.1)


@pytest.mark.parametrize(("case", "name"), entries("T02-11"))
def test_nut_factor_chart(case: str, name: str) -> None:
    """T = K F d; 5/16-18 is printed in lbf·in, the rest in lbf·ft."""
    inputs = CASES[case]["inputs"][name]
    unit = POUND * INCH * (1 if name == "5/16-18" else 12)
    diameter = parse_thread(name).diameter
    found = [torque_by_nut_factor(inputs["F_lbf"] * POUND, diameter, factor) / unit for factor in inputs["K"]]
    assert found == pytest.approx(CASES[case]["expected"][name], abs=0.6)


def test_thirty_bolts_at_one_torque() -> None:
    """Mean and scatter of preloads, and the nut factor of the dry ones."""
    inputs = CASES["T02-13"]["inputs"]
    for kind, mean, spread in (("dry_kN", "mean_dry", "sd_dry"), ("lubricated_kN", "mean_lub", "sd_lub")):
        found = estimate(inputs[kind], resolution=1e-6)
        assert found.mean == near("T02-13", mean)
        assert found.spread == near("T02-13", spread)
    dry = sum(inputs["dry_kN"]) / len(inputs["dry_kN"]) * 1e3
    assert nut_factor(inputs["T_Nm"], dry, inputs["d_mm"] * 1e-3) == near("T02-13", "K_dry")


@pytest.mark.parametrize(("case", "name"), entries("T02-14"))
def test_tightening_factor(case: str, name: str) -> None:
    """VDI 2230: factor from scatter; every scatter of the case stands in our table of methods."""
    share = int(name) / 100
    assert tightening_factor(share) == pytest.approx(CASES[case]["expected"][name], abs=0.05)
    assert share in {each for band in TIGHTENING_METHODS.values() for each in band}


def test_turn_of_the_nut() -> None:
    inputs = CASES["T02-15"]["inputs"]
    turn = turn_for_preload(
        inputs["Fi_lbf"] * POUND,
        pitch=INCH / inputs["tpi"],
        bolt=inputs["kb_lbf_in"] * POUND / INCH,
        members=inputs["km_lbf_in"] * POUND / INCH,
    )
    assert turn / math.tau == near("T02-15", "turns")
    assert math.degrees(turn) == near("T02-15", "deg")


@pytest.mark.parametrize("case", ["FA-06", "FA-07"])
def test_stiffness_of_metric_joints(case: str) -> None:
    """Bolt and clamped layers in MN/m; the sum printed for FA-07 is a misprint and is not met."""
    inputs, expected = CASES[case]["inputs"], CASES[case]["expected"]
    thread = parse_thread(inputs["thread"])
    bolt = bolt_stiffness(
        thread,
        plain_length=inputs["plain_mm"] * 1e-3,
        threaded_length=inputs["threaded_mm"] * 1e-3,
        modulus=inputs["bolt_modulus_GPa"] * 1e9,
    )
    layers = [Layer(thickness * 1e-3, modulus * 1e9) for thickness, modulus in inputs["layers"]]
    members = member_stiffness(layers, diameter=thread.diameter, face_diameter=inputs["face_mm"] * 1e-3)
    assert bolt / 1e6 == pytest.approx(expected["bolt_MN_m"], rel=0.001)
    if case == "FA-06":
        assert members / 1e6 == pytest.approx(expected["members_MN_m"], rel=0.001)
        assert joint_constant(bolt, members) == near(case, "constant")
    else:
        in_series = 1 / sum(1 / spring for spring in expected["springs_MN_m"])
        assert members / 1e6 == pytest.approx(in_series, rel=0.001)
        assert members / 1e6 != pytest.approx(2158, rel=0.05)


def test_stiffness_of_inch_bolts() -> None:
    """Mlbf/in, areas of four figures."""
    inputs = CASES["FA-08"]["inputs"]
    found = inch_bolt(inputs)
    assert found == pytest.approx(CASES["FA-08"]["expected"]["bolt_Mlbf_in"], rel=0.001)


def test_stiffness_of_an_inch_joint() -> None:
    """Mlbf/in; two materials, three cones."""
    inputs = CASES["FA-09"]["inputs"]
    layers = [Layer(thickness * INCH, modulus * 1e3 * KSI) for thickness, modulus in inputs["layers"]]
    members = member_stiffness(layers, diameter=0.5 * INCH, face_diameter=inputs["face_in"] * INCH)
    expected = CASES["FA-09"]["expected"]
    assert inch_bolt(inputs) == pytest.approx(expected["bolt_Mlbf_in"], rel=0.002)
    assert members / MPSI_INCH == pytest.approx(expected["members_Mlbf_in"], rel=0.002)


def inch_bolt(inputs: dict[str, Any]) -> float:
    thread = parse_thread(inputs["thread"])
    found = bolt_stiffness(
        thread,
        plain_length=inputs["plain_in"] * INCH,
        threaded_length=inputs["threaded_in"] * INCH,
        modulus=inputs["bolt_modulus_Mpsi"] * 1e3 * KSI,
    )
    return found / MPSI_INCH


# --- 3 engagement and stripping -----------------------------------------------------------------------------


def test_engagement_in_aluminium() -> None:
    """The example's own figures give its answer; its "minimum" major diameter is the 6g maximum."""
    inputs = CASES["T03-01"]["inputs"]
    thread = parse_thread("M10x1.5")
    own = limits_of_size(thread)
    printed = ThreadLimits(
        "as printed", own.bolt_major_max, inputs["Ds_mm_as_printed"] * 1e-3, own.bolt_pitch_max, own.bolt_pitch_min,
        inputs["En_max_mm"] * 1e-3, own.hole_minor_max,
    )  # fmt: skip
    shear = inputs["tau_MPa"] * 1e6
    needed = inputs["load_N"] / (shear * shear_areas(thread, 1.0, printed).hole)
    assert needed * 1e3 == near("T03-01", "L_mm")
    assert own.bolt_major_max * 1e3 == pytest.approx(inputs["Ds_mm_as_printed"], abs=0.0005)
    assert own.hole_pitch_max * 1e3 == pytest.approx(inputs["En_max_mm"], abs=0.0005)
    safe = inputs["load_N"] / (shear * shear_areas(thread, 1.0, own).hole)
    assert safe > 1.1 * needed, "the misprint is on the unsafe side"


def test_factors_of_stripping() -> None:
    """Alexander 1977: C1 at 1.5, and both polynomials meet their constants at a ratio of 1."""
    assert nut_wall_factor(1.5) == near("T03-04", "C1_s/d_1.5")
    for ratio in (1.0, 1.0 + 1e-9):
        assert bolt_thread_factor(ratio)[0] == near("T03-04", "C2_at_Rs_1")
    for ratio in (1.0, 1.0 - 1e-9):
        assert hole_thread_factor(ratio)[0] == near("T03-04", "C3_at_Rs_1")


@pytest.mark.parametrize(("case", "name"), entries("FA-11"))
def test_pressure_that_materials_bear(case: str, name: str) -> None:
    """VDI 2230, MPa."""
    assert tapped_material(name).limit_pressure / 1e6 == CASES[case]["expected"][name]


@pytest.mark.parametrize(("case", "name"), entries("FA-05"))
def test_face_of_flange_heads(case: str, name: str) -> None:
    """EN 1665, mm."""
    face = bearing_face("hex flange", parse_thread(name))
    assert face.outer * 1e3 == pytest.approx(CASES[case]["expected"][name], abs=1e-9)


# --- 4 torque tools -----------------------------------------------------------------------------------------


def test_adapter_in_line() -> None:
    """Only the proportion of the lengths matters, so pounds, inches and feet need no conversion."""
    inputs = CASES["T04-01"]["inputs"]
    found = adapter_setting(inputs["T_lbfin"], wrench=inputs["L_in"], adapter=inputs["E_in"])
    assert found == near("T04-01", "setting_lbfin")
    inputs = CASES["T04-03"]["inputs"]
    found = adapter_setting(inputs["T_lbfft"], wrench=inputs["L_ft"], adapter=inputs["E_ft"])
    assert found == near("T04-03", "setting_lbfft")


@pytest.mark.parametrize("degrees", CASES["T04-05"]["inputs"]["angles_deg"])
def test_adapter_in_line_and_square(degrees: int) -> None:
    inputs = CASES["T04-05"]["inputs"]
    angle = math.radians(degrees)
    found = adapter_setting(inputs["T_Nm"], wrench=inputs["L_cm"], adapter=inputs["E_cm"], angle=angle)
    assert found == near("T04-05", f"deg{degrees}")


def test_deviation_and_test_points_of_the_tool() -> None:
    """ISO 6789 type II class A: the largest torque of the tool decides between 4 and 6 %."""
    expected = CASES["T04-07"]["expected"]
    large, small = TorqueTool("II", "A", 20, 100), TorqueTool("II", "A", 2, 10)
    for tool, setting, name in ((large, 60, "limits_100Nm_at_60"), (small, 6, "limits_10Nm_at_6")):
        found = usable(tool, setting)
        assert [found.least, found.most] == pytest.approx(expected[name])
    assert list(check_points(large)) == expected["points_100"]


# --- orders of tightening -----------------------------------------------------------------------------------


def circle(count: int) -> dict[int, tuple[Decimal, Decimal]]:
    """Places 1, 2, 3 … clockwise from the top."""
    turns = [math.tau * number / count for number in range(count)]
    return {
        number + 1: (Decimal(repr(100 * math.sin(turn))), Decimal(repr(100 * math.cos(turn))))
        for number, turn in enumerate(turns)
    }


@pytest.mark.parametrize("count", [int(name) for name in CASES["FA-13"]["expected"]])
def test_cross_pattern(count: int) -> None:
    places = circle(count)
    found = tightening_order(list(places), places)
    assert found.pattern == "circle"
    assert list(found.sequence or ()) == CASES["FA-13"]["expected"][str(count)]


def test_opposite_pairs_that_halve_the_angle() -> None:
    places = circle(CASES["FA-12"]["inputs"]["count"])
    found = tightening_order(list(places), places).sequence or ()
    clock = [Fraction(12 * (number - 1), 8) for number in found[:6]]
    read = [f"{int(hour) or 12}:{int(hour % 1 * 60):02d}" for hour in clock]
    assert read == CASES["FA-12"]["expected"]["first_six_clock"]
