"""`countershaft shop`: the same desk as the pages.  Expected values: what was typed, and words for what is refused."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from countershaft.cli.instruments import shop as command
from countershaft.errors import EntryRefused, FormError, Unknown
from countershaft.store.shop import open_store

DIAL = ("add", "dial 1", "--kind", "dial indicator", "--unit", "mm", "--step", "0,01", "--error", "0.012")
TODAY = datetime.now().astimezone().date()
LAST, NEXT = (TODAY - timedelta(days=200)).isoformat(), (TODAY + timedelta(days=200)).isoformat()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty shop."""
    open_store(tmp_path / "shop").close()
    return tmp_path / "shop"


def run(folder: Path, *words: str, good: bool = True) -> Result:
    """Run a command in the shop."""
    found = CliRunner().invoke(
        command, [*words, "--shop", str(folder)], env={"COUNTERSHAFT_PERSON": "R. Bench"}
    )
    assert not good or found.exit_code == 0, found.output
    return found


def test_an_instrument_is_listed_calibrated_and_retired(folder: Path) -> None:
    """Its whole life, in words."""
    assert "No instrument in" in run(folder, "instruments").output
    assert run(folder, *DIAL, "--cable").output == "I1 dial 1 is on the list. Write I1 on it.\n"
    assert "its last or next calibration is not known" in run(folder, "instruments").output
    assert (
        f"I1 is calibrated to {NEXT}." in run(folder, "calibrate", "I1", "--on", LAST, "--due", NEXT).output
    )
    words = run(folder, "instruments").output
    assert "I1  dial 1, dial indicator, step 0.01 mm, may be off 0.012 mm, cable" in words
    assert f"Calibrated to {NEXT}." in words
    run(folder, "retire", "I1", "--because", "stem bent")
    assert "I1  dial 1, retired: stem bent" in run(folder, "instruments").output


def test_the_list_is_plain_json_too(folder: Path) -> None:
    """Figures in the unit of the instrument, dates as they are written, the state by its word."""
    run(
        folder,
        *DIAL,
        "--on",
        LAST,
        "--due",
        (TODAY + timedelta(days=5)).isoformat(),
        "--u",
        "0.002",
        "--k",
        "2",
    )
    run(
        folder,
        "add",
        "old",
        "--kind",
        "other",
        "--unit",
        "inch",
        "--step",
        "0.001",
        "--error",
        "0.001",
        "--mark",
        "X",
    )
    run(folder, "retire", "X", "--because", "lost")
    found = json.loads(run(folder, "instruments", "--json").output)
    (dial,) = found["instruments"]
    assert (dial["id"], dial["kind"], dial["unit"]) == ("I1", "dial indicator", "mm")
    assert (dial["resolution"], dial["permitted_error"], dial["zero_offset"]) == (0.01, 0.012, None)
    assert (dial["certificate_u"], dial["certificate_k"], dial["cable"]) == (0.002, 2.0, False)
    assert (dial["calibrated"], dial["state"]) == (LAST, "due soon")
    assert dial["days"] in (4, 5), "5, or 4 where midnight came between"
    (old,) = found["retired"]
    assert (old["unit"], old["retired"], found["rule"]) == ("in", "lost", "guarded")


def test_the_rule_is_printed_and_chosen(folder: Path) -> None:
    """Without a name it is printed."""
    assert run(folder, "rule").output == "It decides guarded; nobody has chosen it\n"
    assert (
        run(folder, "rule", "plain", "--because", "contract").output
        == "It decides plain, because: contract\n"
    )
    assert "It decides plain" in run(folder, "rule").output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((*DIAL[:-1], "-0.01"), "--error: The permitted error is -0.01; it counts both ways"),
        ((*DIAL, "--unit", "furlong"), "--unit: 'furlong' is no unit that is known here"),
        ((*DIAL, "--step", "0"), "--step: One step of the scale is 0; it must be above 0."),
        ((*DIAL, "--step", "fine"), "--step: 'fine' is no number"),
        ((*DIAL, "--on", LAST, "--due", LAST), "--due: The next calibration"),
        ((*DIAL, "--on", "soon"), "--on: 'soon' is no date"),
        (("calibrate", "I1", "--on", LAST), "--due: this is needed."),
        (("rule", "plain"), "--because: this is needed."),
    ],
)
def test_what_is_wrong_is_named_by_its_option(folder: Path, words: tuple[str, ...], said: str) -> None:
    """The same sentences as on the page; exit code 1."""
    found = run(folder, *words, good=False)
    assert isinstance(found.exception, FormError) and said in str(found.exception)


def test_an_unknown_mark_or_shop_is_named(folder: Path, tmp_path: Path) -> None:
    """Both say what is there, or how to begin."""
    assert isinstance(run(folder, "retire", "I9", "--because", "x", good=False).exception, EntryRefused)
    found = run(tmp_path / "none", "instruments", good=False)
    assert isinstance(found.exception, Unknown) and "There is no shop in" in str(found.exception)
    assert not (tmp_path / "none").exists()
