"""Fits on the small unit.  Expected values: by hand; the figures of the end play are those of the invented demo B."""

from __future__ import annotations

from decimal import Decimal

from countershaft.job.entry import Chosen, Dimensions, Remeasured, Shelf, Trial
from countershaft.stages.fit import follow
from tests.small_unit import UNIT, Log
from tests.stages.walk import close_play


def trial(size: str, *values: str, sure: str = "") -> Trial:
    """A trial of the end play."""
    taken = {"sure": sure} if sure else None
    return Trial.model_validate(
        {"fit": "play", "size_mm": size, "values_mm": values, "resolution_mm": "0.01", "taken": taken}
    )


def chosen(size: str, because: str = "") -> Chosen:
    """A size for the end play."""
    return Chosen.model_validate({"fit": "play", "size_mm": size, "because": because})


def left(*values: str) -> Remeasured:
    """The end play as left."""
    return Remeasured.model_validate({"fit": "play", "values_mm": values, "resolution_mm": "0.01"})


def play(log: Log):  # type: ignore[no-untyped-def]  # short in tests
    """The end play as it stands."""
    return follow(UNIT, log.state, UNIT.fit("play"))


SHELF = Shelf(fit="play", sizes_mm=UNIT.fit("play").sizes_mm)


def test_trial_needed_nearest_remeasured() -> None:
    """By hand: 1.80 + 0.66 - 0.375 = 2.085; nearest 2.10; closes only when re-measured."""
    log = Log()
    assert play(log).phase == "measure"
    log.say(trial("1.80", "0.66", "0.66"))
    assert (play(log).phase, play(log).needed_mm) == ("look on the shelf", Decimal("2.085"))
    assert (
        play(log)
        .working[0]
        .startswith("needed = trial + reading − goal = 1.8 + 0.66 − 0.375 = 2.085 mm, u = ")
    )
    log.say(SHELF)
    assert (play(log).phase, play(log).choice.size) == ("choose", Decimal("2.10"))
    log.say(chosen("2.10"))
    assert not play(log).closed
    log.say(left("0.36", "0.36"))
    assert play(log).closed


def test_a_reading_across_the_limit_does_not_close() -> None:
    """0.50 on a 0.01 scale against at most 0.50: measure again."""
    log = close_play(Log(), left="0.50")
    assert (play(log).phase, play(log).judgement.verdict.value) == ("re-measure", "measure again")
    assert play(log).closed_by is None


def test_off_the_table_gives_suspects_and_no_choice() -> None:
    """A missing bearing: 1.80 + 4.03 - 0.375 = 5.455 is needed; nothing can be chosen, suspects are named."""
    log = Log()
    assert "far from what may be expected. Is it a slipped decimal point (0.403 mm)" in log.refused(
        trial("1.80", "4.03", "4.03")
    )
    log.say(trial("1.80", "4.03", "4.03", sure="measured again: it is so"), SHELF)
    now = play(log)
    assert now.phase == "suspects"
    assert now.suspects[0] == "thrust bearing missing"
    words = log.refused(chosen("2.40"))
    assert "5.455 mm is needed, but the table ends at 2.40 mm" in words
    assert "a part is missing, or something is not seated" in words
    assert "thrust bearing missing" in words


def test_the_shelf_is_asked_for_and_obeyed() -> None:
    """No choice before the shelf was looked at, none that does not lie there."""
    log = Log()
    log.say(trial("1.80", "0.66", "0.66"))
    assert log.refused(chosen("2.10")) == "Say first which sizes lie on the shelf."
    log.say(Shelf(fit="play", sizes_mm=(Decimal("1.80"), Decimal("2.25"))))
    assert "2.10 mm is not on the shelf" in log.refused(chosen("2.10"))
    assert "is not in the table" in log.refused(Shelf(fit="play", sizes_mm=(Decimal("9.9"),)))


