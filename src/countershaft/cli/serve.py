"""`countershaft serve`: a shop's folder in the browser."""

from __future__ import annotations

import os
import socket
import threading
import time
import webbrowser
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import click
import uvicorn

from countershaft.desk.desk import Desk
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app

__all__ = ["free_port", "serve", "serve_folder"]


@click.command()
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.option(
    "--port", type=click.IntRange(1, 65535), default=8765, show_default=True, help="Port to listen on."
)
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--no-open", is_flag=True, help="Do not open a browser.")
def serve(folder: Path, port: int, host: str, no_open: bool) -> None:
    """Open a shop's FOLDER in the browser; it is made if it is not there."""
    serve_folder(folder, host=host, port=port, open_browser=not no_open, person="")


def serve_folder(folder: Path, *, host: str, port: int, open_browser: bool, person: str) -> None:
    """Start the web app on a folder and stay until it is stopped."""
    desk = Desk(open_store(folder))
    desk.shelve_library()
    found = free_port(host, port)
    address = f"http://{host}:{found}/"
    app = create_app(desk, Settings(person=person))
    threading.Thread(target=_announce, args=(address, open_browser), daemon=True).start()
    uvicorn.run(app, host=host, port=found, log_level="warning", access_log=False, server_header=False)


def free_port(host: str, port: int) -> int:
    """The port that was asked for, or the next one that nobody uses."""
    for candidate in range(port, min(port + 50, 65536)):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, candidate))
            except OSError:
                continue
            return candidate
    raise click.ClickException(f"Ports {port} to {port + 49} are all in use. Name another with --port.")


def _announce(address: str, open_browser: bool) -> None:
    """Say the address once the app answers, and open it where a desktop is."""
    for _ in range(600):
        try:
            with urlopen(f"{address}up", timeout=1):  # noqa: S310  # our own address, made two lines above
                break
        except (URLError, OSError):
            time.sleep(0.05)
    click.echo(f"countershaft is open at {address}  (stop it with Ctrl+C)")
    if open_browser and (os.name == "nt" or "DISPLAY" in os.environ or "WAYLAND_DISPLAY" in os.environ):
        webbrowser.open(address)
