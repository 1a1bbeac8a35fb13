"""`countershaft fasteners`, `identify` and `bolt`.

Expected values: demo B by hand; NAVEDTRA 14315 for the wrench (100 lbf·in, 12 in and 6 in: 66.7 lbf·in); ISO 898-1
for the proof load of M8, class 8.8: 21.2 kN.
"""

from __future__ import annotations

import json
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from countershaft.cli.bolt import bolt
from countershaft.cli.fasteners import fasteners, identify
from countershaft.errors import BadInput, QuantityError, Unknown
from tests.odd_bolts import ODD_BOLTS


def run(command: click.Command, *words: str) -> Result:
    return CliRunner().invoke(command, words, catch_exceptions=True)


def test_every_joint_in_one_table() -> None:
    said = run(fasteners, "demo-a").output
    assert "23 N·m = 17.0 lbf·ft = 204 lbf·in" in said
    assert "LEFT" in said and "Bag these 2 apart: F07/1" in said
    assert "bolt of F01/1 to 6 in F13/1: dangerous, meets the bottom" in said


def test_one_joint_in_full() -> None:
    said = run(fasteners, "demo-b", "--joint", "V").output
    assert "order: V08, V12," in said and "(the order that the file gives)" in said
    assert "loosen in reverse, half a turn, then out: V13, V01," in said
    assert "17 stand 12 mm high" in said
    assert "pressure under the head unknown  the material under the head is not given" in said


def test_json_is_plain() -> None:
    """Units in the keys, no rounding: NIST SP 811 gives 0.1129848 N·m for a lbf·in, so 10 N·m are 88.5075."""
    whole = json.loads(run(fasteners, "demo-b", "--json").output)
    joint = next(one for one in whole["joints"] if one["id"] == "V")
    assert joint["rounds"][1]["torque_lbf_in"] == pytest.approx(10 / 0.1129848, rel=1e-6)
    assert joint["order"]["pattern"] == "given" and joint["loosening"] == joint["order"]["sequence"][::-1]
    answers = {one["name"]: one for one in joint["checks"][0]["answers"]}
    assert answers["reach"]["least_mm"] == pytest.approx(12)
    assert answers["pressure under the head"]["least_mpa"] is None
    assert whole["mix_ups"]["proven_fewest"] is True


def test_what_is_wrong_is_said_and_never_guessed(tmp_path: Path) -> None:
    path = tmp_path / "odd.yaml"
    path.write_text(ODD_BOLTS, encoding="utf-8")
    whole = json.loads(run(fasteners, str(path), "--json").output)
    verdicts = {one["id"]: one["verdict"] for one in whole["joints"]}
    assert (verdicts["long"], verdicts["tight"], verdicts["turned"]) == ("bad", "bad", "unknown")
    nogrip = next(one for one in whole["joints"] if one["id"] == "nogrip")
    assert nogrip["checks"][0]["grip_mm"] is None and "reach" in nogrip["unknown"]


def test_faults_of_the_file_and_of_the_joint() -> None:
    assert isinstance(run(fasteners, "nowhere.yaml").exception, BadInput)
    assert isinstance(run(fasteners, "demo-b", "--joint", "X").exception, Unknown)
    answer = run(fasteners, "demo-b", "--joint", "X", "--json")
    assert answer.exit_code == 1 and "has no joint 'X'" in json.loads(answer.output)[0]["message"]


def test_loose_bolts_find_their_places() -> None:
    answer = run(identify, "demo-b", "4x M6 45", "25 6 1.0")
    assert answer.exit_code == 0
    assert "4x M6 45: 45 mm long, 6 mm thick: 4 of 4 to V03, V04, V07, V08, V16, V17" in answer.output
    plain = json.loads(run(identify, "demo-b", "4x M6 45", "--whole", "--json").output)
    assert plain["lines"][0]["placed"] == 4 and plain["missing"]


