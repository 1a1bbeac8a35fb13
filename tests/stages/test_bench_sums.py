"""Bench sums in a job.

Expected values: copper of IEC 60028 by hand (1.1572 times at 60 °C), and U = 2 · u with u from the digits and the ±.
"""

from __future__ import annotations

import pytest

from countershaft.job.entry import NotMeasured, Worked
from countershaft.job.taken import Taken
from countershaft.metrology.conformity import Verdict
from countershaft.model.limits import Limit
from countershaft.model.transmission import Transmission
from countershaft.stages.bench_sums import answering_limit, holds_at, of_key, sum_key, worked_out
from countershaft.stages.inspection import checked, survey
from tests.small_unit import UNIT, Log, with_limits


def limit(**given: object) -> Limit:
    """A check of the invented unit."""
    return Limit.model_validate({"name": "invented", "source": "invented", **given})


OHMS = limit(id="ohms", name="solenoid resistance", min="4.8 Ω", max="5.4 Ω")
SHARE = limit(id="share", name="vacuum of the bore", min="80 %")
LOAD = limit(id="load", name="spring load", min="18 lbf", max="22 lbf")
BORE = limit(id="bore", name="bore vacuum", min="61 kPa", at="blocked reading 84 kPa")
LINE = limit(id="line", name="line pressure", min="400 kPa", at="in park, 2000 rpm")
WARM = limit(id="warm", name="warm resistance", min="4.8 Ω", at="24 °C")
OWN: Transmission = with_limits(OHMS, SHARE, LOAD, WARM, BORE, LINE)


def winding(reading: str = "5.9 ± 0.05 Ω", **given: object) -> Worked:
    """A winding read at 60 °C."""
    typed = {"reading": reading, "temperature": "60 ± 2 °C"}
    return Worked.model_validate({"calculation": "winding", "typed": typed, **given})


@pytest.mark.parametrize(
    ("reading", "verdict"),
    [
        ("5.9 ± 0.05 Ω", Verdict.GOOD),
        ("7.0 ± 0.05 Ω", Verdict.BAD),
        ("6.2 ± 0.05 Ω", Verdict.AGAIN),
    ],
)
def test_a_winding_at_20_degrees_answers_its_limit(reading: str, verdict: Verdict) -> None:
    log = Log(OWN)
    log.say(winding(reading, limit="ohms"))
    found = checked(OWN, log.state, OHMS)
    assert found.judgement.verdict is verdict
    assert found.value is not None
    assert found.value.mean == pytest.approx(float(reading[:3]) / 1.1572)
    assert found.value.expanded == pytest.approx(0.08, abs=0.02)
    assert any(line.startswith("at 20 °C: ") for line in found.working)
    assert found.when == "as found"


def test_the_rule_of_the_shop_decides() -> None:
    """6.2 Ω are 5.36 Ω at 20 °C: plainly good, but within its uncertainty of 5.4 Ω."""
    log = Log(OWN)
    log.say(winding("6.2 ± 0.05 Ω", limit="ohms", taken=Taken(rule="plain")))
    assert checked(OWN, log.state, OHMS).judgement.verdict is Verdict.GOOD


def test_a_spring_of_millimetres_answers_a_limit_in_pounds() -> None:
    """4.974 N/mm · 18 mm = 89.5 N = 20.1 lbf."""
    typed = {"wire": "2.00 mm", "outer": "18.0 mm", "active_coils": "8", "total_coils": "10", "ends": "ground",
             "free": "48.0 mm", "length": "30.0 mm"}  # fmt: skip
    log = Log(OWN)
    log.say(Worked(calculation="coil-spring", typed=typed, limit="load"))
    found = checked(OWN, log.state, LOAD)
    assert found.value is not None
    assert found.value.mean == pytest.approx(20.13, abs=0.01)
    assert found.judgement.verdict is Verdict.GOOD


def test_a_vacuum_share_answers_its_limit_and_yields_to_a_later_one() -> None:
    log = Log(OWN)
    typed = {"held": "58.0 kPa", "blocked": "68.0 kPa", "good": "80 %"}
    log.say(Worked(calculation="vacuum", typed=typed, limit="share"))
    assert checked(OWN, log.state, SHARE).judgement.verdict is Verdict.GOOD
    log.say(Worked(calculation="vacuum", typed={**typed, "held": "40.0 kPa"}, limit="share"))
    assert checked(OWN, log.state, SHARE).judgement.verdict is Verdict.BAD


