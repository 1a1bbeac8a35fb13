"""A job on a unit that no file describes: the log writes the file, and nothing is lost.

Expected values: what was typed, and laws that hold for every log (each piece is in one place; the build undoes the
teardown).
"""

from __future__ import annotations

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule
from pydantic import ValidationError

from countershaft.definitions.reader import read_transmission
from countershaft.definitions.writer import write_transmission
from countershaft.job.at_places import OWN_HOLES
from countershaft.job.custody import custody
from countershaft.job.entry import AllOff, OrderSaid, SameSaid, StepDone, Tightened, Undone
from countershaft.job.removals import all_is_off, has_no_file
from countershaft.model.checks import cross_check
from countershaft.stages import build, teardown
from countershaft.stages.build import joint_state
from countershaft.stages.progress import progress
from countershaft.stages.work import work
from tests.small_unit import UNIT
from tests.stages.unknown import Unknown


def box() -> Unknown:
    """Pan, filter, two washers one after the other, pump with its bolts."""
    log = Unknown()
    log.off("oil pan", 1, "mat", "14:M6x20")
    log.off("filter", 1, "J1-T1")
    log.off("thrust washer", 1, "J1-T2")
    log.off("Oil pump", 1, "J1-T2", "6:M8x25", "2:7.9 x 40")
    log.off("thrust washers", 2, "J1-T3")
    return log


def test_the_log_writes_parts_joints_steps_and_their_order() -> None:
    file = box().file
    assert [(part.id, part.name, part.quantity) for part in file.parts] == [
        ("P01", "oil pan", 1),
        ("P02", "filter", 1),
        ("P03", "thrust washer", 1),
        ("P04", "Oil pump", 1),
        ("P04b", "fasteners of Oil pump, diameter 7.9 mm, 40 mm long", 2),
        ("P05", "thrust washers 2", 2),
    ]
    pan, pump = file.fasteners
    assert (pan.thread, pan.count, str(pan.length_mm), pan.name) == (
        "M6x1",
        14,
        "20",
        "fasteners of oil pan, 20 mm",
    )
    assert (pump.id, pump.thread, pump.grip_mm, pump.strength, pump.last_torque) == (
        "J04a",
        "M8x1.25",
        None,
        None,
        None,
    )
    assert [(step.id, step.needs) for step in file.phase("teardown")] == [
        ("T01", ()), ("T02", ("T01",)), ("T03", ("T02",)), ("T04", ("T03",)), ("T05", ("T04",)),
    ]  # fmt: skip
    assert [step.id for step in file.phase("build")] == [
        "T05-back",
        "T04-back",
        "T03-back",
        "T02-back",
        "T01-back",
    ]
    assert cross_check(file) == ()


def test_the_written_file_reads_back_the_same() -> None:
    file = box().file
    assert read_transmission(write_transmission(file), "grey-box.yaml") == file


def test_custody_has_every_piece_where_it_was_put() -> None:
    log = box()
    where = custody(log.file, log.state)
    assert [(one.part, one.count, one.place) for one in where.lying] == [
        ("P01", 1, "mat"),
        ("P02", 1, "J1-T1"),
        ("P03", 1, "J1-T2"),
        ("P04", 1, "J1-T2"),
        ("P04b", 2, "J1-T2"),
        ("P05", 2, "J1-T3"),
    ]
    bolts = where.find("joint", "J01a")
    assert bolts is not None and bolts.in_unit == 0 and sum(bolts.outside.values()) == 14
    log = Unknown()
    log.off("cover", 1, "mat", "4:M6x16", parked=True)
    bolts = custody(log.file, log.state).find("joint", "J01a")
    assert bolts is not None and bolts.outside == {OWN_HOLES: 4}


def test_what_came_off_together_has_no_order_among_itself() -> None:
    log = Unknown()
    log.off("pan")
    log.off("drum")
    log.off("hub", together=True)
    log.off("ring")
    steps = {step.id: step.needs for step in log.file.phase("teardown")}
    assert steps == {"T01": (), "T02": ("T01",), "T03": ("T01",), "T04": ("T02", "T03")}
    assert log.file.observed is not None
    assert log.file.observed.teardowns[0].together == (("T02", "T03"),)


