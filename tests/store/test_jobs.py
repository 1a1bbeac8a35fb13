"""Jobs in the database.  Expected values: what was written, and words for what could not be."""

from __future__ import annotations

import sqlite3
import uuid
from datetime import UTC, datetime

import pytest

from countershaft.errors import EntryRefused, StoreBusy, StoreFull, Unknown
from countershaft.job.entry import Body, Entry, JobOpened, Note
from countershaft.job.words import Stage
from countershaft.store.shop import Store

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def entry(body: Body) -> Entry:
    """An entry with a fresh id."""
    return Entry(id=uuid.uuid4().hex, at=NOW, by="R. Bench", body=body)


def note(words: str = "seen") -> Entry:
    """A note."""
    return entry(Note(stage=Stage.INTAKE, words=words))


@pytest.fixture
def tag(store: Store) -> str:
    """A job that is open."""
    digest = store.definitions.add("unit", "format: 1", added=NOW.isoformat())
    store.jobs.open(entry(JobOpened(tag="J1", vehicle="van", unit="unit", definition=digest)))
    return "J1"


def test_what_is_appended_is_there_in_order(store: Store, tag: str) -> None:
    """Entries come back in the order of their writing."""
    notes = [note(str(number)) for number in range(5)]
    for one in notes:
        assert store.jobs.append(tag, one)
    entries, last = store.jobs.entries(tag)
    assert entries[1:] == tuple(notes)
    assert store.jobs.entries(tag, after=last) == ((), last)


def test_a_resent_entry_is_written_once(store: Store, tag: str) -> None:
    """The second arrival is answered and changes nothing."""
    one = note()
    assert store.jobs.append(tag, one) is True
    assert store.jobs.append(tag, one) is False
    assert len(store.jobs.entries(tag)[0]) == 2


def test_a_tag_is_taken_once(store: Store, tag: str) -> None:
    """A second job of that tag is refused, and nothing of it is written."""
    digest = store.definitions.rows()[0].digest
    with pytest.raises(EntryRefused, match="There is a job J1 already; take another tag"):
        store.jobs.open(entry(JobOpened(tag=tag, vehicle="other", unit="unit", definition=digest)))
    assert len(store.jobs.entries(tag)[0]) == 1


def test_a_job_needs_a_file_that_is_there(store: Store) -> None:
    """Foreign keys hold: a job cannot point at a file that the shop does not have."""
    with pytest.raises(EntryRefused):
        store.jobs.open(entry(JobOpened(tag="J2", vehicle="van", unit="unit", definition="0" * 64)))


def test_an_unknown_job_is_named(store: Store) -> None:
    """Appending and loading say which job is not there."""
    with pytest.raises(Unknown, match="no job 'J9'"):
        store.jobs.append("J9", note())
    with pytest.raises(Unknown, match="no job 'J9'"):
        store.jobs.entries("J9")


def test_a_locked_store_acknowledges_nothing(store: Store, tag: str) -> None:
    """Another writer holds the database: the entry is refused in words, and comes through once the lock is gone."""
    other = sqlite3.connect(store.folder / "shop.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    one = note()
    with pytest.raises(StoreBusy, match="Nothing was written"):
        store.jobs.append(tag, one)
    other.execute("ROLLBACK")
    other.close()
    assert store.jobs.append(tag, one) is True


def test_a_full_disk_acknowledges_nothing(store: Store, tag: str) -> None:
    """No page can be added: the entry is refused, what was there stays, and room makes it come through."""
    with store.engine.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        connection.exec_driver_sql(f"PRAGMA max_page_count={pages}")
    before = store.jobs.entries(tag)[0]
    long = note("x" * 3900)

    def fill() -> None:
        for _ in range(50):
            store.jobs.append(tag, note("x" * 3900))

    with pytest.raises(StoreFull, match="cannot be written"):
        fill()
    kept = store.jobs.entries(tag)[0]
    assert kept[: len(before)] == before
    with store.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA max_page_count=1000000")
    assert store.jobs.append(tag, long) is True


def test_the_database_is_set_as_promised(store: Store) -> None:
    """Write-ahead log, foreign keys and full synchronous are on for every connection."""
    with store.engine.connect() as connection:
        found = [
            connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "foreign_keys", "synchronous")
        ]
    assert found == ["wal", 1, 2]
