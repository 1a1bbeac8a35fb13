"""Sweeps and converters from the command line.

Expected figures: the shared invented demo (A fails on the bore only: offset 0.132 mm toward 10.2 o'clock, TIR 0.264 of
0.25 mm, tilt 0.321 mrad, shift 0.033 mm; after the dowel is seated 0.081 mm; B 0.072 mm, tilt 0.188 mrad, shift
0.018 mm), and the same readings over exactly 25.4.  Re-clocking by hand: 0.1 + 0.1·e^(i·120°) = 0.1·e^(i·60°).
"""

from __future__ import annotations

import json
from typing import Any

import pytest
from click.testing import CliRunner

from countershaft.cli.alignment import align, converter
from countershaft.errors import BadInput

AS_FOUND = ("--bore", "0.00 -0.19 -0.16 0.02 mm")
LIMIT = ("--bore-limit", "0.25 mm")
FACE = ("--face", "0.09 mm", "--face-limit", "0.25 mm", "--diameter", "280 mm", "--bushing", "104 mm")
HOME = ("--dowel", "1 = 10.0 mm, 9.7 to 10.3 mm")
PROUD = ("--dowel", "2 = 13.4 mm, 9.7 to 10.3 mm")
AT_HAND = ("--offset-dowels", "0.15 0.30 0.45 mm")


def told(*options: str) -> dict[str, Any]:
    run = CliRunner().invoke(align, [*options, "--json"], catch_exceptions=False)
    assert run.exit_code == 0, run.output
    found: dict[str, Any] = json.loads(run.output)
    return found


def refused(*options: str) -> str:
    with pytest.raises(BadInput) as fault:
        CliRunner().invoke(align, list(options), catch_exceptions=False)
    return str(fault.value)


def test_demo_a_as_found() -> None:
    found = told(*AS_FOUND, *LIMIT, *FACE, *HOME, *PROUD, *AT_HAND)
    bore, face = found["bore"], found["face"]
    assert (bore["verdict"], face["verdict"], bore["closes"]) == ("bad", "good", True)
    assert (bore["move_x_mm"], bore["move_y_mm"], bore["closure_mm"]) == pytest.approx((-0.105, 0.08, 0.01))
    assert (round(bore["offset_mm"], 3), round(bore["tir_mm"], 3)) == (0.132, 0.264)
    assert round(bore["direction_oclock"], 1) == 10.2
    assert (round(face["tilt_mrad"], 3), round(face["shift_at_bushing_mm"], 3)) == (0.321, 0.033)
    assert found["dowels"][1] == {"name": "2", "stands_mm": 13.4, "home": False}
    assert found["offset_dowels"] is None
    assert found["advice"][2].startswith("Dowel 2 stands 13.40 mm instead of 9.70 mm to 10.30 mm")


def test_the_file_holds_the_limits() -> None:
    found = told(*AS_FOUND, "--face", "0.09 mm", "--file", "demo-a", "--dowel", "2 = 13.4 mm")
    assert (found["bore"]["limit_mm"], found["bore"]["verdict"]) == (0.25, "bad")
    assert round(found["face"]["shift_at_bushing_mm"], 3) == 0.033
    assert found["dowels"] == [{"name": "2, lower right", "stands_mm": 13.4, "home": False}]


def test_demo_a_after_and_demo_b() -> None:
    after = told("--bore", "0.00 -0.06 -0.07 -0.02 mm", *LIMIT, *HOME, *AT_HAND)
    assert (round(after["bore"]["tir_mm"], 3), after["bore"]["verdict"]) == (0.081, "good")
    b = told("--bore", "0.00 0.05 0.04 -0.01 mm", "--face", "0.06 mm", "--file", "demo-b")
    assert (round(b["bore"]["tir_mm"], 3), b["bore"]["verdict"]) == (0.072, "good")
    assert round(b["face"]["tilt_mrad"], 3) == 0.188
    assert round(b["face"]["shift_at_bushing_mm"], 3) == 0.018


