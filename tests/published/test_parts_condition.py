"""Published springs, press fits, leaks, windings and seals: see parts_condition.json beside this file for each source.

Cases whose check says "self only" or "two routes of ours" are ours: they show that nothing changed.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from math import pi
from pathlib import Path
from typing import Any

import pytest

from countershaft.mechanics.coil_resistance import coil_temperature, resistance_at
from countershaft.mechanics.coil_spring import (
    CoilSpring,
    Curvature,
    coil_spring_load,
    coil_spring_rate,
    coil_spring_stress,
    curvature_factor,
    solid_length,
)
from countershaft.mechanics.disc_spring import DiscSpring, DiscStack, disc_deflection, disc_load, stack_load
from countershaft.mechanics.leakage import AnnularGap, annular_leak, eccentricity_factor
from countershaft.mechanics.orifice import orifice_diameter, orifice_flow
from countershaft.mechanics.press_fit import (
    PressFit,
    PressMaterial,
    interference_range,
    press_force,
    press_state,
    smoothed,
)
from countershaft.mechanics.ring_seal import ORing, SealGland, seal_fit, section_loss
from countershaft.mechanics.size_limits import size_limits
from countershaft.mechanics.warm_fit import heating

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case
    for case in json.loads(Path(__file__).with_name("parts_condition.json").read_text(encoding="utf-8"))
}
INCH, PSI, POUND = 25.4e-3, 6894.757293168, 4.4482216152605


def judge(case: str, found: Mapping[str, Any]) -> None:
    """Every expected value within the case's own tolerance, and none left out."""
    expected, tol = CASES[case]["expected"], CASES[case]["tol"]
    assert set(found) == set(expected), case
    for name, value in found.items():
        rule = tol if isinstance(tol, str) else tol.get(name, tol.get("others"))
        values, wanted = (one if isinstance(one, list) else [one] for one in (value, expected[name]))
        printed = CASES[case]["printed"][name]
        texts = printed if isinstance(printed, list) else [printed]
        for got, want, text in zip(values, wanted, texts, strict=True):
            assert got == pytest.approx(want, **allowed(rule, text)), f"{case} {name}"


def allowed(rule: str, printed: str) -> dict[str, float]:
    """The keywords for `approx` that a case's tolerance stands for."""
    if rule.startswith("rel "):
        return {"rel": float(rule[4:]), "abs": 0.0}
    if rule.startswith("abs "):
        return {"rel": 0.0, "abs": float(rule[4:])}
    return {"rel": 0.0, "abs": 0.5000001 * 10.0 ** -len(printed.partition(".")[2])}


def steel(modulus: float) -> PressMaterial:
    """Steel that bears all that the examples ask."""
    return PressMaterial("steel", modulus, 0.3, 11e-6, 600e6)


def disc(outer: float, inner: float, thickness: float, cone: float) -> DiscSpring:
    """A standard disc, from millimetres."""
    return DiscSpring(outer / 1e3, inner / 1e3, thickness / 1e3, cone / 1e3)


# --- press fits -----------------------------------------------------------------------------------------------


def test_preferred_fits() -> None:
    given = CASES["T05-04"]["inputs"]
    size, deviations = given["size_mm"] / 1e3, given["deviations_um"]
    found = {}
    for fit in CASES["T05-04"]["expected"]:
        bore, shaft = (
            tuple(size + one / 1e6 for one in reversed(deviations[name])) for name in fit.split("/")
        )
        told = interference_range(shaft=shaft, bore=bore)
        found[fit] = [-told.least * 1e6, -told.most * 1e6]
    judge("T05-04", found)


def deviations(tolerance: str, up_to: float) -> list[float]:
    """Upper and lower deviation at the end of a step [µm]."""
    limits = size_limits(up_to / 1e3, tolerance=tolerance)
    return [round(1e6 * (end - up_to / 1e3), 6) for end in reversed(limits.ends)]


def test_limit_deviations() -> None:
    for case in ("T05-01", "T05-02"):
        ends = [high for _, high in CASES[case]["inputs"]["steps_mm"]]
        for tolerance, wanted in CASES[case]["expected"].items():
            assert [deviations(tolerance, end) for end in ends] == wanted, (case, tolerance)
    ends = [high for _, high in CASES["T05-03"]["inputs"]["steps_mm"]]
    assert [deviations("r6", end) for end in ends] == list(CASES["T05-03"]["expected"].values())


