"""`countershaft job`: the same desk as the pages.  Expected values: what was typed, and words for what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from countershaft.cli.job import job
from countershaft.errors import EntryRefused, FormError, Unknown


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return tmp_path / "shop"


def run(shop: Path, *words: str, good: bool = True) -> Result:
    found = CliRunner().invoke(job, [*words, "--shop", str(shop)], env={"COUNTERSHAFT_PERSON": "R. Bench"})
    assert not good or found.exit_code == 0, found.output
    return found


@pytest.fixture
def opened(shop: Path) -> Path:
    run(
        shop, "new", "J1", "--unit", "Demo B, six-speed planetary", "--vehicle", "van", "--mileage-km", "1000"
    )
    return shop


def test_a_job_is_begun_listed_and_shown(opened: Path) -> None:
    assert "J1  van, Demo B" in run(opened, "list").output
    rows = json.loads(run(opened, "list", "--json").output)
    assert (rows[0]["tag"], rows[0]["stage"], rows[0]["released"]) == ("J1", "intake", False)
    assert "Go on: intake: next: the complaint" in run(opened, "show", "J1").output
    assert json.loads(run(opened, "show", "J1", "--json").output)["stages"]["teardown"]["words"] == "0 of 23"


def test_an_entry_is_recorded_undone_and_reported(opened: Path) -> None:
    run(opened, "record", "J1", "complaint", "words=slips in 2", "fixed_when=no slip")
    written = run(opened, "record", "J1", "gear_tried", "gear=2", "verdict=bad").output
    assert "Written as" in written
    assert "slips in 2" in run(opened, "report", "J1").output
    run(opened, "undo", "J1", written.split()[2].rstrip("."), "--because", "wrong gear")
    assert "gear_tried (undone)" in run(opened, "log", "J1").output


def test_a_picture_is_kept(opened: Path, tmp_path: Path) -> None:
    Image.linear_gradient("L").convert("RGB").save(tmp_path / "tag.jpg")
    assert (
        "is kept with job J1"
        in run(opened, "photo", "J1", str(tmp_path / "tag.jpg"), "--stage", "intake").output
    )


def test_what_the_stage_refuses_is_refused_here_too(opened: Path) -> None:
    found = run(opened, "record", "J1", "gear_tried", "gear=9", "verdict=bad", good=False)
    assert isinstance(found.exception, FormError)
    assert "'9' is no gear of this unit" in str(found.exception)
    found = run(opened, "record", "J1", "reading", "limit=C02", good=False)
    assert isinstance(found.exception, EntryRefused)
    assert "values: this is needed;" in str(found.exception)


def test_a_mistyped_folder_makes_no_shop(tmp_path: Path) -> None:
    found = run(tmp_path / "nowhere", "list", good=False)
    assert isinstance(found.exception, Unknown)
    assert "There is no shop in" in str(found.exception)
    assert not (tmp_path / "nowhere").exists()


def test_an_entry_that_is_not_one_is_named(opened: Path) -> None:
    found = run(opened, "undo", "J1", "zzzz", "--because", "x", good=False)
    assert "0 entries of job J1 begin with 'zzzz'; expected exactly one" in str(found.exception)


def test_a_figure_in_json_keeps_the_digits_that_were_typed(opened: Path) -> None:
    """0.650 says that the scale shows micrometres; as a binary number it would be 0.65."""
    facts = ["when=as found", "unit=mm", "instrument=micrometer", "resolution=0.001"]
    run(opened, "record", "J1", "reading", "limit=C02", "values=[1.420, 1.422, 1.421]", *facts)
    assert "'1.420', '1.422', '1.421'" in run(opened, "log", "J1").output.replace('"', "'")


def test_a_file_is_named_whole(shop: Path, tmp_path: Path) -> None:
    """Neither a few signs of a digest nor an unreadable file begin a job."""
    words = ("--vehicle", "van")
    found = run(shop, "new", "J1", "--unit", "a", *words, good=False)
    assert "No transmission file is called 'a'; the shop has Demo" in str(found.exception)
    (tmp_path / "latin.yaml").write_bytes("name: Größe".encode("latin-1"))
    found = run(shop, "new", "J1", "--unit", str(tmp_path / "latin.yaml"), *words, good=False)
    assert "this is no UTF-8 text" in str(found.exception)


def test_labels_are_written_as_a_file(opened: Path, tmp_path: Path) -> None:
    out = tmp_path / "labels.html"
    command = ("labels", "J1", "--out", str(out), "--spare", "3", "--address", "http://192.168.1.5:8765/")
    assert f"4 labels are in {out}." in run(opened, *command).output
    text = out.read_text(encoding="utf-8")
    assert text.count('<div class="label">') == 4
    assert "<title>Labels of job J1</title>" in text


@pytest.mark.parametrize("address", ["192.168.1.5", "http://", "http://host/path", "ftp://host"])
def test_labels_need_an_address_that_a_phone_can_open(opened: Path, tmp_path: Path, address: str) -> None:
    found = run(opened, "labels", "J1", "--address", address, "--out", str(tmp_path / "x.html"), good=False)
    assert found.exit_code == 2
    assert "expected http:// and a host, and no path" in " ".join(found.output.split())
    assert not (tmp_path / "x.html").exists()
