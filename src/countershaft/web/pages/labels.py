"""The labels of a job, as sheets to print."""

from __future__ import annotations

import ipaddress
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlsplit

from countershaft.desk.desk import OpenJob
from countershaft.job.tags import TagKind
from countershaft.papers.label_sheets import PER_SHEET, label_sheets
from countershaft.papers.labels import labels
from countershaft.stages.progress import Progress
from countershaft.web.pages.frame import Frame, frame

__all__ = ["KINDS_ASKED", "LabelsPage", "labels_page"]

#: What can be ticked, and what it is called.
KINDS_ASKED: Final = (
    (TagKind.JOB.value, "the job"),
    (TagKind.TRAY.value, "its places and trays"),
    (TagKind.PART.value, "its parts in hand"),
)


@dataclass(frozen=True, slots=True)
class LabelsPage:
    """The sheets, and what may be chosen about them."""

    frame: Frame
    kinds: tuple[tuple[str, str], ...]
    ticked: tuple[str, ...]
    spare: str
    spare_error: str
    count: int
    count_words: str
    address: str
    only_here: bool
    sheets: str


def labels_page(
    job: OpenJob,
    progress: Progress,
    *,
    address: str,
    kinds: Collection[TagKind],
    spare: int,
    typed: str,
    error: str = "",
) -> LabelsPage:
    """The labels as their template reads them; `address` is the one under which the page was asked for."""
    found = labels(job.transmission, job.state, spare=spare, kinds=kinds)
    sheets = -(-len(found) // PER_SHEET)
    return LabelsPage(
        frame=frame(job, progress, None),
        kinds=KINDS_ASKED,
        ticked=tuple(kind.value for kind in TagKind if kind in kinds),
        spare=typed,
        spare_error=error,
        count=len(found),
        count_words=f"{_many(len(found), 'label')} on {_many(sheets, 'sheet')}",
        address=address,
        only_here=_is_this_computer(address),
        sheets=label_sheets(found, address),
    )


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _is_this_computer(address: str) -> bool:
    """Whether an address leads only to the computer that asks for it, so that no phone can open it."""
    host = urlsplit(address).hostname or ""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")