def test_tables_of_shafts() -> None:
    for tolerance, wanted in CASES["SIZE-01"]["expected"].items():
        ends = CASES["SIZE-01"]["inputs"]["up_to_mm"][: len(wanted)]
        assert [deviations(tolerance, end)[1] for end in ends] == wanted, tolerance
    for tolerance, wanted in CASES["SIZE-02"]["expected"].items():
        assert [deviations(tolerance, end) for end in CASES["SIZE-02"]["inputs"]["up_to_mm"]] == wanted, (
            tolerance
        )


def test_steel_hub_of_80_mm() -> None:
    given = CASES["T05-06"]["inputs"]
    one = steel(given["E_MPa"] * 1e6)
    fit = PressFit(given["d_mm"] / 1e3, given["Do_mm"] / 1e3, given["L_mm"] / 1e3, one, one)
    friction = given["mu"], given["mu"]
    pressed = press_force(fit, interference=given["delta_diametral_mm"] / 1e3, friction=friction)
    found = {
        "p_MPa": pressed.state.pressure / 1e6,
        "F_kN": pressed.most / 1e3,
        "T_Nm": pressed.slip_torque,
        "hub_hoop_MPa": pressed.state.hub_hoop / 1e6,
    }
    judge("T05-06", found)


def test_steel_pin_of_25_mm() -> None:
    given = CASES["T05-08"]["inputs"]
    one = steel(given["E_MPa"] * 1e6)
    fit = PressFit(given["d_mm"] / 1e3, given["Do_mm"] / 1e3, given["L_mm"] / 1e3, one, one)
    tight = given["delta_diametral_mm"] / 1e3
    state = press_state(fit, interference=tight)
    force = press_force(fit, interference=tight, friction=(given["mu"], given["mu"])).least
    judge(
        "T05-08",
        {"p_MPa": state.pressure / 1e6, "hub_hoop_MPa": state.hub_hoop / 1e6, "F_N": force},
    )


def test_heating_of_a_hub() -> None:
    given = CASES["T05-10"]["inputs"]
    hub = PressMaterial("steel", 206e9, 0.3, given["alpha"], 600e6)
    fit = PressFit(given["d_mm"] / 1e3, 2 * given["d_mm"] / 1e3, 0.05, hub, hub)
    warm = heating(fit, interference=given["U_mm"] / 1e3, play=given["S_mm"] / 1e3, ceiling=250)
    judge("T05-10", {"rise_K": warm.rise, "T_C": warm.temperature})
    usual = heating(fit, interference=given["U_mm"] / 1e3, ceiling=250)
    assert usual.temperature == pytest.approx(warm.temperature)


def test_smoothing() -> None:
    given = CASES["T05-11"]["inputs"]
    left = smoothed(
        given["U_um"] / 1e6, shaft_roughness=given["RzI_um"] / 1e6, bore_roughness=given["RzA_um"] / 1e6
    )
    judge("T05-11", {"Uw_um": left * 1e6})


# --- springs --------------------------------------------------------------------------------------------------


def test_music_wire() -> None:
    """Strength of the wire is the book's own power law, worked here from its two constants."""
    given = CASES["T08-01"]["inputs"]
    wire, mean = given["d_in"] * INCH, (given["OD_in"] - given["d_in"]) * INCH
    strength = given["A_kpsi_in^m"] / given["d_in"] ** given["m"]
    solid = solid_length(wire, total_coils=given["Nt"], ground=False)
    spring = CoilSpring(wire, mean, given["Na"], given["G_psi"] * PSI, free=3 * solid, solid=solid)
    per_newton = coil_spring_stress(spring, load=1, curvature=Curvature.BERGSTRAESSER)
    load, rate = 0.45 * strength * 1e3 * PSI / per_newton, coil_spring_rate(spring)
    found = {
        "C": spring.index,
        "Sut_kpsi": strength,
        "Ssy_kpsi": 0.45 * strength,
        "KB": curvature_factor(spring.index, curvature=Curvature.BERGSTRAESSER),
        "F_lbf": load / POUND,
        "k_lbf_in": rate / POUND * INCH,
        "y_in": load / rate / INCH,
        "Ls_in": solid / INCH,
        "L0_in": (load / rate + solid) / INCH,
    }
    judge("T08-01", found)


