"""The database behind one small face: SQLite by default, with every acknowledged entry on the disk.

SQLite is set to write-ahead log, foreign keys and full synchronous, so that what a commit returned from survives a
crash of the program and of the machine.
"""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError, DBAPIError

from countershaft.errors import StoreBroken, StoreBusy, StoreError, StoreFull

__all__ = ["BUSY_SECONDS", "open_engine", "reading", "translated", "unwritable", "writing"]

#: How long a writer waits for another before it gives up and says so.
BUSY_SECONDS = 5.0


def open_engine(path: Path, *, busy_seconds: float = BUSY_SECONDS) -> Engine:
    """An engine on the SQLite file at `path`, whatever signs its name has; the file is made at the first write."""
    engine = create_engine(
        URL.create("sqlite", database=str(path)),
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
    with translated(), engine.connect() as connection:
        yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A connection that holds the right to write; leaving it commits to the disk, an error rolls all back."""
    with (
        translated(),
        engine.connect().execution_options(begin="IMMEDIATE") as connection,
        connection.begin(),
    ):
        yield connection


@contextmanager
def translated() -> Iterator[None]:
    """Turn the database's complaints into ours, which say what became of the entry."""
    try:
        yield
    except (DatabaseError, sqlite3.Error) as cause:
        raise _ours(cause) from cause


def _ours(cause: DBAPIError | sqlite3.Error) -> StoreError:
    """One of the database's errors as ours, by its number; its words are for people and may change."""
    orig = getattr(cause, "orig", None) or cause
    kind = getattr(orig, "sqlite_errorcode", 0) & 0xFF
    if kind in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return StoreBusy(
            "Another program holds the store. Nothing was written; what was acknowledged before is safe. Try again."
        )
    if kind == sqlite3.SQLITE_FULL:
        return StoreFull(_unwritten(str(orig), "Make room on the disk, then send it again."))
    if kind in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return StoreFull(_unwritten(str(orig), "Allow writing in the shop's folder, then send it again."))
    if kind == sqlite3.SQLITE_IOERR:
        return StoreBroken(
            _unwritten(str(orig), "The disk failed or is full: look at it, and make a copy now.")
        )
    return StoreBroken(f"The store answered: {orig}. Nothing was written.")


def _unwritten(said: str, cure: str) -> str:
    return f"The store cannot be written ({said}). Nothing was written; what was acknowledged before is safe. {cure}"


def unwritable(what: str, cause: OSError) -> StoreError:
    """An error of the disk, where a file or folder of the shop could not be made or written."""
    said = f"{what} cannot be written ({cause.strerror or cause}). Nothing was written; "
    if cause.errno in (errno.ENOSPC, errno.EDQUOT):
        return StoreFull(f"{said}make room and send it again.")
    if cause.errno in (errno.EROFS, errno.EACCES, errno.EPERM, errno.ENOTDIR, errno.EEXIST):
        return StoreFull(f"{said}allow writing there, or name another folder, and try again.")
    return StoreBroken(f"{said}look at the disk and try again.")
