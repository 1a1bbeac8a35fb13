"""A shop with one job on a file of the library, and the app on it, for the tests of pages."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from starlette.testclient import TestClient

from countershaft.desk.demo_bench import Clock
from countershaft.desk.demo_shop import START_OF_DEMO, diagnosed, six_speed
from countershaft.desk.desk import Desk
from countershaft.job.entry import JobOpened
from countershaft.model.transmission import Transmission
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app

__all__ = ["at_a_tablet", "diagnosed_job", "one_job"]


@contextmanager
def one_job(folder: Path, unit: Transmission) -> Iterator[tuple[TestClient, Desk]]:
    """Job J-1 on that unit, with R. Bench at the bench."""
    store = open_store(folder / "shop")
    desk = Desk(store)
    desk.shelve_library()
    digest = next(row.digest for row in desk.definitions() if row.name == unit.name)
    desk.open_job(JobOpened(tag="J-1", vehicle="van", unit=unit.name, definition=digest), by="R. Bench")
    with at_a_tablet(desk) as client:
        yield client, desk
    store.close()


@contextmanager
def diagnosed_job(folder: Path) -> Iterator[Desk]:
    """A shop with job J1 on demo B that is only diagnosed, and an empty list of instruments."""
    store = open_store(folder / "shop")
    made = Desk(store, now=Clock(START_OF_DEMO))
    made.shelve_library()
    diagnosed(six_speed(made, "J1", vehicle="invented van", by="R. Bench"))
    yield made
    store.close()


@contextmanager
def at_a_tablet(desk: Desk) -> Iterator[TestClient]:
    """Somebody at a tablet."""
    with TestClient(create_app(desk, Settings(person="R. Bench", warm=lambda: None))) as opened:
        yield opened
