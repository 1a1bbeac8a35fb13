"""Whatever is tapped, undone and sent again in whatever order, the job stays one that a bench can be in.

A machine tries every kind of entry on the small unit and keeps what its stage accepts.
Expected values: laws of a bench that hold for every log (a piece is in one place, a step stands on its needs).
"""

from __future__ import annotations

from decimal import Decimal

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from countershaft.job.at_places import OWN_HOLES, SCRAPPED
from countershaft.job.custody import custody
from countershaft.job.entry import (
    Body,
    Chosen,
    FixedWhen,
    Moved,
    Reading,
    Released,
    Remeasured,
    Shelf,
    Spot,
    StepSkipped,
    Tightened,
    Trial,
    Undone,
    Waived,
)
from countershaft.job.state import fold
from countershaft.stages import handover
from countershaft.stages.build import joint_state, survey
from countershaft.stages.fit import follow
from countershaft.stages.work import behind
from tests.small_unit import UNIT, Log
from tests.stages.test_handover import flow, proven
from tests.stages.walk import built, done, play_as_found, taken

STEPS = [step.id for step in UNIT.steps]
PLACED = {"T2": ("pan",), "T3": ("ball:3",), "T4": ("drum", "seal", "washer")}
LID = UNIT.joint("lid")
SPOTS = (
    OWN_HOLES,
    SCRAPPED,
    Spot(how="place", name="mat"),
    Spot(how="place", name="J1-T2"),
    Spot(how="sent out", name="the grinder"),
)
BEGINNINGS = {"new": Log, "apart": taken, "built": built, "proven": proven}


