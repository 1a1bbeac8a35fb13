"""Where the expected values come from: the shipped files, and one bad file whose places are counted by hand."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from countershaft.cli.define import check, schema
from countershaft.definitions.library import library_text, shipped_schema

BAD = "format: 1\nname: x\nparts:\n  - {id: P01, nmae: case}\n  - {id: P02, name: drum, quantity: two}\n"


@pytest.fixture
def bad(tmp_path: Path) -> Path:
    path = tmp_path / "bad.yaml"
    path.write_text(BAD, encoding="utf-8")
    return path


def test_a_shipped_file_is_checked_by_its_name() -> None:
    result = CliRunner().invoke(check, ["demo-b"])
    assert result.exit_code == 0
    *warnings, said = result.output.splitlines()
    assert all(warning.startswith("warning: demo-b.yaml:") for warning in warnings)
    assert said.startswith("demo-b.yaml: Demo B, six-speed planetary: no faults; ")
    assert "; 2 gear sets, " in said
    assert "5 packs, 63 parts, 20 joints, 112 fasteners, 46 steps, 8 fits" in result.output


def test_a_file_on_the_disk_is_checked(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(library_text("demo-c"), encoding="utf-8")
    result = CliRunner().invoke(check, [str(path), "--json"])
    assert result.exit_code == 0
    said = json.loads(result.output)
    assert (said["file"], said["parts"], said["fasteners"]) == (str(path), 42, 76)


DOUBTFUL = """\
format: 1
name: x
fasteners:
  - id: F01
    name: cover
    thread: M8x1.25
    length_mm: 40
    grip_mm: 10
    thread_depth_mm: 20
    count: 2
    stages: [{torque: 20 N·m}]
"""


def test_what_can_hardly_be_is_a_warning_at_its_line_and_the_file_is_used(tmp_path: Path) -> None:
    path = tmp_path / "long.yaml"
    path.write_text(DOUBTFUL, encoding="utf-8")
    result = CliRunner().invoke(check, [str(path)])
    assert result.exit_code == 0
    # 40 mm less 10 mm clamped reach 30 mm into 20 mm of thread.
    warning, said = result.output.splitlines()
    assert warning.startswith(f"warning: {path}:7:16: fasteners[F01].length_mm: F01 cover, bottom reserve: ")
    assert "no faults; 1 warning; 0 gear sets" in said
    told = json.loads(CliRunner().invoke(check, [str(path), "--json"]).output)
    assert [(one["line"], one["key"]) for one in told["warnings"]] == [(7, "fasteners[F01].length_mm")]


def test_every_fault_is_printed_with_its_place(bad: Path) -> None:
    result = CliRunner().invoke(check, [str(bad)])
    assert result.exit_code == 1
    first, second, count = result.output.splitlines()
    assert first.startswith(
        f"{bad}:4:15: parts[P01].nmae: this key is not known here; expected one of id, name, "
    )
    assert first.endswith("Did you mean 'name'?")
    assert second == (
        f"{bad}:5:37: parts[P02].quantity: this is no whole number; expected a whole number such as 6, got 'two'"
    )
    assert count == "2 faults."


def test_faults_come_as_plain_json(bad: Path) -> None:
    result = CliRunner().invoke(check, [str(bad), "--json"])
    assert result.exit_code == 1
    faults = json.loads(result.output)
    assert [(one["file"], one["line"], one["column"], one["key"]) for one in faults] == [
        (str(bad), 4, 15, "parts[P01].nmae"),
        (str(bad), 5, 37, "parts[P02].quantity"),
    ]
    assert set(faults[0]) == {"file", "line", "column", "key", "message", "expected", "got", "cure"}


def test_a_file_that_is_not_there_is_said_so() -> None:
    result = CliRunner().invoke(check, ["nowhere.yaml"])
    assert result.exit_code == 1
    assert "nowhere.yaml cannot be read: No such file or directory." in result.output
    assert "demo-b, demo-c" in result.output


def test_a_file_that_is_no_text_is_said_so(tmp_path: Path) -> None:
    path = tmp_path / "latin.yaml"
    path.write_bytes(b"format: 1\nname: Stra\xdfe\n")
    result = CliRunner().invoke(check, [str(path)])
    assert result.exit_code == 1
    assert f"{path}:2:1: this is no UTF-8 text, got byte 0xDF. Save the file again" in result.output


def test_wrong_use_is_exit_code_two() -> None:
    assert CliRunner().invoke(check, []).exit_code == 2
    assert CliRunner().invoke(check, ["demo-b", "--loud"]).exit_code == 2


def test_the_schema_is_printed_as_it_ships() -> None:
    result = CliRunner().invoke(schema, [])
    assert result.exit_code == 0
    assert result.output == shipped_schema()


def test_help_names_the_commands_without_loading_what_they_need() -> None:
    code = (
        "import sys\n"
        "from click.testing import CliRunner\n"
        "from countershaft.cli.main import cli\n"
        "said = CliRunner().invoke(cli, ['--help']).output\n"
        "print('check' in said, 'schema' in said, 'pydantic' in sys.modules, 'yaml' in sys.modules)\n"
    )
    found = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert found.stdout.strip() == "True True False False"
