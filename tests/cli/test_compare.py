"""`countershaft compare`: the published crossed study GRR-01 (its source stands in tests/published) as a table."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from countershaft.cli.main import cli

CASE = next(
    case
    for case in json.loads(
        (Path(__file__).parents[1] / "published" / "reference_data.json").read_text(encoding="utf-8")
    )
    if case["id"] == "GRR-01"
)


def run(folder: Path, text: str, *words: str) -> Result:
    file = folder / "study.csv"
    file.write_text(text, encoding="utf-8")
    return CliRunner().invoke(cli, ["compare", str(file), *words])


def published() -> str:
    lines = ["person,piece,value"]
    for person, pieces in zip("ABC", CASE["inputs"]["readings"], strict=True):
        lines += [f"{person},{piece},{value}" for piece, cell in enumerate(pieces, 1) for value in cell]
    return "\n".join(lines)


def test_the_published_study_comes_out_of_a_table(tmp_path: Path) -> None:
    found = run(tmp_path, published(), "--step", "0.01", "--json")
    assert found.exit_code == 0, found.output
    study = json.loads(found.output)["study"]
    assert study["repeatability"] ** 2 == pytest.approx(CASE["expected"]["var_repeatability"], abs=5.1e-6)
    assert study["measuring"] ** 2 == pytest.approx(CASE["expected"]["var_measuring"], abs=5.1e-6)
    assert 100 * study["share"] == pytest.approx(CASE["expected"]["share_percent"], abs=5.1e-3)
    assert "repeatability" in run(tmp_path, published(), "--step", "0.01", "--window", "2").output


def test_two_people_on_one_piece_are_judged_without_a_study(tmp_path: Path) -> None:
    text = "person,piece,value\nAna,1,0.36\nAna,1,0.36\nBen,1,0.40\nBen,1,0.40\n"
    found = run(tmp_path, text, "--step", "0.01", "--own")
    assert "piece 1, Ana and Ben: 0.36 and 0.40 mm do not agree" in found.output
    assert "No study" in found.output


@pytest.mark.parametrize(
    ("text", "words", "said"),
    [
        ("who,piece,value\nA,1,2\n", (), "needs the columns person, piece and value; got who, piece, value"),
        ("person,piece,value\nA,1,\n", (), "Line 2 has a gap"),
        ("person,piece,value\nA,1,2\n", (), "at least two people; got 1"),
        ("person,piece,value\nA,1,two\n", (), "Line 2: 'two' is no figure"),
        ("person,piece,value\nA,1,2 in\nB,1,2\n", (), "Line 2: '2 in' is in in; this table is in mm"),
    ],
)
def test_a_bad_table_says_which_line(tmp_path: Path, text: str, words: tuple[str, ...], said: str) -> None:
    found = run(tmp_path, text, "--step", "0.01", *words)
    assert said in str(found.exception)
