"""The stock that another job on the same file knows, to be taken over instead of typed again."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import datetime

from countershaft.desk.desk import Desk, OpenJob
from countershaft.job.entry import Body, PieceMeasured, SizesCounted
from countershaft.stages.stock import FamilyStock, OnShelf, stock

__all__ = ["Elsewhere", "stock_elsewhere", "take_over"]

#: How many jobs are looked through, from the one that was worked at last.
_LOOKED_AT = 40


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What another job knows of families that this one knows nothing of.

    `bodies` are the entries that take it over: counts less what went in there, pieces that no fit there holds, lists.
    """

    tag: str
    by: str
    at: datetime
    families: tuple[str, ...]
    pieces: int
    lists: int
    bodies: tuple[Body, ...]


def stock_elsewhere(desk: Desk, job: OpenJob) -> Elsewhere | None:
    """The newest such job, by its last word on the stock; None where no job knows more than this one."""
    own = stock(job.transmission, job.state)
    unknown = {name for name, one in own.items() if not one.known}
    if not unknown:
        return None
    found = []
    for tag in desk.jobs_on(job.transmission.name)[:_LOOKED_AT]:
        if tag == job.tag:
            continue
        other = desk.job(tag)
        there = [one for one in stock(other.transmission, other.state).values() if one.family.name in unknown]
        one = _from(tag, [each for each in there if each.known])
        if one is not None:
            found.append(one)
    return max(found, key=lambda one: one.at, default=None)


def take_over(desk: Desk, tag: str, found: Elsewhere, *, by: str, entry_id: str) -> None:
    """Let the stock of another job join this one's log, each entry by an id that follows from the form's."""
    for body in found.bodies:
        own = uuid.uuid5(uuid.NAMESPACE_OID, f"{entry_id} {body.model_dump_json()}").hex
        desk.append(tag, body, by=by, entry_id=own)


def _from(tag: str, there: list[FamilyStock]) -> Elsewhere | None:
    entries = [
        entry
        for one in there
        for entry in (one.counted, one.priced, *(piece.entry for piece in one.free))
        if entry is not None
    ]
    bodies = [body for one in there for body in _bodies(one)]
    if not entries or not bodies:
        return None
    newest = max(entries, key=lambda entry: entry.at)
    return Elsewhere(
        tag=tag,
        by=newest.by,
        at=newest.at,
        families=tuple(one.family.words for one in there),
        pieces=sum(len(one.free) + sum(one.counts.values()) for one in there),
        lists=sum(1 for one in there if one.prices is not None),
        bodies=tuple(bodies),
    )


def _bodies(one: FamilyStock) -> list[Body]:
    bodies: list[Body] = []
    if one.counts:
        bodies.append(
            SizesCounted.model_validate(
                {
                    "family": one.family.name,
                    "counts": [{"size_mm": size, "count": number} for size, number in one.counts.items()],
                    "off_mark_mm": one.off_mark_mm,
                }
            )
        )
    bodies += [_as_measured(piece) for piece in one.free]
    bodies += [one.prices] if one.prices is not None else []
    return bodies


def _as_measured(piece: OnShelf) -> PieceMeasured:
    """A piece with the day on which it was measured: its instrument is asked about by that day, not by this one."""
    body, taken = piece.body, piece.body.taken
    if taken is not None and taken.on is None:
        taken = taken.model_copy(update={"on": piece.entry.at.date()})
    return body.model_copy(update={"again": False, "taken": taken})
