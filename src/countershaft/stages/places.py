"""Places: what may be moved where, which fasteners may be parked in their own holes, and what is away."""

from __future__ import annotations

from dataclasses import dataclass

from countershaft.job.at_places import OWN_HOLES, Moved, Spot, Stowed
from countershaft.job.custody import Custody, Holding, custody
from countershaft.job.entry import Entry
from countershaft.job.state import JobState
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission
from countershaft.planning.parking import Parking, Removal, parking
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.stages.work import behind

__all__ = ["Free", "away", "free_to_park", "may_park", "park_advice", "removals", "review", "review_stowed"]


@dataclass(frozen=True, slots=True)
class Free:
    """Fasteners of one joint at one spot whose own holes are free for them now."""

    holding: Holding
    spot: Spot
    count: int
    words: str


def removals(transmission: Transmission) -> tuple[Removal, ...]:
    """The steps of the teardown as parking sees them."""
    steps = transmission.phase("teardown")
    known = {step.id for step in steps}
    return tuple(
        Removal(
            step.id,
            tuple(need for need in step.needs if need in known),
            step.loosen,
            takes_off=bool(step.off),
        )
        for step in steps
    )


def park_advice(transmission: Transmission, state: JobState, *, after: str = "") -> tuple[Parking, ...]:
    """For every joint whether its fasteners may be parked now, or once the step `after` is done."""
    return parking(removals(transmission), (*behind(state), *((after,) if after else ())))


def free_to_park(transmission: Transmission, state: JobState) -> tuple[Free, ...]:
    """Every lot of fasteners in a tray, or nobody said where, that may go back into its own holes now.

    Those that are never used twice are left out.
    """
    where = custody(transmission, state)
    return tuple(
        Free(one, spot, count, may_park(transmission, advice))
        for advice in park_advice(transmission, state)
        if advice.may
        and transmission.joint(advice.joint).reuse != "always new"
        and (one := where.find("joint", advice.joint)) is not None
        for spot, count in one.outside.items()
        if spot.how in ("place", "not said")
    )


def may_park(transmission: Transmission, advice: Parking) -> str:
    """Whether fasteners may go back into their own holes, in words with the reason."""
    if advice.may:
        return (
            "They may go straight back into their own holes: nothing further comes off through them."
            if not advice.since
            else "They may go back into their own holes now: what had to come off through them is off."
        )
    first = [transmission.step(key) for key in advice.kept_out_by[:3]]
    names = "; ".join(f"{step.id} {step.title}" for step in first)
    rest = len(advice.kept_out_by) - len(first)
    more = f" and {rest} more" if rest else ""
    return f"They stay out for now: {names}{more} may still come off through them."


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a move may join the log."""
    body = entry.body
    if not isinstance(body, Moved):
        return ACCEPTED
    if body.sort == "part":
        transmission.part(body.what)
    else:
        transmission.joint(body.what)
    where = custody(transmission, state).find(body.sort, body.what)
    there = where.outside.get(body.start, 0) if where else 0
    if body.count > there:
        return object_to(count=f"Only {there} are there ({body.start.words()}); type how many of them went.")
    if body.to == OWN_HOLES:
        return _review_parked(transmission, state, body)
    if body.to.how in ("scrapped", "sent out") and not body.words:
        asked = "why, and what replaces them" if body.to.how == "scrapped" else "what for, and until when"
        return object_to(words=f"Write {asked}.")
    return ACCEPTED


def _review_parked(transmission: Transmission, state: JobState, body: Moved) -> Outcome:
    if body.sort == "part":
        return object_to(to="Only fasteners have holes of their own; choose a tagged place.")
    advice = next((one for one in park_advice(transmission, state) if one.joint == body.what), None)
    if advice is not None and not advice.may and not body.words:
        return object_to(
            to=f"{may_park(transmission, advice)} Choose a tagged place, or write why they go in all the same."
        )
    return ACCEPTED


def review_stowed(
    transmission: Transmission, state: JobState, step: Step, stowed: tuple[Stowed, ...], words: str
) -> Outcome:
    """Whether fasteners may go where a teardown step says they went."""
    advice = {one.joint: one for one in park_advice(transmission, state, after=step.id)}
    told: dict[str, int] = {}
    for one in stowed:
        if one.joint not in step.loosen:
            return object_to(f"{step.id} does not loosen {transmission.joint(one.joint).name}; leave it out.")
        told[one.joint] = told.get(one.joint, 0) + one.count
        if one.spot == OWN_HOLES and one.joint in advice and not advice[one.joint].may and not words:
            return object_to(
                **{
                    f"bolts {one.joint}": f"{may_park(transmission, advice[one.joint])} Choose a tray, or write "
                    "down why they go in all the same."
                }
            )
    for joint_id, count in told.items():
        there = len(transmission.joint(joint_id).place_ids)
        if count > there:
            return object_to(
                f"{transmission.joint(joint_id).name} has {there} fasteners, and {count} were put somewhere."
            )
    return ACCEPTED


def away(where: Custody) -> tuple[str, ...]:
    """What is sent out, and what nobody said the place of, in words."""
    return tuple(
        f"{count} × {_called(holding)}: {spot.words()}"
        for how in ("sent out", "not said")
        for holding, spot, count in where.at(how)
    )


def _called(holding: Holding) -> str:
    return f"{holding.id} {holding.name}" if holding.sort == "part" else holding.name
