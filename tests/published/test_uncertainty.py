"""Published examples of measurement uncertainty: see uncertainty.json beside this file for each source.

Judged: T06-01 the whole of its result; T06-03 the means and uncertainties of approach 2; T06-11, UN-01 and UN-02 by
Monte Carlo with a fixed seed, so within the scatter of the draws; T06-13 the first-order result of the same example.
"""

from __future__ import annotations

import json
import math
import statistics
from pathlib import Path
from typing import Any

import pytest

from countershaft.metrology.budget import (
    Contribution,
    combine,
    coverage_factor,
    from_certificate,
    from_half_width,
)
from countershaft.metrology.chance import (
    ArcSine,
    Distribution,
    Normal,
    Rectangular,
    RoughRectangular,
    Student,
)
from countershaft.metrology.computed import compute
from countershaft.metrology.decision import conformity_probability
from countershaft.metrology.monte_carlo import first_order_holds, simulate
from countershaft.metrology.propagation import Input, propagate
from countershaft.metrology.readings import Estimate, estimate

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case
    for case in json.loads(Path(__file__).with_name("uncertainty.json").read_text(encoding="utf-8"))
}
NANOMETRES_PER_MM = 1e6


def half_a_digit(printed: str) -> float:
    """Half a unit of the last printed digit."""
    return 0.5000001 * 10.0 ** -len(printed.partition(".")[2])


def test_end_gauge() -> None:
    """Five inputs, two of them with no first-order effect; 16.7 degrees of freedom are cut to 16."""
    given, printed = CASES["T06-01"]["inputs"], CASES["T06-01"]["printed"]
    found = propagate(
        lambda standard, difference, alpha, theta, dalpha, dtheta: (
            standard + difference - standard * (dalpha * theta + alpha * dtheta)
        ),
        [
            Input("standard", given["ls_mm"] * NANOMETRES_PER_MM, given["u_ls_nm"], given["nu_ls"]),
            Input("difference", given["d_nm"], given["u_d_nm"], given["nu_d"]),
            Input("expansion", given["alpha_s"], given["u_alpha_s"]),
            Input("temperature", given["theta_C"], given["u_theta"]),
            Input("difference of expansion", given["dalpha"], given["u_dalpha"], given["nu_dalpha"]),
            Input("difference of temperature", given["dtheta"], given["u_dtheta"], given["nu_dtheta"]),
        ],
        probability=0.99,
    )
    assert found.value / NANOMETRES_PER_MM == pytest.approx(
        float(printed["l_mm"]), abs=half_a_digit(printed["l_mm"])
    )
    assert round(found.budget.standard) == int(printed["uc_nm"])
    assert math.floor(found.budget.degrees_of_freedom) == int(printed["nu_eff_truncated"])
    assert found.budget.factor == pytest.approx(float(printed["k99"]), abs=half_a_digit(printed["k99"]))
    assert found.budget.expanded == pytest.approx(float(printed["U99_nm"]), abs=1)


@pytest.mark.parametrize("name", ["R", "X", "Z"])
def test_resistance_and_reactance(name: str) -> None:
    """Each set is evaluated alone, and the five results are repeats."""
    given = CASES["T06-03"]["inputs"]
    of_set = {
        "R": lambda v, i, phi: v / i * math.cos(phi),
        "X": lambda v, i, phi: v / i * math.sin(phi),
        "Z": lambda v, i, _phi: v / i,
    }[name]
    results = [of_set(*one) for one in zip(given["V"], given["I_A"], given["phi_rad"], strict=True)]
    found = estimate(results, resolution=1e-9)
    mean, standard = CASES["T06-03"]["printed"][name]
    assert found.mean == pytest.approx(float(mean), abs=half_a_digit(mean))
    assert found.standard == pytest.approx(float(standard), abs=half_a_digit(standard))


FOUR: dict[str, list[Distribution]] = {
    "a": [Normal(0, 1)] * 4,
    "b": [Rectangular(-math.sqrt(3), math.sqrt(3))] * 4,
    "c": [
        *[Rectangular(-math.sqrt(3), math.sqrt(3))] * 3,
        Rectangular(-10 * math.sqrt(3), 10 * math.sqrt(3)),
    ],
}


@pytest.mark.parametrize("name", FOUR)
def test_four_inputs_added(name: str) -> None:
    """Both digits that the guide prints stand still; the ends scatter by about a hundredth of u."""
    standard, half = (float(value) for value in CASES["T06-11"]["printed"][name])
    found = simulate(lambda a, b, c, d: a + b + c + d, FOUR[name], seed=2008)
    assert found.settled
    assert found.standard == pytest.approx(standard, abs=0.051 + 0.005 * standard)
    assert (found.interval[1] - found.interval[0]) / 2 == pytest.approx(half, abs=0.02 * standard)


def weighing(nominal: float, difference: float, air: float, weight: float, reference: float) -> float:
    """Difference of a weight from 100 g, in milligrams, with the buoyancy of air."""
    return (nominal + difference) * (1 + (air - 1.2) * (1 / weight - 1 / reference)) - 100_000