class AnyOrder(RuleBasedStateMachine):
    """A job to which everything is said in every order."""

    log: Log

    def offer(self, body: Body) -> None:
        """Keep a body where its stage accepts it."""
        if self.log.ask(body).accepted:
            self.log.say(body)

    @initialize(name=st.sampled_from(sorted(BEGINNINGS)))
    def begin(self, name: str) -> None:
        """Begin anywhere in the job."""
        self.log = BEGINNINGS[name]()

    @rule(step=st.sampled_from(STEPS))
    def do(self, step: str) -> None:
        """Do a step in full."""
        more = {"new": ("seal",)} if step == "A1" else {"new": ("with:lid",)} if step == "A3" else {}
        counted, written = ("3" if step == "T3" else ""), ("to the front" if step == "T4" else "")
        self.offer(
            done(step, *PLACED.get(step, ()), counted=counted, written=written, verified=step == "A1", **more)
        )

    @rule(step=st.sampled_from(STEPS))
    def skip(self, step: str) -> None:
        """Skip a step."""
        self.offer(StepSkipped(step=step, because="not in this unit"))

    @rule(number=st.integers(1, 2), places=st.lists(st.sampled_from("abc"), min_size=1, max_size=3))
    def tap(self, number: int, places: list[str]) -> None:
        """Tap bolts of the lid."""
        self.offer(Tightened(joint="lid", round=number, places=tuple(places)))

    @rule(gap=st.sampled_from(["0.30", "0.66", "0.70"]))
    def measure(self, gap: str) -> None:
        """Measure the end play with the trial part, and look on the shelf."""
        values = (Decimal(gap),) * 2
        self.offer(
            Trial(fit="play", size_mm=Decimal("1.80"), values_mm=values, resolution_mm=Decimal("0.01"))
        )
        self.offer(Shelf(fit="play", sizes_mm=UNIT.fit("play").sizes_mm))

    @rule(size=st.sampled_from(["1.80", "2.10"]))
    def choose(self, size: str) -> None:
        """Choose a washer."""
        self.offer(Chosen(fit="play", size_mm=Decimal(size)))

    @rule(gap=st.sampled_from(["0.36", "0.60"]))
    def remeasure(self, gap: str) -> None:
        """Measure with the chosen washer in."""
        self.offer(Remeasured(fit="play", values_mm=(Decimal(gap),) * 2, resolution_mm=Decimal("0.01")))

    @rule(body=st.sampled_from([play_as_found("0.44", "0.45"), flow("4.2"), flow("1.0")]))
    def read(self, body: Reading) -> None:
        """Type a reading."""
        self.offer(body)

    @rule(true=st.booleans())
    def judge(self, true: bool) -> None:
        """Say whether the fixed-when sentence is true."""
        self.offer(FixedWhen(true=true, words="driven hot"))

    @rule(data=st.data())
    def undo(self, data: st.DataObject) -> None:
        """Undo any entry, an undo too; the newest more often than chance would."""
        newest = len(self.log.entries) - 1
        at = data.draw(st.integers(max(0, newest - 4), newest) | st.integers(0, newest))
        self.offer(Undone(target=self.log.entries[at].id, because="a slip"))

    @rule()
    def release(self) -> None:
        """Let pass what may be let pass, and release."""
        for point in handover.gate(UNIT, self.log.state):
            if point.holds and not point.firm:
                self.offer(Waived(point=point.key, was=point.open or "", because="agreed with the owner"))
        self.offer(Released(warranty="24 months"))

    @rule(
        data=st.data(),
        count=st.integers(1, 3),
        to=st.sampled_from(SPOTS),
        words=st.sampled_from(["", "cracked"]),
    )
    def move(self, data: st.DataObject, count: int, to: Spot, words: str) -> None:
        """Move pieces from where they lie to anywhere."""
        held = [one for one in custody(UNIT, self.log.state).holdings if one.outside]
        if held:
            one = data.draw(st.sampled_from(held))
            start = data.draw(st.sampled_from(list(one.outside)))
            if start != to:
                self.offer(Moved(sort=one.sort, what=one.id, count=count, start=start, to=to, words=words))

    @invariant()
    def every_piece_is_in_one_place(self) -> None:
        """What is in the unit and what is outside are all there is: the pieces of the file, and the new ones."""
        where = custody(UNIT, self.log.state)
        for one in where.holdings:
            assert one.in_unit >= 0, one
            assert one.new >= 0, one
            assert all(count > 0 for count in one.outside.values()), one
            assert one.in_unit + sum(one.outside.values()) == one.quantity + one.new, one
        for part in UNIT.parts:
            off, on = where.off.get(part.id, 0), where.on.get(part.id, 0)
            assert 0 <= on <= off <= part.quantity, part.id
        assert where.void == ()

    @invariant()
    def every_step_stands_on_its_needs(self) -> None:
        """Nothing is done or skipped whose needs are open, and nobody said a step twice."""
        over = set(behind(self.log.state))
        assert all(over.issuperset(UNIT.step(key).needs) for key in over)
        assert self.log.state.contradictions == ()

    @invariant()
    def the_joint_is_in_a_state_that_bolts_can_be_in(self) -> None:
        """No place is two rounds ahead; a step that tightens is done only behind its last round."""
        now = joint_state(self.log.state, LID)
        assert max(now.done.values()) - min(now.done.values()) <= 1
        assert now.complete == all(count == len(LID.stages) for count in now.done.values())
        assert now.next is None or now.done[now.next] == now.round - 1
        assert now.complete or "A3" not in self.log.state.done_steps
        assert f"bolt {now.number} of 3" in now.words or now.complete

    @invariant()
    def a_fit_is_a_whole_chain(self) -> None:
        """No choice without a measurement, no re-measurement without a choice, closed only by a good one."""
        now = follow(UNIT, self.log.state, UNIT.fit("play"))
        assert now.chosen is None or now.measured is not None
        assert now.left is None or now.chosen is not None
        assert (now.closed_by is not None) == now.closed

    @invariant()
    def a_released_unit_has_nothing_open(self) -> None:
        """Released means that the gate is through, whatever was tried since."""
        if self.log.state.bodies(Released):
            assert [point.key for point in handover.gate(UNIT, self.log.state) if point.holds] == []

    @invariant()
    def a_resent_log_says_the_same(self) -> None:
        """Everything sent again changes nothing."""
        again = fold([*self.log.entries, *self.log.entries[-3:]])
        assert custody(UNIT, again) == custody(UNIT, self.log.state)
        assert survey(UNIT, again) == survey(UNIT, self.log.state)


TestAnyOrder = AnyOrder.TestCase
TestAnyOrder.settings = settings(max_examples=80, stateful_step_count=40, deadline=None)