def test_with_all_dowels_home_offset_dowels_are_chosen() -> None:
    found = told(*AS_FOUND, *LIMIT, *HOME, *AT_HAND)["offset_dowels"]
    assert (found["size_mm"], round(found["tir_mm"], 3), found["keeps_limit"]) == (0.15, 0.036, True)


def test_inches_and_thousandths_say_the_same() -> None:
    inch = told(
        "--bore", "0.0000 -0.0075 -0.0065 0.0010 in", "--step", "0.0005 in", "--bore-limit", "0.0098 in"
    )
    thou = told("--bore", "0 -7.5 -6.5 1.0 thou", "--step", "0.5 thou", "--bore-limit", "9.8 thou")
    assert inch["bore"]["tir_mm"] == pytest.approx(thou["bore"]["tir_mm"])
    assert round(inch["bore"]["tir_mm"], 3) == 0.272  # 2·√(4.25² + 3.25²) thou = 10.70 thou
    assert "toward 10 o'clock" in inch["advice"][0] and " in" in inch["advice"][0]


def test_decimal_commas_and_a_minus_from_a_text_are_read() -> None:
    found = told("--bore", "0,00; −0,19; −0,16; 0,02 mm", *LIMIT)
    assert round(found["bore"]["tir_mm"], 3) == 0.264


def test_the_text_tells_the_same_with_its_working() -> None:
    run = CliRunner().invoke(align, [*AS_FOUND, *LIMIT, *FACE], catch_exceptions=False)
    assert "move the housing 0.13 mm toward 10 o'clock" in run.output
    assert "x = (r3 − r9) / 2 = ((−0.19) − 0.02) / 2 mm" in run.output
    assert "shift = total / diameter · distance = 0.090 mm / 280.00 mm · 104.00 mm = 0.033 mm" in run.output


def test_a_sweep_that_does_not_close_is_answered_with_measure_again() -> None:
    found = told("--bore", "0.00 -0.19 -0.16 0.12 mm", *LIMIT)
    assert (found["bore"]["verdict"], found["bore"]["closes"]) == ("measure again", False)
    assert "does not close: closure 0.09 mm, allowed 0.01 mm" in found["advice"][-1]
    slipped = told(*AS_FOUND, "--back", "0.03 mm", *LIMIT)
    assert slipped["bore"]["verdict"] == "measure again"
    wide = told("--bore", "0.00 -0.19 -0.16 0.12 mm", *LIMIT, "--closure", "0.10 mm")
    assert wide["bore"]["closes"] is True


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--bore", "0.00 -0.19 -0.16 0.02", *LIMIT), "0.02 can be 0.02 mm, 0.02 in or 0.02 thou; type the unit"),
        (("--bore", "0.00 -0.19 -0.16 mm", *LIMIT), "3 readings; expected 4, 6, 8 or 12"),
        (("--bore", "0.00 -0.19 -0.16 0.02 in", *LIMIT), "and 0.25 mm is allowed: mm? Choose the unit"),
        (("--bore", "0.00 -0.19 -0.16 0.02 N", *LIMIT), "--bore"),
        (("--bore", "left right mm", *LIMIT), "holds no figures"),
        (AS_FOUND, "--bore-limit: type the most runout of the bore"),
        ((*AS_FOUND, *LIMIT, "--face", "0.09 mm"), "--face-limit: the face was swept"),
        ((*AS_FOUND, *LIMIT, "--face", "0.0035 in"), "--face: in in, the bore in mm; type both in one unit"),
        ((*AS_FOUND, *LIMIT, "--face", "0 0.1 mm"), "--face: 2 readings; expected 4 as in the bore"),
        ((*AS_FOUND, *LIMIT, "--rise", "0.001 in"), "--rise: '0.001 in'; type one figure in mm"),
        ((*AS_FOUND, *LIMIT, "--dowel", "2 = 13.4 mm"), "nobody says how far dowel 2 must stand out"),
        ((*AS_FOUND, *LIMIT, "--dowel", "13.4"), "expected such as"),
        ((*AS_FOUND, *LIMIT, "--dowel", "2 = 13.4 mm, 10.3 to 9.7 mm"), "min 10.3 mm is not below max 9.7 mm"),
        ((*AS_FOUND, "--bore-limit", "-0.25 mm"), "--bore-limit: -0.25 mm is no such length; it must be above 0"),
    ],
)  # fmt: skip
def test_wrong_input_says_what_and_what_to_do(options: tuple[str, ...], said: str) -> None:
    assert said in refused(*options)


