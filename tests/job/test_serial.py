"""Entries to text and back.  Expected values: identity, and messages for logs that cannot be read."""

from __future__ import annotations

import json

import pytest
from hypothesis import given

from countershaft.errors import StoreBroken, TooNew
from countershaft.job.entry import KINDS, Entry
from countershaft.job.serial import VERSIONS, read_entries, write_entry
from tests.strategies_job import logs


@given(logs())
def test_written_and_read_is_the_same(log: list[Entry]) -> None:
    """Write-then-read is identity."""
    assert read_entries(write_entry(entry) for entry in log) == tuple(log)


def test_every_kind_has_a_version() -> None:
    """The table of versions and the kinds of body are the same set."""
    assert set(VERSIONS) == set(KINDS)


def line(**changes: object) -> str:
    """A note's line with changes."""
    body = {"kind": "note", "stage": "intake", "words": "seen"} | changes.pop("body", {})  # type: ignore[operator]
    return json.dumps(
        {"id": "a" * 32, "at": "2026-03-02T08:00:00Z", "by": "R. Bench", "version": 1, "body": body} | changes
    )


def test_a_later_version_is_refused_by_name() -> None:
    """An old program never guesses at a new log."""
    with pytest.raises(TooNew, match="kind 'note' has version 2; this program reads version 1"):
        read_entries([line(version=2)])


def test_an_unknown_kind_is_from_the_future() -> None:
    """A kind that this program does not know was written by a later one."""
    with pytest.raises(TooNew, match="kind 'dreamt'"):
        read_entries([line(body={"kind": "dreamt"})])


def test_a_damaged_line_is_named() -> None:
    """The place of the fault is in the message."""
    with pytest.raises(StoreBroken, match=r"Entry 1 of the log cannot be read: body.note.words"):
        read_entries([line(), line(body={"words": ""})])
    with pytest.raises(StoreBroken, match="no JSON"):
        read_entries(["{"])
