"""The pages of the stages that are not worked step by step: what they say, and the one thing that is next.

Expected values: worked by hand on the small unit (its set at a held ring: 1 + 60/30 = 3); the elements that
explain 2 and 6 of demo B are read off its chart by hand; phases of a fit and what closes it: the design.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from jinja2 import Environment
from starlette.testclient import TestClient

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.desk import Desk, OpenJob
from countershaft.errors import Unknown
from countershaft.job import entry
from countershaft.job.entry import (
    Body,
    Cause,
    Chosen,
    Complaint,
    Consent,
    Dimensions,
    Estimate,
    EstimateLine,
    Finding,
    FitFigure,
    FitMeasured,
    FixedWhen,
    FluidFound,
    GearTried,
    JobOpened,
    KillerCleared,
    Labour,
    Look,
    NotMeasured,
    PanFound,
    Priced,
    Reading,
    Remeasured,
    Shelf,
    Symptom,
    Trial,
    TurnsCounted,
)
from countershaft.job.words import (
    Debris,
    Degree,
    Feel,
    FindingWord,
    FluidColour,
    FluidLevel,
    FluidSmell,
    Load,
    Onset,
    PartVerdict,
    Pattern,
    Temperature,
)
from countershaft.model.transmission import Transmission
from countershaft.stages.intake import survey as intake_survey
from countershaft.stages.progress import Progress, progress
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app
from countershaft.web.log_words import say
from countershaft.web.pages.decide import decide_page
from countershaft.web.pages.diagnose import diagnose_page
from countershaft.web.pages.fit import fit_page, fits_page
from countershaft.web.pages.inspection import inspection_page
from countershaft.web.pages.intake import intake_page
from countershaft.web.pages.prove import prove_page
from countershaft.web.pages.shown import decimal, exact, listed
from countershaft.web.render import Renderer
from tests.small_unit import UNIT, Log

DEMO_B = read_transmission(library_text("demo-b"), "demo-b.yaml")
ENVIRONMENT: Environment = Renderer().environment

COMPLAINT = Complaint(words="it slips", fixed_when="no slip in 2nd at 90 °C")
SYMPTOM = Symptom(feel=Feel.SLIPS, gear="2", temperature=Temperature.HOT, load=Load.FULL, onset=Onset.SUDDEN)
FLUID = FluidFound(level=FluidLevel.LOW, colour=FluidColour.MILKY, smell=FluidSmell.NORMAL)
CONSENT = Consent(purpose="diagnosis", limit=Decimal(450), given_by="customer 7", how="signed")
REPLACE_DRUM = Finding(
    part="drum",
    word=FindingWord.SCORED,
    place="3 o'clock",
    pattern=Pattern.ONE_SIDE,
    degree=Degree.HEAVY,
    verdict=PartVerdict.REPLACE,
)


def opened(log: Log) -> tuple[OpenJob, Progress]:
    """A job in memory as a page takes it."""
    return OpenJob("J1", log.transmission, log.state, "0" * 64), progress(log.transmission, log.state)


def shown(template: str, record: object) -> str:
    """The page as it is read: no tags, one space between words; it has one heading and one primary action."""
    text = ENVIRONMENT.get_template(template).render(page=record, theme="", page_path="/", person="")
    assert text.count("<h1") == 1
    assert text.count("action-primary") == 1
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", text)))


def gears(log: Log, bad: str, good: str = "") -> Log:
    """A log in which these gears were tried."""
    for word, names in (("bad", bad), ("good", good)):
        for name in names.split():
            log.say(GearTried.model_validate({"gear": name, "verdict": word}))
    return log


def reading(
    limit: str, *values: str, when: str = "as found", unit: str = "mm", step: str = "0.01"
) -> Reading:
    body = {
        "limit": limit,
        "when": when,
        "values": values,
        "unit": unit,
        "instrument": "dial",
        "resolution": step,
    }
    return Reading.model_validate(body)


# Intake


def test_an_empty_intake_asks_for_the_complaint_first() -> None:
    page = intake_page(*opened(Log()))
    assert page.head.next.label == "Write down the complaint"
    assert page.head.next.href == "/jobs/J1/enter/complaint?key=&back=/jobs/J1/intake"
    text = shown("intake/intake.html", page)
    assert "Still open: the complaint and the fixed-when sentence; at least one symptom;" in text
    assert "nobody has looked yet" in text
    assert "not asked for yet" in text


def test_intake_has_a_link_for_everything_that_is_open() -> None:
    said: list[Body] = []
    for body in (COMPLAINT, SYMPTOM, FLUID, CONSENT):
        log = Log()
        log.say(*said)
        head = intake_page(*opened(log)).head
        assert 1 + len(head.beside) == len(intake_survey(log.transmission, log.state).open)
        said.append(body)


def test_a_complete_intake_shows_it_all_and_leads_on() -> None:
    log = Log()
    log.say(COMPLAINT, SYMPTOM, FLUID, PanFound(debris=(Debris.WATER,), degree=Degree.HEAVY), CONSENT)
    page = intake_page(*opened(log))
    text = shown("intake/intake.html", page)
    assert page.head.next.href == "/jobs/J1/diagnose"
    assert "“it slips”" in text
    assert "It is fixed when: no slip in 2nd at 90 °C" in text
    assert "level low; colour milky; smell normal" in text
    assert "water; heavy" in text
    assert "up to 450 in the shop's currency; customer 7, signed" in text
    assert "NOTICE Milky fluid means water or coolant" in text


# Diagnose


def test_the_element_that_alone_explains_the_bad_gears_is_named_in_a_sentence() -> None:
    page = diagnose_page(*opened(gears(Log(DEMO_B), "2 6", "1 3 4 5")))
    text = shown("diagnose/diagnose.html", page)
    assert page.head.heading == "C alone explains 2 and 6"
    assert "C (brake C: large sun to case) alone explains 2 and 6: it serves both, and no good gear." in text
    assert "6 of 8 gears were tried: bad in 2 and 6, good in 1, 3, 4 and 5." in text
    assert {row.name.split(":")[0]: row.words for row in page.spoken}["clutch A"] == "cleared by 1, 3 and 4"
    ringed = {(row.gear, page.elements[at]) for row in page.gears for at, cell in enumerate(row.cells)
              if cell.mark == "suspect"}  # fmt: skip
    assert ringed == {("2", "C"), ("6", "C")}
    assert page.next_gears == ()


def test_a_gear_that_would_tell_suspects_apart_is_next() -> None:
    page = diagnose_page(*opened(gears(Log(DEMO_B), "6")))
    assert page.head.heading == "C or E explains 6"
    assert page.head.next.label == "Try gear 2 and say how it was"
    assert (
        "Gear 4 uses E but not C. If it is good, E is cleared and C remains; if it is bad, look at E first."
        in page.next_gears
    )
    text = shown("diagnose/diagnose.html", page)
    assert "alone could explain 6: each serves it, and no good gear. The gears tried so far do not" in text
    assert "No good gear was tried" in text


def test_elements_that_explain_only_together_are_called_so() -> None:
    """Read off the chart: 3 is A + B, 6 is C + E, 1 clears A; no element is in both."""
    page = diagnose_page(*opened(gears(Log(DEMO_B), "3 6", "1")))
    assert page.head.heading == "B with C or B with E explains 3 and 6"
    assert page.sentences[0] == (
        "No single element serves 3 and 6 and no good gear. "
        "Only together do they explain both: B with C or B with E."
    )


def test_a_gear_that_no_element_explains_is_said_honestly() -> None:
    page = diagnose_page(*opened(gears(Log(DEMO_B), "2", "4 6")))
    text = shown("diagnose/diagnose.html", page)
    assert page.head.heading == "No element of the chart explains 2"
    assert "2 stays unexplained: A is good in 4 and C is good in 6." in text
    assert "So no element fails as a whole." in text


def test_half_of_the_bad_gears_explained_leaves_the_rest_open() -> None:
    page = diagnose_page(*opened(gears(Log(DEMO_B), "2 5", "4 3")))
    assert page.head.heading == "C alone explains 2; 5 stays open"
    assert "5 stays unexplained: B is good in 3 and E is good in 4." in page.sentences


def test_before_a_gear_is_tried_the_gears_are_asked_for() -> None:
    page = diagnose_page(*opened(Log()))
    assert page.head.heading == "No gear was tried yet"
    assert page.head.next.href.startswith("/jobs/J1/enter/gears?")
    assert "WARNING A unit that slips or binds" in shown("diagnose/diagnose.html", page)
    assert diagnose_page(*opened(gears(Log(), "", "1"))).head.heading == "Every gear that was tried is good"


def test_without_a_train_tests_are_asked_for_and_no_gear() -> None:
    log = Log(UNIT.model_copy(update={"train": None}))
    page = diagnose_page(*opened(log))
    assert page.head.heading == "This file has no gear train"
    assert page.head.next.href.startswith("/jobs/J1/enter/test?")
    assert "Which element is applied" not in shown("diagnose/diagnose.html", page)
    log.say(entry.TestDone(test="stall", result="2600 rpm"))
    assert "2600 rpm" in shown("diagnose/diagnose.html", diagnose_page(*opened(log)))


def test_killers_are_open_until_somebody_says_how_they_were_cleared() -> None:
    log = gears(Log(), "1", "2")
    log.say(
        Cause(words="brake burnt", element="B", killers=("crushed line", "debris & paste")),
        KillerCleared(killer="crushed line", how="line new"),
    )
    page = diagnose_page(*opened(log))
    text = shown("diagnose/diagnose.html", page)
    assert "crushed line cleared: line new" in text
    assert "debris & paste open: say how it was cleared" in text
    assert page.killers[1].href.startswith("/jobs/J1/enter/killer?key=debris%20%26%20paste&")


# Inspect


def test_checks_come_with_gauge_verdict_reason_source_and_working() -> None:
    log = Log()
    log.say(reading("wear", "1.42", "1.44", "1.43"))
    page = inspection_page(*opened(log))
    wear, lip = page.checks
    assert (wear.name, wear.limit) == ("plate thickness", "at least 1.90 mm; micrometer")
    assert [one.word for one in wear.answers] == ["bad"]
    assert wear.answers[0].svg.startswith("<svg")
    assert wear.answers[0].working is not None
    assert wear.answers[0].working.lines[0] == "mean = (1.42 + 1.44 + 1.43) / 3 = 1.430 mm"
    assert wear.answers[0].working.source == "invented for demonstration: for tests"
    assert (lip.answers[0].word, lip.answers[0].why, lip.answers[0].svg) == (
        "not measured",
        "nobody has looked yet.",
        "",
    )
    assert page.head.next.label == "Look at: seal lip"
    text = shown("inspect/inspect.html", page)
    assert "1 of 2 checks are answered; 0 findings are noted." in text
    assert "lies below 1.90 mm" in text
    assert "As found: R. Bench" in text


def test_as_found_stays_beside_as_left() -> None:
    log = Log()
    log.say(reading("wear", "1.42", "1.44", "1.43"), reading("wear", "2.05", "2.05", "2.05", when="as left"))
    answers = inspection_page(*opened(log)).checks[0].answers
    assert [(one.when, one.word) for one in answers] == [("as found", "bad"), ("as left", "good")]


def test_a_reason_for_not_measuring_stands_once_and_dashed() -> None:
    log = Log()
    log.say(NotMeasured(limit="wear", because="the micrometer is away"))
    row = inspection_page(*opened(log)).checks[0]
    assert [(one.when, one.word, one.why) for one in row.answers] == [
        ("", "not measured", "not measured, because the micrometer is away")
    ]
    assert "d-none" in row.answers[0].svg
    assert row.because_href == ""


def test_a_limit_without_a_source_is_called_unverified() -> None:
    wear, *rest = UNIT.limits
    log = Log(UNIT.model_copy(update={"limits": (wear.model_copy(update={"source": None}), *rest)}))
    log.say(reading("wear", "2.00", "2.00", "2.00"))
    page = inspection_page(*opened(log))
    assert "Source: none is named: unverified." in shown("inspect/inspect.html", page)
    assert page.checks[0].answers[0].working is not None
    assert "unverified" in page.checks[0].answers[0].working.source


def test_findings_carry_the_meaning_of_their_word() -> None:
    log = Log()
    log.say(REPLACE_DRUM)
    text = shown("inspect/inspect.html", inspection_page(*opened(log)))
    assert "drum drum scored parallel scratches that a nail feels" in text
    assert "3 o'clock; one side; heavy" in text
    assert "1 noted" in text


# Decide


def test_the_kit_waits_for_its_prices() -> None:
    log = Log()
    log.say(REPLACE_DRUM, Priced(line="seal", price=Decimal("4.50")))
    page = decide_page(*opened(log))
    rows = {row.what: (row.because, row.count, row.price, row.sum) for row in page.kit}
    assert rows["seal"] == ("always new", "1", "4.50", "4.50")
    assert rows["drum"] == ("found scored", "1", "open", "open")
    assert page.head.next.label == "Type the prices"
    assert (page.total, page.unpriced) == ("", "2 of 3 lines have no price.")
    assert "waits for every price" in shown("decide/decide.html", page)


def priced() -> Log:
    """A kit of a seal at 4.50 and three washers at 0.50, two hours at 100: 206.00 in all."""
    log = Log()
    log.say(Priced(line="seal", price=Decimal("4.50")), Priced(line="with:lid", price=Decimal("0.50")))
    log.say(Labour(hours=Decimal(2), rate=Decimal(100), currency="units"))
    return log


def test_the_total_opens_its_working() -> None:
    page = decide_page(*opened(priced()))
    assert page.total == "206.00 units"
    assert page.total_working is not None
    assert page.total_working.lines[-1] == "total = 6.00 + 2 × 100.00 = 206.00 units"
    assert page.head.next.label == "Give the estimate"


def test_the_estimate_stands_as_given_and_consent_is_asked_for() -> None:
    log = priced()
    lines = (
        EstimateLine(what="seal", count=1, price=Decimal("4.50")),
        EstimateLine(what="sealing washer, pan to case", count=3, price=Decimal("0.50")),
    )
    log.say(
        Estimate(lines=lines, hours=Decimal(2), rate=Decimal(100), total=Decimal("206.00"), currency="units")
    )
    page = decide_page(*opened(log))
    assert page.head.next.label == "Ask for consent"
    assert page.estimate is not None
    assert page.estimate.total == "206.00 units"
    log.say(Consent(purpose="overhaul", limit=Decimal(250), given_by="customer 7", how="signed"))
    page = decide_page(*opened(log))
    assert page.consent == "up to 250.00 units; customer 7, signed"
    assert page.head.lead == "The estimate stands and the customer agreed."
    assert "As it was given" not in shown("decide/decide.html", page)


def test_a_part_that_asks_is_decided_before_anything_else() -> None:
    log = priced()
    log.say(REPLACE_DRUM.model_copy(update={"verdict": PartVerdict.ASK}))
    page = decide_page(*opened(log))
    assert page.head.next.label == "Decide: drum"
    assert page.undecided[0].words == "found scored, the verdict was 'ask'"


# Fit


TRIAL = Trial(
    fit="play",
    size_mm=Decimal("1.80"),
    values_mm=(Decimal("0.66"), Decimal("0.66")),
    resolution_mm=Decimal("0.01"),
)
SHELF = Shelf(fit="play", sizes_mm=(Decimal("1.95"), Decimal("2.10")))
CHOSEN = Chosen(fit="play", size_mm=Decimal("2.10"))
GOOD = Remeasured(fit="play", values_mm=(Decimal("0.36"), Decimal("0.36")), resolution_mm=Decimal("0.01"))
OFF_TABLE = Trial(
    fit="play",
    size_mm=Decimal("1.80"),
    values_mm=(Decimal("3.30"), Decimal("3.30")),
    resolution_mm=Decimal("0.01"),
)
TOO_THIN = Shelf(fit="play", sizes_mm=(Decimal("1.50"),))
WIDE = Remeasured(fit="play", values_mm=(Decimal("0.61"), Decimal("0.61")), resolution_mm=Decimal("0.01"))


@pytest.mark.parametrize(
    ("said", "now", "label", "form"),
    [
        ((), "Measure", "Measure with a trial washer", "fit-first"),
        ((TRIAL,), "Look on the shelf", "Say what lies on the shelf", "shelf"),
        ((TRIAL, SHELF), "Choose", "Choose the washer", "choose"),
        ((TRIAL, TOO_THIN), "Choose", "Look on the shelf again", "shelf"),
        ((TRIAL, SHELF, CHOSEN), "Re-measure", "Re-measure with the part in place", "remeasure"),
        ((TRIAL, SHELF, CHOSEN, WIDE), "Re-measure", "Re-measure with the part in place", "remeasure"),
        ((OFF_TABLE,), "Measure", "Measure again", "fit-first"),
    ],
)
def test_each_phase_of_a_fit_has_its_one_next_action(
    said: tuple[Body, ...], now: str, label: str, form: str
) -> None:
    log = Log()
    log.say(*said)
    page = fit_page(*opened(log), "play")
    assert [station.name for station in page.path if station.state == "now"] == [now]
    assert page.head.next.label == label
    door = "measure" if form in ("fit-first", "remeasure") else "enter"
    assert page.head.next.href == f"/jobs/J1/{door}/{form}?key=play&back=/jobs/J1/fit/play"
    shown("fit/fit.html", page)


def test_off_the_table_there_are_suspects_and_nothing_to_choose() -> None:
    log = Log()
    log.say(OFF_TABLE)
    page = fit_page(*opened(log), "play")
    everything = ENVIRONMENT.get_template("fit/fit.html").render(
        page=page, theme="", page_path="/", person=""
    )
    assert "enter/choose" not in everything
    assert "enter/shelf" not in everything
    assert page.suspects[0] == "thrust bearing missing"
    assert page.head.lead.startswith("4.725 mm is needed, but the table ends at 2.40 mm.")


def test_a_closed_fit_says_by_whom_and_leads_to_the_next() -> None:
    log = Log()
    log.say(TRIAL, SHELF, CHOSEN, GOOD)
    page = fit_page(*opened(log), "play")
    assert {station.state for station in page.path} == {"done"}
    assert page.closed == "R. Bench, 02 Mar 2026 08:04"
    assert page.head.next.label == "Next fit: clearance"
    assert page.needed == "2.085 ± 0.0082 mm", "by hand: 2 · √(2 · 0.01² / 12)"
    assert page.needed_working is not None
    needed = "needed = trial + reading − goal = 1.8 + 0.66 − 0.375 = 2.085 mm"
    assert page.needed_working.lines[0].startswith(needed)
    assert "goal 0.375 mm" in page.left.svg, "the goal is not rounded to the step of the scale"


def test_a_gap_of_dimensions_names_no_source_as_unverified() -> None:
    log = Log()
    log.say(
        Dimensions(
            fit="gap",
            values_mm={"depth": (Decimal("10.00"),), "stack": (Decimal("6.95"),)},
            resolution_mm=Decimal("0.01"),
        )
    )
    page = fit_page(*opened(log), "gap")
    assert page.needed == "2.00 ± 0.0082 mm"
    assert dict(page.facts)["Source"] == "none is named: unverified"
    assert dict(page.facts)["Allowed"] == "0.90 mm to 1.20 mm; the goal is 1.05 mm, half way"


def test_the_gap_as_found_stands_beside_the_gap_as_left() -> None:
    log = Log()
    log.say(reading("play", "0.71", "0.72"), TRIAL)
    page = fit_page(*opened(log), "play")
    assert page.as_found is not None
    assert (page.as_found.word, page.as_found.when) == ("bad", "as found")
    assert page.left.word == "not measured"


def test_the_list_of_fits_leads_to_the_first_open_one() -> None:
    log = Log()
    log.say(TRIAL, SHELF, CHOSEN, GOOD)
    page = fits_page(*opened(log))
    assert [row.phase for row in page.fits] == ["closed", "to be measured"]
    assert page.head.next.href == "/jobs/J1/fit/gap"
    assert "1 of 2 fits are closed." in shown("fit/fits.html", page)


def test_a_fit_that_is_not_there_is_unknown() -> None:
    with pytest.raises(Unknown, match="small unit has no fit 'bore'"):
        fit_page(*opened(Log()), "bore")


# Prove


def test_the_proof_asks_for_checks_then_turns_then_the_sentence() -> None:
    log = Log()
    log.say(COMPLAINT)
    assert prove_page(*opened(log)).head.next.label == "Measure: cooler flow"
    log.say(reading("flow", "3.6", when="as left", unit="L/min", step="0.1"))
    assert prove_page(*opened(log)).head.next.label == "Count a ratio by hand"
    log.say(TurnsCounted(gear="1", input_turns=Decimal(30), output_turns=Decimal(10)))
    assert prove_page(*opened(log)).head.next.label == "Judge the fixed-when sentence"
    log.say(FixedWhen(true=True, words="hill, 92 °C"))
    page = prove_page(*opened(log))
    assert page.head.lead == "3 of 3 answers are given."
    assert (page.fixed_word, page.fixed_words) == ("good", "It is true: hill, 92 °C")


def test_ratios_stand_exact_decimal_and_counted() -> None:
    log = Log()
    log.say(COMPLAINT, TurnsCounted(gear="1", input_turns=Decimal(30), output_turns=Decimal(10)))
    page = prove_page(*opened(log))
    rows = {row.gear: (row.exact, row.decimal, row.counted, row.word) for row in page.turns}
    assert rows == {
        "1": ("3", "3.0000", "30 turns in, 10 out", "good"),
        "2": ("1", "1.0000", "not counted", "not measured"),
    }
    assert page.turns[1].href == "/jobs/J1/enter/turns?key=2&back=/jobs/J1/prove"
    text = shown("prove/prove.html", page)
    assert "WARNING The first drive after a build can fail" in text
    assert "It holds" not in page.checks[0].limit
    assert page.checks[0].holds.startswith("A bad value here would destroy the next unit too")


def test_a_sentence_that_is_not_true_yet_is_judged_again() -> None:
    log = Log()
    log.say(COMPLAINT, reading("flow", "3.6", when="as left", unit="L/min", step="0.1"))
    log.say(TurnsCounted(gear="1", input_turns=Decimal(30), output_turns=Decimal(10)))
    log.say(FixedWhen(true=False, words="still slips"))
    page = prove_page(*opened(log))
    assert page.head.next.label == "Judge the fixed-when sentence"
    assert page.fixed_word == "bad"


def test_without_a_sentence_it_is_asked_for() -> None:
    page = prove_page(*opened(Log()))
    assert "/enter/complaint?" in page.fixed_href
    assert "Nobody wrote a fixed-when sentence." in shown("prove/prove.html", page)


# Small words


@pytest.mark.parametrize(("words", "text"), [([], ""), (["2"], "2"), (["2", "6"], "2 and 6"),
                                              (["2", "4", "6"], "2, 4 and 6")])  # fmt: skip
def test_words_are_listed_as_a_sentence_lists_them(words: list[str], text: str) -> None:
    assert listed(words) == text


def test_ratios_carry_a_true_minus_sign() -> None:
    assert (exact(Fraction(-248, 77)), decimal(Fraction(-248, 77))) == ("−248/77", "−3.2208")
    assert exact(Fraction(4, 2)) == "2"


# Through the app


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """The app on a shop with one job on demo B in which something was said at every stage."""
    store = open_store(tmp_path / "shop")
    desk = Desk(store)
    desk.shelve_library()
    digest = next(row.digest for row in desk.definitions() if row.name == DEMO_B.name)
    desk.open_job(JobOpened(tag="J-1", vehicle="van", unit=DEMO_B.name, definition=digest), by="R. Bench")
    said: list[Body] = [COMPLAINT, SYMPTOM, FLUID]
    said += [GearTried.model_validate({"gear": gear, "verdict": "bad"}) for gear in ("2", "6")]
    said += [
        Cause(words="brake C burnt", element="C", killers=("crushed line / kink",)),
        Look(limit="C01", when="as found", verdict="bad", words="hard"),
        REPLACE_DRUM.model_copy(update={"part": "P011", "verdict": PartVerdict.ASK}),
        Trial.model_validate(
            {"fit": "EP-IN", "size_mm": "1.80", "values_mm": ("0.66",) * 3, "resolution_mm": "0.01"}
        ),
        TurnsCounted(gear="R", input_turns=Decimal(29), output_turns=Decimal(-9)),
        FixedWhen(true=False, words="not yet"),
    ]
    for body in said:
        desk.append("J-1", body, by="R. Bench")
    yield TestClient(create_app(desk, Settings(person="R. Bench", warm=lambda: None)))
    store.close()


STAGES = ("intake", "diagnose", "inspect", "decide", "fit", "fit/EP-IN", "fit/CL-A", "prove")


@pytest.mark.parametrize("stage", STAGES)
def test_every_link_of_a_stage_leads_somewhere(client: TestClient, stage: str) -> None:
    answer = client.get(f"/jobs/J-1/{stage}")
    assert answer.status_code == 200
    links = {html.unescape(link) for link in re.findall(r'<a [^>]*href="(/[^"]*)"', answer.text)}
    assert any("/enter/" in link for link in links)
    for link in sorted(links):
        assert client.get(link).status_code == 200, link


def test_an_unknown_fit_says_so_and_leads_back(client: TestClient) -> None:
    answer = client.get("/jobs/J-1/fit/bore")
    assert answer.status_code == 404
    assert "Demo B, six-speed planetary has no fit &#39;bore&#39;." in answer.text
    assert 'href="/jobs/J-1"' in answer.text


@pytest.mark.parametrize(
    "unit", [UNIT, DEMO_B, UNIT.model_copy(update={"train": None, "fits": (), "limits": ()})]
)
@pytest.mark.parametrize(
    ("template", "build"),
    [
        ("intake/intake.html", intake_page),
        ("diagnose/diagnose.html", diagnose_page),
        ("inspect/inspect.html", inspection_page),
        ("decide/decide.html", decide_page),
        ("fit/fits.html", fits_page),
        ("prove/prove.html", prove_page),
    ],
)
def test_a_job_in_which_nothing_was_said_yet_has_every_page(
    unit: Transmission, template: str, build: Callable[[OpenJob, Progress], object]
) -> None:
    shown(template, build(*opened(Log(unit))))


def test_the_log_says_several_figures_by_their_names() -> None:
    figures = (
        FitFigure(name="trial shim", values=(Decimal("1.90"),), unit="mm", resolution=Decimal("0.01")),
        FitFigure(name="turning torque", values=(Decimal("0.7"),) * 2, unit="N·m", resolution=Decimal("0.1")),
    )
    body = FitMeasured(fit="play", figures=figures, bearings="new")
    job = opened(Log())[0]
    assert say(job, body) == "end play; trial shim: 1.90 mm; turning torque: 0.7, 0.7 N·m; bearings new"