def test_weighing_by_monte_carlo_and_to_first_order() -> None:
    """The first order loses the product of two spreads; the comparison of JCGM 101, clause 8, must say so."""
    given, printed = CASES["UN-01"]["inputs"], CASES["UN-01"]["expected"]
    inputs: list[Distribution] = [
        Normal(*given["m_Rc"]),
        Normal(*given["dm_Rc"]),
        *(Rectangular(*given[name]) for name in ("air", "weight", "reference")),
    ]
    found = simulate(weighing, inputs, seed=93, most=200_000)
    assert found.mean == pytest.approx(printed["value"], abs=0.001)
    assert found.standard == pytest.approx(printed["u"], abs=0.001)
    assert found.interval == pytest.approx((printed["lo"], printed["hi"]), abs=0.006)
    flat = propagate(
        weighing,
        [
            Input("nominal", *given["m_Rc"]),
            Input("difference", *given["dm_Rc"]),
            *(
                Input(name, statistics.fmean(given[name]), (given[name][1] - given[name][0]) / math.sqrt(12))
                for name in ("air", "weight", "reference")
            ),
        ],
        probability=0.95,
    )
    expected = CASES["T06-13"]["expected"]
    assert flat.budget.standard == pytest.approx(expected["u"], abs=0.0002)
    assert flat.value - flat.budget.expanded == pytest.approx(expected["lo"], abs=0.0002)
    assert flat.value + flat.budget.expanded == pytest.approx(expected["hi"], abs=0.0002)
    assert not first_order_holds(flat.value, flat.budget.expanded, found)


def test_weighing_as_a_computed_figure() -> None:
    """One function of the stages sees that the first order loses spread here, and draws; shortest interval alike."""
    given, printed = CASES["UN-01"]["inputs"], CASES["UN-01"]["expected"]

    def known(mean: float, row: Contribution) -> Estimate:
        """One contribution alone: the scale's step is negligible beside it."""
        return estimate([mean], resolution=1e-9 * row.standard, others=[row])

    inputs = {
        name: known(given[name][0], from_certificate(name, given[name][1], factor=1))
        for name in ("m_Rc", "dm_Rc")
    } | {
        name: known(
            statistics.fmean(given[name]), from_half_width(name, (given[name][1] - given[name][0]) / 2)
        )
        for name in ("air", "weight", "reference")
    }
    found = compute(weighing, inputs, seed=93, probability=0.95, digits=2)
    assert found.trials
    assert found.mean == pytest.approx(float(printed["value"]), abs=0.002)
    assert found.standard == pytest.approx(float(printed["u"]), abs=0.001)
    half = (float(printed["hi"]) - float(printed["lo"])) / 2
    assert found.expanded == pytest.approx(half, abs=0.008)


def end_gauge(*inputs: float) -> float:
    """Deviation of an end gauge from its nominal length, in nanometres, from the inputs in the order of the table."""
    standard, difference, random, systematic, alpha, theta, swing, dalpha, dtheta = inputs
    heat = dalpha * (theta + swing) + alpha * dtheta
    return standard + difference + random + systematic - standard * heat - 50_000_000


def test_end_gauge_by_monte_carlo() -> None:
    """Nine inputs of five kinds of distribution."""
    given, printed = CASES["UN-02"]["inputs"], CASES["UN-02"]["expected"]
    inputs: list[Distribution] = [
        *(Student(*given[name]) for name in ("L_S", "D", "d1", "d2")),
        Rectangular(*given["alpha"]),
        Normal(*given["theta"]),
        ArcSine(*given["swing"]),
        *(RoughRectangular(*given[name]) for name in ("dalpha", "dtheta")),
    ]
    found = simulate(end_gauge, inputs, seed=95, probability=0.99, most=150_000)
    assert found.mean == pytest.approx(printed["value"], abs=0.6)
    assert found.standard == pytest.approx(printed["u"], abs=0.6)
    assert found.interval == pytest.approx((printed["lo"], printed["hi"]), abs=1.5)


def test_freedom_of_a_judgement() -> None:
    given, expected = CASES["UN-03"]["inputs"], CASES["UN-03"]["expected"]
    row = from_half_width("judged", 0.01, doubt=given["doubt"])
    assert combine([row]).degrees_of_freedom == pytest.approx(expected["nu"])
    assert coverage_factor(8) == 2.37


def test_viscosity_between_two_limits() -> None:
    case = CASES["T06-07"]
    given, printed = case["inputs"], case["printed"]["pc"]
    found = conformity_probability(given["y"], given["u"], lower=given["TL"], upper=given["TU"])
    assert found == pytest.approx(float(printed), abs=half_a_digit(printed))


def test_a_speed_above_the_limit_beyond_doubt() -> None:
    """The least whole speed that is too fast with 99.9 %, at 2 % of itself."""
    given = CASES["T06-09"]["inputs"]

    def allowed(speed: float) -> float:
        return conformity_probability(speed, given["u_rel"] * speed, lower=None, upper=given["limit"])

    least = CASES["T06-09"]["expected"]["vmax_rounded"]
    assert allowed(least) < 1 - given["p"] < allowed(least - 1)
