"""Published and derived cases of form, backlash and alignment: see form.json beside this file for each source.

Judged: the least squares circle and plane, the zones, the totals of the two manuals, the cosine of a tilted plunger,
normal backlash by a second route, and the two sweeps of the invented housing with what is to be done about them.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from countershaft.metrology.alignment_advice import AlignmentAdvice, StandingDowel, advise
from countershaft.metrology.backlash import backlash
from countershaft.metrology.clock_face import clock_angle, clock_hours
from countershaft.metrology.conformity import Verdict
from countershaft.metrology.flatness import flatness
from countershaft.metrology.harmonics import runout
from countershaft.metrology.housing_bore import BoreOffset, bore_offset
from countershaft.metrology.housing_face import FaceTilt, face_from_total
from countershaft.metrology.roundness import circle_of_least_squares
from countershaft.metrology.straightness import straightness
from countershaft.metrology.sweep import sweep

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case for case in json.loads(Path(__file__).with_name("form.json").read_text(encoding="utf-8"))
}
MM = 1e-3
INCH = 25.4e-3


def printed(case: dict[str, Any], name: str) -> Any:
    """The printed value with half a unit of its last digit."""
    text = case["printed"][name]
    return pytest.approx(float(text), abs=0.5000001 * 10.0 ** -len(text.partition(".")[2]))


def test_circle_of_six_points() -> None:
    case = CASES["T07-02"]
    points = [tuple(point) for point in case["inputs"]["xy"]]
    x, y, radius = circle_of_least_squares(points)
    scatter = math.sqrt(sum((math.dist(point, (x, y)) - radius) ** 2 for point in points) / len(points))
    assert [x, y, radius] == pytest.approx(case["expected"]["cx_cy_r_rms"][:3], abs=1.1e-6)
    assert case["expected"]["cx_cy_r_rms"][3] == pytest.approx(scatter, abs=1.1e-6)


@pytest.mark.parametrize("name", ["T07-08", "T07-09"])
def test_flatness_in_closed_form(name: str) -> None:
    case = CASES[name]
    found = flatness([tuple(point) for point in case["inputs"]["xyz_mm"]])
    assert found.minimum.width == printed(case, "MZ_mm")
    assert found.least_squares.width == printed(case, "LS_mm")


def test_straightness_of_eight_places() -> None:
    case = CASES["T07-11"]
    found = straightness(case["inputs"]["x_mm"], case["inputs"]["y_mm"])
    assert found.minimum.width * 1e3 == pytest.approx(case["expected"]["MZ_um"], abs=0.0006)
    assert found.least_squares.width * 1e3 == pytest.approx(case["expected"]["LS_um"], abs=0.0006)


def test_plane_of_ten_points() -> None:
    case = CASES["FP-01"]
    points = [tuple(point) for point in case["inputs"]["xyz"]]
    found = flatness(points).least_squares
    assert found.normal == pytest.approx(case["expected"]["normal"], abs=1.1e-6)
    centre = [sum(column) / len(points) for column in zip(*points, strict=True)]
    assert centre == pytest.approx(case["expected"]["centroid"])
    through = [
        sum(part * (value - mean) for part, value, mean in zip(found.normal, point, centre, strict=True))
        for point in points
    ]
    assert found.deviations == pytest.approx(through, abs=1e-9)


def test_bore_with_the_lift_of_the_crank() -> None:
    """The totals of the manual are twice our parts; it counts 9 less 3 o'clock, we count toward 3 o'clock."""
    case = CASES["FP-02"]
    places = case["inputs"]["oclock"]
    found = bore_offset(
        [clock_angle(float(hour)) for hour in places],
        [value * INCH for value in places.values()],
        standard=0.001 * INCH,
        crank_rise=case["inputs"]["crank_lift"] / 2 * INCH,
    )
    assert -2 * found.move_x / INCH == printed(case, "total_horizontal")
    assert 2 * found.move_y / INCH == printed(case, "total_vertical")


def test_total_of_a_face() -> None:
    case = CASES["FP-03"]
    places = case["inputs"]["oclock"]
    turns = [clock_angle(float(hour)) for hour in places]
    readings = [value * INCH for value in places.values()]
    assert runout(turns, readings).total / INCH == printed(case, "TIR")
    assert not sweep(turns, readings, standard=0.0005 / math.sqrt(3) * INCH).closes


def test_cosine_of_a_tilted_plunger() -> None:
    case = CASES["FP-04"]
    tilt = math.radians(case["inputs"]["tilt_deg"])
    found = backlash([1.0], pitch_radius=1.0, probe_radius=1.0, pressure_angle=0.35, probe_tilt=tilt)
    assert 100 * (1 / found.circumferential - 1) == printed(case, "percent")


def test_normal_backlash_by_the_transverse_section() -> None:
    case = CASES["FP-05"]
    alpha, beta = (math.radians(case["inputs"][name]) for name in ("alpha_n_deg", "beta_deg"))
    found = backlash(
        [case["inputs"]["j_t_mm"]], pitch_radius=1.0, probe_radius=1.0, pressure_angle=alpha, helix_angle=beta
    )
    transverse, base = (math.radians(case["expected"][name]) for name in ("alpha_t_deg", "beta_b_deg"))
    assert found.normal == printed(case, "j_n_mm")
    assert found.normal == pytest.approx(
        case["inputs"]["j_t_mm"] * math.cos(transverse) * math.cos(base), rel=1e-5
    )


# --- the invented housing -----------------------------------------------------------------------------------


def housing(case: dict[str, Any]) -> tuple[BoreOffset, FaceTilt, AlignmentAdvice]:
    """The sweep of a case, read to the step of its indicator, and what is said about it."""
    told = case["inputs"]
    step = told["step_mm"] / math.sqrt(12) * MM
    readings = told["bore_readings_mm"]
    bore = bore_offset(
        [math.radians(float(turn)) for turn in readings],
        [value * MM for value in readings.values()],
        standard=step,
    )
    face = face_from_total(
        told["face_TIR_mm"] * MM, diameter=told["face_gauge_diameter_mm"] * MM, standard=step
    )
    standing = [
        StandingDowel(one["name"], one["stands_mm"] * MM, *(edge * MM for edge in one["limit_mm"]))
        for one in told["dowels"]
    ]
    said = advise(
        bore,
        face,
        bore_limit=told["bore_TIR_limit_mm"] * MM,
        face_limit=told["face_TIR_limit_mm"] * MM,
        standing=standing,
        offset_dowels={size * MM: 2 for size in told["offset_dowels_at_hand_mm"]},
    )
    return bore, face, said


@pytest.mark.parametrize("name", ["FP-A1", "FP-A2"])
def test_figures_of_the_invented_housing(name: str) -> None:
    case = CASES[name]
    bore, face, _ = housing(case)
    assert bore.sweep.closure / MM == printed(case, "closure_error_mm")
    assert bore.move_x / MM == printed(case, "move_x_mm")
    assert bore.move_y / MM == printed(case, "move_y_mm")
    assert bore.offset / MM == printed(case, "offset_mm")
    assert clock_hours(bore.direction) == printed(case, "move_toward_oclock")
    assert bore.total / MM == printed(case, "bore_TIR_mm")
    assert face.tilt * 1e3 == printed(case, "tilt_mrad")
    distance = case["inputs"]["hub_bushing_distance_mm"] * MM
    assert face.shift_at(distance) / MM == printed(case, "shift_at_bushing_from_tilt_mm")


def test_the_first_sweep_fails_on_the_bore_only_and_names_the_dowel() -> None:
    bore, _, said = housing(CASES["FP-A1"])
    assert (said.bore, said.face) == (Verdict.BAD, Verdict.GOOD)
    assert bore.words() == "move the housing 0.13 mm toward 10 o'clock"
    assert any("Dowel 2, lower right stands 13.40 mm" in sentence for sentence in said.sentences)
    assert not any("1, upper left" in sentence for sentence in said.sentences)
    assert said.dowels is None
    assert not any("Two dowels of" in sentence for sentence in said.sentences)


def test_the_second_sweep_passes() -> None:
    _, _, said = housing(CASES["FP-A2"])
    assert (said.bore, said.face, said.dowels) == (Verdict.GOOD, Verdict.GOOD, None)
