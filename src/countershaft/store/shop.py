"""A shop's folder: its database and its pictures."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Engine

from countershaft.errors import StoreError
from countershaft.store.attachments import Attachments
from countershaft.store.engine import BUSY_SECONDS, open_engine, unwritable
from countershaft.store.jobs import Jobs
from countershaft.store.library import Definitions
from countershaft.store.migrate import migrate
from countershaft.store.shop_log import ShopLog

__all__ = ["Store", "open_store"]


class Store:
    """Everything that a shop keeps, behind one object."""

    def __init__(self, engine: Engine, folder: Path) -> None:
        self.engine = engine
        self.folder = folder
        self.jobs = Jobs(engine)
        self.shop_log = ShopLog(engine)
        self.definitions = Definitions(engine)
        self.attachments = Attachments(engine, folder / "pictures")

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()


def open_store(folder: Path, *, busy_seconds: float = BUSY_SECONDS) -> Store:
    """Open a shop's folder, making it if it is not there, and bring its schema forward."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as cause:
        raise unwritable(f"The shop's folder {folder}", cause) from cause
    engine = open_engine(folder / "shop.db", busy_seconds=busy_seconds)
    try:
        migrate(engine)
    except StoreError:
        engine.dispose()
        raise
    return Store(engine, folder)
