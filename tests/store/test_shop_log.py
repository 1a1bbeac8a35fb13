"""The shop's own log in the database.  Expected values: what was written, and words for what could not be."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import threading
import time
import uuid
from datetime import UTC, datetime
from pathlib import Path

import pytest

from countershaft.errors import EntryRefused, StoreBroken, StoreBusy, TooNew
from countershaft.job.at_shop import RuleSaid, ShopEntry
from countershaft.store.engine import writing
from countershaft.store.shop import Store, open_store
from tests.store.test_kill import ENVIRONMENT

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def said(words: str = "as the book of the shop says") -> ShopEntry:
    """A rule with a fresh id."""
    return ShopEntry(id=uuid.uuid4().hex, at=NOW, by="R. Bench", body=RuleSaid(rule="plain", because=words))


def test_what_is_appended_is_there_in_order(store: Store) -> None:
    """Entries come back in the order of their writing, and only what is behind a number."""
    every = [said(str(number)) for number in range(4)]
    assert all(store.shop_log.append(one) for one in every)
    entries, last = store.shop_log.entries()
    assert entries == tuple(every)
    assert store.shop_log.entries(after=last) == ((), last)
    assert store.shop_log.entries(after=last - 1) == ((every[-1],), last)


def test_a_resent_entry_is_written_once(store: Store) -> None:
    """The second arrival is answered and changes nothing, even after somebody else's entry came between."""
    one = said()
    assert store.shop_log.append(one, after=0) is True
    assert store.shop_log.append(said("other")) is True
    assert store.shop_log.append(one, after=0) is False
    assert len(store.shop_log.entries()[0]) == 2


def test_an_id_for_two_facts_is_refused(store: Store) -> None:
    """A second fact under one id would be lost silently, so it is said."""
    one = said()
    store.shop_log.append(one)
    other = one.model_copy(update={"body": RuleSaid(rule="guarded", because="other")})
    with pytest.raises(EntryRefused, match="that says something else"):
        store.shop_log.append(other)
    assert store.shop_log.entries()[0] == (one,)


def test_an_entry_joins_only_behind_what_was_seen(store: Store) -> None:
    """Who looked before somebody else wrote is sent to look again, and nothing is written."""
    store.shop_log.append(said("first"), after=0)
    late = said("late")
    assert store.shop_log.append(late, after=0) is False
    _, last = store.shop_log.entries()
    assert store.shop_log.append(late, after=last) is True


def test_of_many_who_saw_the_same_one_comes_through(tmp_path: Path) -> None:
    """Eight threads that saw an empty log: exactly one entry is written, however long they wait for each other."""
    store = open_store(tmp_path / "patient")
    came: list[bool] = []
    go = threading.Barrier(8)

    def send() -> None:
        go.wait()
        came.append(store.shop_log.append(said(), after=0))

    threads = [threading.Thread(target=send) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(came) == [False] * 7 + [True]
    assert len(store.shop_log.entries()[0]) == 1
    store.close()


def test_a_locked_store_acknowledges_nothing(store: Store) -> None:
    """Another writer holds the database: refused in words, and it comes through once the lock is gone."""
    other = sqlite3.connect(store.folder / "shop.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    one = said()
    with pytest.raises(StoreBusy, match="Nothing was written"):
        store.shop_log.append(one)
    other.execute("ROLLBACK")
    other.close()
    assert store.shop_log.append(one) is True


@pytest.mark.parametrize(
    ("line", "error", "words"),
    [
        (
            '{"id": "%s", "at": "2026-03-02T08:00:00Z", "by": "B", "version": 9, "body": {"kind": "rule_said"}}',
            TooNew,
            "'rule_said' has version 9; this program reads version 1. Open the shop with the later",
        ),
        (
            '{"id": "%s", "at": "2026-03-02T08:00:00Z", "by": "B", "body": {"kind": "bench_moved"}}',
            TooNew,
            "'bench_moved' has version 1; this program reads version none",
        ),
        (
            '{"id": "%s", "at": "2026-03-02T08:00:00Z", "by": "B", "body": {"kind": "rule_said"}}',
            StoreBroken,
            "Entry 0 of the log cannot be read: body.rule_said.rule: Field required",
        ),
    ],
)
def test_a_later_or_damaged_log_is_named(store: Store, line: str, error: type[Exception], words: str) -> None:
    """An old program never guesses at a new log."""
    with writing(store.engine) as connection:
        connection.exec_driver_sql(
            "INSERT INTO shop_entries (id, kind, line) VALUES ('x', 'rule_said', ?)",
            (line % uuid.uuid4().hex,),
        )
    with pytest.raises(error, match=words):
        store.shop_log.entries()


WRITER = """
import sys, uuid
from datetime import UTC, datetime
from pathlib import Path
from countershaft.job.at_shop import RuleSaid, ShopEntry
from countershaft.store.shop import open_store

store = open_store(Path(sys.argv[1]))
while True:
    body = RuleSaid(rule="plain", because="x" * 400)
    entry = ShopEntry(id=uuid.uuid4().hex, at=datetime.now(UTC), by="R. Bench", body=body)
    store.shop_log.append(entry)
    print(entry.id, flush=True)
"""


@pytest.mark.parametrize("seed", range(2))
def test_every_acknowledged_entry_survives(tmp_path: Path, seed: int) -> None:
    """What the writer printed after `append` returned is there after kill -9, and the log still reads."""
    acknowledged = tmp_path / "acknowledged"
    with acknowledged.open("w") as out:
        writer = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(tmp_path / "shop")], stdout=out, env=ENVIRONMENT
        )
        try:
            deadline = time.monotonic() + 60
            while acknowledged.stat().st_size < 33 * 5 and time.monotonic() < deadline:
                time.sleep(0.01)
            time.sleep(random.Random(seed).uniform(0.0, 0.2))
        finally:
            os.kill(writer.pid, signal.SIGKILL)
            writer.wait()
    ids = [line.strip() for line in acknowledged.read_text().splitlines() if len(line) == 32]
    assert len(ids) >= 3, "the writer never wrote"
    store = open_store(tmp_path / "shop")
    try:
        kept = [entry.id for entry in store.shop_log.entries()[0]]
    finally:
        store.close()
    assert kept[: len(ids)] == ids
    assert len(kept) <= len(ids) + 1
