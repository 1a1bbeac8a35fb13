"""The kit, the estimate and consent on the small unit.  Expected values: by hand."""

from __future__ import annotations

from decimal import Decimal

from countershaft.job.entry import (
    Consent,
    Estimate,
    EstimateLine,
    Finding,
    Labour,
    PartDecided,
    Priced,
    Reading,
)
from countershaft.job.words import Degree, FindingWord, PartVerdict, Pattern
from countershaft.stages.decide import standing, survey
from tests.small_unit import UNIT, Log


def finding(part: str, verdict: PartVerdict) -> Finding:
    """A finding on a part."""
    return Finding(
        part=part, word=FindingWord.SCORED, pattern=Pattern.ALL_ROUND, degree=Degree.HEAVY, verdict=verdict
    )


def priced(log: Log, price: str = "10") -> Log:
    """Type one price for every line."""
    for line in survey(UNIT, log.state).lines:
        log.say(Priced(line=line.line, price=Decimal(price)))
    log.say(Labour(hours=Decimal("2.5"), rate=Decimal(100), currency="units"))
    return log


def estimate(log: Log, total: str) -> Estimate:
    """An estimate with a total."""
    lines = tuple(
        EstimateLine(what=line.what, count=line.count, price=line.price or Decimal(0))
        for line in survey(UNIT, log.state).lines
    )
    return Estimate(
        lines=lines, hours=Decimal("2.5"), rate=Decimal(100), total=Decimal(total), currency="units"
    )


def test_the_kit_is_policy_findings_and_what_goes_with_bolts() -> None:
    """By hand: one seal, always new; three sealing washers of the lid; a condemned drum."""
    log = Log()
    assert [(line.line, line.count) for line in survey(UNIT, log.state).lines] == [
        ("seal", 1),
        ("with:lid", 3),
    ]
    log.say(finding("drum", PartVerdict.REPLACE))
    lines = survey(UNIT, log.state).lines
    assert (lines[0].line, lines[0].because) == ("drum", "found scored")


def test_a_persons_decision_goes_first() -> None:
    """Condemned, then decided to be used again; and never more pieces than there are."""
    log = Log()
    log.say(finding("drum", PartVerdict.REPLACE))
    log.say(PartDecided(part="drum", count=1, decision="reuse", because="polished, measured good"))
    assert "drum" not in [line.line for line in survey(UNIT, log.state).lines]
    assert "The unit holds 3 × check ball; 4 were typed" in log.refused(
        PartDecided(part="ball", count=4, decision="replace", because="pitted")
    )


def test_a_verdict_that_asks_must_be_decided() -> None:
    """'ask' holds the estimate until a person decides."""
    log = Log()
    log.say(finding("drum", PartVerdict.ASK))
    priced(log)
    assert "Decide first: drum" in log.refused(estimate(log, "290"))


def thin(value: str = "1.40") -> Reading:
    """The drum's plate, measured against at least 1.90 mm."""
    return Reading.model_validate(
        {"limit": "wear", "when": "as found", "values": [value] * 3, "unit": "mm", "instrument": "micrometer",
         "resolution": "0.01"}
    )  # fmt: skip


def test_a_part_that_measured_bad_must_be_decided() -> None:
    """1.40 against at least 1.90: a person decides, or a new part, or a good reading later, answers it."""
    log = Log()
    log.say(thin())
    (one,) = survey(UNIT, log.state).undecided
    assert one.part.id == "drum" and one.why.startswith("plate thickness is bad: 1.40 ± ")
    assert [check.limit.id for check in standing(UNIT, log.state)] == ["wear"]
    for answer in (
        thin("2.00"),
        PartDecided(part="drum", count=1, decision="replace", because="worn"),
        PartDecided(part="drum", count=1, decision="reuse", because="the customer takes the risk"),
        finding("drum", PartVerdict.REPLACE),
    ):
        other = Log()
        other.say(thin(), answer)
        assert survey(UNIT, other.state).undecided == () and standing(UNIT, other.state) == ()


def test_a_reading_that_cannot_tell_stands_too() -> None:
    """1.90 against at least 1.90 reaches across the limit: it stands, but asks for no decision about the part."""
    log = Log()
    log.say(thin("1.90"))
    assert [check.limit.id for check in standing(UNIT, log.state)] == ["wear"]
    assert survey(UNIT, log.state).undecided == ()


def test_the_estimate_is_the_kit_and_the_hours() -> None:
    """By hand: 1 × 10 + 3 × 10 + 2.5 × 100 = 290; any other total is refused; later prices ask for a new one."""
    log = Log()
    assert "not ready" in log.refused(estimate(log, "290"))
    priced(log)
    assert "The kit comes to 290.00, the estimate says 300.00" in log.refused(estimate(log, "300"))
    log.say(
        estimate(log, "290.0"),
        Consent(purpose="overhaul", limit=Decimal(290), given_by="owner", how="signed"),
    )
    assert survey(UNIT, log.state).complete
    log.say(Priced(line="seal", price=Decimal(15)))
    assert any("a new estimate" in words for words in survey(UNIT, log.state).open)


def test_consent_below_the_estimate_is_open() -> None:
    """Consent to 200 does not cover 290."""
    log = priced(Log())
    log.say(
        estimate(log, "290.0"),
        Consent(purpose="overhaul", limit=Decimal(200), given_by="owner", how="signed"),
    )
    assert survey(UNIT, log.state).open == ("consent covers 200.00 units, the estimate says 290.00",)


def test_a_price_for_nothing_is_refused() -> None:
    """A line that the kit does not have."""
    assert "'drum' is no line of the kit" in Log().refused(Priced(line="drum", price=Decimal(1)))


def test_money_is_rounded_once_and_the_lines_add_up() -> None:
    """By hand: 0.335 -> 0.34; 3 × 0.335 = 1.005 -> 1.01; 2.25 h × 33.33 = 74.9925 -> 74.99; together 76.34."""
    log = priced(Log(), "0.335")
    log.say(Labour(hours=Decimal("2.25"), rate=Decimal("33.33"), currency="units"))
    found = survey(UNIT, log.state)
    assert [line.sum for line in found.lines] == [Decimal("0.34"), Decimal("1.01")]
    assert (found.parts_total, found.total) == (Decimal("1.35"), Decimal("76.34"))


def test_an_estimate_with_other_lines_or_hours_is_refused() -> None:
    """The same total from other lines, hours or another currency is not the kit."""
    log = priced(Log())
    given = estimate(log, "290")
    for other in (
        {"lines": given.lines[:1]},
        {"hours": Decimal("2.0"), "rate": Decimal(125)},
        {"currency": "other units"},
    ):
        assert "not those of the kit" in log.refused(given.model_copy(update=other))
    log.say(given)


def test_another_kit_of_the_same_sum_asks_for_a_new_estimate() -> None:
    """The drum for 10 in place of one of the prices: the total is the same, the lines are not."""
    log = priced(Log())
    log.say(estimate(log, "290"), finding("drum", PartVerdict.REPLACE))
    log.say(Priced(line="drum", price=Decimal(10)), Priced(line="seal", price=Decimal(0)))
    assert "a new estimate: the lines of the kit changed" in survey(UNIT, log.state).open
