"""What the commands that work on a shop's folder share: the folder, the person, the desk."""

from __future__ import annotations

import getpass
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from countershaft.desk.desk import Desk
from countershaft.errors import Unknown
from countershaft.store.shop import open_store

__all__ = ["by_option", "desk_of", "json_option", "person", "shop_option"]

shop_option = click.option(
    "--shop", type=click.Path(file_okay=False, path_type=Path), default=Path("shop"), show_default=True,
    envvar="COUNTERSHAFT_SHOP", help="The shop's folder.",
)  # fmt: skip
by_option = click.option("--by", default=None, envvar="COUNTERSHAFT_PERSON", help="Who is at the bench.")
json_option = click.option("--json", "as_json", is_flag=True, help="Print plain JSON.")


@contextmanager
def desk_of(shop: Path, *, make: bool = False) -> Iterator[Desk]:
    """The desk of a shop; only a new job makes a folder, so that a mistyped name makes none."""
    if not make and not (shop / "shop.db").is_file():
        raise Unknown(
            f"There is no shop in {shop}. Name its folder with --shop, or begin one with: "
            "countershaft job new TAG --unit NAME --vehicle WORDS"
        )
    store = open_store(shop)
    try:
        yield Desk(store)
    finally:
        store.close()


def person(by: str | None) -> str:
    """Who is at the bench: as said, else the name that the computer knows."""
    return by or getpass.getuser()
