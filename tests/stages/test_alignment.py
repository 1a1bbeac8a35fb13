"""Sweeps of the housing in a job.

Expected figures of demo A and B: the shared invented demo (readings, closure, moves, TIR, tilt, shift at the bushing).
The inch cases are the same readings over exactly 25.4 (NIST SP 811).  The return of the indicator: two readings with
u = step / √12 each differ by at most 2·√2·u = 0.0082 mm (JCGM 100:2008, 5.1.2, F.2.2.1).
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from functools import cache
from typing import Any

import pytest

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.job.entry import DowelSeen, HousingSwept, Undone
from countershaft.job.taken import InstrumentUsed, Taken
from countershaft.metrology.conformity import Verdict
from countershaft.model.transmission import Transmission
from countershaft.stages.alignment import survey
from countershaft.stages.handover import gate
from countershaft.stages.inspection import checked
from tests.small_unit import Log

AS_FOUND = ("0.00", "-0.19", "-0.16", "0.02")  # demo A, invented: 12, 3, 6, 9 o'clock
AFTER = ("0.00", "-0.06", "-0.07", "-0.02")
DEMO_B = ("0.00", "0.05", "0.04", "-0.01")


@cache
def unit(name: str) -> Transmission:
    return read_transmission(library_text(name), f"{name}.yaml")


def sweep(bore: tuple[str, ...] = AS_FOUND, **change: Any) -> HousingSwept:
    hours = ("12", "3", "6", "9") if len(bore) == 4 else ("12", "1.5", "3", "4.5", "6", "7.5", "9", "10.5")
    told: dict[str, Any] = {
        "when": "as found",
        "hours": hours,
        "bore": bore,
        "unit": "mm",
        "instrument": "dial indicator",
        "resolution": "0.01",
    }
    return HousingSwept.model_validate({**told, **change})


def dowel(name: str, stands: str, when: str = "as found") -> DowelSeen:
    told = {"dowel": name, "when": when, "values": (stands,), "unit": "mm"}
    return DowelSeen.model_validate({**told, "instrument": "depth gauge", "resolution": "0.1"})


def test_demo_a_fails_on_the_bore_only_and_names_the_dowel_first() -> None:
    job = Log(unit("demo-a"))
    job.say(dowel("1", "10.0"), dowel("2", "13.4"))
    job.say(sweep(face_total="0.09", answers=("C13", "C14")))
    run = survey(job.transmission, job.state).newest
    assert run is not None and run.face is not None
    assert round(run.bore.sweep.closure * 1e3, 4) == 0.01
    assert (round(run.bore.move_x * 1e3, 4), round(run.bore.move_y * 1e3, 4)) == (-0.105, 0.08)
    assert round(run.bore.offset * 1e3, 3) == 0.132
    assert round(run.bore.total * 1e3, 3) == 0.264
    assert round(run.face.tilt * 1e3, 3) == 0.321
    assert run.shift is not None and round(run.shift * 1e3, 3) == 0.033
    assert (run.advice.bore, run.advice.face) == (Verdict.BAD, Verdict.GOOD)
    assert "move the housing 0.13 mm toward 10 o'clock" in run.advice.sentences[0]
    assert run.advice.sentences[2].startswith("Dowel 2, lower right stands 13.40 mm instead of 9.70 mm")
    assert run.advice.dowels is None
    assert not any("offset end" in words for words in run.advice.sentences)
    assert not survey(job.transmission, job.state).good


def test_demo_a_passes_after_the_dowel_is_seated() -> None:
    job = Log(unit("demo-a"))
    job.say(dowel("1", "10.0"), dowel("2", "13.4"), sweep(face_total="0.09"))
    job.say(dowel("2", "10.1", "as left"))
    between = survey(job.transmission, job.state).newest
    assert between is not None and between.changed == ("2, lower right",)
    assert "was read again after this sweep: sweep again" in between.advice.sentences[0]
    job.say(sweep(AFTER, face_total="0.07", when="as left", after="dowel 2 seated fully"))
    found = survey(job.transmission, job.state)
    first, last = found.runs
    assert last.face is not None and last.shift is not None
    assert (round(last.bore.offset * 1e3, 4), round(last.bore.total * 1e3, 3)) == (0.0403, 0.081)
    assert (round(last.face.tilt * 1e3, 3), round(last.shift * 1e3, 3)) == (0.25, 0.026)
    assert (last.advice.bore, last.advice.face, found.good) == (Verdict.GOOD, Verdict.GOOD, True)
    # The first run keeps what was said then: the dowel stood out, so no offset dowel was chosen.
    assert first.advice.bore is Verdict.BAD and first.advice.dowels is None


def test_demo_b_passes() -> None:
    job = Log(unit("demo-b"))
    job.say(sweep(DEMO_B, face_total="0.06"))
    run = survey(job.transmission, job.state).newest
    assert run is not None and run.face is not None and run.shift is not None
    assert (round(run.bore.total * 1e3, 3), run.advice.bore) == (0.072, Verdict.GOOD)
    assert (round(run.face.tilt * 1e3, 3), round(run.shift * 1e3, 3)) == (0.188, 0.018)
    assert round(run.bore.sweep.closure * 1e3, 6) == 0.0


def test_with_all_dowels_home_a_pair_of_offset_dowels_is_chosen() -> None:
    """By hand: offset 0.132 mm, a pair of 0.15 mm leaves 0.018 mm, so 0.036 mm TIR."""
    job = Log(unit("demo-a"))
    job.say(dowel("1", "10.0"), dowel("2", "10.1"), sweep())
    run = survey(job.transmission, job.state).newest
    assert run is not None and run.advice.dowels is not None
    assert round(run.advice.dowels.size * 1e3, 2) == 0.15
    assert round(run.advice.dowels.total * 1e3, 3) == 0.036


def test_a_face_that_is_out_gets_no_dowel() -> None:
    job = Log(unit("demo-a"))
    job.say(sweep(face=("0.00", "0.15", "0.32", "0.17")))
    run = survey(job.transmission, job.state).newest
    assert run is not None and run.advice.dowels is None
    assert any("A dowel moves the bore, never the face" in words for words in run.advice.sentences)


def test_a_sweep_answers_the_limits_that_it_names() -> None:
    job = Log(unit("demo-a"))
    job.say(sweep(face_total="0.09", answers=("C13", "C14")))
    bore = checked(job.transmission, job.state, job.transmission.limit("C13"), when="as found")
    face = checked(job.transmission, job.state, job.transmission.limit("C14"))
    assert bore.value is not None and round(bore.value.mean, 3) == 0.264
    assert (bore.judgement.verdict, face.judgement.verdict) == (Verdict.BAD, Verdict.GOOD)
    assert any("offset = √(x² + y²)" in line for line in bore.working)
    assert not checked(job.transmission, job.state, job.transmission.limit("C13"), when="as left").answered
    refused = Log(unit("demo-a")).ask(sweep(answers=("C12",)))
    assert refused.objections == ("The sweep does not answer C12; the file does not say that it does.",)


def test_a_sweep_that_does_not_close_is_asked_for_again_and_never_judged() -> None:
    job = Log(unit("demo-a"))
    wrong = ("0.00", "-0.19", "-0.16", "0.12")
    outcome = job.ask(sweep(wrong))
    assert outcome.fields["bore"].startswith("The sweep does not close: closure 0.09 mm, allowed 0.01 mm.")
    assert "it is not judged" in outcome.fields["sure"]
    job.say(sweep(wrong, taken=Taken(sure="measured again: it is so")))
    run = survey(job.transmission, job.state).newest
    assert run is not None and not run.closes
    assert run.advice.bore is Verdict.AGAIN and run.bore_judgement.verdict is Verdict.AGAIN
    assert "sweep again" in run.bore_judgement.why and run.advice.dowels is None


def test_the_indicator_must_come_back_to_its_first_figure() -> None:
    job = Log(unit("demo-a"))
    job.say(sweep(bore_back="0.00"))
    outcome = job.ask(sweep(bore_back="0.03"))
    assert outcome.fields["bore"] == (
        "Bore: back at the first place the indicator is off by 0.03 mm, allowed 0.01 mm. "
        "It slipped or its stand moved: fasten it and sweep again."
    )
    job.say(sweep(bore_back="0.03", taken=Taken(sure="it is so")))
    run = survey(job.transmission, job.state).newest
    assert run is not None and run.advice.bore is Verdict.AGAIN
    assert run.advice.sentences[0].startswith("Bore: back at the first place")


def test_the_closure_that_the_shop_allows_stands_above_the_step_of_the_scale() -> None:
    housing = unit("demo-a").housing
    assert housing is not None
    loose = housing.model_validate({**housing.model_dump(mode="json"), "closure": "0.12 mm"})
    job = Log(unit("demo-a").model_copy(update={"housing": loose}))
    job.say(sweep(("0.00", "-0.19", "-0.16", "0.12")))


def test_inches_say_the_same() -> None:
    """0.0075 in = 0.1905 mm, 0.0063 in = 0.160 mm, 0.0008 in = 0.0203 mm."""
    job = Log(unit("demo-a"))
    bore = ("0.0000", "-0.0075", "-0.0063", "0.0008")
    inch = sweep(bore, unit="in", resolution="0.0001", face_total="0.0035")
    outcome = job.ask(inch)
    assert "does not close" in outcome.fields["bore"]  # 0.0004 in on a scale with steps of 0.0001 in
    coarse = sweep(bore, unit="in", resolution="0.0002", taken=Taken(sure="read twice"))
    job.say(coarse)
    run = survey(job.transmission, job.state).newest
    assert run is not None
    assert round(run.bore.total / 25.4e-3, 4) == 0.0104
    assert (
        "toward 10 o'clock" in run.bore.words("in") and "do not move the housing" in run.advice.sentences[0]
    )
    assert " in " in run.advice.sentences[0]


def test_thousandths_are_thousandths() -> None:
    job = Log(unit("demo-a"))
    job.say(sweep(("0", "-7.5", "-6.5", "1"), unit="thou", resolution="0.5"))
    run = survey(job.transmission, job.state).newest
    assert run is not None and round(run.bore.total / 25.4e-3, 4) == 0.0107


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"unit": "in"}, "mm? Choose the unit that the indicator shows."),
        (
            {"bore": ("0.0000", "-0.0075", "-0.0063", "0.0008")},
            "does not stand on a scale with steps of 0.01 mm",
        ),
        ({"unit": "in", "bore": ("0", "-7.5", "-6.3", "0.8"), "resolution": "0.1"}, "thou?"),
    ],
)
def test_a_sweep_that_is_off_by_25_4_is_asked_about(change: dict[str, Any], said: str) -> None:
    outcome = Log(unit("demo-a")).ask(sweep(**{"bore": AS_FOUND, **change}))
    assert said in outcome.fields["unit"] and "sure" in outcome.fields


def test_what_a_sweep_lacks_is_said_at_its_field() -> None:
    bare = Log(unit("demo-a").model_copy(update={"housing": None}))
    outcome = bare.ask(sweep(face_total="0.09"))
    assert outcome.fields == {
        "bore_max": "type the most runout of the bore that the service information allows.",
        "face_max": "the face was swept; type the most runout of it that is allowed.",
        "diameter": "type the diameter of the circle that the plunger ran on.",
    }
    typed = {"bore_max": "0.25 mm", "face_max": "0.25 mm", "diameter": "280 mm", "bushing": "104 mm"}
    bare.say(sweep(face_total="0.09", **typed))
    run = survey(bare.transmission, bare.state).newest
    assert run is not None and run.advice.bore is Verdict.BAD
    minus = bare.ask(sweep(**{**typed, "diameter": "-280 mm"}, face_total="0.09"))
    assert minus.fields == {"diameter": "-280 mm is no such length; it must be above 0."}
    three = Log(unit("demo-a")).ask(sweep(hours=("12", "3", "6", "12")))
    assert three.fields["bore"] == (
        "3 different places are read; at least four are needed, or nothing checks it."
    )
    with pytest.raises(ValueError, match="at least 4 items"):
        sweep(("0", "0", "0"), hours=("12", "4", "8"))
    with pytest.raises(ValueError, match="one reading of the bore at every place"):
        sweep(hours=("12", "3", "6", "9", "10.5"))


def test_the_instruments_own_error_widens_the_verdict() -> None:
    """u = √(0.01²/12 + 0.03²/3) = 0.01756 mm, so U of the TIR is 2·√2·u = 0.0497 mm: 0.264 cannot be told from 0.25."""
    dial = InstrumentUsed.model_validate(
        {
            "tag": "D3",
            "name": "dial 3",
            "kind": "dial indicator",
            "unit": "mm",
            "resolution": "0.01",
            "permitted_error": "0.03",
            "zero_offset": "0.05",
            "calibrated": "2026-01-01",
            "due": "2027-01-01",
        }
    )
    job = Log(unit("demo-a"))
    job.say(sweep(taken=Taken(used=dial, sure="the zero is known")))
    run = survey(job.transmission, job.state).newest
    assert run is not None and run.bore_judgement.verdict is Verdict.AGAIN
    assert round(run.bore_estimate.expanded, 4) == 0.0497
    job.say(sweep(taken=Taken(used=dial, rule="plain", sure="the zero is known")))
    plain = survey(job.transmission, job.state).newest
    assert plain is not None and plain.advice.bore is Verdict.BAD is plain.bore_judgement.verdict


def test_an_instrument_out_of_calibration_is_asked_about() -> None:
    old = InstrumentUsed(
        tag="D3",
        name="dial 3",
        kind="dial indicator",
        unit="mm",
        resolution=Decimal("0.01"),
        permitted_error=Decimal("0.01"),
        calibrated=date(2024, 1, 1),
        due=date(2025, 1, 1),
    )
    outcome = Log(unit("demo-a")).ask(sweep(taken=Taken(used=old)))
    assert "calibration ran out on 2025-01-01" in outcome.fields["sure"]


def test_sag_and_the_rise_of_the_crank_move_the_bore() -> None:
    """By hand: sag -0.04 at 6 o'clock makes y smaller by 0.02; a rise of 0.03 makes it larger by 0.03."""
    job = Log(unit("demo-a"))
    job.say(sweep(sag="-0.04", rise="0.03"))
    run = survey(job.transmission, job.state).newest
    assert run is not None and round(run.bore.move_y * 1e3, 4) == round(0.08 - 0.02 + 0.03, 4)
    assert run.bore_working[4].startswith("sag -0.0400 mm at 6 o'clock taken off; crank rises by 0.0300 mm")


