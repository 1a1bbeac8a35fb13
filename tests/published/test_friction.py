"""Published clutches and bands: see friction.json beside this file for each source.

Cases whose check says "self only" or "two routes of ours" are ours: they show that nothing changed.
"""

from __future__ import annotations

import json
from math import pi, radians
from pathlib import Path
from typing import Any

import pytest

from countershaft.mechanics.band import Band, band_capacity, band_force, band_lining_pressure
from countershaft.mechanics.friction import (
    DiscPack,
    FluidChamber,
    PressureLaw,
    clamp_force,
    lining_pressure,
    mean_radius,
    pack_capacity,
)

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case
    for case in json.loads(Path(__file__).with_name("friction.json").read_text(encoding="utf-8"))
}
EVEN, WORN = PressureLaw.UNIFORM_PRESSURE, PressureLaw.UNIFORM_WEAR


def judge(case: str, **found: float) -> None:
    """Every value within the case's own tolerance: a share of it, or half a unit of the last printed digit."""
    expected, tol = CASES[case]["expected"], CASES[case]["tol"]
    for name, value in found.items():
        if tol.startswith("rel "):
            allowed = {"rel": float(tol[4:])}
        else:
            places = len(CASES[case]["printed"][name].partition(".")[2])
            allowed = {"abs": 0.5000001 * 10.0**-places}
        assert value == pytest.approx(expected[name], **allowed), f"{case} {name}"


def plain_pack(outer: float, inner: float, faces: int, mu: float, law: PressureLaw) -> DiscPack:
    """A pack whose piston has one square metre, so that the pressure is the clamp force."""
    piston = (1 / pi) ** 0.5
    return DiscPack(faces, outer, inner, mu, piston, 0.0, law=law)


def test_two_faces_at_a_pressure() -> None:
    given = CASES["T09-01"]["inputs"]
    outer, inner = given["ro_mm"] / 1e3, given["ri_mm"] / 1e3
    thrust = given["p_kPa"] * 1e3 / lining_pressure(1, outer_radius=outer, inner_radius=inner, law=EVEN)
    even, worn = (
        pack_capacity(plain_pack(outer, inner, given["faces"], given["mu"], law), pressure=thrust).torque
        for law in (EVEN, WORN)
    )
    speed = given["rpm"] * pi / 30
    judge(
        "T09-01",
        W_kN=thrust / 1e3,
        T_up_Nm=even,
        T_uw_Nm=worn,
        P_up_kW=even * speed / 1e3,
        P_uw_kW=worn * speed / 1e3,
    )


def test_one_face_under_a_force() -> None:
    given = CASES["T09-03"]["inputs"]
    outer, inner, force = given["D_mm"] / 2e3, given["d_mm"] / 2e3, given["F_N"]
    torques = {
        name: pack_capacity(plain_pack(outer, inner, 1, given["f"], law), pressure=force).torque
        for name, law in (("T_uw_Nm", WORN), ("T_up_Nm", EVEN))
    }
    pressures = {
        name: lining_pressure(force, outer_radius=outer, inner_radius=inner, law=law) / 1e3
        for name, law in (("p_uw_kPa", WORN), ("p_up_kPa", EVEN))
    }
    judge("T09-03", **torques, **pressures)


def test_single_plate_with_both_sides() -> None:
    """Uniform wear: the greatest pressure stands at the inner edge."""
    given = CASES["T09-04"]["inputs"]
    outer, inner = given["D_mm"] / 2e3, given["d_mm"] / 2e3
    thrust = given["pmax"] * 1e6 / lining_pressure(1, outer_radius=outer, inner_radius=inner, law=WORN)
    torque = pack_capacity(plain_pack(outer, inner, 2, given["mu"], WORN), pressure=thrust).torque
    judge("T09-04", W_N=thrust, P_kW=torque * given["rpm"] * pi / 30 / 1e3)


def test_pressure_of_a_multi_disc_clutch() -> None:
    given = CASES["T09-06"]["inputs"]
    outer, inner, faces = given["D_mm"] / 2e3, given["d_mm"] / 2e3, given["n1"] + given["n2"] - 1
    torque = given["P_kW"] * 1e3 / (given["rpm"] * pi / 30)
    thrust = torque / plain_pack(outer, inner, faces, given["mu"], WORN).torque_per_newton
    pressure = lining_pressure(thrust, outer_radius=outer, inner_radius=inner, law=WORN)
    judge("T09-06", faces=faces, pmax_N_mm2=pressure / 1e6)


def test_rotating_piston() -> None:
    given = CASES["T09-08"]["inputs"]
    outer, inner = given["r2_mm"] / 1e3, given["r1_mm"] / 1e3
    chamber = FluidChamber(outer, inner, given["r0_mm"] / 1e3)
    pack = DiscPack(
        2,
        0.06,
        0.04,
        0.1,
        outer,
        inner,
        return_spring=given["spring_N"],
        chamber=chamber,
        fluid_density=given["rho"],
    )
    force = clamp_force(pack, pressure=given["p_bar"] * 1e5, speed=given["rpm"] * pi / 30)
    judge("T09-08", F_static_N=force.static, F_centrifugal_N=force.head, F_net_N=force.net)


def test_mean_radii() -> None:
    given = CASES["T09-09"]["inputs"]
    radii = given["Ro_mm"], given["Ri_mm"]
    judge("T09-09", up_mm=mean_radius(*radii, law=EVEN), uw_mm=mean_radius(*radii, law=WORN))


def band_of(case: str) -> Band:
    given = CASES[case]["inputs"]
    return Band(given.get("radius_m") or given["radius"], radians(given["wrap_deg"]), given["mu"])


def test_band_of_a_machine_design_book() -> None:
    given, band = CASES["BAND-01"]["inputs"], band_of("BAND-01")
    judge(
        "BAND-01",
        slack=given["tight"] / band.tension_ratio,
        torque=band_capacity(band, force=given["tight"]).de_energised,
        pressure=band_lining_pressure(given["tight"], drum_radius=given["radius"], width=given["width"]),
    )


@pytest.mark.parametrize("case", ["BAND-02", "BAND-03"])
def test_bands_pulled_at_the_tight_end(case: str) -> None:
    band, tight = band_of(case), CASES[case]["inputs"]["tight"]
    judge(case, slack=tight / band.tension_ratio, torque=band_capacity(band, force=tight).de_energised)


def test_band_pulled_at_the_slack_end() -> None:
    band, slack = band_of("BAND-04"), CASES["BAND-04"]["inputs"]["slack"]
    judge("BAND-04", tension_ratio=band.tension_ratio, torque=band_capacity(band, force=slack).energised)


def test_band_for_both_ways_of_turning() -> None:
    given, band = CASES["BAND-05"]["inputs"], band_of("BAND-05")
    slack, tight = (
        band_force(band, torque=given["torque"], energised=energised) for energised in (True, False)
    )
    short, long = given["lever_m"]
    judge(
        "BAND-05",
        slack=slack,
        tight=tight,
        effort_tight=tight * short / long,
        effort_slack=slack * short / long,
    )


def test_band_by_its_greatest_pressure() -> None:
    given, band = CASES["BAND-06"]["inputs"], band_of("BAND-06")
    per_newton = band_lining_pressure(1, drum_radius=given["radius_m"], width=given["width_m"])
    tight = given["pressure_kPa"] * 1e3 / per_newton
    judge(
        "BAND-06",
        tight_N=tight,
        slack_N=tight / band.tension_ratio,
        torque=band_capacity(band, force=tight).de_energised,
    )