def test_wrong_input_as_json_and_a_unit_that_is_meant() -> None:
    run = CliRunner().invoke(align, ["--bore", "0.00 -0.19 -0.16 0.02 in", *LIMIT, "--json"])
    assert run.exit_code == 1
    assert "With --sure it is taken as typed" in json.loads(run.output)[0]["message"]
    assert told("--bore", "0.00 -0.19 -0.16 0.02 in", *LIMIT, "--sure")["bore"]["verdict"] == "bad"


def fit(*options: str) -> dict[str, Any]:
    run = CliRunner().invoke(converter, [*options, "--json"], catch_exceptions=False)
    assert run.exit_code == 0, run.output
    found: dict[str, Any] = json.loads(run.output)
    return found


def test_depth_and_gap_of_demo_a() -> None:
    found = fit("--depth", "25.1 25.2 25.1 mm", "--plate", "22.4 mm", "--file", "demo-a")
    assert (found["depth"]["verdict"], found["gap"]["verdict"]) == ("good", "good")
    assert found["gap"]["value_mm"] == pytest.approx(2.8)
    typed = fit("--depth", "18.2 mm", "--plate", "18.2 mm", "--depth-limit", "24.0 to 26.0 mm")
    assert typed["depth"]["verdict"] == "bad"
    assert typed["advice"][0].startswith("NOTICE: gap 0.00 mm to 0.00 mm. The converter is not seated")


def test_two_trials_of_the_hub_tell_the_best_position() -> None:
    trials = ("--hub", "0: 0.200 0.000 -0.200 0.000 mm", "--hub", "1: 0.050 0.087 -0.050 -0.087 mm")
    found = fit(*trials, "--hub-limit", "0.28 mm", "--positions", "3")
    assert [one["verdict"] for one in found["hub"]] == ["bad", "good"]
    assert [round(one["tir_mm"], 2) for one in found["positions"]] == [0.4, 0.2, 0.2]
    one = fit(*trials[:2], "--hub-limit", "0.28 mm", "--positions", "3")
    assert one["why_no_position"] == "Bolt the converter on in another position and read the hub again."
    run = CliRunner().invoke(converter, [*trials, "--hub-limit", "0.28 mm", "--positions", "3"])
    assert "is best: 0.20 mm TIR, within 0.28 mm" in run.output


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "--depth or --hub is needed"),
        (("--depth", "25.1"), "type the unit behind the figures"),
        (("--depth", "25.1 mm", "--plate", "0.9 in"), "type both in one unit"),
        (("--depth", "25.1 25.1 25.1 mm", "--plate", "22 22 mm"), "--plate: 3 pads but 2 figures of the plate"),
        (("--depth", "25.1 in", "--depth-limit", "24.0 to 26.0 mm"), "With --sure it is taken as typed"),
        (("--depth", "25.1 mm", "--depth-limit", "24 mm"), "is no window"),
        (("--hub", "0.2 0 0 0 mm"), "expected a position and its readings"),
        (("--hub", "0: 0.2 0 0 mm"), "3 readings; expected 4, 6, 8 or 12"),
        (("--hub", "3: 0.2 0 -0.2 0 mm", "--positions", "3"), "in positions 0 to 2"),
    ],
)  # fmt: skip
def test_a_converter_that_cannot_be_judged_says_why(options: tuple[str, ...], said: str) -> None:
    with pytest.raises(BadInput) as fault:
        CliRunner().invoke(converter, list(options), catch_exceptions=False)
    assert said in str(fault.value)
