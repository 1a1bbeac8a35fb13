"""The README's two commands are the ones that exist and that the gate runs, and its top says what the job is.

Expected: the wording of README.md, `.ci/run`, `./bench help` and the ladder, held to each other.
"""

from __future__ import annotations

import os
import re
import subprocess
from pathlib import Path

import pytest

from tools.layers import LADDER

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
GATE = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
STAGES = ("complaint", "diagnos", "teardown", "inspect", "decision", "fits", "build", "proof", "hand-over")


def verbs() -> set[str]:
    """The verbs that ./bench says it has."""
    said = subprocess.run([ROOT / "bench", "help"], capture_output=True, text=True, check=True).stdout
    return set(re.findall(r"^\./bench (\w+)", said, flags=re.MULTILINE))


def commands(text: str) -> list[str]:
    """The lines of the shell blocks of a page."""
    blocks = re.findall(r"^```sh\n(.*?)^```", text, flags=re.MULTILINE | re.DOTALL)
    return [line for block in blocks for line in block.splitlines()]


def test_the_first_paragraph_states_the_whole_job() -> None:
    title, paragraph, _ = README.split("\n\n", maxsplit=2)
    assert title == "# countershaft"
    places = [paragraph.find(stage) for stage in STAGES]
    assert places == sorted(places)
    assert -1 not in places
    assert "transmission" in paragraph
    assert "shop" in paragraph


def test_the_two_commands_come_first_and_exist() -> None:
    assert commands(README)[:2] == ["./bench run", "./bench test"]
    assert {"run", "test"} <= verbs()


def test_the_gate_calls_exactly_the_readme_s_test_command() -> None:
    calls = [line for line in GATE.splitlines() if line and not line.startswith("#")]
    assert calls == [
        "set -euo pipefail",
        'cd -- "$(dirname -- "$0")/.."',
        "./bench check",
        commands(README)[1],
    ]
    assert GATE.startswith("#!/usr/bin/env bash\n")


@pytest.mark.parametrize("name", ["bench", ".ci/run"])
def test_what_is_called_can_be_called(name: str) -> None:
    assert os.access(ROOT / name, os.X_OK)


def test_every_verb_that_is_written_about_exists_and_every_verb_is_written_about() -> None:
    pages = [README, GATE, (ROOT / "CONTRIBUTING.md").read_text(encoding="utf-8")]
    pages += [path.read_text(encoding="utf-8") for path in (ROOT / "docs").rglob("*.md")]
    told = {verb for page in pages for verb in re.findall(r"\./bench (\w+)", page)}
    assert told == verbs()


def test_the_readme_shows_the_ladder_as_it_is() -> None:
    line = next(line for line in README.splitlines() if line.startswith("`errors` →"))
    shown = [frozenset(rung.strip("`").split(" | ")) for rung in line.split(" → ")]
    source = ROOT / "src" / "countershaft"
    there = {
        path.stem for path in source.iterdir() if (path / "__init__.py").exists() or path.suffix == ".py"
    }
    assert shown == [rung & there for rung in LADDER if rung & there]


def test_the_readme_defers_to_the_maker() -> None:
    assert "WARNING" in README
    assert "Follow the maker's service information, local codes and licensed practice" in README
