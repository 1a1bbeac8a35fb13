"""Custody against pieces that carry a name each: nothing is lost, nothing is doubled, wherever it is moved.

Expected values: a model that shares nothing with the ledger but the log: every piece is a token, a move carries
tokens, and an undone or re-sent entry is followed by laying all tokens out anew.
"""

from __future__ import annotations

from collections import Counter

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from countershaft.job.at_places import SCRAPPED, UNSAID
from countershaft.job.custody import custody
from countershaft.job.entry import Entry, Moved, Spot, StepDone, Tightened, Undone
from tests.small_unit import UNIT, Log
from tests.stages.walk import close_play, done, taken

MAT, TRAY = Spot(how="place", name="mat"), Spot(how="place", name="J1-T2")
SPOTS = (MAT, TRAY, SCRAPPED)
#: What has several pieces, so that they can be parted and brought together again.
SORTS = (("part", "ball"), ("joint", "lid"))


def live(entries: list[Entry]) -> list[Entry]:
    """Entries that count: each id once, and what was undone by an undo that was not undone itself is gone."""
    once: dict[str, Entry] = {}
    for entry in entries:
        once.setdefault(entry.id, entry)
    gone: set[str] = set()
    for entry in reversed(once.values()):
        if isinstance(entry.body, Undone) and entry.id not in gone:
            gone.add(entry.body.target)
    return [entry for entry in once.values() if entry.id not in gone]


def tokens(entries: list[Entry]) -> dict[str, Spot]:
    """Where each single piece outside the unit is: "ball 2" -> spot."""
    where: dict[str, Spot] = {}
    moves: list[Moved] = []
    for entry in live(entries):
        body = entry.body
        if isinstance(body, StepDone):
            for placed in body.placed:
                for number in range(placed.count):
                    where[f"{placed.part} {number}"] = Spot(how="place", name=placed.place)
            for joint_id in UNIT.step(body.step).loosen:
                for number in range(len(UNIT.joint(joint_id).place_ids)):
                    where[f"{joint_id} {number}"] = UNSAID
        elif isinstance(body, Moved):
            moves.append(body)
    for move in moves:
        there = [name for name, spot in where.items() if name.split()[0] == move.what and spot == move.start]
        for name in there[: move.count]:
            where[name] = move.to
    return where


class Pieces(RuleBasedStateMachine):
    """A unit that is apart, whose balls and bolts are moved, moved back, undone and sent again."""

    log: Log

    @initialize()
    def begin(self) -> None:
        """All is off."""
        self.log = taken()

    @rule(
        which=st.sampled_from(SORTS),
        start=st.sampled_from((*SPOTS, UNSAID)),
        to=st.sampled_from(SPOTS),
        count=st.integers(1, 3),
    )
    def move(self, which: tuple[str, str], start: Spot, to: Spot, count: int) -> None:
        """Move some pieces, also to where others of their kind lie already."""
        if start != to:
            body = Moved.model_validate(
                {"sort": which[0], "what": which[1], "count": count, "start": start, "to": to, "words": "so"}
            )
            if self.log.ask(body).accepted:
                self.log.say(body)

    @rule(data=st.data())
    def undo(self, data: st.DataObject) -> None:
        """Undo one of the newest entries, an undo too."""
        target = data.draw(st.sampled_from(self.log.entries[-4:]))
        body = Undone(target=target.id, because="a slip")
        if self.log.ask(body).accepted:
            self.log.say(body)

    @rule(data=st.data())
    def again(self, data: st.DataObject) -> None:
        """Any entry arrives once more, late."""
        self.log.entries.append(data.draw(st.sampled_from(self.log.entries)))

    @invariant()
    def every_piece_is_where_its_token_is(self) -> None:
        """Spot by spot as many pieces as tokens, and none anywhere else."""
        expected: Counter[tuple[str, Spot]] = Counter(
            (name.split()[0], spot) for name, spot in tokens(self.log.entries).items()
        )
        where = custody(UNIT, self.log.state)
        found = {(one.id, spot): count for one in where.holdings for spot, count in one.outside.items()}
        assert found == dict(expected)
        assert all(one.in_unit + sum(one.outside.values()) == one.quantity for one in where.holdings)


TestPieces = Pieces.TestCase
TestPieces.settings = settings(max_examples=60, stateful_step_count=20, deadline=None)


def test_two_lots_brought_together_add_up() -> None:
    log = taken()
    for _ in range(2):
        log.say(Moved(sort="part", what="ball", count=1, start=MAT, to=TRAY))
    found = custody(UNIT, log.state).find("part", "ball")
    assert found is not None and found.outside == {MAT: 1, TRAY: 2}


def test_what_is_scrap_never_goes_in_again() -> None:
    """A bolt that was scrapped stays scrap when the lid is tightened; the third bolt is a new one."""
    log = close_play(taken())
    log.say(Moved(sort="joint", what="lid", count=1, start=UNSAID, to=SCRAPPED, words="stretched; a new one"))
    log.say(done("A1", new=("seal",), verified=True), done("A2"))
    log.say(Tightened(joint="lid", round=1, places=("b", "a", "c")))
    found = custody(UNIT, log.state).find("joint", "lid")
    assert found is not None
    assert (found.in_unit, dict(found.outside), found.new) == (3, {SCRAPPED: 1}, 1)
