"""Who and when, as every paper writes them."""

from __future__ import annotations

from countershaft.job.entry import Entry

__all__ = ["signed", "when"]


def when(entry: Entry) -> str:
    """The time of an entry."""
    return f"{entry.at:%d %b %Y %H:%M}"


def signed(entry: Entry | None) -> str:
    """Who wrote an entry, and when; empty where there is none."""
    return f"{entry.by}, {when(entry)}" if entry else ""