def test_load_by_stress_with_and_without_curvature() -> None:
    given = CASES["T08-03"]["inputs"]
    wire, mean = given["d_mm"] / 1e3, (given["OD_mm"] - given["d_mm"]) / 1e3
    spring = CoilSpring(wire, mean, 2, given["G_MPa"] * 1e6, free=0.1, solid=0.03)
    found = {}
    for names, by in (
        (("W_no_curvature_N", "defl_per_turn_mm"), Curvature.DIRECT_SHEAR),
        (("W_with_Wahl_N", "defl_per_turn_Wahl_mm"), Curvature.WAHL),
    ):
        load = given["tau_MPa"] * 1e6 / coil_spring_stress(spring, load=1, curvature=by)
        turns = spring.active_coils
        found |= dict(zip(names, (load, 1e3 * load / coil_spring_rate(spring) / turns), strict=True))
    judge("T08-03", found)


def test_spring_of_a_printed_sheet() -> None:
    given = CASES["SPRING-01"]["inputs"]
    wire = given["d_mm"] / 1e3
    solid = solid_length(wire, total_coils=given["nt"], ground=True)
    mean, free = given["De_mm"] / 1e3 - wire, given["L0_mm"] / 1e3
    spring = CoilSpring(wire, mean, given["n"], given["G_MPa"] * 1e6, free=free, solid=solid)
    rate = coil_spring_rate(spring)
    pressed = [load / rate for load in given["F_N"]]
    found = {"w": spring.index, "R_N_mm": rate / 1e3}
    found |= {f"s{number}_mm": 1e3 * one for number, one in enumerate(pressed, 1)}
    found |= {f"L{number}_mm": 1e3 * (free - one) for number, one in enumerate(pressed, 1)}
    judge("SPRING-01", found)
    for one, load in zip(pressed, given["F_N"], strict=True):
        assert coil_spring_load(spring, length=free - one).load == pytest.approx(load)


def test_disc_springs_of_series_a() -> None:
    given = CASES["T08-04"]["inputs"]
    loads, stresses = {}, {}
    for sizes, pressed in zip(given["De_Di_t_h0_mm"], given["s_mm"], strict=True):
        told = disc_load(disc(*sizes), deflection=pressed / 1e3)
        loads[f"De{sizes[0]:g}"], stresses[f"De{sizes[0]:g}"] = told.load, told.stress / 1e6
    judge("T08-04", loads)
    judge("DISC-01", stresses)


def test_disc_springs_at_three_quarters() -> None:
    sizes = CASES["T08-06"]["inputs"]["De_Di_t_h0_mm"]
    found = [disc_load(disc(*one), deflection=0.75 * one[3] / 1e3).load for one in sizes]
    judge("T08-06", dict(zip(CASES["T08-06"]["expected"], found, strict=True)))


def test_disc_springs_with_flats() -> None:
    found = {}
    for outer, inner, thickness, cone, reduced in CASES["DISC-02"]["inputs"]["De_Di_t_h0_reduced_mm"]:
        sizes = (outer / 1e3, inner / 1e3, thickness / 1e3, cone / 1e3)
        thick = DiscSpring(*sizes, reduced=reduced / 1e3)
        found[f"De{outer:g}"] = disc_load(thick, deflection=0.75 * cone / 1e3).load
    judge("DISC-02", found)


def test_stack() -> None:
    given = CASES["T08-07"]["inputs"]
    stack = DiscStack(disc(25, 12.2, 1.5, 0.55), parallel=given["n"], series=given["i"])
    pressed = given["i"] * given["s_single_mm"] / 1e3
    judge("T08-07", {"F_N": stack_load(stack, deflection=pressed).load, "s_total_mm": 1e3 * pressed})


def test_friction_of_a_set() -> None:
    given, one = CASES["STACK-01"]["inputs"], disc(40, 20.4, 2.25, 0.9)
    pressed = disc_deflection(one, load=given["F_N"])
    told = stack_load(DiscStack(one, given["n"]), deflection=pressed, between_discs=given["friction"])
    judge("STACK-01", {"F_N": told.pressing})


