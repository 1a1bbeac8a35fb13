"""Entries to stored text and back.

Each entry is one line of JSON.  A body of a later version than this program knows is refused by name, so that an
old program never guesses at a new log.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import TypeVar

from pydantic import TypeAdapter, ValidationError

from countershaft.errors import StoreBroken, TooNew
from countershaft.job.at_shop import SHOP_KINDS, ShopEntry
from countershaft.job.entry import KINDS, Entry

__all__ = [
    "SHOP_VERSIONS",
    "VERSIONS",
    "read_entries",
    "read_shop_entries",
    "write_entry",
    "write_shop_entry",
]

#: The version of each kind's shape that this program writes, and the highest it reads.
VERSIONS: dict[str, int] = {
    **dict.fromkeys(KINDS, 1),
    **dict.fromkeys(("reading", "dimensions", "remeasured"), 2),  # 2: how the figures were taken
    "trial": 3,  # 2: how the figures were taken; 3: the part that was found
    "chosen": 2,  # 2: which piece, on which side, of which plates
}

#: The same for what a shop says of itself.
SHOP_VERSIONS: dict[str, int] = dict.fromkeys(SHOP_KINDS, 1)

_ENTRIES = TypeAdapter(tuple[Entry, ...])
_SHOP_ENTRIES = TypeAdapter(tuple[ShopEntry, ...])

E = TypeVar("E", Entry, ShopEntry)


def write_entry(entry: Entry) -> str:
    """One entry as one line of JSON, with keys in a fixed order."""
    return entry.model_dump_json()


def read_entries(lines: Iterable[str]) -> tuple[Entry, ...]:
    """Entries from their stored lines, in the same order.

    Raises TooNew when a line was written by a later version, StoreBroken when a line is no entry.
    """
    return _read(_ENTRIES, VERSIONS, lines)


def write_shop_entry(entry: ShopEntry) -> str:
    """One entry of the shop's own log as one line of JSON."""
    return entry.model_dump_json()


def read_shop_entries(lines: Iterable[str]) -> tuple[ShopEntry, ...]:
    """Entries of the shop's own log from their stored lines; raises as `read_entries` does."""
    return _read(_SHOP_ENTRIES, SHOP_VERSIONS, lines)


def _read(
    shape: TypeAdapter[tuple[E, ...]], versions: Mapping[str, int], lines: Iterable[str]
) -> tuple[E, ...]:
    text = f"[{','.join(lines)}]"
    try:
        entries = shape.validate_json(text)
    except ValidationError as cause:
        raise _explain(text, cause, versions) from cause
    for entry in entries:
        if entry.version > versions[entry.body.kind]:
            raise _too_new(entry.body.kind, entry.version, versions)
    return entries


def _too_new(kind: str, version: int, versions: Mapping[str, int]) -> TooNew:
    return TooNew(
        f"An entry of kind {kind!r} has version {version}; this program reads version "
        f"{versions.get(kind, 'none')}. Open the {'job' if versions is VERSIONS else 'shop'} with the later "
        "countershaft that wrote it; nothing was changed."
    )


def _explain(text: str, cause: ValidationError, versions: Mapping[str, int]) -> StoreBroken | TooNew:
    """Tell a log from the future apart from a damaged one."""
    first = cause.errors()[0]
    try:
        raw = json.loads(text)
    except json.JSONDecodeError:
        return StoreBroken(f"The stored log is no JSON: {first['msg']}. Restore it from a backup.")
    for item in raw:
        kind = str(item.get("body", {}).get("kind", "")) if isinstance(item, dict) else ""
        version = item.get("version", 1) if isinstance(item, dict) else 1
        if kind and (kind not in versions or (isinstance(version, int) and version > versions[kind])):
            return _too_new(kind, version, versions)
    index = first["loc"][0] if first["loc"] else "?"
    where = ".".join(str(part) for part in first["loc"][1:])
    return StoreBroken(
        f"Entry {index} of the log cannot be read: {where}: {first['msg']}. Restore it from a backup."
    )
