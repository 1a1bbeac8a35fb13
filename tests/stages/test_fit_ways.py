"""Every way of reading a fit, from its figures to its end.

Expected values are worked out by hand beside each case; the two-sided case and the race table are those of the page of
selective fits.  No unit is real.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from countershaft.desk.fit_question import ask_fit
from countershaft.errors import BadInput
from countershaft.job.entry import (
    Chosen,
    FitFigure,
    FitLeft,
    FitMeasured,
    PartDecided,
    Remeasured,
    Shelf,
    Trial,
)
from countershaft.job.taken import InstrumentUsed, Taken
from countershaft.model.fits import Fit
from countershaft.model.transmission import Transmission
from countershaft.stages.fit import FitState, follow, placed_sizes
from countershaft.stages.fit_asked import asked_first
from countershaft.stages.fit_stack import stacks
from tests.small_unit import UNIT, Log

BASE: dict[str, Any] = {
    "id": "F", "name": "the fit", "kind": "clutch clearance", "min": "0.90 mm", "max": "1.20 mm", "part": "washer",
    "selective": "end plate", "sizes_mm": ["2.0", "2.1", "2.2", "2.3", "2.4"], "readings": 2,
    "instrument": {"name": "dial", "resolution": "0.01 mm"}, "suspects": ["a plate too few"],
}  # fmt: skip


def log_of(**changed: Any) -> Log:
    """A job on a unit with one fit."""
    fit = Fit.model_validate({**BASE, **changed})
    return Log(UNIT.model_copy(update={"fits": (fit,)}))


def figure(name: str, *values: str, unit: str = "mm", step: str = "0.01") -> FitFigure:
    """One figure, a hundredth its step."""
    return FitFigure.model_validate({"name": name, "values": values, "unit": unit, "resolution": step})


def measured(*figures: FitFigure, **more: Any) -> FitMeasured:
    """First readings."""
    return FitMeasured.model_validate({"fit": "F", "figures": figures, **more})


def left(*figures: FitFigure, **more: Any) -> FitLeft:
    """Readings with the chosen parts in place."""
    return FitLeft.model_validate({"fit": "F", "figures": figures, **more})


def now(log: Log) -> FitState:
    """The fit as it stands."""
    return follow(log.transmission, log.state, log.transmission.fit("F"))


def shelf(log: Log) -> Shelf:
    """The whole table lies there."""
    return Shelf(fit="F", sizes_mm=log.transmission.fit("F").sizes_mm)


def chosen(size: str, **more: Any) -> Chosen:
    """A size that goes in."""
    return Chosen.model_validate({"fit": "F", "size_mm": size, **more})


FEELER = {"by": {"kind": "feeler", "places": ["12 o'clock", "6 o'clock"]}, "trial": "2.2 mm"}


def test_a_clutch_by_feeler() -> None:
    """By hand: middles 1.175 and 1.125, mean 1.15; 2.2 + 1.15 - 1.05 = 2.30; u of a step of 0.05 is 0.05 / √12."""
    log = log_of(**FEELER)
    log.say(
        measured(figure("end plate in place", "2.20"), figure("goes in", "1.15", "1.10"),
                 figure("does not go in", "1.20", "1.15")),
        shelf(log),
    )  # fmt: skip
    found = now(log)
    assert found.needed_mm == Decimal("2.30")
    assert found.needed is not None and found.needed.standard > 0.05 / 12**0.5
    log.say(chosen("2.3"), left(figure("goes in", "1.00", "1.00"), figure("does not go in", "1.05", "1.05")))
    assert (now(log).closed, round(now(log).left.mean, 4)) == (True, 1.025)  # type: ignore[union-attr]


def test_the_error_of_the_feelers_is_in_the_size_they_find() -> None:
    """By hand, JCGM 100, 4.3.7: ±0.03 is u = 0.03 / √3, whole for both places; the part was sized with another."""
    body = measured(
        figure("end plate in place", "2.20"), figure("goes in", "1.15", "1.10"),
        figure("does not go in", "1.20", "1.15"),
    )  # fmt: skip
    told = {"tag": "I2", "name": "feelers", "kind": "feeler gauges", "unit": "mm", "resolution": "0.01"}
    days = {"calibrated": "2026-01-01", "due": "2099-01-01"}
    used = InstrumentUsed.model_validate({**told, **days, "permitted_error": "0.03"})
    found = []
    for one in (body, body.model_copy(update={"taken": Taken(used=used, sure="so")})):
        log = log_of(**FEELER)
        log.say(one)
        needed = now(log).needed
        assert needed is not None
        found.append(needed.standard**2)
    assert found[1] - found[0] == pytest.approx(0.03**2 / 3)


def test_two_leaves_stand_the_right_way_round() -> None:
    log = log_of(**FEELER)
    words = log.refused(
        measured(figure("end plate in place", "2.20"), figure("goes in", "1.15", "1.20"),
                 figure("does not go in", "1.20", "1.15"))
    )  # fmt: skip
    assert (
        words
        == "does not go in: 6 o'clock: goes in 1.20, does not go in 1.15; this must be the greater. Try both again."
    )
    assert "needs end plate in place, goes in, does not go in; got goes in" in log.refused(
        measured(figure("goes in", "1"))
    )
    short = measured(
        figure("end plate in place", "2.20"), figure("goes in", "1.1"), figure("does not go in", "1.2")
    )
    assert "one for each of 12 o'clock, 6 o'clock is asked for; got 1" in log.refused(short)


def test_a_clutch_by_dial() -> None:
    """By hand: travels 1.17 and 1.13, mean 1.15: 2.2 + 1.15 - 1.05 = 2.30."""
    log = log_of(by={"kind": "dial"}, trial="2.2 mm")
    log.say(
        measured(figure("end plate in place", "2.20"), figure("at rest", "0.00", "0.02"),
                 figure("lifted", "1.17", "1.15"))
    )  # fmt: skip
    assert now(log).needed_mm == Decimal("2.30")
    wrong = measured(
        figure("end plate in place", "2.20"), figure("at rest", "0.5", "0.5"), figure("lifted", "0.4", "0.6")
    )
    assert "at rest 0.5, lifted 0.4; this must be the greater" in log.refused(wrong)


def test_a_dial_moves_all_places_alike_and_its_zero_drops_out() -> None:
    """By hand: 2.2 + 1.16 - 1.05 = 2.31 whatever the zero; an error of 0.03 gives 0.03 / √3 = 0.017 at any number."""
    used = {"tag": "D1", "name": "dial", "kind": "dial", "unit": "mm", "resolution": "0.01"}
    taken = {"used": {**used, "permitted_error": "0.03", "zero_offset": "0.05"}, "sure": "it is so"}
    log = log_of(by={"kind": "dial"}, trial="2.2 mm", readings=4)
    rest, lifted = figure("at rest", *["0.00"] * 4), figure("lifted", *["1.16"] * 4)
    log.say(measured(figure("end plate in place", "2.20"), rest, lifted, taken=taken))
    found = now(log).needed
    assert found is not None and found.value == Fraction("2.31")
    assert found.standard == pytest.approx(0.03 / 3**0.5, rel=0.05)
    log.say(Shelf.model_validate({"fit": "F", "sizes_mm": ["2.3"]}))
    log.say(Chosen.model_validate({"fit": "F", "size_mm": "2.3"}))
    log.say(left(rest, figure("lifted", *["1.06"] * 4), taken=taken))
    value = now(log).left
    assert value is not None and value.mean == pytest.approx(1.06)


def test_a_trial_part_in_inches_is_typed_and_taken_in_millimetres() -> None:
    """0.08 in is exactly 2.032 mm, which is no size of the table: 2.032 + 1.30 - 1.05 = 2.282."""
    log = log_of(trial="0.08 in")
    log.say(
        Trial.model_validate(
            {"fit": "F", "size_mm": "2.032", "values_mm": ["1.30", "1.30"], "resolution_mm": "0.01"}
        )
    )
    assert now(log).needed_mm == Decimal("2.282")
    placed = asked_first(Fit.model_validate({**BASE, "by": {"kind": "dial"}, "trial": "0.08 in"}))[0]
    assert (placed.unit, placed.start) == ("mm", "2.032")


@pytest.mark.parametrize(
    ("kind", "first", "second"), [("dial", "at rest", "lifted"), ("feeler", "goes in", "does not go in")]
)
def test_a_place_that_is_read_once_only_is_told_at_a_terminal(kind: str, first: str, second: str) -> None:
    """Three places of the one figure and two of the other are no pairs."""
    unit = log_of(by={"kind": kind}, trial="2.2 mm").transmission
    given = {"end plate in place": "2.20 mm", first: "0.50 0.50 0.50 mm", second: "1.60 1.60 mm"}
    with pytest.raises(BadInput, match=f'"{first}" is read at 3 places and "{second}" at 2'):
        ask_fit(unit, "F", given)


PLATES = {
    "by": {"kind": "plates", "plates": [{"name": "friction", "count": 2}, {"name": "steel", "count": 2}]}
}


def test_a_clutch_by_arithmetic_counts_one_plate_for_all_or_each() -> None:
    """By hand: 10.64 - 2 × 1.80 - 2 × 1.90 = 3.24, less 1.05 is 2.19; u = 0.01/√12 · √(1/2 + 4 + 2)."""
    log = log_of(**PLATES)
    log.say(
        measured(
            figure("depth", "10.64", "10.64"), figure("friction", "1.80"), figure("steel", "1.90", "1.90")
        )
    )
    found = now(log)
    assert found.needed_mm == Decimal("2.19")
    # Steps of one scale do not average away: the depth and the mean of two steels keep the whole step each.
    step = 0.01 / 12**0.5
    assert found.needed is not None
    assert found.needed.standard == pytest.approx((step**2 + (2 * step) ** 2 + 2 * step**2) ** 0.5)
    three = measured(
        figure("depth", "10.64", "10.64"), figure("friction", "1.80"), figure("steel", "1.9", "1.9", "1.9")
    )
    assert "type 1 for all of them or 2, one each; got 3" in log.refused(three)


def test_a_clutch_under_load() -> None:
    """By hand: at 120 N between 1.00 at 50 N and 1.10 at 150 N stands 1.07: 2.2 + 1.07 - 1.05 = 2.22."""
    log = log_of(
        by={"kind": "two loads", "load": "120 N", "first": "50 N", "second": "150 N"}, trial="2.2 mm"
    )
    log.say(
        measured(figure("end plate in place", "2.20"), figure("under 50 N", "1.00", "1.00"),
                 figure("under 150 N", "1.10", "1.10"))
    )  # fmt: skip
    assert now(log).needed_mm == Decimal("2.22")
    wrong = measured(
        figure("end plate in place", "2.20"),
        figure("under 50 N", "1.1", "1.1"),
        figure("under 150 N", "1.0", "1.0"),
    )
    assert "more load gave less clearance" in log.refused(wrong)


def test_what_gives_under_push_and_pull_is_taken_off() -> None:
    """By hand: play 0.36 - 0.02 = 0.34; 1.06 + 0.34 + 0.08 = 1.48."""
    log = log_of(
        kind="preload", min="-0.11 mm", max="-0.05 mm", trial="1.06 mm",
        by={"kind": "push and pull", "give": "0.02 mm"},
        sizes_mm=["1.06", "1.46", "1.48"],
    )  # fmt: skip
    log.say(
        Trial.model_validate(
            {"fit": "F", "size_mm": "1.06", "values_mm": ["0.36", "0.36"], "resolution_mm": "0.01"}
        )
    )
    assert now(log).needed_mm == Decimal("1.48")
    assert now(log).working[0] == "play = 0.36 − 0.02 (give) = 0.34 mm"


def test_two_trials_teach_the_rate() -> None:
    """By hand: rate (1.82 - 0.70) / 0.2 = 5.6; 1.9 + (2.5 - 0.7) / 5.6 = 2.2214."""
    log = log_of(
        kind="preload", min="1.9 N·m", max="3.1 N·m", trial="1.90 mm", by={"kind": "turning torque"},
        sizes_mm=["1.90", "2.10", "2.20"],
    )  # fmt: skip
    log.say(
        measured(figure("trial shim", "1.90"), figure("turning torque", "0.70", "0.70", unit="N·m", step="0.1"),
                 figure("second trial shim", "2.10"),
                 figure("turning torque with the second", "1.82", "1.82", unit="N·m", step="0.1"))
    )  # fmt: skip
    found = now(log)
    assert found.needed_mm == Decimal("2.2214")
    assert found.working[0].startswith("rate = (1.82 − 0.7) / (2.1 − 1.9) = 5.6 N·m/mm")
    assert found.choice is not None and found.choice.why == "2.20 mm gives 2.38 N·m, inside 1.9 to 3.1 N·m."
    same = measured(
        figure("trial shim", "1.90"), figure("turning torque", "0.7", "0.7", unit="N·m"),
        figure("second trial shim", "1.90"), figure("turning torque with the second", "1.8", "1.8", unit="N·m"),
    )  # fmt: skip
    assert "take one with another size to learn the rate" in log.refused(same)
    mm = measured(*(one.model_copy(update={"unit": "mm"}) for one in same.figures))
    assert "'mm' does not measure torque; use one of N·m" in log.refused(mm)


def two_sided() -> Log:
    """A carrier between two shims, as on the page of selective fits."""
    by = {
        "kind": "two-sided", "right_trial": "2.00 mm", "backlash_min": "0.10 mm", "backlash_max": "0.18 mm",
        "backlash_per_mm": "-0.7",
    }  # fmt: skip
    sizes = [f"{170 + 5 * step}" for step in range(17)]
    return log_of(
        kind="preload", min="-0.08 mm", max="-0.04 mm", trial="2.00 mm", by=by, selective="left shim",
        sizes_mm=[f"{one[0]}.{one[1:]}" for one in sizes],
    )  # fmt: skip


def test_the_sum_sets_the_preload_and_the_split_the_backlash() -> None:
    """By hand: total 2.00 + 2.00 + 0.10 + 0.06 = 4.16; left 2.00 + (0.14 - 0.21) / -0.7 = 2.10, right 2.06."""
    log = two_sided()
    log.say(
        measured(figure("left trial shim", "2.00"), figure("right trial shim", "2.00"), figure("play", "0.10", "0.10"),
                 figure("backlash", "0.21", "0.21")),
        shelf(log),
    )  # fmt: skip
    found = now(log)
    assert [(one.side, float(one.size.value)) for one in found.found.needs] == [
        ("left", 2.1),
        ("right", 2.06),
    ]
    assert [gap.name for gap in found.gaps] == ["F: preload", "F: backlash"]
    assert [seat.name for seat in found.seats] == ["F/left", "F/right"]
    assert "say left or right" in log.refused(chosen("2.10"))
    assert "Choose the left shim first" in log.refused(chosen("2.05", side="right"))
    log.say(chosen("2.10", side="left"))
    assert (now(log).phase, now(log).choice.size) == ("choose", Decimal("2.05"))  # type: ignore[union-attr]
    # 4.10 - 2.10 - 2.20 = -0.20
    assert "would leave -0.20 mm, outside -0.08 mm to -0.04 mm" in log.refused(chosen("2.20", side="right"))
    log.say(chosen("2.05", side="right"))
    log.say(
        left(figure("preload as a gap", "-0.06", "-0.06", step="0.001"), figure("backlash", "0.19", "0.19"))
    )
    assert (now(log).closed, now(log).judgement.verdict.value) == (False, "bad")
    log.say(
        left(figure("preload as a gap", "-0.06", "-0.06", step="0.001"), figure("backlash", "0.14", "0.14"))
    )
    assert now(log).closed
    assert [one.judgement.verdict.value for one in now(log).lefts] == ["good", "good"]
    turned = figure("backlash", "0.14", "0.14"), figure("preload as a gap", "-0.06", "-0.06", step="0.001")
    log.say(left(*turned))  # figures stand by their names, in whatever order they were sent
    assert now(log).closed


def test_steels_of_several_thicknesses_make_the_height() -> None:
    """By hand: 7.2 in place with 1.15 of clearance; 7.2 + 1.15 - 1.05 = 7.30; four of 1.8 or 2.0: 7.2, 7.4 as near."""
    log = log_of(pieces=4, sizes_mm=["1.8", "2.0"], trial="7.2 mm", selective="steels")
    log.say(
        Trial.model_validate(
            {"fit": "F", "size_mm": "7.2", "values_mm": ["1.15", "1.15"], "resolution_mm": "0.01"}
        ),
        shelf(log),
    )
    found = now(log)
    assert (found.needed_mm, found.sides[0].plates) == (Decimal("7.30"), ((Decimal("1.80"), 4),))
    assert len(found.gaps[0].terms) == 4
    assert "4 plates that add up to 7.2 mm are asked for; got 0" in log.refused(chosen("7.2"))
    log.say(chosen("7.2", plates_mm=["1.8"] * 4))
    log.say(Remeasured.model_validate({"fit": "F", "values_mm": ["1.15", "1.15"], "resolution_mm": "0.01"}))
    assert now(log).closed


ROWS = [
    {"low_mm": "0.50", "high_mm": "0.60", "code": "3", "size_mm": "2.10"},
    {"low_mm": "0.60", "high_mm": "0.70", "code": "4", "size_mm": "2.20"},
]
RACES = {
    "kind": "end play", "min": "0.05 mm", "max": "0.20 mm", "trial": "1.60 mm", "sizes_mm": ["2.10", "2.20"],
    "rows": ROWS,
}  # fmt: skip


def reading(value: str) -> Trial:
    """A reading for the race table."""
    return Trial.model_validate(
        {"fit": "F", "size_mm": "1.60", "values_mm": [value] * 2, "resolution_mm": "0.01"}
    )


def test_a_race_table_says_the_size_and_what_else_it_could_be() -> None:
    """0.598 with u = 0.0029 lies less than one u below the edge of the next row."""
    log = log_of(**RACES)
    log.say(reading("0.598"), shelf(log))
    found = now(log)
    assert (found.needed_mm, found.choice.size) == (Decimal("2.10"), Decimal("2.10"))  # type: ignore[union-attr]
    assert found.working[0].startswith("0.598 mm belongs to 3. It could be 4 as well")
    log.say(reading("0.65"))
    assert now(log).needed_mm == Decimal("2.20")


def test_a_reading_beyond_the_table_has_suspects() -> None:
    log = log_of(**RACES)
    log.say(reading("0.95"))
    assert (now(log).phase, now(log).sides) == ("suspects", ())
    assert now(log).why_suspects.startswith("0.95 mm lies beyond the table, 0.5 to 0.7 mm.")
    assert "lies beyond the table" in log.refused(chosen("2.20"))


def test_a_band_is_set_by_turns() -> None:
    """3.25 turns, give or take 0.25; five turns counted back are bad (seeded fault of the invented demo C)."""
    band = {
        "element": "B", "name": "band", "turns": "3.25", "turns_within": "0.25", "stop": "6 N·m", "part": "drum",
    }  # fmt: skip
    unit = Transmission.model_validate(
        {"format": 1, "name": "x", "parts": [{"id": "drum", "name": "drum"}], "bands": [band]}
    )
    log = Log(unit)
    (fit,) = unit.all_fits
    assert (fit.id, fit.unit, fit.size_unit) == ("BAND-B", "turns", "turns")
    found = figure("turns as found", "5", unit="turns", step="0.125")
    log.say(FitMeasured(fit=fit.id, figures=(found,)))
    state = follow(unit, log.state, fit)
    assert (state.needed_mm, state.phase) == (Decimal("3.25"), "choose")
    assert state.as_found_judgement is not None and state.as_found_judgement.verdict.value == "bad"
    log.say(Chosen(fit=fit.id, size_mm=Decimal("3.25")))
    back = figure("turns to the stop", "3.25", unit="turns", step="0.125")
    log.say(FitLeft(fit=fit.id, figures=(back,)))
    assert follow(unit, log.state, fit).closed


def test_a_screw_with_a_pitch_is_set_by_its_clearance() -> None:
    """By hand: 2.5 mm of clearance at a pitch of 1.25 mm are 2 turns; 2.25 turns leave 2.8125 mm."""
    log = log_of(
        kind="band", min="2.2 mm", max="2.8 mm", by={"kind": "turns", "pitch": "1.25 mm"}, readings=1,
        sizes_mm=["1.75", "2.00", "2.25"], selective="screw",
    )  # fmt: skip
    log.say(measured(figure("turns as found", "3", unit="turns", step="0.125")))
    assert now(log).needed_mm == Decimal("2.00")
    assert "2.25 turns would give 2.8125 mm, outside 2.2 mm to 2.8 mm" in log.refused(chosen("2.25"))
    log.say(chosen("2.00"), left(figure("turns to the stop", "2", unit="turns", step="0.125")))
    assert now(log).lefts[0].value.mean == 2.5  # type: ignore[union-attr]
    assert now(log).closed


def test_a_table_that_cannot_hit_the_limits_says_so() -> None:
    """By hand: 2.2 + 1.10 = 3.30 less 2.1 or 2.3 leaves 1.20 or 1.00: neither lies in 1.05 to 1.15."""
    log = log_of(min="1.05 mm", max="1.15 mm", trial="2.2 mm", sizes_mm=["2.1", "2.3"])
    log.say(
        Trial.model_validate(
            {"fit": "F", "size_mm": "2.2", "values_mm": ["1.10", "1.10"], "resolution_mm": "0.01"}
        )
    )
    assert now(log).off_steps.startswith(
        "F: the nearest steps leave 1 and 1.2, not 1.05 to 1.15; it takes 2.15 to 2.25 mm"
    )


def play(log: Log) -> None:
    """Read the trial, choose 2.3 and close at 1.05."""
    log.say(
        Trial.model_validate(
            {"fit": "F", "size_mm": "2.2", "values_mm": ["1.15", "1.15"], "resolution_mm": "0.01"}
        ),
        shelf(log),
        chosen("2.3"),
        Remeasured.model_validate({"fit": "F", "values_mm": ["1.05", "1.05"], "resolution_mm": "0.01"}),
    )


def replaced(part: str) -> PartDecided:
    """A part that is replaced."""
    return PartDecided(part=part, count=1, decision="replace", because="it is worn")


def test_what_is_changed_under_a_fit_makes_it_void() -> None:
    log = log_of(trial="2.2 mm", rests_on=["drum"])
    log.say(replaced("drum"))
    play(log)
    assert now(log).closed, "what was changed before it was measured does not matter"
    log.say(replaced("ball"))
    assert now(log).closed, "it does not rest on the balls"
    log.say(replaced("drum"))
    found = now(log)
    assert (found.phase, found.measured, found.chosen) == ("measure", None, None)
    assert (
        found.voided
        == "the fit rests on drum; drum was changed after the fit was measured. Measure it again."
    )
    play(log)
    assert (now(log).closed, now(log).voided) == (True, "")


def test_a_new_selective_part_asks_for_the_last_reading_again() -> None:
    log = log_of(trial="2.2 mm")
    play(log)
    log.say(replaced("washer"))
    assert (now(log).phase, now(log).left, now(log).needed_mm) == ("re-measure", None, Decimal("2.30"))
    assert "washer was changed after the fit was measured" in now(log).voided


def test_the_stack_up_of_a_fit_has_its_shares() -> None:
    """By hand: trial and reading are known to 0.01 / √12, and a plate that is only marked to 0.02 / √3.

    Their squares are as 1 : 1 : 16, so that the plate has 16/18 of the variance; the joint choice takes it so too.
    """
    log = log_of(trial="2.2 mm", sizes_mm=["2.20", "2.30"], readings=1)
    log.say(
        Trial.model_validate({"fit": "F", "size_mm": "2.20", "values_mm": ["1.15"], "resolution_mm": "0.01"})
    )
    found = now(log)
    (stack,) = stacks(found.found, found.seats, placed_sizes(found))
    assert [round(share, 3) for share in stack.sums.variance_share.values()] == [0.056, 0.056, 0.889]
    assert round(stack.sums.middle, 6) == 1.05
    # Worst case 2 · (2 · 0.01 / √12 + 0.02 / √3) = 0.0346 either way.
    assert [round(end, 4) for end in stack.sums.worst] == [1.0154, 1.0846]
    assert stack.drawn.inside == 1.0


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"by": {"kind": "feeler"}}, "feeler reads the gap with a part of known size in place; give trial"),
        ({"by": {"kind": "plates", "plates": [{"name": "x", "count": 1}]}, "trial": "2 mm"}, "needs no part in place"),
        ({"by": {"kind": "turning torque"}, "trial": "2 mm"}, "turning torque serves preload, not clutch clearance"),
        ({"by": {"kind": "foot"}, "trial": "2 mm"}, "there is no kind 'foot'"),
        ({"trial": "2 mm", "min": "1 N·m"}, "'N·m' does not measure length; expected one such as 0.35 mm"),
        ({"trial": "2 mm", "rows": [{**ROWS[0], "size_mm": "9"}]}, "9 is not in sizes_mm"),
        ({"trial": "2 mm", "rows": [{**ROWS[0], "low_mm": "0.7", "size_mm": "2.1"}]}, "row 3 runs from 0.7 to 0.60"),
        (
            {"kind": "preload", "min": "1 N·m", "max": "2 N·m", "trial": "2 mm",
             "by": {"kind": "turning torque", "torque_per_mm": "-5 N·m"}},
            "a thicker shim makes the shaft turn harder",
        ),
    ],
)  # fmt: skip
def test_a_fit_that_cannot_be_is_refused(changed: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Fit.model_validate({**BASE, **changed})