def test_eight_places_are_read_too() -> None:
    """r = -0.0825 - 0.105 · sin θ + 0.08 · cos θ, rounded to the scale: the bore of demo A."""
    job = Log(unit("demo-a"))
    job.say(sweep(("0.00", "-0.10", "-0.19", "-0.21", "-0.16", "-0.06", "0.02", "0.05")))
    run = survey(job.transmission, job.state).newest
    assert run is not None and run.bore.sweep.closes
    assert "toward 10 o'clock" in run.advice.sentences[0]


def test_a_dowel_of_another_file_or_another_unit_is_refused() -> None:
    job = Log(unit("demo-a"))
    assert job.ask(dowel("3", "10.0")).objections == ("There is no dowel '3' in the file; it has 1, 2.",)
    inch = dowel("1", "10.0").model_copy(update={"unit": "in"})
    assert "mm (0.3937 in)" in job.ask(inch).fields["sure"]
    assert survey(job.transmission, job.state).dowels[0].judgement.verdict is Verdict.NOT_MEASURED
    job.say(dowel("2", "13.4"))
    assert survey(job.transmission, job.state).dowels[1].judgement.verdict is Verdict.BAD


def test_a_sweep_that_is_not_good_holds_the_release() -> None:
    job = Log(unit("demo-a"))
    assert not any(point.key == "housing" for point in gate(job.transmission, job.state))
    job.say(dowel("1", "10.0"), dowel("2", "13.4"), sweep())
    held = next(point for point in gate(job.transmission, job.state) if point.key == "housing")
    assert held.open is not None and "Dowel 2, lower right stands 13.40 mm" in held.open
    job.say(dowel("2", "10.1", "as left"), sweep(AFTER, when="as left"))
    free = next(point for point in gate(job.transmission, job.state) if point.key == "housing")
    assert free.open is None


def test_an_undone_sweep_is_gone() -> None:
    job = Log(unit("demo-a"))
    job.say(sweep())
    job.say(Undone(target=job.entries[-1].id, because="wrong car"))
    assert survey(job.transmission, job.state).runs == ()
