"""Removals of an unknown unit: what may be logged, and what may be said about its order and its names."""

from __future__ import annotations

import re

from countershaft.job.at_bench import StepDone
from countershaft.job.entry import OrderSaid, SameSaid
from countershaft.job.state import JobState
from countershaft.job.tags import tray_place
from countershaft.model.transmission import Transmission
from countershaft.planning.observed import matching_key
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["review", "review_said"]

_TRAY = re.compile(r"(?P<job>[A-Za-z0-9][A-Za-z0-9._-]*)-T(?P<number>\d+)")


def review(transmission: Transmission, state: JobState, body: StepDone) -> Outcome:
    """Whether a removal may join the log: its number is free, its place is one of this job."""
    ids = {step.id for step in transmission.steps}
    taken = {part.id for part in transmission.parts} | {joint.id for joint in transmission.fasteners}
    named = {one.part for one in body.placed} | {one.joint for one in body.stowed}
    if body.step in ids or taken.intersection(named):
        return object_to(
            f"{body.step} was logged by somebody else meanwhile. Look at the list, and log this one again if it is "
            "not there."
        )
    spots = [one.place for one in body.placed] + [one.spot.name for one in body.stowed if one.spot.name]
    return next((wrong for place in spots if not (wrong := _review_place(state, place)).accepted), ACCEPTED)


def review_said(transmission: Transmission, state: JobState, body: OrderSaid | SameSaid) -> Outcome:
    """Two parts of which something is said are two."""
    names = (body.before, body.after) if isinstance(body, OrderSaid) else (body.name, body.called)
    if matching_key(names[0]) == matching_key(names[1]):
        return object_to(f"{names[0]!r} and {names[1]!r} are one and the same part already; name two.")
    return ACCEPTED


def _review_place(state: JobState, place: str) -> Outcome:
    """A tray of another job is no place of this one."""
    mine = state.opened.tag
    found = _TRAY.fullmatch(place)
    if found is None or found["job"].casefold() == mine.casefold():
        return ACCEPTED
    return object_to(
        place=f"{place} is a tray of job {found['job']}, and this is job {mine}. "
        f"Take a tray of this job, such as {tray_place(mine, 1)}, or the mat."
    )
