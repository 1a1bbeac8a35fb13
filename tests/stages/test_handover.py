"""The release gate on the small unit.  Expected values: by hand."""

from __future__ import annotations

from decimal import Decimal

from countershaft.job.entry import (
    Cause,
    Complaint,
    Consent,
    FixedWhen,
    KillerCleared,
    Look,
    NotMeasured,
    PartDecided,
    Reading,
    Released,
    StepSkipped,
    TurnsCounted,
    Waived,
)
from countershaft.job.words import PartVerdict
from countershaft.model.transmission import Transmission
from countershaft.stages.handover import gate, survey
from tests.small_unit import UNIT, Log
from tests.stages.test_decide import estimate, finding, priced
from tests.stages.test_inspection import wear
from tests.stages.walk import built, close_play, done, taken

RELEASE = Released(warranty="24 months")


def flow(value: str) -> Reading:
    """The cooler flow as left."""
    return Reading.model_validate(
        {
            "limit": "flow",
            "when": "as left",
            "values": [value],
            "unit": "L/min",
            "instrument": "jug",
            "resolution": "0.1",
        }
    )


def proven() -> Log:
    """Everything but the second fit, which is let pass."""
    log = built()
    log.say(
        Complaint(words="slips", fixed_when="no slip"), Cause(words="lip hard", killers=("crushed line",))
    )
    log.say(KillerCleared(killer="crushed line", how="new line"), wear("2.00", "2.00", "2.00"))
    log.say(Look(limit="lip", when="as found", verdict="bad", words="cracked"))
    priced(log)
    total = next(line for line in ("290.0",))
    log.say(
        estimate(log, total), Consent(purpose="overhaul", limit=Decimal(300), given_by="owner", how="signed")
    )
    log.say(flow("4.2"), FixedWhen(true=True, words="driven hot"))
    log.say(TurnsCounted(gear="1", input_turns=Decimal(9), output_turns=Decimal(3)))
    return log


def waived(log: Log, key: str, because: str) -> Waived:
    """A point let pass as it stands now."""
    was = next((point.open for point in gate(UNIT, log.state) if point.key == key), None)
    return Waived(point=key, was=was or "nothing", because=because)


def open_keys(log: Log) -> list[str]:
    """Keys of the points that hold the release."""
    return [point.key for point in survey(UNIT, log.state).open]


def test_an_open_job_says_everything_that_is_open() -> None:
    """A job that has only begun is held by every point that belongs to it."""
    keys = open_keys(Log())
    for key in ("complaint", "cause", "teardown", "inspect", "fit:play", "build", "limit:flow", "fixed when"):
        assert key in keys
    said = Log().refused(RELEASE)
    assert said.startswith("11 points are open: Complaint and fixed-when: nobody wrote it down; ")
    assert said.endswith("; and 8 more.")


def test_a_part_that_measured_bad_holds_the_release() -> None:
    """Answered is not enough: a bad reading keeps the unit until the part is new, decided, or measures good."""
    log = proven()
    log.say(wear("1.40", "1.40", "1.40"))
    (point,) = [one for one in survey(UNIT, log.state).open if one.key == "check:wear"]
    assert point.open is not None and point.open.startswith("bad: 1.40 ± ") and not point.firm
    log.say(PartDecided(part="drum", count=1, decision="reuse", because="the customer takes the risk"))
    assert "check:wear" not in open_keys(log)


def test_the_gate_opens_when_all_is_answered() -> None:
    """One fit is left; it may pass with a reason, and the release goes through once."""
    log = proven()
    assert open_keys(log) == ["fit:gap"]
    log.say(waived(log, "fit:gap", "this unit has no such clutch"), RELEASE)
    assert survey(UNIT, log.state).complete
    assert log.refused(RELEASE) == "The unit is released already."
    kept = next(point for point in gate(UNIT, log.state) if point.key == "fit:gap")
    assert kept.waived == "this unit has no such clutch"


def test_what_would_kill_the_next_unit_cannot_pass() -> None:
    """No release without the cooler flow, and no reason lets it pass."""
    log = built()
    log.say(Cause(words="lip hard", killers=("crushed line",)))
    assert "cannot be let pass" in log.refused(waived(log, "limit:flow", "no time"))
    assert "cannot be let pass" in log.refused(waived(log, "killer:crushed line", "no time"))
    log.say(NotMeasured(limit="flow", because="no jug"))
    assert "limit:flow" in open_keys(log)
    log.say(flow("1.1"))
    assert "limit:flow" in open_keys(log)
    log.say(flow("4.2"))
    assert "limit:flow" not in open_keys(log)


