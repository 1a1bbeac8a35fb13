"""`countershaft choose`.

Expected values: the example of docs/theory/selective-fits.md, worked by hand: 1.48 - 1.56 and 1.63 - 1.71 leave 0.08 of
interference; the job's figures are those of tests/stages/test_choosing.py.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from countershaft.cli.choose import choose
from countershaft.definitions.writer import write_transmission
from countershaft.desk.desk import Desk
from countershaft.errors import DefinitionError, Unknown
from countershaft.job.entry import JobOpened
from countershaft.store.shop import open_store
from tests.stages.choices import THREE, counted, piece, prices, three

TEXT = """
currency: crowns
families:
  - {name: shim, table_mm: [1.46, 1.51, 1.56, 1.61, 1.66, 1.71, 1.76]}
places:
  - {name: L1, family: shim}
  - {name: L2, family: shim}
gaps:
  - {name: L1, rest: 1.48, standard: 0.004, lower: -0.11, upper: -0.05, goal: -0.08, suspects: [the cup is not home]}
  - {name: L2, rest: 1.63, standard: 0.004, lower: -0.11, upper: -0.05}
pieces:
  - {name: found in L1, family: shim, size_mm: 1.71, standard_mm: 0.002}
prices:
  - {family: shim, size_mm: 1.56, standard_mm: 0.005, price: 4.20, days: 2}
"""


def run(*words: str) -> Result:
    return CliRunner().invoke(choose, list(words), catch_exceptions=True)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "shop.yaml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_a_file_is_chosen_from_with_working_and_proof(file: Path) -> None:
    said = run("--file", str(file)).output
    assert "L1: order shim 1.56 mm, 4.20 crowns" in said
    assert "L2: found in L1 1.71 mm" in said
    assert "L1 = 1.48 − 1.56 (L1) = −0.08" in said
    assert "Proven: no other choice is better. All fits are good with more than 99.9 %." in said


def test_json_of_a_file_has_plain_figures(file: Path) -> None:
    answer = run("--file", str(file), "--json")
    found = json.loads(answer.output)
    assert answer.exit_code == 0 and found["verdict"] == "optimal"
    assert (found["best"]["price_cents"], found["best"]["days"]) == (420, 2)
    assert found["best"]["places"]["L2"]["piece"] == "found in L1"
    assert found["best"]["gaps"]["L1"]["value"] == -0.08
    assert found["from_shelf"] is None


def test_the_same_as_json_file(file: Path, tmp_path: Path) -> None:
    import yaml

    other = tmp_path / "shop.json"
    other.write_text(json.dumps(yaml.safe_load(TEXT)), encoding="utf-8")
    assert json.loads(run("--file", str(other), "--json").output) == json.loads(
        run("--file", str(file), "--json").output
    )


@pytest.mark.parametrize(
    ("old", "new", "line", "key", "message"),
    [
        ("size_mm: 1.71", "size: 1.71", 12, "pieces[#1].size_mm", "this key is missing"),
        ("price: 4.20", "price: -4", 14, "prices[#1].price", "greater than or equal to 0"),
        ("rest: 1.63", "rest: much", 10, "gaps[#2].rest", "'much' is no number"),
        ("{name: L2, family: shim}", "{name: L2, family: pin}", 0, "", "there is no family pin"),
        ("found in L1, family", "L9, family", 0, "", ""),
    ],
)
def test_faults_of_a_file_are_told_with_their_place(
    file: Path, old: str, new: str, line: int, key: str, message: str
) -> None:
    file.write_text(TEXT.replace(old, new), encoding="utf-8")
    answer = run("--file", str(file), "--json")
    if not message:  # another name of a piece is no fault
        assert answer.exit_code == 0
        return
    faults = json.loads(answer.output)
    assert answer.exit_code == 1
    assert (faults[0]["line"], faults[0]["key"]) == (line, key)
    assert message in faults[0]["message"]
    assert isinstance(run("--file", str(file)).exception, DefinitionError)


def test_neither_or_both_is_wrong_use(file: Path) -> None:
    assert run().exit_code == 2
    assert run("J1", "--file", str(file)).exit_code == 2


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A job on the three plays: b and c measured, a ring to order."""
    folder = tmp_path / "shop"
    store = open_store(folder)
    desk = Desk(store)
    digest = desk.add_definition(write_transmission(THREE), file="three.yaml")
    desk.open_job(JobOpened(tag="J1", vehicle="van", unit=THREE.name, definition=digest), by="R. Bench")
    bodies = [one.body for one in three(b="0.30", c="0.30").entries[1:]]
    stock = (piece("shims", "x", "1.100"), counted("rings", {"2.10": 1}), prices("rings", {"2.20": (450, 2)}))
    for body in (*bodies, *stock):
        desk.append("J1", body, by="R. Bench")
    store.close()
    return folder


def test_a_job_is_chosen_for_and_what_is_missing_is_ordered(shop: Path) -> None:
    said = run("J1", "--shop", str(shop)).output
    assert "a  play a: It is not measured yet" in said
    assert "b  play b: x (shim, 1.1 mm measured)" in said
    assert "c  play c: ring 2.20 mm (order)" in said
    assert "c = 1.3 + 1.1 (b) − 2.2 (c) = 0.2" in said
    assert "ordering 1 for 4.50 crowns, here in 2 days" in said
    assert "c  play c: ring 2.10 mm" in run("J1", "--shop", str(shop), "--shelf-only").output


def test_json_of_a_job_names_pieces_and_gaps(shop: Path) -> None:
    found = json.loads(run("J1", "--shop", str(shop), "--json").output)
    assert found["fits"]["b"]["pieces"][0] == {
        "seat": "b", "family": "shims", "piece": "x", "size_mm": 1.1, "order": False, "price_cents": 0, "days": 0,
    }  # fmt: skip
    assert found["fits"]["a"]["how"] == "not measured"
    assert found["best"]["seats"]["c"]["order"] is True
    assert found["currency"] == "crowns"


def test_a_job_that_is_not_there_is_told(shop: Path) -> None:
    assert isinstance(run("J9", "--shop", str(shop)).exception, Unknown)
    answer = run("J9", "--shop", str(shop), "--json")
    assert answer.exit_code == 1 and "J9" in json.loads(answer.output)[0]["message"]