# --- leaks, windings, seals -----------------------------------------------------------------------------------


def test_leak_round_a_spool() -> None:
    given = CASES["T11-01"]["inputs"]
    gap = AnnularGap(given["D_mm"] / 1e3, given["c_um"] / 1e6, given["L_mm"] / 1e3)
    leak = annular_leak(gap, pressure_drop=given["dP_bar"] * 1e5, viscosity=given["mu_Pas"], density=830)
    judge("T11-01", {"Q_mL_min": leak.flow * 6e7})


def test_leak_in_plain_figures() -> None:
    given = CASES["LEAK-01"]["inputs"]
    gap = AnnularGap(given["D_m"], given["c_m"], given["L_m"])
    leak = annular_leak(gap, pressure_drop=given["dP_Pa"], viscosity=given["mu_Pas"], density=900)
    judge("LEAK-01", {"Q_m3_s": leak.flow})


def test_holes() -> None:
    for case, size, pressure, unit in (
        ("T11-04", "d_mm", "dP_kPa", "Q_L_s"),
        ("T11-06", "D_in", "dP_psi", "Q_gpm"),
    ):
        given = CASES[case]["inputs"]
        diameter = given[size] * (INCH if case == "T11-06" else 1e-3)
        drop = given[pressure] * (PSI if case == "T11-06" else 1e3)
        told = orifice_flow(diameter, pressure_drop=drop, density=given["rho"], coefficient=given["Cd"])
        per = 231 * INCH**3 / 60 if case == "T11-06" else 1e-3
        judge(case, {unit: told.flow / per})
        back = orifice_diameter(told.flow, pressure_drop=drop, density=given["rho"], coefficient=given["Cd"])
        assert back == pytest.approx(diameter)


def test_every_case_is_judged() -> None:
    source = Path(__file__).read_text(encoding="utf-8")
    assert [case for case in CASES if f'"{case}"' not in source] == []


def test_eccentric_gap() -> None:
    judge("T11-02", {"ratio": [eccentricity_factor(one) for one in CASES["T11-02"]["inputs"]["eps"]]})


def test_copper_warm() -> None:
    base, expected = CASES["COPPER-01"]["inputs"]["base_C"], CASES["COPPER-01"]["expected"]
    found = {
        warm: resistance_at(1.0, coil_temperature=base, wanted_temperature=float(warm)).resistance
        for warm in expected
    }
    judge("COPPER-01", found)


def test_rise_of_a_winding() -> None:
    given = CASES["COPPER-02"]["inputs"]
    told = coil_temperature(cold=given["cold"], cold_temperature=given["cold_C"], hot=given["hot"])
    judge("COPPER-02", {"rise_K": told.temperature - given["room_C"], "t_C": told.temperature})


def test_squeeze_and_fill() -> None:
    for case in ("SEAL-01", "SEAL-02"):
        given = CASES[case]["inputs"]
        gland = SealGland(0.05, given["room_mm"] / 1e3, given.get("width_mm", 4) / 1e3)
        told = seal_fit(ORing(0.05, given["section_mm"] / 1e3), gland)
        found = {"squeeze": 100 * told.squeeze, "fill": 100 * told.fill}
        judge(case, {name: found[name] for name in CASES[case]["expected"]})


def test_section_of_a_stretched_ring() -> None:
    given = CASES["SEAL-03"]["inputs"]
    loss = section_loss(given["stretch"])
    judge("SEAL-03", {"loss": 100 * loss, "section_mm": given["section_mm"] * (1 - loss)})
    percents = CASES["SEAL-04"]["inputs"]["percent"]
    judge("SEAL-04", {"loss": [100 * section_loss(one / 100) for one in percents]})


def test_spring_stress_is_plain_torsion_times_the_factor() -> None:
    """τ = 16 M/(π d³) with the moment F D/2: the textbook shaft, for the spring whose factor is nearest to 1."""
    spring = CoilSpring(1e-3, 20e-3, 5, 80e9, free=0.05, solid=0.01)
    plain = 16 * (10 * 20e-3 / 2) / (pi * 1e-9)
    assert coil_spring_stress(spring, load=10, curvature=Curvature.DIRECT_SHEAR) == pytest.approx(
        1.025 * plain
    )
