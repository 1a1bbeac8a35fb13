"""What a tag names in this shop: jobs, places and parts whose plain names fit; most often exactly one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from countershaft.desk.desk import Desk, JobCard, OpenJob
from countershaft.job.custody import custody
from countershaft.job.tags import Tag, TagKind, plain, tray_place, tray_tag
from countershaft.papers.labels import part_tags, places

__all__ = ["Target", "jobs_like", "named", "place_of", "targets", "why_none"]


@dataclass(frozen=True, slots=True)
class Target:
    """A job, or a place or part in it; `name` is the place or the part's id, empty for the job itself."""

    kind: TagKind
    job: str
    name: str
    words: str


def targets(desk: Desk, tag: Tag) -> tuple[Target, ...]:
    """Everything that a tag may name."""
    return tuple(target for card in _jobs(desk, tag) for target in _in_job(desk, tag, card))


def why_none(desk: Desk, tag: Tag) -> str:
    """Why a tag that reads well names nothing here, and what to do."""
    jobs = _jobs(desk, tag)
    if not jobs:
        return (
            f"{tag.code} is rightly read, but this shop has no job {tag.job}: the label is another shop's, or of "
            "another folder. Look for the job by its tag or its vehicle."
        )
    where = ", ".join(card.tag for card in jobs)
    what = "part" if tag.kind is TagKind.PART else "tray or place"
    return (
        f"{tag.code} is rightly read, but job {where} has no {what} {tag.key}. "
        "Open the job, and print its labels anew."
    )


def place_of(job: OpenJob, name: str) -> str | None:
    """A place that the job's log names, or one of its numbered trays; None for any other name."""
    if name in places(job.state, custody(job.transmission, job.state)):
        return name
    tag = tray_tag(job.tag, name)
    return name if tag is not None and name == f"{job.tag}-T{tag.key}" else None


def jobs_like(desk: Desk, words: str) -> tuple[JobCard, ...]:
    """Jobs whose tag, vehicle or unit holds the words, or whose tag is one of the pieces of a code."""
    asked = words.strip().casefold()
    pieces = {plain(piece) for piece in re.split(r"[\s/-]+", words)} - {""}
    return tuple(
        card
        for card in desk.cards()
        if asked
        and (
            any(asked in text.casefold() for text in (card.tag, card.vehicle, card.unit))
            or plain(card.tag) in pieces | {plain(words)}
        )
    )


def named(desk: Desk, words: str) -> tuple[Target, ...]:
    """The job or the numbered tray that a person means who types its name, 0412 or 0412-T1, instead of its code."""
    asked = " ".join(words.split()).casefold()
    found = []
    for card in desk.cards():
        if asked == card.tag.casefold():
            found.append(Target(TagKind.JOB, card.tag, "", f"Job {card.tag}: {card.vehicle}"))
        tray = re.fullmatch(rf"{re.escape(card.tag.casefold())}-t([1-9][0-9]{{0,3}})", asked)
        if tray:
            place = tray_place(card.tag, int(tray[1]))
            found.append(Target(TagKind.TRAY, card.tag, place, f"{place} of job {card.tag}"))
    return tuple(found)


def _jobs(desk: Desk, tag: Tag) -> tuple[JobCard, ...]:
    return tuple(card for card in desk.cards() if plain(card.tag) == tag.job)


def _in_job(desk: Desk, tag: Tag, card: JobCard) -> Iterator[Target]:
    if tag.kind is TagKind.JOB:
        yield Target(tag.kind, card.tag, "", f"Job {card.tag}: {card.vehicle}")
        return
    job = desk.job(card.tag)
    if tag.kind is TagKind.PART:
        for part, mine in part_tags(card.tag, job.transmission).items():
            if mine == tag:
                name = job.transmission.part(part).name
                yield Target(tag.kind, card.tag, part, f"{part} {name} in job {card.tag}")
        return
    numbered = (tray_place(card.tag, int(tag.key)),) if re.fullmatch("[1-9][0-9]{0,3}", tag.key) else ()
    named = places(job.state, custody(job.transmission, job.state))
    for place in dict.fromkeys((*numbered, *named)):
        if tray_tag(card.tag, place) == tag:
            yield Target(tag.kind, card.tag, place, f"{place} of job {card.tag}")
