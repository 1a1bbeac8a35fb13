"""Readings and looks on the small unit.  Expected values: by hand; an inch is exactly 25.4 mm."""

from __future__ import annotations

import pytest

from countershaft.errors import Unknown
from countershaft.job.entry import Finding, Look, NotMeasured, Reading
from countershaft.job.words import Degree, FindingWord, PartVerdict, Pattern
from countershaft.metrology.conformity import Verdict
from countershaft.stages.inspection import checked, survey
from tests.small_unit import UNIT, Log


def wear(*values: str, unit: str = "mm", step: str = "0.01") -> Reading:
    """Thickness readings as found."""
    return Reading.model_validate(
        {
            "limit": "wear",
            "when": "as found",
            "values": values,
            "unit": unit,
            "instrument": "micrometer",
            "resolution": step,
        }
    )


def test_three_readings_make_a_mean_and_a_verdict() -> None:
    """By hand: mean of 1.42, 1.44, 1.41 is 1.4233, far below 1.90."""
    log = Log()
    log.say(wear("1.42", "1.44", "1.41"))
    found = checked(UNIT, log.state, UNIT.limit("wear"))
    assert found.value is not None and found.value.mean == pytest.approx(1.42333, abs=1e-5)
    assert found.judgement.verdict is Verdict.BAD


def test_readings_that_a_conversion_left_long_are_told_as_far_as_a_bench_reads() -> None:
    """0.0748 in is 1.89992 mm; typed on a page in mm it leaves more decimals than its step of 0.01 mm tells."""
    log = Log()
    log.say(wear("1.8999200001", "1.90", "1.90"))
    found = checked(UNIT, log.state, UNIT.limit("wear"))
    assert found.digits == 3
    fine = Log()
    fine.say(wear("1.9002", "1.9001", "1.9002", step="0.0001"))
    assert checked(UNIT, fine.state, UNIT.limit("wear")).digits == 4


def test_inches_are_equal_at_the_edge() -> None:
    """0.080 in is 2.032 mm, good against 1.90 mm; the step is converted too."""
    log = Log()
    log.say(wear("0.080", "0.080", "0.080", unit="in", step="0.001"))
    found = checked(UNIT, log.state, UNIT.limit("wear"))
    assert found.value is not None and found.value.mean == pytest.approx(2.032)
    assert found.value.resolution == pytest.approx(0.0254)
    assert found.judgement.verdict is Verdict.GOOD


def test_the_wrong_kind_of_unit_is_refused() -> None:
    """A thickness in kilopascal is a slip."""
    assert "unit: 'kPa' does not measure length; use one of mm" in Log().refused(
        wear("1", "1", "1", unit="kPa")
    )


def test_too_few_readings_are_refused() -> None:
    """Three are asked for."""
    assert Log().refused(wear("1.42")) == "values: 3 readings are asked for; got 1. Take the rest."


def test_a_look_is_judged_in_words_and_a_measure_is_not() -> None:
    """A check by eye takes good or bad with words; a measured one does not."""
    log = Log()
    log.say(Look(limit="lip", when="as found", verdict="bad", words="two cracks"))
    assert checked(UNIT, log.state, UNIT.limit("lip")).judgement.why == "two cracks"
    assert "is measured, not looked at" in log.refused(
        Look(limit="wear", when="as found", verdict="good", words="fine")
    )


def test_not_measured_stays_visible_until_it_is_measured() -> None:
    """The reason is shown, and yields to a reading after it."""
    log = Log()
    assert checked(UNIT, log.state, UNIT.limit("wear")).judgement.verdict is Verdict.NOT_MEASURED
    log.say(NotMeasured(limit="wear", because="the plate is lost"))
    found = checked(UNIT, log.state, UNIT.limit("wear"))
    assert found.judgement.why == "not measured, because the plate is lost"
    assert survey(UNIT, log.state).open[0].limit.id == "lip"
    log.say(wear("2.00", "2.00", "2.00"))
    assert checked(UNIT, log.state, UNIT.limit("wear")).judgement.verdict is Verdict.GOOD


def test_a_finding_names_a_part_that_is_there() -> None:
    """An unknown part is said to be unknown."""
    with pytest.raises(Unknown, match="no part 'nut'"):
        Log().ask(
            Finding(part="nut", word=FindingWord.WORN, pattern=Pattern.ALL_ROUND, degree=Degree.LIGHT,
                    verdict=PartVerdict.KEEP)
        )  # fmt: skip


def test_a_limit_without_a_source_has_none() -> None:
    """The page shows it as unverified."""
    assert checked(UNIT, Log().state, UNIT.limit("lip")).source is None
    assert (
        str(checked(UNIT, Log().state, UNIT.limit("wear")).source) == "invented for demonstration: for tests"
    )
