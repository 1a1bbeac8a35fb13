"""The database's complaints as ours.  Expected values: SQLite's result codes (sqlite.org/rescode.html)."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy.exc import OperationalError

from countershaft.errors import StoreBroken, StoreBusy, StoreError, StoreFull
from countershaft.store.engine import open_engine, reading, translated, writing
from countershaft.store.shop import Store, open_store


@pytest.mark.parametrize(
    ("code", "kind", "words"),
    [
        (5, StoreBusy, "Another program holds the store"),
        (6, StoreBusy, "Another program holds the store"),
        (517, StoreBusy, "Another program holds the store"),  # SQLITE_BUSY_SNAPSHOT
        (13, StoreFull, "Make room on the disk"),
        (8, StoreFull, "Allow writing in the shop's folder"),
        (14, StoreFull, "Allow writing in the shop's folder"),
        (10, StoreBroken, "The disk failed or is full"),
        (778, StoreBroken, "The disk failed or is full"),  # SQLITE_IOERR_WRITE
        (11, StoreBroken, "The store answered: locked full readonly"),
    ],
)
def test_the_number_decides_and_not_the_words(code: int, kind: type[StoreError], words: str) -> None:
    """Whatever the text says, each code has its class and its cure."""
    cause = sqlite3.OperationalError("locked full readonly")
    cause.sqlite_errorcode = code
    with pytest.raises(kind, match=words), translated():
        raise OperationalError("INSERT", None, cause)


def test_a_store_that_may_only_be_read_says_so(store: Store) -> None:
    """SQLite's own refusal to write, through the real driver."""

    def write() -> None:
        with writing(store.engine) as connection:
            connection.exec_driver_sql("PRAGMA query_only=ON")
            connection.exec_driver_sql("DELETE FROM entry")

    with pytest.raises(StoreFull, match="Allow writing in the shop's folder"):
        write()


def test_a_file_that_is_no_database_is_said(tmp_path: Path) -> None:
    """Somebody's text under the name of the store."""
    (tmp_path / "shop.db").write_text(
        "a letter, not a database, and long enough to be read as a page header" * 20
    )
    with pytest.raises(StoreBroken, match="file is not a database"):
        open_store(tmp_path)


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    """A file stands where the shop's folder should be."""
    (tmp_path / "shop").write_text("a letter")
    with pytest.raises(StoreFull, match="shop cannot be written"):
        open_store(tmp_path / "shop")
    with pytest.raises(StoreFull, match="allow writing there, or name another folder"):
        open_store(tmp_path / "shop" / "deeper")


@pytest.mark.parametrize("name", ["50 % off?", "a#b", "Größe & Maß"])
def test_any_name_of_a_folder_will_do(tmp_path: Path, name: str) -> None:
    """Signs that mean something in an address mean nothing here."""
    store = open_store(tmp_path / name)
    store.close()
    assert (tmp_path / name / "shop.db").is_file()
    engine = open_engine(tmp_path / name / "shop.db")
    with reading(engine) as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM job").scalar_one() == 0
    engine.dispose()