def test_a_closed_point_is_not_waived() -> None:
    """Only an open point can be let pass."""
    assert "is not an open point" in built().refused(waived(built(), "teardown", "done"))


def test_the_build_cannot_be_let_pass_as_a_whole() -> None:
    """A step is skipped with its own reason; waving the whole build through is refused."""
    said = Log().refused(waived(Log(), "build", "in a hurry"))
    assert said == "Build: 3 steps are open. This point cannot be let pass."


def test_what_was_let_pass_is_asked_again_when_something_else_is_open() -> None:
    """One skipped step was let pass; the pieces of a second are not let through with it."""
    log = close_play(taken())
    log.say(done("A1", new=("seal",), verified=True), StepSkipped(step="A2", because="ball box missing"))
    seen = waived(log, "missing", "balls follow by post")
    log.say(seen)
    assert "missing" not in open_keys(log)
    log.say(StepSkipped(step="A3", because="no pan"))
    assert "missing" in open_keys(log)
    assert "Nothing missing: what is open now is '3 × check ball: A2 was skipped" in log.refused(seen)


def test_turns_that_nobody_counted_are_open() -> None:
    """A check is never passed by default: not counted, wrong, and too coarse each hold the release."""
    log = proven()

    def turns(turned: str, came: str) -> str | None:
        log.say(TurnsCounted(gear="1", input_turns=Decimal(turned), output_turns=Decimal(came)))
        return next(point.open for point in gate(UNIT, log.state) if point.key == "turns")

    assert next(point.open for point in gate(UNIT, Log().state) if point.key == "turns") == (
        "nobody has counted the turns of a gear"
    )
    assert "turns" not in open_keys(log)
    assert "the teeth give 3.00" in (turns("9", "4") or "")
    assert "turn further" in (turns("1", "0.01") or "")
    assert turns("9", "3") is None


def test_a_part_that_nobody_decided_holds_the_release() -> None:
    """A finding that asks keeps its own point of the gate open."""
    log = proven()
    log.say(finding("drum", PartVerdict.ASK))
    assert "decide" in open_keys(log)
    log.say(PartDecided(part="drum", count=0, decision="reuse", because="polished out"))
    assert "decide" not in open_keys(log)


def test_a_kit_that_grew_after_the_estimate_holds_the_release() -> None:
    """A part condemned later has no price yet: the old consent does not cover it."""
    log = proven()
    log.say(finding("drum", PartVerdict.REPLACE))
    point = next(point for point in gate(UNIT, log.state) if point.key == "consent")
    assert point.open == "a new estimate: the kit has lines without a price"


#: What no reason lets pass: what the unit is judged by, and what would destroy the next one.
FIRM = {"complaint", "cause", "killer:crushed line", "build", "limit:flow", "limit:wear", "fixed when"}


def must_wear() -> Transmission:
    """The small unit, whose plate thickness must be good before it goes out."""
    facts = UNIT.model_dump()
    facts["limits"] = [{**one, "must": one["must"] or one["id"] == "wear"} for one in facts["limits"]]
    return Transmission.model_validate(facts)


def test_what_is_firm_and_what_a_person_may_answer_for() -> None:
    """By hand: the whole list of a job that has only named its cause, so that no point changes sides unseen."""
    log = Log(must_wear())
    log.say(Cause(words="lip hard", killers=("crushed line",)))
    points = gate(log.transmission, log.state)
    assert {point.key for point in points if point.firm} == FIRM
    assert {point.key for point in points if not point.firm} == {
        "decide", "consent", "teardown", "inspect", "fit:play", "fit:gap", "left over", "missing", "log", "turns",
    }  # fmt: skip


def test_a_firm_point_stays_open_whatever_the_log_says() -> None:
    """A waiver that came in from elsewhere does not open what is firm."""
    log = Log()
    log.entries.append(log._entry(waived(log, "fixed when", "no time")))
    point = next(point for point in gate(UNIT, log.state) if point.key == "fixed when")
    assert point.holds
    assert point.waived is None
