"""The fold.  Expected values: properties that must hold for every log, and small logs worked by hand."""

from __future__ import annotations

from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st

from countershaft.job.entry import Body, Entry, Note, StepDone, Undone
from countershaft.job.state import fold
from countershaft.job.words import Stage
from tests.strategies_job import logs


def entry(number: int, body: Body, by: str = "R. Bench") -> Entry:
    """An entry with a readable id."""
    return Entry(id=f"{number:032x}", at=datetime(2026, 3, 2, 8, number, tzinfo=UTC), by=by, body=body)


@given(logs(), st.data())
def test_a_resent_log_folds_to_the_same_state(log: list[Entry], data: st.DataObject) -> None:
    """Entries that arrive again, at any later place, change nothing."""
    sent_again = list(log)
    for again in data.draw(st.lists(st.sampled_from(log), max_size=6) if log else st.just([])):
        place = data.draw(st.integers(sent_again.index(again) + 1, len(sent_again)))
        sent_again.insert(place, again)
    assert fold(sent_again) == fold(log)


@given(logs())
def test_nothing_is_lost(log: list[Entry]) -> None:
    """Every entry stays; each is live or undone, never both."""
    state = fold(log)
    assert state.entries == tuple(log)
    live = {one.id for one in state.live}
    assert live | state.undone == {one.id for one in log}
    assert not live & state.undone


@given(logs())
def test_folding_in_two_halves_sees_the_same(log: list[Entry]) -> None:
    """The state depends on the entries, not on how they were loaded."""
    half = len(log) // 2
    assert fold([*fold(log[:half]).entries, *log[half:]]) == fold(log)


def test_undo_and_undo_of_the_undo() -> None:
    """By hand: undone, then the undo undone, and the first counts again."""
    first = entry(1, Note(stage=Stage.INTAKE, words="seen"))
    gone = entry(2, Undone(target=first.id, because="wrong job"))
    back = entry(3, Undone(target=gone.id, because="it was right"))
    assert fold([first, gone]).bodies(Note) == ()
    assert fold([first, gone, back]).bodies(Note) == (first.body,)


def test_two_benches_that_contradict_are_both_kept_and_named() -> None:
    """Two entries that say the same step is done are shown, not lost."""
    one, two = entry(1, StepDone(step="T1"), "bench A"), entry(2, StepDone(step="T1"), "bench B")
    state = fold([one, two])
    assert len(state.live) == 2
    assert state.contradictions == (
        "Step T1 was done by bench A at 02 Mar 08:01 and done by bench B at 02 Mar 08:02; undo one of the two.",
    )
    assert fold([one, two, entry(3, Undone(target=two.id, because="twice"))]).contradictions == ()