def test_an_undone_removal_is_gone_and_its_number_is_not_used_again() -> None:
    log = box()
    second = next(
        entry for entry in log.state.live if isinstance(entry.body, StepDone) and entry.body.step == "T02"
    )
    undo = log.say(Undone(target=second.id, because="wrong tap"))
    assert [step.id for step in log.file.phase("teardown")] == ["T01", "T03", "T04", "T05"]
    assert log.file.step("T03").needs == ("T01",)
    log.off("drum")
    assert log.file.steps[-1].id == "T06"
    log.say(Undone(target=undo.id, because="it was right"))
    assert [step.id for step in log.file.phase("teardown")] == ["T01", "T02", "T03", "T04", "T05", "T06"]


def test_the_same_number_from_two_benches_is_refused() -> None:
    log = Unknown()
    body = log.body("pan")
    log.say(body)
    assert "was logged by somebody else meanwhile" in log.refused(
        log.body("pump").model_copy(update={"step": "T01"})
    )


def test_a_tray_of_another_job_is_refused() -> None:
    words = Unknown().refused(Unknown().body("pan", 1, "0412-T1"))
    assert "0412-T1 is a tray of job 0412, and this is job J1" in words
    assert "such as J1-T1" in words
    assert Unknown().ask(Unknown().body("pan", 1, "shelf by the door")).accepted


def test_nonsense_is_refused_in_words() -> None:
    with pytest.raises(ValidationError, match="greater than or equal to 1"):
        Unknown().body("pan", 0)
    with pytest.raises(ValidationError, match="names nothing; say what it is in words"):
        Unknown().body("...")
    with pytest.raises(ValidationError, match="is no size of a fastener"):
        Unknown().body("pan", 1, "mat", "4:thick ones")
    with pytest.raises(ValidationError, match="is numbered as T01"):
        StepDone(step="pan", seen=Unknown().body("pan").seen)


def test_the_teardown_ends_when_somebody_says_so() -> None:
    log = Unknown()
    assert "Nothing was logged yet" in log.refused(AllOff())
    assert not teardown.survey(log.file, log.state).complete
    assert progress(log.file, log.state).stages[2].words == "0 logged"
    log.off("pan")
    assert progress(log.file, log.state).resume.words == "log what comes off next, after 1 removal"
    log.say(AllOff())
    assert has_no_file(log.file, log.state) and all_is_off(log.state)
    assert teardown.survey(log.file, log.state).complete
    log.off("filter")
    assert not teardown.survey(log.file, log.state).complete
    assert "has a file with its steps" in Unknown(UNIT).refused(AllOff())


def tight(log: Unknown, joint: str) -> None:
    """Every place of a joint, at once."""
    log.say(
        Tightened(joint=joint, round=1, places=joint_state(log.state, log.file.joint(joint)).joint.sequence)
    )


def test_the_build_is_the_reverse_of_what_happened_and_leaves_nothing_over() -> None:
    log = box()
    log.say(AllOff())
    words = log.refused(StepDone(step="T02-back"))
    assert "this goes on before T02-back: T03-back Put back: thrust washer" in words
    for step in log.file.phase("build"):
        for joint in step.tighten:
            assert "Not tightened yet" in log.refused(StepDone(step=step.id))
            tight(log, joint)
        log.say(StepDone(step=step.id))
    done = build.survey(log.file, log.state)
    assert done.complete and done.left_over == () and done.missing == ()
    assert custody(log.file, log.state).lying == ()


def test_a_removal_that_is_built_back_is_not_undone_before_that() -> None:
    log = Unknown()
    entry = log.off("pan")
    log.say(AllOff(), StepDone(step="T01-back"))
    assert "Undo first: T01-back" in log.refused(Undone(target=entry.id, because="a slip"))


def test_an_order_that_was_only_seen_is_gone_against_with_a_tick() -> None:
    file = box().file
    log = Unknown(file)
    log.entries[0] = log.entries[0]
    words = log.refused(StepDone(step="T02", placed=({"part": "P02", "count": 1, "place": "mat"},)))
    assert "By the teardown that was watched, this came before T02: T01 oil pan" in words
    log.say(StepDone(step="T02", placed=({"part": "P02", "count": 1, "place": "mat"},), ahead=("T01",)))
    assert work(log.file, log.state, "teardown").next.step.id == "T01"  # type: ignore[union-attr]
    fixed = file.model_dump()
    fixed["observed"]["fixed"] = [{"before": "T01", "after": "T02"}]
    strict = Unknown(type(file).model_validate(fixed))
    assert "cannot be done yet" in strict.refused(StepDone(step="T02", ahead=("T01",)))


