"""The shop's own log in the database, with the guarantees of a job's."""

from __future__ import annotations

from sqlalchemy import Connection, Engine, text

from countershaft.errors import EntryRefused
from countershaft.job.at_shop import ShopEntry
from countershaft.job.serial import read_shop_entries, write_shop_entry
from countershaft.store.engine import reading, writing

__all__ = ["ShopLog"]


class ShopLog:
    """Append entries of the shop's own log, and load them."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def append(self, entry: ShopEntry, *, after: int | None = None) -> bool:
        """Append an entry and return once it is on the disk.

        Returns False when that entry is there already (a re-sent entry is harmless), and when the newest sequence
        number is no longer `after`: somebody else was first, so look at the shop again.
        Raises EntryRefused when the id belongs to an entry that says something else.
        """
        with writing(self._engine) as connection:
            if self._sent_before(connection, entry) or (
                after is not None and self._newest(connection) != after
            ):
                return False
            connection.execute(
                text("INSERT INTO shop_entries (id, kind, line) VALUES (:id, :kind, :line)"),
                {"id": entry.id, "kind": entry.body.kind, "line": write_shop_entry(entry)},
            )
            return True

    def entries(self, *, after: int = 0) -> tuple[tuple[ShopEntry, ...], int]:
        """Entries behind a sequence number, and the number of the last one."""
        with reading(self._engine) as connection:
            rows = connection.execute(
                text("SELECT seq, line FROM shop_entries WHERE seq > :after ORDER BY seq"), {"after": after}
            ).all()
        return read_shop_entries(row.line for row in rows), (rows[-1].seq if rows else after)

    @staticmethod
    def _sent_before(connection: Connection, entry: ShopEntry) -> bool:
        """Whether this very entry is in the log; one id for two facts would lose the second, so it is refused."""
        found = connection.execute(
            text("SELECT line FROM shop_entries WHERE id = :id"), {"id": entry.id}
        ).first()
        if found is None:
            return False
        (kept,) = read_shop_entries((found.line,))
        if kept.body.model_dump_json() != entry.body.model_dump_json():
            raise EntryRefused(
                f"Not written: the shop's log has an entry {entry.id[:8]} that says something else. "
                "Open the page again and type it there; what was acknowledged before stays."
            )
        return True

    @staticmethod
    def _newest(connection: Connection) -> int:
        found = connection.execute(text("SELECT coalesce(max(seq), 0) FROM shop_entries"))
        return int(found.scalar_one())
