"""The labels of a job: which there are, and what stands on each in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import count, islice
from typing import Final

from countershaft.job.custody import Custody, custody
from countershaft.job.entry import StepDone
from countershaft.job.state import JobState
from countershaft.job.tags import Tag, TagKind, job_tag, part_tag, plain, tray_place, tray_tag
from countershaft.model.transmission import Transmission

__all__ = ["EVERY_KIND", "MOST_SPARE", "Label", "labels", "part_tags", "places"]

EVERY_KIND: Final = frozenset(TagKind)
#: How many blank trays are labelled at once.
MOST_SPARE: Final = 48


@dataclass(frozen=True, slots=True)
class Label:
    """One label: its tag, what it is on in large, and the lines below."""

    tag: Tag
    title: str
    lines: tuple[str, ...]


def labels(
    transmission: Transmission,
    state: JobState,
    *,
    spare: int,
    kinds: Collection[TagKind] = EVERY_KIND,
) -> tuple[Label, ...]:
    """The labels of a job: the job's own, its places with `spare` blank trays behind them, the parts in hand."""
    where = custody(transmission, state)
    found: list[Label] = []
    if TagKind.JOB in kinds:
        opened = state.opened
        found.append(Label(job_tag(opened.tag), f"Job {opened.tag}", (opened.vehicle, opened.unit)))
    if TagKind.TRAY in kinds:
        found += _trays(state, where, spare)
    if TagKind.PART in kinds:
        found += _parts(transmission, state, where)
    return tuple(found)


def places(state: JobState, where: Custody) -> tuple[str, ...]:
    """Every place that the job's log names, in the order of first use, also one that is empty now."""
    used = [placed.place for done in state.bodies(StepDone) for placed in done.placed]
    return tuple(dict.fromkeys((*used, *where.places)))


def part_tags(job: str, transmission: Transmission) -> dict[str, Tag]:
    """Part id -> its tag in a job."""
    return {part.id: part_tag(job, part.id, at) for at, part in enumerate(transmission.parts, start=1)}


def _trays(state: JobState, where: Custody, spare: int) -> Iterator[Label]:
    job = state.opened.tag
    used = places(state, where)
    blank = (place for number in count(1) if (place := tray_place(job, number)) not in used)
    for place in (*used, *islice(blank, spare)):
        tag = tray_tag(job, place)
        if tag is not None:
            yield Label(tag, _called(job, place), (f"Job {job}", state.opened.vehicle))


def _called(job: str, place: str) -> str:
    """What stands large on the label of a place; a tray that a person named keeps that name."""
    number = place.removeprefix(f"{job}-T")
    return f"Tray {number}" if place == f"{job}-T{number}" and number.isdecimal() else place.capitalize()


def _parts(transmission: Transmission, state: JobState, where: Custody) -> Iterator[Label]:
    job = state.opened.tag
    tags = part_tags(job, transmission)
    lying = Counter[str]()
    for one in where.lying:
        lying[one.part] += one.count
    for part in transmission.parts:
        if lying[part.id]:
            pieces = (f"{lying[part.id]} of {part.quantity} pieces",) if part.quantity > 1 else ()
            yield Label(tags[part.id], _part_title(part.id, part.name), (f"Job {job}", *pieces))


def _part_title(part: str, name: str) -> str:
    return name if plain(part) == plain(name) else f"{part} {name}"
