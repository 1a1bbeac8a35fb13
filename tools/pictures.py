"""Take the pictures of the pages from the running program: `python -m tools.pictures` (needs a Chromium)."""

from __future__ import annotations

import shutil
import tempfile
import threading
import time
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import uvicorn
from playwright.sync_api import Browser, sync_playwright

from countershaft.cli.serve import free_port
from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.demo_shop import make_demo_shop
from countershaft.desk.desk import Desk
from countershaft.errors import OutOfRange
from countershaft.figures.shift_matrix import matrix_of, shift_matrix
from countershaft.figures.slot_gauge import SlotGauge, slot_gauge
from countershaft.figures.speed_ladder import SpeedLadder, speed_ladder
from countershaft.figures.stick_diagram import StickDiagram, stick_diagram
from countershaft.figures.train_flow import power_shares
from countershaft.mechanics.load import load_state
from countershaft.mechanics.powerflow import power_flow
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app

FOLDER = Path(__file__).parents[1] / "docs" / "pictures"
#: Name of the picture, page of the demo shop, colour scheme, height of the window.
PICTURES = (
    ("resume", "/", "light", 1000),
    ("joint", "/jobs/0412/joint/P", "light", 1180),
    ("fit", "/jobs/0412/fit/CL-A", "dark", 1000),
    ("keypad", "/jobs/L7/measure/reading?key=C04&back=/jobs/L7/inspect", "light", 1000),
    ("choice", "/jobs/0421/fit/choose", "light", 1000),
    ("alignment", "/jobs/0418/alignment", "dark", 1720),
)
#: Width at which a drawing stands on the tablet, in pixels.
WIDTH = 780


def drawings() -> dict[str, str]:
    """The drawings of the page on drawings, of demo B in its fourth gear and of an invented end play."""
    train = read_transmission(library_text("demo-b"), "demo-b").train
    if train is None:
        raise OutOfRange("the pictures need a gear train in demo-b; its file has none.")
    network, states, gear, title = train.network(), train.states(), "4", "Demo B"
    power = power_shares(power_flow(network, load_state(network, states[gear], Fraction(1))))
    end_play = SlotGauge(0.30, 0.80, 0.46, 0.03, 0.50, "mm", "good", 2, "End play of the input shaft")
    return {
        "stick-diagram": stick_diagram(StickDiagram(network, title, gear, states[gear], power)),
        "speed-ladder": speed_ladder(SpeedLadder(network, title, states, gear, 2000.0)),
        "shift-matrix": shift_matrix(matrix_of(network, train.chart, title, gear=gear)),
        "slot-gauge": slot_gauge(end_play),
    }


def main() -> None:
    """Make the demo shop, open some of its pages at tablet size, draw, and keep what is seen."""
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
        _draw(browser, address)
        browser.close()


def _draw(browser: Browser, address: str) -> None:
    """Set each drawing alone on a page that has the program's style sheets."""
    page = browser.new_page(viewport={"width": WIDTH + 40, "height": 1200}, color_scheme="light")
    page.goto(f"{address}/")
    for name, svg in drawings().items():
        page.evaluate(
            "([svg, width]) => { document.body.innerHTML = '<div id=drawing></div>';"
            " const box = document.getElementById('drawing');"
            " box.style.width = width + 'px'; box.style.padding = '12px'; box.innerHTML = svg; }",
            [svg, WIDTH],
        )
        page.evaluate("document.fonts.ready")
        page.locator("#drawing").screenshot(path=FOLDER / f"{name}.png")
        print(f"docs/pictures/{name}.png")


if __name__ == "__main__":
    main()
