"""`countershaft train`.

Expected values: first gear by Willis' relation by hand (K = 77/124, then 84/30), states and faults by hand.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest

from countershaft.cli.main import main

FILE = """\
format: 1
name: Invented six-speed
train:
  input: in
  output: out
  sets:
    - {id: P1, kind: single_pinion, sun: gnd, carrier: K, ring: in, teeth: {sun: 47, ring: 77}}
    - id: P2
      kind: ravigneaux
      small_sun: Ss
      large_sun: Sl
      carrier: C
      ring: out
      teeth: {small_sun: 30, large_sun: 42, ring: 84}
  grounded: [gnd]
  elements:
    A: {kind: clutch, members: [K, Ss]}
    C: {kind: brake, member: Sl}
    D: {kind: brake, member: C}
    F: {kind: one_way_to_ground, member: C, free_direction: "+"}
    pawl: {kind: brake, member: out}
  chart:
    N: []
    "1": [A, F]
    both: [A, C, D]
"""


class Run:
    """Runs the command as the shell does."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self._monkeypatch = monkeypatch
        self._capsys = capsys

    def __call__(self, *words: str) -> tuple[int, str, str]:
        self._monkeypatch.setattr(sys, "argv", ["countershaft", "train", *words])
        with pytest.raises(SystemExit) as caught:
            main()
        printed = self._capsys.readouterr()
        assert isinstance(caught.value.code, int)
        return caught.value.code, printed.out, printed.err


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    return Run(monkeypatch, capsys)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "six.yaml"
    path.write_text(FILE, encoding="utf-8")
    return path


def test_the_table_reads_as_printed(run: Run, file: Path) -> None:
    code, out, _ = run(str(file))
    assert code == 0
    assert out == (
        "Ratio in : out, and speeds per turn of in.\n"
        "\n"
        "gear  applied    ratio   exact      in     gnd       K      Ss       Sl       C     out\n"
        "N     -        neutral       -  1.0000  0.0000  0.6210    free     free    free    free\n"
        "1     A F       4.5091  248/55  1.0000  0.0000  0.6210  0.6210  -0.4435  0.0000  0.2218\n"
        "both  A C D     tie-up       -       -       -       -       -        -       -       -\n"
        "\n"
        "N: Ss, Sl, C and out float; 2 more elements are needed.\n"
        "both: in cannot turn: A, C and D fight. Let go of A, or C, or D to free it.\n"
    )


def test_json_gives_plain_figures(run: Run, file: Path) -> None:
    code, out, _ = run(str(file), "--json")
    assert code == 0
    found: dict[str, Any] = json.loads(out)
    assert (found["input"], found["output"], list(found["gears"])) == ("in", "out", ["N", "1", "both"])
    first, neutral, tied = found["gears"]["1"], found["gears"]["N"], found["gears"]["both"]
    assert first["state"] == "definite"
    assert first["applied"] == ["A", "F"]
    assert first["ratio_exact"] == "248/55"
    assert first["ratio"] == pytest.approx(124 / 77 * 84 / 30, rel=1e-12)
    assert first["speeds_exact"]["K"] == "77/124"
    assert first["speeds"]["C"] == 0.0
    assert first["floating"] == []
    assert neutral["state"] == "neutral"
    assert neutral["ratio"] is None
    assert neutral["floating"] == ["Ss", "Sl", "C", "out"]
    assert neutral["output_floats"] is True
    assert neutral["missing"] == 2
    assert tied["state"] == "tie-up"
    assert tied["fighting"] == [["A", "C", "D"]]
    assert tied["frees"] == [["A"], ["C"], ["D"]]
    assert tied["speeds"] == {}


def test_an_output_at_rest_is_printed_as_infinite(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "rest.yaml"
    path.write_text(
        FILE.replace("both: [A, C, D]", "rest: [A, pawl]").replace('"+"', '"-"'), encoding="utf-8"
    )
    _, out, _ = run(str(path))
    assert "rest  A pawl   infinite       -" in out
    assert "rest: out stands still while in turns; the ratio is infinite." in out


@pytest.mark.parametrize(
    ("name", "ratios"),
    [
        ("demo-b", [None, None, -3.2208, 4.5091, 4.5091, 2.5766, 1.6104, 1.1566, 0.8407, 0.6667]),
        ("demo-c", [None, None, -1.7805, 3.0857, 3.0857, 1.7501, 1.0, 0.6404]),
    ],
)
def test_shipped_files_go_by_their_name(run: Run, name: str, ratios: list[float | None]) -> None:
    """Invented trains: ratios computed once by another program from the same teeth (consistency only)."""
    code, out, _ = run(name, "--json")
    assert code == 0
    gears = json.loads(out)["gears"].values()
    assert [gear["ratio"] if gear["ratio"] is None else round(gear["ratio"], 4) for gear in gears] == ratios
    assert {gear["state"] for gear in gears if gear["ratio"] is None} == {"neutral"}


def test_faults_come_as_a_list_with_their_lines(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "bad.yaml"
    bad = FILE.replace("members: [K, Ss]", "members: [K, SS]").replace('"1": [A, F]', '"1": [A, FF]')
    path.write_text(bad, encoding="utf-8")
    code, out, _ = run(str(path), "--json")
    assert code == 1
    member, chart = json.loads(out)
    assert (member["line"], member["column"], member["key"]) == (17, 36, "train.elements.A.members[#2]")
    assert member["file"] == str(path)
    assert member["message"].startswith("no set or pair has a member 'SS'; did you mean 'Ss'?")
    assert (chart["line"], chart["column"], chart["key"]) == (24, 14, "train.chart.1[#2]")
    assert chart["message"] == "there is no shift element 'FF'; did you mean 'F'?"


def test_a_wrong_file_is_one_plain_message_without_json(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text(FILE.replace("kind: brake, member: Sl", "kind: brak, member: Sl"), encoding="utf-8")
    code, out, err = run(str(path))
    assert (code, out) == (1, "")
    assert f"{path}:18:15: train.elements.C.kind: there is no kind 'brak'; did you mean 'brake'?" in err


def test_a_file_without_a_train_says_so(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "bare.yaml"
    path.write_text("format: 1\nname: Bare\n", encoding="utf-8")
    code, _, err = run(str(path))
    assert code == 1
    assert "train: the file has no gear train; expected a section train" in err
    code, out, _ = run(str(path), "--json")
    assert code == 1
    assert json.loads(out)[0]["key"] == "train"


def test_an_empty_chart_says_so(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "chartless.yaml"
    path.write_text(FILE[: FILE.index("  chart:")], encoding="utf-8")
    code, out, _ = run(str(path))
    assert code == 0
    assert out.startswith("The chart is empty: add gears under train, chart")


def test_a_file_that_is_not_there(run: Run, tmp_path: Path) -> None:
    code, _, err = run(str(tmp_path / "none.yaml"))
    assert code == 1
    assert "none.yaml cannot be read: No such file or directory. Name a transmission file" in err
    code, out, _ = run(str(tmp_path / "none.yaml"), "--json")
    assert code == 1
    assert json.loads(out)[0]["file"] == str(tmp_path / "none.yaml")


def test_a_file_that_is_no_text(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "picture.yaml"
    path.write_bytes(b"\xff\xd8\xff\xe0")
    code, _, err = run(str(path))
    assert code == 1
    assert "this is no UTF-8 text" in err


def test_wrong_use_is_exit_code_two(run: Run) -> None:
    assert run()[0] == 2
    assert run("--jsn")[0] == 2
