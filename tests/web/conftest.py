"""A shop behind a real server and a real browser in front of it."""

from __future__ import annotations

import os
import shutil
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, sync_playwright

from countershaft.desk.desk import Desk
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app

ARGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip


def chromium() -> str | None:
    """The browser that this machine has, or None."""
    named = os.environ.get("CHROMIUM")
    return named or next(
        filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None
    )


@dataclass(frozen=True)
class Site:
    """An address, and the desk behind it."""

    address: str
    desk: Desk
    folder: Path


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    """The app on an empty shop with the library on its shelf, served on a free port."""
    store = open_store(tmp_path / "shop", busy_seconds=1.0)
    desk = Desk(store)
    desk.shelve_library()
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    app = create_app(desk, Settings(person="R. Bench"))
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_level="warning"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    deadline = time.monotonic() + 30
    while not server.started and time.monotonic() < deadline:
        time.sleep(0.02)
    yield Site(f"http://127.0.0.1:{port}", desk, tmp_path / "shop")
    server.should_exit = True
    thread.join(timeout=10)
    store.close()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Headless Chromium; without one the test is skipped, but never where tests are the gate."""
    path = chromium()
    if path is None:
        if os.environ.get("CI"):
            pytest.fail("no Chromium on this machine, and CI=true: install it, or name it in CHROMIUM")
        pytest.skip("no Chromium on this machine: install it, or name it in CHROMIUM")
    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=path, args=ARGS)
        yield opened
        opened.close()
