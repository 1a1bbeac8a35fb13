"""`countershaft form`.

Expected values by hand: four corners in one plane and the middle 0.06 mm below it are flat to 0.06 mm, since any other
plane leaves a corner farther out (Chebyshev, by symmetry); of readings at 12, 3, 6 and 9 the first harmonic is
((r12 - r6) / 2, (r3 - r9) / 2).
"""

from __future__ import annotations

import json
import math

import pytest
from click.testing import CliRunner, Result

from countershaft.cli.main import cli

CLOCK = "{kind: runout, clock: [12, 3, 6, 9]}"


def run(*words: str) -> Result:
    return CliRunner().invoke(cli, ["form", *words])


def test_runout_from_four_readings() -> None:
    found = run(CLOCK, "0.00", "0.03", "0.05", "0.02", "--max", "0.10 mm", "--json")
    told = json.loads(found.output)
    assert told["value_mm"] == pytest.approx(0.05)
    assert told["verdict"] == "good"
    assert any(f"√(c² + s²) = {math.hypot(0.025, 0.005):.4f} mm" in line for line in told["working"])


def test_a_limit_of_a_file_asks_and_judges() -> None:
    gaps = ["0", "0.06", "0", "0", "0.06", "0", "0", "0", "0", "0", "0", "0"]
    found = run("demo-c:C06", *gaps, "--step", "0.01")
    assert found.exit_code == 0, found.output
    assert "flatness, minimum zone (ISO 1101): 0.06 ± " in found.output
    assert "good: 0.06 ± " in found.output


def test_inches_stay_inches_and_a_minus_is_a_reading() -> None:
    found = run(CLOCK, "0.000in", "-0.001in", "-0.002in", "-0.001in")
    assert "total indicator reading: 0.002 ± " in found.output and " in\n" in found.output


def test_a_plain_rule_is_said_and_followed() -> None:
    words = (CLOCK, "0.00", "0.03", "0.05", "0.02", "--max", "0.05 mm")
    assert "measure again: 0.05" in run(*words).output
    assert "good: 0.05" in run(*words, "--plain").output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("demo-c:C06", "0", "1"), "Expected 12 readings, at A, M, C"),
        (("{kind: rnout}", "1"), "did you mean 'runout'?"),
        (("demo-c:C01", "1"), "is not measured by places"),
        (("demo-c", "1"), "names no limit; write FILE:LIMIT"),
        ((CLOCK, "0", "1", "1", "x"), "'x' is no figure"),
        ((CLOCK, "0in", "1", "1", "1"), "The readings are in in and mm"),
    ],
)
def test_what_is_wrong_is_said(words: tuple[str, ...], said: str) -> None:
    assert said in str(run(*words).exception)
    told = run(*words, "--json")
    assert told.exit_code == 1 and said in json.loads(told.output)[0]["message"]
