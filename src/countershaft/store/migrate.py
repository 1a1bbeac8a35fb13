"""Numbered forward migrations: each runs in one transaction together with its own record.

The steps live in `migrations/versions/`, one file per number; Alembic applies them.
It is loaded only when the store is behind, so that an up-to-date store opens without it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, inspect, text

from countershaft.errors import TooNew
from countershaft.store.engine import reading, translated

__all__ = ["HEAD", "HISTORY", "migrate", "version"]

#: Every number that has ever been a head, oldest first; the last is the one this program works with.
HISTORY: Final[tuple[str, ...]] = ("0001", "0002", "0003")
HEAD: Final[str] = HISTORY[-1]

_SCRIPTS: Final[Path] = Path(__file__).with_name("migrations")


def version(engine: Engine) -> str | None:
    """The number the store is at; None for an empty store."""
    with reading(engine) as connection:
        return _version(connection)


def migrate(engine: Engine, *, to: str = HEAD) -> None:
    """Bring the store forward to a number; a store from a later program is left alone."""
    now = version(engine)
    if now == to:
        return
    if now is not None and now not in HISTORY:
        raise TooNew(
            f"The store is at migration {now}; this program knows {HEAD}. "
            "Open it with the later countershaft that wrote it; nothing was changed."
        )
    from alembic import command  # half a second to import, and needed only when the store is behind
    from alembic.config import Config  # as above

    config = Config()
    config.set_main_option("script_location", str(_SCRIPTS).replace("%", "%%"))
    with translated(), engine.connect().execution_options(begin="IMMEDIATE") as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, to)


def _version(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)
