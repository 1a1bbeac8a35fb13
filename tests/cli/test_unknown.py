"""`countershaft job off` and `job draft`.  Expected values: what was typed, and orders laid over by hand."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from countershaft.cli.job import job
from countershaft.definitions.reader import read_transmission
from countershaft.errors import BadInput, EntryRefused


def run(shop: Path, *words: str, good: bool = True) -> Result:
    found = CliRunner().invoke(job, [*words, "--shop", str(shop)], env={"COUNTERSHAFT_PERSON": "R. Bench"})
    assert not good or found.exit_code == 0, found.output
    return found


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    for tag, order in (("A1", ("oil pan", "filter", "pump")), ("A2", ("Oil Pans", "pump", "filter"))):
        run(folder, "new", tag, "--unknown", "grey box", "--vehicle", "van")
        for what in order:
            run(folder, "off", tag, what, "1", "mat", "--with", "6 of M8x25")
    return folder


def test_two_logs_become_a_file(shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "grey.yaml"
    words = run(shop, "draft", "A2", "--out", str(out), "--keep").output
    assert "grey box, from job A1, A2" in words
    assert "oil pan before filter: before in 2 of 2 teardowns that had both" in words
    assert "filter before pump" not in words
    assert "Kept as " in words and f"Written to {out}." in words
    file = read_transmission(out.read_text(encoding="utf-8"), out.name)
    assert {step.title: step.needs for step in file.steps} == {
        "oil pan": (),
        "filter": ("T01",),
        "pump": ("T01",),
    }
    run(shop, "new", "A3", "--unit", "grey box", "--vehicle", "third van")
    assert json.loads(run(shop, "show", "A3", "--json").output)["stages"]["teardown"]["words"] == "0 of 3"


def test_the_draft_as_json(shop: Path) -> None:
    found = json.loads(run(shop, "draft", "A1", "--without", "A2", "--json").output)
    assert found["teardowns"] == ["A1"]
    assert [(one["before"], one["after"], one["seen"]) for one in found["musts"]] == [
        ("T01", "T02", 1),
        ("T02", "T03", 1),
    ]


def test_an_entry_of_the_order_is_recorded_like_any_other(shop: Path) -> None:
    run(
        shop,
        "record",
        "A1",
        "order_said",
        "before=oil pan",
        "after=pump",
        "how=free",
        "because=reached without it",
    )
    assert "oil pan before pump" not in run(shop, "draft", "A1").output
    run(shop, "record", "A1", "all_off")
    assert ": all_off" in run(shop, "log", "A1").output
    assert json.loads(run(shop, "show", "A1", "--json").output)["stages"]["teardown"]["state"] == "done"


@pytest.mark.parametrize(
    ("words", "error", "message"),
    [
        (("off", "A1", "pan", "0", "mat"), BadInput, "count: 0 is too small; expected at least 1"),
        (("off", "A1", "...", "1", "mat"), BadInput, "names nothing"),
        (("off", "A1", "pan", "1", "mat", "--with", "M8x25"), BadInput, "is no number of fasteners"),
        (("off", "A1", "pan", "1", "mat", "--with", "6 of thick"), BadInput, "is no size of a fastener"),
        (("new", "A9", "--unknown", " - ", "--vehicle", "van"), BadInput, "names no unit"),
    ],
)
def test_nonsense_is_refused_in_words(
    shop: Path, words: tuple[str, ...], error: type[Exception], message: str
) -> None:
    found = run(shop, *words, good=False)
    assert isinstance(found.exception, error)
    assert message in str(found.exception)


def test_a_job_has_a_file_or_none(shop: Path) -> None:
    found = run(shop, "new", "A9", "--vehicle", "van", good=False)
    assert found.exit_code == 2 and "--unknown for a unit without one" in found.output


def test_a_file_that_somebody_wrote_is_not_learned(shop: Path) -> None:
    run(shop, "new", "B1", "--unit", "Demo B, six-speed planetary", "--vehicle", "van")
    found = run(shop, "draft", "B1", good=False)
    assert isinstance(found.exception, EntryRefused)
    assert "its order is not learned from teardowns" in str(found.exception)
