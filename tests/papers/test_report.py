"""The report of the small unit's job.  Expected values: by hand, from what the log was told."""

from __future__ import annotations

from decimal import Decimal

from countershaft.job.entry import (
    FluidFound,
    GearTried,
    HeadSeen,
    HeightsSeen,
    Look,
    Note,
    NotMeasured,
    Photo,
    StepSkipped,
    Tightened,
)
from countershaft.job.words import FluidColour, FluidLevel, FluidSmell, Stage
from countershaft.papers.as_text import as_text
from countershaft.papers.blocks import Gauges, Heading, Pairs, Paragraph, Pictures, Table
from countershaft.papers.report import report
from tests.small_unit import UNIT, Log
from tests.stages.test_decide import thin
from tests.stages.walk import apart, built, close_play, done, taken


def tables(log: Log) -> dict[str, list[tuple[str, ...]]]:
    """The rows of each table by the first word of its head."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for block in report(UNIT, log.state).blocks:
        if isinstance(block, Table):
            found.setdefault(block.head[0], []).extend(block.rows)
    return found


def test_every_round_of_a_joint_says_who_gave_it_and_when() -> None:
    """Round 1 whole, round 2 at one of three places."""
    log = built()
    (first, second) = tables(log)["Joint"]
    assert first[:4] == ("pan to case", "3 × M6x1.0, left-hand", "5 N·m", "all")
    assert second[:4] == ("", "", "10 N·m", "all")
    assert first[4].startswith("R. Bench, 02 Mar 2026 ") and second[4] > first[4]


def test_a_joint_that_is_half_done_says_how_far() -> None:
    """One tap of three in the first round."""
    log = close_play(taken())
    log.say(
        done("A1", new=("seal",), verified=True), done("A2"), Tightened(joint="lid", round=1, places=("b",))
    )
    first, second = tables(log)["Joint"]
    assert (first[3], second[3], second[4]) == ("1 of 3", "0 of 3", "")
    assert first[4].startswith("R. Bench, ")


def test_how_the_heads_stood_is_said() -> None:
    """A bolt of 31 mm stands 23 mm where 12 belong; the reason stands beside it."""
    log = close_play(taken())
    log.say(done("A1", new=("seal",), verified=True), done("A2"))
    log.say(HeightsSeen(joint="lid", heads=(HeadSeen(place="b", height_mm=Decimal(23)),), because="a stud"))
    (row,) = tables(log)["Heads of"]
    assert row[0] == "pan to case" and row[1].startswith("b holds a bolt of about 31 mm, 11 mm too long.")
    assert row[1].endswith("because a stud") and row[2].startswith("R. Bench, ")
    log.say(HeightsSeen(joint="lid", level=True))
    assert tables(log)["Heads of"][0][1] == "all stood right"


def test_fits_stand_as_found_and_as_left_with_who_closed_them() -> None:
    """0.44 and 0.45 as found, two readings that tell little; 2.10 fitted; 0.36 as left; the other fit is open."""
    play, gap = tables(built())["Fit"]
    assert play[2] == "0.45 ± 0.081: measure again"
    assert play[3:5] == ("2.085", "2.10")
    assert play[5] == "0.36 ± 0.006: good" and play[6].startswith("R. Bench, ")
    assert gap[6] == "not closed"


def test_readings_carry_their_verdict_and_who_took_them() -> None:
    """Bad as found, good as left; a look by its words; what nobody answered is called so."""
    log = Log()
    log.say(thin("1.40"), Look(limit="lip", when="as found", verdict="bad", words="cracked"))
    log.say(thin("2.00").model_copy(update={"when": "as left"}))
    wear, lip = tables(log)["What"]
    assert wear[2:4] == ("1.40 ± 0.006 mm: bad", "2.00 ± 0.006 mm: good")
    assert wear[4].count("R. Bench") == 2
    assert lip[2:4] == ("bad: cracked", "")
    other = Log()
    other.say(NotMeasured(limit="lip", because="replaced anyway"))
    assert [row[2] for row in tables(other)["What"]] == [
        "not measured",
        "not measured, because replaced anyway",
    ]


def test_the_newest_of_each_reading_stands_in_its_slot_with_how_sure_it_is() -> None:
    """2.00 as left on 1.90, a step of 0.01: U = 0.0058, more than 99 % (34 standard uncertainties away)."""
    log = Log()
    log.say(thin("1.40"), thin("2.00").model_copy(update={"when": "as left"}))
    document = report(UNIT, log.state)
    (gauges,) = [block.gauges for block in document.blocks if isinstance(block, Gauges)]
    assert [(one.name, one.word) for one in gauges] == [("plate thickness, as left", "good")]
    assert "Good with this uncertainty: at least 1.906 mm" in gauges[0].svg
    assert "plate thickness, as left: good" in as_text(document)
    found, left = tables(log)["Reading"]
    assert found[1:5] == (
        "as found", "1.40 ± 0.006 mm", "step of the scale 100 %", "less than 1 % probable, guarded rule",
    )  # fmt: skip
    assert left[1:3] == ("as left", "2.00 ± 0.006 mm")


def test_what_was_written_down_and_noted_is_on_the_report() -> None:
    """The count of T3, the words of T4, a note at T2, a picture at T3 by its step."""
    log = apart(Log())
    log.say(
        Note(stage=Stage.TEARDOWN, about="T2", words="one bolt was finger tight"),
        Photo(stage=Stage.TEARDOWN, about="T3", digest="0" * 64, caption="the plate"),
        Photo(stage=Stage.INTAKE, digest="1" * 64),
    )
    found = tables(log)
    assert [row[:3] for row in found["Step"]] == [
        ("T3 balls out", "3", ""),
        ("T4 drum out", "", "flange to the front"),
    ]
    assert found["Note at"][0][:2] == ("T2 pan off", "one bolt was finger tight")
    (pictures,) = [block for block in report(UNIT, log.state).blocks if isinstance(block, Pictures)]
    assert [words for _, words in pictures.pictures] == ["the plate: T3 balls out", "intake"]


def test_intake_and_gears_are_on_the_report() -> None:
    """How the fluid was found, and which gears were bad."""
    log = Log()
    log.say(
        FluidFound(level=FluidLevel.LOW, colour=FluidColour.MILKY, smell=FluidSmell.NORMAL, words="frothy"),
        GearTried(gear="1", verdict="bad"),
        GearTried(gear="2", verdict="good"),
    )
    blocks = report(UNIT, log.state).blocks
    rows = [row for block in blocks if isinstance(block, Pairs) for row in block.rows]
    (fluid,) = [value for label, value in rows if label == "Fluid"]
    assert fluid == "level low; colour milky; smell normal: frothy (R. Bench, 02 Mar 2026 08:01)"
    assert Paragraph("Gears driven: bad 1; good 2.") in blocks


def test_a_skipped_step_stays_visible() -> None:
    """The reason is on the report, under its own heading."""
    log = apart(Log(), upto="T2")
    log.say(
        StepSkipped(step="T3", because="this unit has none"),
        done("T4", "drum", "seal", "washer", written="x"),
    )
    assert ("T3 balls out", "step skipped", "because this unit has none") in tables(log)["Point"]
    assert Heading("Open, let pass, skipped") in report(UNIT, log.state).blocks
