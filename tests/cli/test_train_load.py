"""`countershaft train --gear`.

Expected values: torque per unit of input torque of the invented demo B, computed there by another route
(consistency): 3rd A 1.0065, B 0.6039; 6th E 1.0000, C -0.3333.
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
    assert "clutch A: front carrier to small sun: 251.623 N·m" in said
    assert "Efficiency 0.99" in said


def test_two_speeds_name_what_slips() -> None:
    asked = json.loads(run("--gear", "6", "--rpm", "2341", "--output-rpm", "2731.5", "--json").output)
    slip = asked["gears"]["6"]["slip"]
    assert slip["expected_rpm"] == pytest.approx(1821)
    assert slip["excess_rpm"] == pytest.approx(520)


def test_wrong_use_and_wrong_input_are_told_apart() -> None:
    assert run("--torque", "250").exit_code == 2
    assert run("--gear", "6", "--torque", "much").exit_code == 2
    wrong = run("--gear", "9", "--json")
    assert wrong.exit_code == 1
    assert "gear '9' is not in the chart" in json.loads(wrong.output)[0]["message"]
