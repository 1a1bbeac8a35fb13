"""`countershaft demo`: the demo shop in the browser."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import click

from countershaft.cli.serve import serve_folder
from countershaft.desk.demo_shop import make_demo_shop
from countershaft.errors import BadInput
from countershaft.store.shop import open_store

__all__ = ["demo"]


@click.command()
@click.option(
    "--dir", "folder", type=click.Path(file_okay=False, path_type=Path), default=Path("demo-shop"), show_default=True,
    help="Folder of the demo shop.",
)  # fmt: skip
@click.option(
    "--port", type=click.IntRange(1, 65535), default=8765, show_default=True, help="Port to listen on."
)
@click.option("--no-open", is_flag=True, help="Do not open a browser.")
@click.option("--make-only", is_flag=True, help="Make the shop and stop.")
def demo(folder: Path, port: int, no_open: bool, make_only: bool) -> None:
    """Make a demo shop with five invented jobs, if it is not there, and open it in the browser."""
    if not (folder / "shop.db").exists():
        _refuse_strangers(folder)
        click.echo("Making the demo shop: five invented jobs at four stages …")
        _make(folder)
    if not make_only:
        serve_folder(folder, host="127.0.0.1", port=port, open_browser=not no_open, person="R. Bench")


def _refuse_strangers(folder: Path) -> None:
    """A folder that holds somebody's files is never made into a demo shop."""
    if folder.exists() and any(folder.iterdir()):
        raise BadInput(
            f"{folder} holds something that is no shop; nothing was touched. "
            "Name an empty or a new folder with --dir."
        )


def _make(folder: Path) -> None:
    """Make the shop beside its place and move it there whole, so that a half-made shop is never opened."""
    beside = folder.with_name(f".{folder.name}-making")
    shutil.rmtree(beside, ignore_errors=True)
    store = open_store(beside)
    try:
        make_demo_shop(store, now=datetime.now(UTC))
    finally:
        store.close()
    if folder.exists():
        folder.rmdir()
    beside.replace(folder)
