"""`countershaft sum`.

Expected values: copper of IEC 60028 by hand (5.9 Ω / 1.1572), a published squeeze of 20 % (SEAL-01 of
tests/published/parts_condition.json), and the exit codes that docs/reference/cli.md promises.
"""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from countershaft.cli.main import cli
from countershaft.sums.register import SUMS

RING = ("o-ring", "--inside", "50", "--section", "2", "--seat", "50", "--room", "1.6", "--width", "3.2")


def run(*arguments: str) -> Result:
    """A sum at a terminal."""
    return CliRunner().invoke(cli, ["sum", *arguments])


def test_without_a_name_every_sum_is_listed_with_what_it_answers() -> None:
    told = run()
    assert told.exit_code == 0
    assert all(name in told.output and one.asks in told.output for name, one in SUMS.items())


def test_a_winding_in_fahrenheit() -> None:
    told = run("winding", "--reading", "5.9 ± 0.1 ohm", "--temperature", "140 ± 9 °F")
    assert told.exit_code == 0
    assert "Resistance at 20 °C: 5.10 ± 0.15 Ω" in told.output
    assert "Temperature of the winding: 140 ± 9 °F = 60 °C" in told.output
    assert "Source: IEC 60028" in told.output


def test_plain_figures_carry_their_unit_in_the_key() -> None:
    told = json.loads(run("winding", "--reading", "5.9", "--temperature", "60", "--json").output)
    assert told["figures"]["resistance_ohm"] == pytest.approx(5.9 / 1.1572, rel=1e-11)
    assert told["figures"]["resistance_ohm_expanded_uncertainty"] > 0
    assert told["typed"] == {"reading": "5.9 Ω", "temperature": "60 °C"}
    ring = json.loads(run(*RING, "--json").output)["figures"]
    assert ring["squeeze_percent"] == pytest.approx(20.0)
    assert ring["section_in"] == pytest.approx(2 / 25.4)


def test_bare_figures_are_inches_where_that_is_said() -> None:
    told = json.loads(
        run("orifice", "--diameter", "0.1", "--pressure", "100", "--density", "62.428", "--coefficient", "0.63",
            "--inch", "--json").output
    )  # fmt: skip
    assert told["typed"]["diameter"] == "0.1 in"
    assert told["figures"]["flow_us_gal_per_min"] == pytest.approx(1.89, rel=0.01)
    text = run("orifice", "--diameter", "0.1", "--pressure", "100", "--inch").output
    assert text.index("US gal/min") < text.index("L/min")
    assert text.startswith("WARNING: Oil")


def test_a_verdict_has_its_reason() -> None:
    wear = ("wear", "--size", "14.056", "--new", "14.000", "--limit", "14.050", "--wears", "grows")
    assert "bad: 14.056 ± " in run(*wear).output
    told = json.loads(run(*wear, "--json").output)
    assert (told["verdict"], told["why"].endswith("lies beyond the limit 14.05.")) == ("bad", True)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--section", "x"), "--section: 'x' is no figure"),
        (("--section", "3 psi"), "--section: '3 psi' is in psi"),
        (("--room", "1,234"), "--room: '1,234' can be 1.234 mm or 1234 mm"),
        (("--seat", "90"), "--seat: the stretch of an O-ring is 80 %; expected -5 to 25 %"),
    ],
)
def test_what_cannot_be_worked_out_ends_with_1(arguments: tuple[str, ...], words: str) -> None:
    told = run(*RING, *arguments)
    assert told.exit_code == 1
    assert words in told.stderr
    plain = run(*RING, *arguments, "--json")
    assert plain.exit_code == 1
    (fault,) = json.loads(plain.output)
    assert f"{fault['key']}: {fault['message']}".startswith(words)
    assert {"file", "line", "column"} <= set(fault)


@pytest.mark.parametrize(
    "arguments", [("tea",), ("winding", "--reading", "3"), ("wear", "--wears", "sideways")]
)
def test_wrong_use_ends_with_2(arguments: tuple[str, ...]) -> None:
    assert run(*arguments).exit_code == 2
