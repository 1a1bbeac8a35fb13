"""Entries to stored text and back.

Each entry is one line of JSON.  A body of a later version than this program knows is refused by name, so that an
old program never guesses at a new log.
"""

from __future__ import annotations

import json
from collections.abc import Iterable

from pydantic import TypeAdapter, ValidationError

from countershaft.errors import StoreBroken, TooNew
from countershaft.job.entry import KINDS, Entry

__all__ = ["VERSIONS", "read_entries", "write_entry"]

#: The version of each kind's shape that this program writes, and the highest it reads.
VERSIONS: dict[str, int] = {
    **dict.fromkeys(KINDS, 1),
    **dict.fromkeys(("reading", "trial", "dimensions", "remeasured"), 2),  # 2: how the figures were taken
}

_ENTRIES = TypeAdapter(tuple[Entry, ...])


def write_entry(entry: Entry) -> str:
    """One entry as one line of JSON, with keys in a fixed order."""
    return entry.model_dump_json()


def read_entries(lines: Iterable[str]) -> tuple[Entry, ...]:
    """Entries from their stored lines, in the same order.

    Raises TooNew when a line was written by a later version, StoreBroken when a line is no entry.
    """
    text = f"[{','.join(lines)}]"
    try:
        entries = _ENTRIES.validate_json(text)
    except ValidationError as cause:
        raise _explain(text, cause) from cause
    for entry in entries:
        if entry.version > VERSIONS[entry.body.kind]:
            raise _too_new(entry.body.kind, entry.version)
    return entries


def _too_new(kind: str, version: int) -> TooNew:
    return TooNew(
        f"An entry of kind {kind!r} has version {version}; this program reads version "
        f"{VERSIONS.get(kind, 'none')}. Open the job with the later countershaft that wrote it; nothing was changed."
    )


def _explain(text: str, cause: ValidationError) -> StoreBroken | TooNew:
    """Tell a log from the future apart from a damaged one."""
    first = cause.errors()[0]
    try:
        raw = json.loads(text)
    except json.JSONDecodeError:
        return StoreBroken(f"The stored log is no JSON: {first['msg']}. Restore it from a backup.")
    for item in raw:
        kind = str(item.get("body", {}).get("kind", "")) if isinstance(item, dict) else ""
        version = item.get("version", 1) if isinstance(item, dict) else 1
        if kind and (kind not in VERSIONS or (isinstance(version, int) and version > VERSIONS[kind])):
            return _too_new(kind, version)
    index = first["loc"][0] if first["loc"] else "?"
    where = ".".join(str(part) for part in first["loc"][1:])
    return StoreBroken(
        f"Entry {index} of the log cannot be read: {where}: {first['msg']}. Restore it from a backup."
    )
