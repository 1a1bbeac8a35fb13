"""The desk.  Expected values: what the log holds afterwards, and the words with which an entry is refused."""

from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from countershaft.definitions.library import library_text
from countershaft.desk import desk as module
from countershaft.desk.demo_shop import six_speed
from countershaft.desk.desk import Desk, new_entry_id
from countershaft.errors import EntryRefused, StoreBusy, Unknown
from countershaft.job.entry import Entry, JobOpened, Note, Reading, StepSkipped
from countershaft.job.words import Stage
from countershaft.store.shop import open_store

SKIP = StepSkipped(step="T00", because="came without oil")


def note(words: str) -> Note:
    """A note at intake."""
    return Note(stage=Stage.INTAKE, words=words)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A desk with one open job, J1."""
    store = open_store(tmp_path / "shop", busy_seconds=1.0)
    found = Desk(store)
    six_speed(found, "J1", vehicle="van", by="R. Bench")
    yield found
    store.close()


@pytest.fixture
def other(tmp_path: Path, desk: Desk) -> Iterator[Desk]:
    """Another desk on the same folder, as another process would have it."""
    assert desk.job("J1")
    store = open_store(tmp_path / "shop", busy_seconds=1.0)
    yield Desk(store)
    store.close()


def test_what_another_desk_appends_is_seen(desk: Desk, other: Desk) -> None:
    """No page shows an old picture of a job that somebody else works on."""
    assert desk.progress("J1").last_by == "R. Bench"
    other.append("J1", note("seen"), by="K. Spanner")
    assert desk.job("J1").state.bodies(Note) == (note("seen"),)
    assert desk.progress("J1").last_by == "K. Spanner"
    assert desk._folded["J1"].last_seq == desk._store.jobs.row("J1").last_seq, "kept for the next look"
    assert desk.cards()[0].progress.last_by == "K. Spanner"


def test_the_stage_is_asked_again_when_somebody_was_first(
    desk: Desk, other: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between the stage's yes and the writing another desk does the same step: the second is refused, not written."""
    append = desk._store.jobs.append

    def slow(tag: str, entry: Entry, *, after: int | None = None) -> bool:
        if not other.job("J1").state.bodies(StepSkipped):
            other.append("J1", SKIP, by="K. Spanner")
        return append(tag, entry, after=after)

    monkeypatch.setattr(desk._store.jobs, "append", slow)
    with pytest.raises(EntryRefused, match="is skipped already"):
        desk.append("J1", SKIP, by="R. Bench")
    assert desk.job("J1").state.contradictions == ()
    assert len(desk.job("J1").state.bodies(StepSkipped)) == 1


def test_many_threads_write_one_step_once_and_lose_no_note(desk: Desk, other: Desk) -> None:
    """Eight hands on two desks: one skips the step, and all notes are there."""

    def work(number: int) -> int:
        own = (desk, other)[number % 2]
        own.append("J1", note(str(number)), by="R. Bench")
        try:
            own.append("J1", SKIP, by="R. Bench")
        except EntryRefused:
            return 0
        return 1

    with ThreadPoolExecutor(8) as pool:
        skipped = sum(pool.map(work, range(8)))
    assert skipped == 1
    assert sorted(body.words for body in desk.job("J1").state.bodies(Note)) == [str(n) for n in range(8)]


