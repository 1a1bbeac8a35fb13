"""`countershaft fit`.  Expected values: the tables of the invented demo, worked out apart by plain arithmetic."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from countershaft.cli.fit import fit
from countershaft.errors import BadInput


def run(*words: str) -> Result:
    """The command as it is typed; what it raises is raised here."""
    return CliRunner().invoke(fit, words, catch_exceptions=False, standalone_mode=False)


def test_a_trial_reading_says_the_washer() -> None:
    """Demo B: 1.80 + 0.66 - 0.375 = 2.085; 2.10 leaves 0.36."""
    told = run("demo-b", "EP-IN", "--reading", "trial=1.80 mm", "--reading", "reading=0.66 0.66 0.66").output
    assert "needed thrust washer: 2.085 mm, u = 0.0041 mm" in told
    assert "2.10 mm leaves 0.360 mm, inside 0.25 to 0.50 mm." in told
    assert "needed = trial + reading − goal = 1.8 + 0.66 − 0.375 = 2.085 mm" in told


def test_inches_say_the_same() -> None:
    """0.66 mm is 0.025984 in; the trial 1.80 mm is 0.070866 in."""
    asked = ("--reading", "trial=0.070866 in", "--reading", "reading=0.025984 0.025984 0.025984 in", "--json")
    told = json.loads(run("demo-b", "EP-IN", *asked).output)
    assert told["needed"][0]["size_mm"] == pytest.approx(2.085, abs=1e-4)
    assert told["nearest"][0]["size_mm"] == 2.1


def test_a_turning_torque_as_json() -> None:
    """Demo A: 1.9 + (2.5 - 0.7) / 5.6 = 2.22143; 2.20 gives 2.38."""
    asked = (
        "--reading",
        "trial shim=1.90",
        "--reading",
        "turning torque=0.7 0.7 0.7 N·m",
        "--bearings",
        "new",
    )
    told = json.loads(run("demo-a", "PL-D", *asked, "--json").output)
    assert told["needed"][0]["size_mm"] == pytest.approx(1.9 + 1.8 / 5.6)
    assert (told["nearest"][0]["size_mm"], told["nearest"][0]["leaves_nm"]) == (2.2, 2.38)
    assert told["windows"][0]["lower_nm"] == 1.9


def test_a_missing_bearing_is_no_thick_washer() -> None:
    """Demo C: 1.60 + 4.03 - 0.35 = 5.28, and the table ends at 2.60."""
    told = run("demo-c", "EP-IN", "--reading", "trial=1.60", "--reading", "reading=4.03 4.03 4.03").output
    assert "5.28 mm is needed, but the table ends at 2.60 mm" in told
    assert "a part is missing" in told and "look at: thrust bearing no. 3 missing" in told


def test_without_readings_it_says_what_is_asked_for() -> None:
    told = run("demo-a").output
    assert (
        "CL-K1  1st clutch clearance: 1.00 mm to 1.20 mm; read depth to the retaining ring groove (3 × mm)"
        in told
    )
    assert (
        "PL-D  differential side-bearing preload: 1.9 N·m to 3.1 N·m; read trial shim (1 × mm), turning torque"
        in told
    )
    assert json.loads(run("demo-a", "PL-D", "--json").output)["fits"]["PL-D"][1]["unit"] == "N·m"


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        (("trial=1.80",), "is found from trial, reading; got trial"),
        (("trial=1.80", "reading=0.66"), "reading: 3 readings are asked for; got 1"),
        (("trial=1.80", "reading=0 0 0"), "with no play the shaft is clamped"),
        (("trial=1.80", "reading=much"), "'much' holds no number"),
        (("trial", "reading=1"), "has no name"),
        (("trial=1", "trial=2"), "trial is given twice"),
    ],
)
def test_bad_readings_are_refused(readings: tuple[str, ...], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        run("demo-b", "EP-IN", *(part for one in readings for part in ("--reading", one)))
