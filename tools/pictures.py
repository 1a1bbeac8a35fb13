"""Take the pictures of the README from the running program: `python -m tools.pictures` (needs a Chromium)."""

from __future__ import annotations

import shutil
import tempfile
import threading
import time
from datetime import UTC, datetime
from pathlib import Path

import uvicorn
from playwright.sync_api import sync_playwright

from countershaft.cli.serve import free_port
from countershaft.desk.demo_shop import make_demo_shop
from countershaft.desk.desk import Desk
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app

FOLDER = Path(__file__).parents[1] / "docs" / "pictures"
#: Name of the picture, page of the demo shop, colour scheme, height of the window.
PICTURES = (
    ("resume", "/", "light", 1000),
    ("joint", "/jobs/0412/joint/P", "light", 1180),
    ("fit", "/jobs/0412/fit/CL-A", "dark", 1000),
)


def main() -> None:
    """Make the demo shop, open three of its pages at tablet size, and keep what is seen."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(Path(folder))
        make_demo_shop(store, now=datetime(2026, 11, 23, 9, 0, tzinfo=UTC))
        port = free_port("127.0.0.1", 8900)
        app = create_app(Desk(store), Settings(person="R. Bench"))
        server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_level="warning"))
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.02)
        _take(f"http://127.0.0.1:{port}")
        server.should_exit = True
        thread.join()
        store.close()


def _take(address: str) -> None:
    browser_path = next(
        filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None
    )
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=browser_path, args=["--no-sandbox", "--disable-gpu"])
        for name, path, scheme, height in PICTURES:
            dark = scheme == "dark"
            page = browser.new_page(
                viewport={"width": 820, "height": height}, color_scheme="dark" if dark else "light"
            )
            page.goto(f"{address}{path}")
            page.evaluate("document.fonts.ready")
            page.screenshot(path=FOLDER / f"{name}.png")
            print(f"docs/pictures/{name}.png")
        browser.close()


if __name__ == "__main__":
    main()
