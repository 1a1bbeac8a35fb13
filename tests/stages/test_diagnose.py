"""Diagnose on the small unit.  Expected values: by hand on its chart."""

from __future__ import annotations

from countershaft.job.entry import Cause, GearTried, KillerCleared, Symptom
from countershaft.job.words import Feel, Load, Onset, Temperature
from countershaft.stages.diagnose import survey
from countershaft.stages.intake import survey as intake_survey
from tests.small_unit import UNIT, Log


def gear(name: str, verdict: str) -> GearTried:
    """A gear that was driven."""
    return GearTried.model_validate({"gear": name, "verdict": verdict})


def test_the_bad_gear_names_its_element() -> None:
    """1 is bad and uses the brake; 2 is good and uses the clutch."""
    log = Log()
    log.say(gear("1", "bad"), gear("2", "good"))
    found = survey(UNIT, log.state).explanation
    assert found is not None and found.explains == (("B",),)


def test_the_newest_word_on_a_gear_counts() -> None:
    """Driven again and good: nothing is bad any more."""
    log = Log()
    log.say(gear("1", "bad"), gear("1", "good"))
    assert survey(UNIT, log.state).explanation is None


def test_nonsense_is_refused() -> None:
    """Unknown gears, elements and killers are named, with what is there."""
    log = Log()
    assert "'7' is no gear of this unit; it has N, 1, 2" in log.refused(gear("7", "bad"))
    assert "Nothing is applied in 'N'" in log.refused(gear("N", "bad"))
    assert "'Z' is no element of this unit" in log.refused(Cause(words="x", element="Z"))
    assert "was never named as a killer" in log.refused(KillerCleared(killer="dust", how="flushed"))
    symptom = Symptom(
        feel=Feel.SLIPS, gear="9", temperature=Temperature.HOT, load=Load.ANY, onset=Onset.SUDDEN
    )
    assert "'9' is no gear" in log.refused(symptom)


def test_intake_says_what_is_open() -> None:
    """A fresh job asks for its four things."""
    assert len(intake_survey(UNIT, Log().state).open) == 4
