"""The shop's transmission files: the list of them, and the form that adds one."""

from __future__ import annotations

from dataclasses import dataclass

from countershaft.errors import Fault
from countershaft.store.library import DefinitionRow

__all__ = ["FaultRow", "FileRow", "FilesPage", "fault_rows", "files_page"]


@dataclass(frozen=True, slots=True)
class FileRow:
    """A transmission file of the shop."""

    name: str
    href: str
    added: str
    digest: str


@dataclass(frozen=True, slots=True)
class FaultRow:
    """One fault of a text: where, expected, got, how to mend it, and the line as it was typed."""

    place: str
    key: str
    message: str
    expected: str
    got: str
    cure: str
    line: str


@dataclass(frozen=True, slots=True)
class FilesPage:
    """Every file of the shop, and the form that adds one with what was typed into it."""

    files: tuple[FileRow, ...]
    text: str
    text_error: str
    upload_error: str
    problems: tuple[str, ...]
    faults: tuple[FaultRow, ...]
    faults_head: str


def files_page(
    rows: tuple[DefinitionRow, ...],
    *,
    text: str = "",
    faults: tuple[Fault, ...] = (),
    problems: tuple[str, ...] = (),
    text_error: str = "",
    upload_error: str = "",
) -> FilesPage:
    """The list as its template reads it; `text` and what is wrong with it where a file was refused."""
    return FilesPage(
        files=tuple(
            FileRow(row.name, f"/files/{row.digest}", row.added[:16].replace("T", " "), row.digest[:12])
            for row in rows
        ),
        text=text,
        text_error=text_error,
        upload_error=upload_error,
        problems=problems,
        faults=fault_rows(text, faults),
        faults_head=f"{len(faults)} {'fault' if len(faults) == 1 else 'faults'} to mend" if faults else "",
    )


def fault_rows(text: str, faults: tuple[Fault, ...]) -> tuple[FaultRow, ...]:
    """Every fault with the line that it lies in."""
    lines = text.splitlines()
    return tuple(
        FaultRow(
            place=f"{fault.line}:{fault.column}" if fault.line else "",
            key=fault.key,
            message=fault.message,
            expected=fault.expected,
            got=fault.got,
            cure=fault.cure,
            line=lines[fault.line - 1].strip() if 0 < fault.line <= len(lines) else "",
        )
        for fault in faults
    )
