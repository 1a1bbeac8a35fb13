"""`countershaft train --gear` and `--hold`.

Expected values: torque per unit of input torque of the invented demo B, computed there by another route
(consistency): 3rd A 1.0065, B 0.6039; 6th E 1.0000, C -0.3333; what its elements hold, from its tables; Willis by
hand for the planets.
"""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from countershaft.cli.train import train


def run(*words: str) -> Result:
    return CliRunner().invoke(train, ["demo-b", *words], catch_exceptions=True)


def test_json_has_torques_per_unit_of_input_torque() -> None:
    gears = json.loads(run("--json").output)["gears"]
    assert gears["3"]["element_torques"]["A"] == pytest.approx(1.0065, abs=5e-5)
    assert gears["3"]["element_torques"]["B"] == pytest.approx(0.6039, abs=5e-5)
    assert gears["6"]["element_torques"] == {"C": pytest.approx(-0.3333, abs=5e-5), "E": pytest.approx(1.0)}
    assert gears["6"]["efficiency"] is None
    assert sum(gears["6"]["torques"].values()) == pytest.approx(0.0, abs=1e-12)


def test_losses_stand_beside_every_gear() -> None:
    gears = json.loads(run("--json", "--loss", "0.99").output)["gears"]
    assert gears["1"]["efficiency"] < 1
    assert gears["1"]["torque_ratio"] == pytest.approx(gears["1"]["efficiency"] * gears["1"]["ratio"])


def test_one_gear_under_torque_reads_as_text() -> None:
    said = run("--gear", "3", "--torque", "250", "--rpm", "2000", "--loss", "0.99").output
    assert "Efficiency 0.9925, torque ratio 1.5982" in said


def test_what_is_printed_has_the_losses_that_were_asked_for() -> None:
    """Only the front set rolls: 250 · (1 + 0.99² · 47/77) = 399.561 comes out, and A bears 155/248 of it."""
    asked = ("--gear", "3", "--torque", "250", "--rpm", "2000")
    said = run(*asked, "--loss", "0.99").output
    assert "-399.561" in said
    assert "clutch A: front carrier to small sun: 249.725 N·m" in said
    assert "P1 sun-planet                      0.38 %" in said
    assert "clutch A: front carrier to small sun: 251.623 N·m" in run(*asked).output
    plain = json.loads(run(*asked, "--loss", "0.99", "--json").output)["gears"]["3"]
    lost = sum(one["lost_share"] for one in plain["mesh_losses"])
    assert lost == pytest.approx(1 - plain["efficiency"])
    assert sum(plain["torques_nm"].values()) == pytest.approx(0.0, abs=1e-9)


def test_losses_on_coast_are_those_of_coast() -> None:
    """3rd, where only the front set rolls: the carrier drives, and 250 · (1 + 47/77 / 0.99²) make 250 at the ring."""
    needed = 1 + 47 / 77 / 0.99**2
    plain = json.loads(run("--gear", "3", "--torque", "-250", "--loss", "0.99", "--json").output)["gears"][
        "3"
    ]
    assert plain["torque_ratio"] == pytest.approx(needed)
    assert plain["torques_nm"]["out"] == pytest.approx(250 * needed)
    assert plain["efficiency"] == pytest.approx((1 + 47 / 77) / needed)


def test_a_freewheel_on_coast_carries_nothing() -> None:
    said = run("--gear", "1", "--torque", "-100").output
    assert "one-way clutch F: holds the rear carrier against reverse turning: carries nothing, slack" in said
    assert "The engine does not brake on coast." in said


def test_no_stall_is_counted_on_coast() -> None:
    """In 2nd the small sun bears 124/77 of 50 N·m, 81 N·m, and no 1.6 of a start."""
    said = run("--hold", "--engine", "-50").output
    assert "stall" not in said
    assert "2, on coast, torque ratio 1" in said
    assert "clutch A: front carrier to small sun        81" in said


def test_two_speeds_name_what_slips() -> None:
    asked = json.loads(run("--gear", "6", "--rpm", "2341", "--output-rpm", "2731.5", "--json").output)
    slip = asked["gears"]["6"]["slip"]
    assert slip["expected_rpm"] == pytest.approx(1821)
    assert slip["excess_rpm"] == pytest.approx(520)


