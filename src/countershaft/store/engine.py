"""The database behind one small face: SQLite by default, with every acknowledged entry on the disk.

SQLite is set to write-ahead log, foreign keys and full synchronous, so that what a commit returned from survives a
crash of the program and of the machine.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError, DBAPIError, OperationalError

from countershaft.errors import StoreBroken, StoreBusy, StoreError, StoreFull

__all__ = ["BUSY_SECONDS", "open_engine", "reading", "writing"]

#: How long a writer waits for another before it gives up and says so.
BUSY_SECONDS = 5.0


def open_engine(path: Path, *, busy_seconds: float = BUSY_SECONDS) -> Engine:
    """An engine on the SQLite file at `path`; the file is made at the first write."""
    engine = create_engine(
        f"sqlite:///{path}",
        connect_args={"timeout": busy_seconds, "check_same_thread": False},
        pool_size=8,
    )

    @event.listens_for(engine, "connect")
    def _configure(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = None  # we say BEGIN ourselves, so that schema changes roll back too
        cursor = connection.cursor()
        for pragma in ("journal_mode=WAL", "foreign_keys=ON", "synchronous=FULL"):
            cursor.execute(f"PRAGMA {pragma}")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        mode = connection.get_execution_options().get("begin", "")
        connection.exec_driver_sql(f"BEGIN {mode}".strip())

    return engine


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A connection for reading one consistent picture."""
    with _translated(), engine.connect() as connection:
        yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A connection that holds the right to write; leaving it commits to the disk, an error rolls all back."""
    with (
        _translated(),
        engine.connect().execution_options(begin="IMMEDIATE") as connection,
        connection.begin(),
    ):
        yield connection


@contextmanager
def _translated() -> Iterator[None]:
    """Turn the database's complaints into ours, which say what became of the entry."""
    try:
        yield
    except (OperationalError, DatabaseError) as cause:
        raise _ours(cause) from cause
    except sqlite3.Error as cause:
        raise _ours(cause) from cause


def _ours(cause: DBAPIError | sqlite3.Error) -> StoreError:
    text = str(getattr(cause, "orig", None) or cause)
    low = text.lower()
    if "locked" in low or "busy" in low:
        return StoreBusy(
            "Another program holds the store. Nothing was written; what was acknowledged before is safe. Try again."
        )
    if (
        "full" in low
        or "disk i/o" in low
        or "readonly" in low
        or "read-only" in low
        or "unable to open" in low
    ):
        return StoreFull(
            f"The store cannot be written ({text}). Nothing was written; what was acknowledged before is safe. "
            "Make room on the disk or allow writing, then send it again."
        )
    return StoreBroken(f"The store answered: {text}. Nothing was written.")
