"""Labels of a job.

Expected values: counted by hand on the small unit and its log, where two of three balls lie in a tray; three labels of
63 mm beside each other and eight of 32 mm below leave 10 mm free on A4 (210 mm × 297 mm, ISO 216) and on US letter
(215.9 mm × 279.4 mm).
"""

from __future__ import annotations

import re
from html import unescape

import pytest

from countershaft.job.entry import NotMeasured, Placed, StepDone
from countershaft.job.tags import TagKind, read_tag
from countershaft.papers.label_sheets import PER_SHEET, label_document, label_sheets
from countershaft.papers.labels import labels
from tests.small_unit import UNIT, Log

ADDRESS = "http://192.168.1.5:8765"


@pytest.fixture
def log() -> Log:
    """The pan lies on the mat, two of three balls in tray 2."""
    log = Log()
    log.say(
        NotMeasured(limit="play", because="no instrument"),
        StepDone(step="T1"),
        StepDone(step="T2", placed=(Placed(part="pan", count=1, place="mat"),)),
        StepDone(
            step="T3",
            placed=(Placed(part="ball", count=2, place="J1-T2"),),
            counted="2",
            written="one ball is missing",
        ),
    )
    return log


def test_a_job_its_places_spare_trays_and_parts_in_hand_are_labelled(log: Log) -> None:
    found = labels(UNIT, log.state, spare=2)
    assert [(one.tag.kind.value, one.title) for one in found] == [
        ("job", "Job J1"),
        ("tray", "Mat"),
        ("tray", "Tray 2"),
        ("tray", "Tray 1"),
        ("tray", "Tray 3"),
        ("part", "pan"),
        ("part", "ball check ball"),
    ]
    assert found[0].lines == ("van", "small unit")
    assert found[-1].lines == ("Job J1", "2 of 3 pieces")
    assert [read_tag(one.tag.code) for one in found] == [one.tag for one in found]


def test_only_what_is_asked_for_is_labelled(log: Log) -> None:
    assert [one.title for one in labels(UNIT, log.state, spare=0, kinds={TagKind.JOB})] == ["Job J1"]
    assert labels(UNIT, Log().state, spare=0, kinds={TagKind.TRAY, TagKind.PART}) == ()


def test_a_sheet_is_full_before_the_next_begins(log: Log) -> None:
    found = labels(UNIT, log.state, spare=2 * PER_SHEET - 5)
    assert len(found) == 2 * PER_SHEET
    html = label_sheets(found, ADDRESS)
    assert html.count('<div class="label-sheet">') == 2
    assert html.count('<div class="label">') == 2 * PER_SHEET
    assert label_sheets((), ADDRESS) == ""


def test_the_readable_code_stands_beside_the_graphic(log: Log) -> None:
    html = label_sheets(labels(UNIT, log.state, spare=0), ADDRESS)
    shown = [unescape(code) for code in re.findall(r'<p class="label-code">([^<]+)</p>', html)]
    assert shown == [one.tag.code for one in labels(UNIT, log.state, spare=0)]
    assert re.findall(r'aria-label="Code ([^"]+)"', html) == shown


def test_a_sheet_fits_on_both_papers_and_the_file_stands_alone(log: Log) -> None:
    html = label_document("<Labels>", labels(UNIT, log.state, spare=0), ADDRESS + "/")
    width, height = map(int, re.findall(r"repeat\(3, (\d+)mm\); grid-auto-rows: (\d+)mm", html)[0])
    assert 3 * width <= 210 - 20 and 3 * width <= 215.9 - 20
    assert 8 * height <= 279.4 - 20 and 8 * height <= 297 - 20
    assert "<title>&lt;Labels&gt;</title>" in html
    assert re.findall(r"(?:src|href)=|@import|url\(", html) == []


def test_words_that_are_too_long_are_cut_and_nothing_becomes_markup(log: Log) -> None:
    long = UNIT.model_copy(
        update={"parts": (UNIT.parts[0].model_copy(update={"name": "<b>" + "pan " * 40}), *UNIT.parts[1:])}
    )
    html = label_sheets(labels(long, log.state, spare=0), ADDRESS)
    assert "<b>" not in html
    titles = [unescape(title) for title in re.findall(r'<p class="label-title">([^<]+)</p>', html)]
    assert max(map(len, titles)) <= 56
    assert any(title.endswith("…") for title in titles)
