"""Ratios by counted turns.  Expected values: Willis by hand, 1 + 60/30 = 3 with the ring held; 1 with the clutch."""

from __future__ import annotations

from fractions import Fraction

import pytest

from countershaft.job.entry import Complaint, FixedWhen, TurnsCounted
from countershaft.metrology.conformity import Verdict
from countershaft.stages.prove import chart_ratios, counted_ratio, survey
from tests.small_unit import UNIT, Log


def counted(gear: str, turned: str, came: str, to: str = "0.1") -> TurnsCounted:
    """Turns counted in a gear."""
    return TurnsCounted.model_validate(
        {"gear": gear, "input_turns": turned, "output_turns": came, "counted_to": to}
    )


def verdict(*one: TurnsCounted) -> tuple[Verdict, str]:
    """What counted turns in first gear say."""
    log = Log()
    log.say(*one)
    found = next(turns for turns in survey(UNIT, log.state).turns if turns.gear == "1")
    return found.verdict, found.why


def test_ratios_come_from_the_teeth() -> None:
    """Neutral has none."""
    assert chart_ratios(UNIT) == {"1": Fraction(3), "2": Fraction(1)}


@pytest.mark.parametrize(
    ("turned", "came", "expected"),
    [
        ("12", "4", Verdict.GOOD),
        ("12", "4.1", Verdict.BAD),
        ("12", "12", Verdict.BAD),
        ("12", "-4", Verdict.BAD),
    ],
)
def test_counted_turns_against_the_teeth(turned: str, came: str, expected: Verdict) -> None:
    """12 in and 4 out is 3; each count may be off by half a tenth."""
    assert verdict(counted("1", turned, came))[0] is expected


def test_the_wrong_gear_is_recognised() -> None:
    """12 in and 12 out in first is the ratio of second."""
    assert "It is the ratio of 2." in verdict(counted("1", "12", "12"))[1]


def test_too_coarse_a_count_cannot_tell() -> None:
    """One turn read to whole turns fits 1 and 3 alike: turn further."""
    assert verdict(counted("1", "2", "1", to="1")) == (
        Verdict.AGAIN, "2 turns in, 1 out fits 1 and 2 alike; turn further to tell them apart.",
    )  # fmt: skip


def test_nonsense_is_refused() -> None:
    """A gear without a ratio, and a resolution coarser than the count."""
    assert "'N' has no ratio in this unit" in Log().refused(counted("N", "12", "4"))
    assert "smaller than the turns counted" in Log().refused(counted("1", "1", "1", to="2"))


def test_the_fixed_when_sentence_must_be_there() -> None:
    """Nobody can judge a sentence that was never written."""
    log = Log()
    assert "Nobody wrote a fixed-when sentence" in log.refused(FixedWhen(true=True, words="driven"))
    log.say(Complaint(words="slips", fixed_when="no slip"), FixedWhen(true=False, words="still slips"))
    assert not survey(UNIT, log.state).complete


def test_a_counted_ratio_is_a_measurement() -> None:
    """30/10 with each count ±0.05: u = 3·√((0.0289/30)² + (0.0289/10)²) = 0.0091 (JCGM 100, 5.1.6), U = 2u."""
    found = counted_ratio(counted("1", "30", "10"))
    assert (found.mean, found.trials) == (pytest.approx(3.0), 0)
    assert found.expanded == pytest.approx(0.01826, abs=5e-5)
    assert found.budget.largest is not None and found.budget.largest.name == "turns out"


def test_a_ratio_from_few_turns_is_drawn() -> None:
    """One turn in, 0.2 out, ±0.05 each: the quotient is curved there, and leans to the long side of 5."""
    found = counted_ratio(counted("1", "1", "0.2"))
    assert found.trials >= 20_000
    # E[1/X] of an even X from 0.15 to 0.25 is ln(0.25/0.15)/0.1 = 5.108; the input's mean is 1.
    assert found.mean == pytest.approx(5.108, abs=0.03)