def test_wrong_use_and_wrong_input_are_told_apart() -> None:
    assert run("--torque", "250").exit_code == 2
    assert run("--gear", "6", "--torque", "much").exit_code == 2
    assert run("--gear", "6", "--torque", "1e999999999").exit_code == 2
    assert run("--gear", "6", "--torque", "1/0").exit_code == 2
    wrong = run("--gear", "9", "--json")
    assert wrong.exit_code == 1
    assert "gear '9' is not in the chart" in json.loads(wrong.output)[0]["message"]


def test_power_goes_round_in_fifth_as_the_element_torques_say() -> None:
    """Demo B prints E 1.261 and B -0.420 in 5th: E passes 1.261 at input speed, so 0.261 of the input goes round."""
    power = json.loads(run("--gear", "5", "--json", "--torque", "250", "--rpm", "2000").output)["gears"]["5"][
        "power"
    ]
    assert power["elements"]["E"]["share"] == pytest.approx(1.261, abs=5e-4)
    assert power["circulating_share"] == pytest.approx(0.261, abs=5e-4)
    assert power["elements"]["E"]["kw"] == pytest.approx(1.261 * 250 * 2000 * 2 * 3.141593 / 60e3, rel=5e-4)
    assert (power["at_rest"], power["idle"], power["floating"]) == (["S1"], ["Ss"], ["engine"])


def test_planets_turn_against_their_carrier_as_by_hand() -> None:
    """Front set of demo B: sun 47 held, carrier 77/124, planet 15: 47/15 · 77/124 = 1.9457 per input turn."""
    power = json.loads(run("--gear", "2", "--json", "--rpm", "1000").output)["gears"]["2"]["power"]
    planet = power["planets"][0]
    assert planet["planet"] == "p1"
    assert planet["against_carrier"] == pytest.approx(47 / 15 * 77 / 124)
    assert planet["against_carrier_rpm"] == pytest.approx(1945.7, abs=0.05)
    assert "kw" not in power["elements"]["A"]


def test_power_and_loads_read_as_text() -> None:
    said = run("--gear", "5", "--torque", "250", "--rpm", "2000").output
    assert "26.1 % of it goes round:" in said
    assert "p1: 1.9457, 3891 rpm" in said
    assert "Still: S1" in said
    assert "Floating: engine" in said
    assert "250 N·m and 2000 rpm at the input" in said
    neutral = run("--gear", "N").output
    assert "float; 2 more elements are needed" in neutral
    assert "Power" not in neutral


def test_what_every_element_must_hold() -> None:
    """Brake D of demo B: 2937 N·m at stall in reverse, 3534 held, factor 1.20."""
    said = run("--hold").output
    row = next(line for line in said.splitlines() if "brake D" in line)
    assert row.split()[-5:-3] == ["2937", "3534"]
    assert "not computed, because the file gives no torque of a one-way clutch" in said
    plain = json.loads(run("--hold", "--json", "--engine", "100", "--converter", "1").output)
    assert plain["engine_torque_nm"] == 100
    first = next(one for one in plain["element_loads"] if one["gear"] == "1" and one["element"] == "A")
    assert first["required_nm"] == pytest.approx(161.04, abs=0.01)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--hold", "--gear", "1"), "--hold is of every gear"),
        (("--engine", "100"), "belong to --hold"),
        (("--pressure", "100"), "name it with --gear"),
    ],
)
def test_options_that_do_not_go_together(words: tuple[str, ...], said: str) -> None:
    wrong = run(*words)
    assert wrong.exit_code == 2
    assert said in wrong.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--gear", "1", "--torque", "0"), "a torque of 0 loads nothing"),
        (("--gear", "1", "--pressure", "-5"), "makes no sense"),
        (("--gear", "1", "--pressure", "900"), "type the torque at the input too"),
        (("--gear", "1", "--output-rpm", "500"), "type the measured input speed too"),
        (("--hold", "--engine", "0"), "makes no sense"),
        (("--gear", "1", "--torque", "9000000000"), "no gearbox bears such a torque"),
        (("--hold", "--converter", "9"), "is no converter's"),
    ],
)
def test_figures_that_make_no_sense(words: tuple[str, ...], said: str) -> None:
    wrong = run(*words, "--json")
    assert wrong.exit_code == 1
    assert said in json.loads(wrong.output)[0]["message"]