def test_a_vacuum_is_told_for_the_blocked_reading_of_its_limit() -> None:
    """52/68 of 84 kPa are 64.2 kPa, good from 61 kPa; 45/68 of it are 55.6 kPa."""
    typed = {"held": "52.0 kPa", "blocked": "68.0 kPa", "rated": "84 kPa"}
    log = Log(OWN)
    log.say(Worked(calculation="vacuum", typed=typed, limit="bore"))
    found = checked(OWN, log.state, BORE)
    assert found.value is not None
    assert found.value.mean == pytest.approx(52 / 68 * 84)
    assert found.judgement.verdict is Verdict.GOOD
    log.say(Worked(calculation="vacuum", typed={**typed, "held": "45.0 kPa"}, limit="bore"))
    assert checked(OWN, log.state, BORE).judgement.verdict is Verdict.BAD
    without = Worked(calculation="vacuum", typed={**typed, "rated": "80 kPa"}, limit="bore")
    assert log.refused(without) == "rated: bore vacuum holds at 84 kPa; bring it to that, not to 80 kPa."
    del typed["rated"]
    assert "asked for a blocked reading of 84 kPa" in log.refused(without.model_copy(update={"typed": typed}))
    assert "tells nothing that line pressure asks for" in log.refused(
        Worked(calculation="vacuum", typed={**typed, "rated": "84 kPa"}, limit="line")
    )
    assert [one.name for one in answering_limit(BORE)] == ["vacuum"]
    assert answering_limit(LINE) == ()


def test_an_answer_as_left_is_not_one_as_found() -> None:
    log = Log(OWN)
    log.say(NotMeasured(limit="ohms", because="no meter here"), winding(limit="ohms", when="as left"))
    assert checked(OWN, log.state, OHMS, when="as left").judgement.verdict is Verdict.GOOD
    assert checked(OWN, log.state, OHMS, when="as found").judgement.verdict is Verdict.NOT_MEASURED
    assert "ohms" not in [one.limit.id for one in survey(OWN, log.state).open]


def test_a_sum_without_a_check_answers_none() -> None:
    log = Log(OWN)
    log.say(winding(part="drum"))
    assert checked(OWN, log.state, OHMS).entry is None
    assert worked_out(winding()).outcome.figures[0].key == "resistance"


def test_a_winding_is_brought_to_where_its_limit_holds() -> None:
    typed = {"reading": "5.9 Ω", "temperature": "60 °C", "wanted": "24 °C"}
    log = Log(OWN)
    log.say(Worked(calculation="winding", typed=typed, limit="warm"))
    assert checked(OWN, log.state, WARM).judgement.verdict is Verdict.GOOD
    assert log.refused(winding(limit="warm")) == (
        "wanted: warm resistance holds at 24 °C; bring it to that, not to 20 °C."
    )
    assert "holds at 20 °C" in log.refused(Worked(calculation="winding", typed=typed, limit="ohms"))
    assert [holds_at(one) for one in (WARM, OHMS, limit(id="x", at="in park, 2000 rpm"))] == ["24 °C", "", ""]


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (winding("x"), "reading: 'x' is no figure"),
        (
            winding("500 Ω", limit="share"),
            "Winding at 20 °C tells nothing that vacuum of the bore asks for (%).",
        ),
        (winding(limit="lip"), "asks for (a look)"),
        (Worked(calculation="tea", typed={"leaves": "2"}), "There is no sum 'tea'"),
        (Worked(calculation="winding", typed={"reading": "5 Ω"}), "temperature: is needed"),
        (
            Worked(calculation="winding", typed={"reading": "5 Ω", "temperature": "900 °C"}),
            "expected -50 to 200 °C",
        ),
    ],
)
def test_what_cannot_be_worked_out_is_refused(body: Worked, words: str) -> None:
    assert words in Log(OWN).refused(body)


def test_the_sums_for_a_limit_and_their_key() -> None:
    assert [one.name for one in answering_limit(OHMS)] == ["winding"]
    assert answering_limit(UNIT.limit("lip")) == ()
    assert of_key(sum_key("winding", "ohms")) == ("winding", "ohms")
    assert of_key(sum_key("winding")) == ("winding", "")