def test_a_choice_outside_the_window_needs_a_reason() -> None:
    """1.80 would leave 0.66, outside; it goes in only because somebody says why."""
    log = Log()
    log.say(trial("1.80", "0.66", "0.66"), SHELF)
    assert "would leave 0.66 mm, outside 0.25 mm to 0.50 mm" in log.refused(chosen("1.80"))
    log.say(chosen("1.80", "to see whether the reading repeats"))


def test_a_new_trial_voids_what_was_chosen() -> None:
    """Measured anew: the old choice and re-measurement no longer count."""
    log = close_play(Log())
    log.say(trial("2.10", "0.36", "0.36"))
    assert (play(log).phase, play(log).chosen, play(log).left) == ("choose", None, None)


def test_nothing_is_remeasured_before_it_is_chosen() -> None:
    """A re-measurement without a chosen part says what is missing."""
    assert "No washer is chosen for end play yet" in Log().refused(left("0.36", "0.36"))


def test_readings_are_counted() -> None:
    """One reading where two are asked for."""
    assert "2 readings are asked for; got 1" in Log().refused(trial("1.80", "0.66"))


def test_a_gap_from_dimensions() -> None:
    """By hand: 16.96 - 13.71 = 3.25; needed 3.25 - 1.05 = 2.20."""
    log = Log()
    log.say(
        Dimensions.model_validate(
            {"fit": "gap", "values_mm": {"depth": ["16.96"], "stack": ["13.71"]}, "resolution_mm": "0.01"}
        )
    )
    now = follow(UNIT, log.state, UNIT.fit("gap"))
    assert now.needed_mm == Decimal("2.20")
    assert now.working[0] == "gap without the snap ring = depth 16.96 − stack 13.71 = 3.25 mm"


def test_round_figures_are_printed_as_figures() -> None:
    """A depth of 20 mm is 20, not 2E+1."""
    log = Log()
    log.say(
        Dimensions.model_validate(
            {"fit": "gap", "values_mm": {"depth": ["20.00"], "stack": ["10.00"]}, "resolution_mm": "0.01"}
        )
    )
    now = follow(UNIT, log.state, UNIT.fit("gap"))
    assert now.working[0] == "gap without the snap ring = depth 20 − stack 10 = 10 mm"


def test_the_two_ways_are_not_mixed() -> None:
    """A fit with a trial takes no dimensions, one with dimensions takes no trial, and a name must be known."""
    log = Log()
    wrong = Dimensions.model_validate({"fit": "play", "values_mm": {"depth": ["1"]}, "resolution_mm": "0.01"})
    assert "with a trial washer in place" in log.refused(wrong)
    assert "from measured dimensions" in log.refused(
        trial("1.80", "1", "1").model_copy(update={"fit": "gap"})
    )
    short = Dimensions.model_validate({"fit": "gap", "values_mm": {"depth": ["1"]}, "resolution_mm": "0.01"})
    assert "needs depth, stack; got depth" in log.refused(short)


def test_the_gap_is_there_to_be_chosen_for_with_all_others() -> None:
    """By hand: rest 1.80 + 0.66 = 2.46; two readings and the size are known to 0.01 / √12 each."""
    log = Log()
    assert (play(log).gaps, [seat.name for seat in play(log).seats]) == ((), ["play"])
    log.say(trial("1.80", "0.66", "0.66"))
    (gap,) = play(log).gaps
    assert (gap.name, float(gap.rest), float(gap.goal)) == ("play", 2.46, 0.375)
    assert [(term.place, term.factor) for term in gap.terms] == [("play", -1)]
    assert round(gap.standard, 6) == round((2 * 0.01**2 / 12) ** 0.5, 6)
    assert gap.suspects == ("thrust bearing missing",)


def test_a_clamped_shaft_tells_no_size() -> None:
    """No play with the trial washer in: nothing was measured, and the cure is said."""
    words = Log().refused(trial("1.80", "0.00", "0.00"))
    assert "with no play the shaft is clamped" in words and "Fit a thinner trial shim" in words
