"""Migrations.  Expected values: one schema from an empty store and from every older one; a failure leaves no trace."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from alembic.script import ScriptDirectory
from sqlalchemy import Engine

from countershaft.errors import StoreBusy, TooNew
from countershaft.store import migrate as steps
from countershaft.store.engine import open_engine
from countershaft.store.migrate import HEAD, HISTORY, migrate, version
from tests.store.test_kill import ENVIRONMENT


def schema(engine: Engine) -> list[tuple[str, str]]:
    """Every table and index as the database knows it."""
    with engine.connect() as connection:
        found = connection.exec_driver_sql(
            "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY name"
        )
        return [(row[0], row[1]) for row in found]


def test_every_old_store_reaches_the_same_schema(tmp_path: Path) -> None:
    """From each number of the history forward, and from nothing."""
    fresh = open_engine(tmp_path / "fresh.db")
    migrate(fresh)
    for number in HISTORY:
        old = open_engine(tmp_path / f"{number}.db")
        migrate(old, to=number)
        assert version(old) == number
        migrate(old)
        assert version(old) == HEAD
        assert schema(old) == schema(fresh)
        old.dispose()
    fresh.dispose()


def test_the_history_is_what_the_scripts_say() -> None:
    """The list of numbers in the program equals the chain of files."""
    scripts = ScriptDirectory(str(steps._SCRIPTS))
    assert tuple(reversed([script.revision for script in scripts.walk_revisions()])) == HISTORY


def test_a_store_from_a_later_program_is_left_alone(tmp_path: Path) -> None:
    """An unknown number is refused in words and nothing is touched."""
    engine = open_engine(tmp_path / "later.db")
    migrate(engine)
    with engine.connect() as connection, connection.begin():
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(TooNew, match="migration 9999; this program knows"):
        migrate(engine)
    assert version(engine) == "9999"
    engine.dispose()


def test_a_failed_step_leaves_no_trace(tmp_path: Path) -> None:
    """A step that fails half-way is rolled back whole, its number with it."""
    engine = open_engine(tmp_path / "half.db")
    migrate(engine, to="0001")
    with engine.connect() as connection, connection.begin():
        connection.exec_driver_sql("CREATE TABLE attachment (digest TEXT)")
    before = schema(engine)
    with pytest.raises(Exception, match="attachment already exists"):
        migrate(engine)
    assert version(engine) == "0001"
    assert schema(engine) == before
    engine.dispose()


OPENER = """
import sys, time
from pathlib import Path
from countershaft.store.shop import open_store

while not Path(sys.argv[2]).exists():
    time.sleep(0.001)
open_store(Path(sys.argv[1])).close()
"""


def test_many_programs_may_open_a_new_shop_at_once(tmp_path: Path) -> None:
    """Four processes start on an empty folder in the same moment: each comes through, and the schema is whole."""
    go = tmp_path / "go"
    command = [sys.executable, "-W", "error", "-c", OPENER, str(tmp_path / "shop"), str(go)]
    started = [subprocess.Popen(command, stderr=subprocess.PIPE, env=ENVIRONMENT) for _ in range(4)]
    time.sleep(1.0)
    go.touch()
    for process in started:
        _, said = process.communicate(timeout=60)
        assert process.returncode == 0, said.decode()
    engine = open_engine(tmp_path / "shop" / "shop.db")
    assert version(engine) == HEAD
    engine.dispose()


def test_a_locked_store_is_not_brought_forward(tmp_path: Path) -> None:
    """Another writer holds an old store: it is said in our words, and comes through later."""
    engine = open_engine(tmp_path / "old.db", busy_seconds=0.1)
    migrate(engine, to="0001")
    holder = sqlite3.connect(tmp_path / "old.db", isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreBusy, match="Another program holds the store"):
        migrate(engine)
    holder.execute("ROLLBACK")
    holder.close()
    migrate(engine)
    assert version(engine) == HEAD
    engine.dispose()