def test_a_line_that_cannot_be_read_is_wrong_input() -> None:
    answer = run(identify, "demo-b", "25 6", "M6 foo")
    assert answer.exit_code == 1 and "line 2: 'M6 foo': 'foo' is no figure" in answer.output
    plain = json.loads(run(identify, "demo-b", "M6 foo", "--json").output)
    assert (plain[0]["line"], plain[0]["got"]) == (1, "M6 foo")
    assert run(identify, "demo-b").exit_code == 2
    assert json.loads(run(identify, "nowhere", "25 6", "--json").output)[0]["message"]


def test_one_bolt_with_a_wrench() -> None:
    words = ("M8x1.25", "--class", "8.8", "--head", "hex flange", "--torque", "100 lbf·in", "--wrench", "12 in",
             "--adapter", "6 in")  # fmt: skip
    said = run(bolt, *words).output
    assert "set on the wrench       66.7 lbf·in" in said
    assert "580 MPa × 36.61 mm² = 21.2 kN" in said
    plain = json.loads(run(bolt, *words, "--tool", "II A", "--most", "25", "--json").output)
    assert plain["wrench"]["set_lbf_in"] == pytest.approx(66.7, abs=0.05)
    assert plain["wrench"]["usable"] is True


def test_torque_for_a_preload() -> None:
    said = run(bolt, "M8", "--head", "hex flange", "--preload", "18 kN", "--friction", "0.10-0.14").output
    assert said.startswith("friction 0.1: 22.")
    assert "friction 0.14: 29." in said
    plain = json.loads(run(bolt, "M8", "--head", "hex flange", "--preload", "18 kN", "--json").output)
    assert [one["friction"] for one in plain["torques"]] == [0.08, 0.16]


@pytest.mark.parametrize(
    ("words", "error", "message"),
    [
        (("M8", "--torque", "24"), QuantityError, "'24' has no unit"),
        (("M8", "--length", "24"), QuantityError, "'24' has no unit"),
        (("M0", "--torque", "24 N·m"), BadInput, "M0"),
        (("M8", "--friction", "slippery"), BadInput, "'slippery' is no friction"),
        (
            ("M8", "--torque", "24 N·m", "--wrench", "400"),
            BadInput,
            "--adapter: wrench and adapter count together",
        ),
        (("M8", "--wrench", "400", "--adapter", "50"), BadInput, "--torque is needed"),
        (("M8", "--preload", "18 kN"), BadInput, "name it with --head"),
    ],
)
def test_slips(words: tuple[str, ...], error: type[Exception], message: str) -> None:
    answer = run(bolt, *words)
    assert answer.exit_code == 1 and message in str(answer.exception)
    plain = run(bolt, *words, "--json")
    assert plain.exit_code == 1 and message in json.loads(plain.output)[0]["message"]
    assert isinstance(answer.exception, Exception) and error is not None


def test_an_angle_after_the_torque_is_worked_out_at_a_terminal() -> None:
    """The bolt of tests/mechanics/test_bolt_check.py, with its working, its nut factor and its springs."""
    asked = ["M10x1.25", "--class", "10.9", "--head", "hex flange", "--torque", "32 N·m", "--turn", "55°"]
    asked += ["--into", "steel", "--under", "steel", "--length", "24 mm", "--grip", "9 mm"]
    said = run(bolt, *asked).output
    assert "torque and angle        caution  14.1 to 25.9 kN before the angle" in said
    assert "drawn together = pitch × angle / 360° = 1.25 × 55° / 360° = 0.191 mm" in said
    assert "nut factor K = T/(F·d) = 32 N·m / (14.09 kN × 10 mm) = 0.227" in said
    assert "share of a load from outside = 896.1 / (896.1 + 5033) = 0.151" in said


def test_the_scatter_of_each_way_to_tighten_stands_in_the_working() -> None:
    said = run(bolt, "M8x1.25", "--class", "8.8", "--head", "hex flange", "--torque", "24 N·m").output
    assert "torque wrench, friction estimated: ±28 %" in said
    assert "impact driver: ±60 %" in said
