"""The housing on the report.  Expected figures: the shared invented demo A, and the windows of its file."""

from __future__ import annotations

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.papers.blocks import Heading, Paragraph, Table
from countershaft.papers.report_alignment import alignment
from tests.small_unit import UNIT, Log
from tests.stages.test_alignment import AFTER, dowel, sweep
from tests.stages.test_converter import depths, trial

DEMO_A = read_transmission(library_text("demo-a"), "demo-a.yaml")


def test_a_job_without_a_sweep_has_no_such_section() -> None:
    assert list(alignment(UNIT, Log().state)) == []


def test_every_sweep_and_dowel_stands_on_the_report() -> None:
    log = Log(DEMO_A)
    log.say(dowel("1", "10.0"), dowel("2", "13.4"), sweep(face_total="0.09"))
    log.say(dowel("2", "10.1", "as left"))
    log.say(sweep(AFTER, face_total="0.07", when="as left", after="dowel 2 seated"))
    heading, runs, words, dowels = alignment(DEMO_A, log.state)
    assert isinstance(heading, Heading) and isinstance(runs, Table) and isinstance(dowels, Table)
    first, last = runs.rows
    assert first[:5] == (
        "as found",
        "0.26 ± 0.008 mm of 0.25 mm: bad",
        "0.09 ± 0.008 mm of 0.25 mm: good",
        "move the housing 0.13 mm toward 10 o'clock",
        "0.033 mm",
    )
    assert first[5].startswith("R. Bench, ") and first[6] == "1"
    assert last[:4] == (
        "as left, after: dowel 2 seated",
        "0.08 ± 0.008 mm of 0.25 mm: good",
        "0.07 ± 0.008 mm of 0.25 mm: good",
        "off by 0.04 mm",
    )
    assert words == Paragraph("The newest sweep is good, and every dowel that was read stood as it should.")
    assert dowels.rows[1] == ("2, lower right", "9.7 mm to 10.3 mm", "13.4 mm", "10.1 mm", "good")


def test_a_bad_sweep_says_what_to_do() -> None:
    log = Log(DEMO_A)
    log.say(dowel("2", "13.4"), sweep())
    _, _, words, _ = alignment(DEMO_A, log.state)
    assert isinstance(words, Paragraph) and "no offset dowel is chosen until then" in words.text


def test_depth_gap_and_hub_of_the_converter_stand_there_with_their_windows() -> None:
    log = Log(DEMO_A)
    log.say(depths("25.1", "25.1", "25.1", plate=("22.4",)), trial(0, 0.065, 40))
    _, table = alignment(DEMO_A, log.state)
    assert isinstance(table, Table)
    assert [row[:3] for row in table.rows] == [
        ("Converter depth", "24.00 mm to 26.00 mm", "25.10 ± 0.058 mm: good"),
        ("Gap to the drive plate", "1.00 mm to 4.50 mm", "2.70 ± 0.082 mm: good"),
        ("Hub runout, position 0", "at most 0.28 mm", "0.13 ± 0.001 mm: good"),
    ]