def test_a_reader_does_not_wait_for_a_writer(desk: Desk) -> None:
    """While an entry waits for a locked store, the job can be read."""
    holder = sqlite3.connect(desk._store.folder / "shop.db", isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    refused: list[Exception] = []

    def write() -> None:
        try:
            desk.append("J1", note("late"), by="R. Bench")
        except StoreBusy as error:
            refused.append(error)

    writer = threading.Thread(target=write)
    writer.start()
    time.sleep(0.1)
    began = time.monotonic()
    desk.job("J1")
    assert time.monotonic() - began < 0.5
    writer.join()
    holder.execute("ROLLBACK")
    holder.close()
    assert len(refused) == 1


def test_a_resent_entry_is_answered_as_before(desk: Desk) -> None:
    """The same id and words: one entry, also when it was undone since."""
    entry_id = new_entry_id()
    first = desk.append("J1", note("seen"), by="R. Bench", entry_id=entry_id)
    assert desk.append("J1", note("seen"), by="R. Bench", entry_id=entry_id) == first
    desk.undo("J1", entry_id, because="wrong job", by="R. Bench")
    assert desk.append("J1", note("seen"), by="R. Bench", entry_id=entry_id) == first
    assert desk.job("J1").state.bodies(Note) == ()


def test_one_id_for_two_facts_is_refused_and_not_swallowed(desk: Desk) -> None:
    """Another text or another job under a used id would be lost if it were called a re-send."""
    six_speed(desk, "J2", vehicle="estate", by="R. Bench")
    entry_id = new_entry_id()
    desk.append("J1", note("0.36"), by="R. Bench", entry_id=entry_id)
    with pytest.raises(EntryRefused, match=rf"job J1 has an entry {entry_id[:8]} that says something else"):
        desk.append("J1", note("0.63"), by="R. Bench", entry_id=entry_id)
    with pytest.raises(EntryRefused, match="Open the page again and type it there"):
        desk.append("J2", note("0.36"), by="R. Bench", entry_id=entry_id)
    assert desk.job("J2").state.bodies(Note) == ()


def test_a_job_is_opened_once(desk: Desk) -> None:
    """A re-sent opening is harmless; the id of another fact opens nothing."""
    opened = JobOpened(
        tag="J2", vehicle="estate", unit="unit", definition=desk.definitions()[0].digest, mileage_km=1
    )
    entry_id = new_entry_id()
    for _ in range(2):
        desk.open_job(opened, by="R. Bench", entry_id=entry_id)
    assert len(desk.job("J2").state.entries) == 1
    with pytest.raises(EntryRefused, match="says something else"):
        desk.open_job(opened.model_copy(update={"tag": "J3"}), by="R. Bench", entry_id=entry_id)
    with pytest.raises(Unknown, match="no job 'J3'"):
        desk.job("J3")


@pytest.mark.parametrize(("by", "entry_id"), [("R. Bench", "no-id"), ("x" * 121, None)])
def test_what_no_entry_can_hold_is_refused_in_words(desk: Desk, by: str, entry_id: str | None) -> None:
    """An id or a name that does not fit is said, with what came."""
    with pytest.raises(EntryRefused, match=r"Not written: (id 'no-id'|by 'xxx)"):
        desk.append("J1", note("seen"), by=by, entry_id=entry_id)


def test_only_so_many_jobs_stay_in_memory(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """A shop with years of jobs: the oldest is forgotten and read again; the first page still knows all."""
    monkeypatch.setattr(module, "KEPT", 2)
    for number in range(4):
        six_speed(desk, f"K{number}", vehicle=f"van {number}", by="R. Bench")
    assert {card.vehicle for card in desk.cards()} == {"van", "van 0", "van 1", "van 2", "van 3"}
    assert len(desk._folded) == 2
    assert desk.job("K0").state.opened.vehicle == "van 0"


def test_the_first_page_folds_only_what_changed(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Once worked out, a card is shown again without reading the log."""
    six_speed(desk, "J2", vehicle="estate", by="R. Bench")
    before = desk.cards()
    read: list[str] = []
    entries = desk._store.jobs.entries

    def counted(tag: str, *, after: int = 0) -> tuple[tuple[Entry, ...], int]:
        read.append(tag)
        return entries(tag, after=after)

    monkeypatch.setattr(desk._store.jobs, "entries", counted)
    assert desk.cards() == before
    assert read == []
    desk.append("J2", note("seen"), by="K. Spanner")
    read.clear()
    assert [card.tag for card in desk.cards()] == ["J2", "J1"]
    assert set(read) == {"J2"}


def test_times_keep_the_wall_clock_of_the_bench(tmp_path: Path) -> None:
    """An entry at 08:02 in a zone seven hours behind prints 08:02, also after it was stored and read."""
    zone = timezone(timedelta(hours=-7))
    store = open_store(tmp_path / "far")
    desk = Desk(store, now=lambda: datetime(2026, 3, 2, 8, 2, tzinfo=zone))
    six_speed(desk, "J1", vehicle="van", by="R. Bench")
    kept = Desk(store).job("J1").state.entries[0].at
    assert f"{kept:%d %b %Y %H:%M %z}" == "02 Mar 2026 08:02 -0700"
    assert [row.added for row in desk.definitions()] == ["2026-03-02T15:02:00+00:00"]
    assert Desk(store)._now().utcoffset() is not None
    store.close()


def read(limit: str, *values: str) -> Reading:
    """Readings of a limit or of a fit as found."""
    told = {"unit": "mm", "instrument": "dial", "resolution": "0.01", "when": "as found"}
    return Reading.model_validate({**told, "limit": limit, "values": values})


def test_what_another_job_on_the_same_file_measured_last_is_found(desk: Desk) -> None:
    """The newest that still counts, by the name of the file; this job, other files and other limits are left out."""
    for tag in ("J2", "J3"):
        six_speed(desk, tag, vehicle="van", by="R. Bench")
    assert desk.elsewhere(desk.job("J1"), "reading", "EP-IN") is None
    desk.append("J2", read("EP-IN", "0.44", "0.45", "0.44"), by="R. Bench")
    newest = desk.append("J3", read("EP-IN", "0.36", "0.36", "0.37"), by="R. Bench")
    desk.append("J1", read("EP-IN", "0.40", "0.40", "0.40"), by="R. Bench")
    desk.append("J2", read("EP-GT", "0.31", "0.31", "0.31"), by="R. Bench")
    assert desk.elsewhere(desk.job("J1"), "reading", "EP-IN") == ("J3", newest)
    desk.undo("J3", newest.id, because="wrong tap", by="R. Bench")
    found = desk.elsewhere(desk.job("J1"), "reading", "EP-IN")
    assert found is not None and found[0] == "J2"
    assert desk.elsewhere(desk.job("J1"), "trial", "EP-IN") is None
    text = library_text("demo-b").replace("name: Demo B", "name: Another", 1)
    digest = desk.add_definition(text, file="another.yaml")
    name = desk.definition(digest).name
    assert name != desk.job("J1").transmission.name
    desk.open_job(JobOpened(tag="J4", vehicle="van", unit=name, definition=digest), by="R. Bench")
    assert desk.elsewhere(desk.job("J4"), "reading", "EP-IN") is None