def test_something_else_that_comes_off_a_known_unit_goes_back_too() -> None:
    """On a drafted file, and on one with build steps of its own."""
    log = Unknown(box().file)
    log.say(StepDone(step="T01", placed=({"part": "P01", "count": 1, "place": "mat"},)))
    log.off("magnet", 2)
    assert log.file.step("T06").needs == ("T01",)
    assert log.file.step("T01-back").needs == ("T02-back", "T06-back")
    own = Unknown(UNIT)
    own.off("magnet", 2)
    assert own.file.step("T05-back").on[0].part == "P05"
    assert cross_check(own.file) == ()


def test_what_is_said_of_one_part_alone_is_refused() -> None:
    log = box()
    said = OrderSaid(before="Oil pan", after="oil  pans", how="must", because="it is under it")
    assert "one and the same part already" in log.refused(said)
    assert "one and the same part already" in log.refused(SameSaid(name="filter", called="Filters"))


class AnyLog(RuleBasedStateMachine):
    """Everything is logged, undone, put back and sent again in every order."""

    def __init__(self) -> None:
        super().__init__()
        self.log = Unknown()

    @rule(
        what=st.sampled_from(["pan", "pump", "washer"]),
        count=st.integers(1, 4),
        place=st.sampled_from(["mat", "J1-T1", "0412-T1"]),
        sizes=st.lists(st.sampled_from(["2:M8x25", "3:7.9 x 30"]), max_size=2),
        together=st.booleans(),
        parked=st.booleans(),
    )
    def off(self, what: str, count: int, place: str, sizes: list[str], together: bool, parked: bool) -> None:
        """Log a removal."""
        body = self.log.body(what, count, place, *sizes, together=together, parked=parked)
        if self.log.ask(body).accepted:
            self.log.say(body)

    @rule(data=st.data())
    def undo(self, data: st.DataObject) -> None:
        """Undo any entry, an undo too."""
        body = Undone(target=data.draw(st.sampled_from(self.log.entries)).id, because="a slip")
        if self.log.ask(body).accepted:
            self.log.say(body)

    @rule(data=st.data())
    def again(self, data: st.DataObject) -> None:
        """An entry is sent once more."""
        before = self.log.state.live
        self.log.entries.append(data.draw(st.sampled_from(self.log.entries)))
        assert self.log.state.live == before
        self.log.entries.pop()

    @rule(data=st.data(), ahead=st.booleans())
    def put_back(self, data: st.DataObject, ahead: bool) -> None:
        """Put something back, in turn or not."""
        steps = self.log.file.phase("build")
        if steps:
            step = data.draw(st.sampled_from(steps))
            for joint in step.tighten:
                now = joint_state(self.log.state, self.log.file.joint(joint))
                body = Tightened(joint=joint, round=1, places=now.joint.sequence)
                if self.log.ask(body).accepted:
                    self.log.say(body)
            done = StepDone(step=step.id, ahead=step.needs if ahead else ())
            if self.log.ask(done).accepted:
                self.log.say(done)

    @rule()
    def all_off(self) -> None:
        """Say that all is off."""
        if self.log.ask(AllOff()).accepted:
            self.log.say(AllOff())

    @invariant()
    def every_piece_is_in_one_place(self) -> None:
        """In the unit again or outside, and as many as were logged."""
        where = custody(self.log.file, self.log.state)
        assert where.void == ()
        logged = [body.seen for body in self.log.state.bodies(StepDone) if body.seen is not None]
        parts = sum(off.count for off in logged)
        bolts = sum(one.count for off in logged for one in off.fasteners)
        assert sum(one.quantity for one in where.holdings) == parts + bolts
        for one in where.holdings:
            assert one.in_unit + sum(one.outside.values()) == one.quantity + one.new, one
            assert one.in_unit >= 0 and one.new == 0

    @invariant()
    def the_file_can_be_read(self) -> None:
        """Whatever was logged makes a file without a fault."""
        assert cross_check(self.log.file) == ()


TestAnyLog = AnyLog.TestCase
TestAnyLog.settings = settings(max_examples=40, stateful_step_count=25, deadline=None)
