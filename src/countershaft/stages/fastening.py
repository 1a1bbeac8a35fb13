"""Fastening: in which order a joint is worked, and whether its heads stand right before the first torque."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from countershaft.job.entry import Entry, HeightsSeen, HoleMarked, Tightened
from countershaft.job.state import JobState
from countershaft.model.bolting import hole_names, holes
from countershaft.model.fasteners import Joint
from countershaft.model.transmission import Transmission
from countershaft.planning.heights import Standing, who_stands
from countershaft.planning.tightening import TighteningOrder, tightening_order
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["Look", "Marks", "held", "look", "looks_asked", "marks", "order_of", "positions", "review"]

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Marks:
    """Holes of a joint tapped on one picture: place -> across and down, in picture units."""

    digest: str
    holes: dict[str, tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Look:
    """The newest look at the heads of a joint, with what each measured head says.

    `resolved` says that the first torque may be given: all level, all measured heads right or harmless, or a reason.
    """

    entry: Entry
    body: HeightsSeen
    heads: tuple[Standing, ...]

    @property
    def wrong(self) -> tuple[Standing, ...]:
        """Heads under which a wrong bolt stands that does harm, or one that cannot be judged."""
        return tuple(head for head in self.heads if head.result in ("dangerous", "unknown"))

    @property
    def resolved(self) -> bool:
        """Whether nothing of it holds the first torque."""
        return bool(self.body.level or self.body.because or not self.wrong)


def marks(state: JobState, joint_id: str) -> Marks | None:
    """What was tapped on the picture that was used last; a hole tapped again lies where it was tapped last."""
    said = [body for body in state.bodies(HoleMarked) if body.joint == joint_id]
    if not said:
        return None
    digest = said[-1].digest
    return Marks(digest, {body.place: (body.across, body.down) for body in said if body.digest == digest})


def positions(state: JobState | None, joint: Joint) -> dict[str, Point]:
    """Where the holes lie, x to the right and y upward: as in the file, else as tapped on a picture."""
    found = {
        place.id: (float(place.at_mm[0]), float(place.at_mm[1])) for place in joint.places if place.at_mm
    }
    if found or state is None:
        return found
    tapped = marks(state, joint.id)
    return {place: (float(x), -float(y)) for place, (x, y) in tapped.holes.items()} if tapped else {}


def order_of(state: JobState | None, joint: Joint) -> TighteningOrder[str]:
    """The order in which a joint is tightened: that of the file, else computed from where its holes lie."""
    return _order(joint.place_ids, tuple(positions(state, joint).items()), joint.order)


@lru_cache(maxsize=512)
def _order(
    keys: tuple[str, ...], where: tuple[tuple[str, Point], ...], given: tuple[str, ...]
) -> TighteningOrder[str]:
    return tightening_order(keys, dict(where), given=given)


def looks_asked(transmission: Transmission, joint: Joint) -> bool:
    """Whether a look at the heads can tell anything: a height is known, and a bolt of another length fits in."""
    if joint.kind != "bolt" or all(joint.standing_height_mm(place) is None for place in joint.place_ids):
        return False
    lengths = {
        other.place(place).length_mm
        for other in transmission.fasteners
        if other.kind == "bolt" and (other.thread, other.hand) == (joint.thread, joint.hand)
        for place in other.place_ids
    }
    return len(lengths - {None}) > 1


def look(transmission: Transmission, state: JobState, joint: Joint) -> Look | None:
    """The newest look at the heads of a joint; None where nobody looked."""
    said = [(entry, body) for entry, body in state.of(HeightsSeen) if body.joint == joint.id]
    if not said:
        return None
    entry, body = said[-1]
    return Look(entry, body, _heads(transmission, joint, body))


def held(transmission: Transmission, state: JobState, joint: Joint) -> str:
    """Why the first round of a joint has to wait, and what to do; empty where it has not."""
    if not looks_asked(transmission, joint) or _begun(state, joint.id):
        return ""
    now = look(transmission, state, joint)
    if now is None:
        return (
            f"Before the first torque on {joint.name}: drop every bolt in without turning it and look whether all "
            "heads stand as they should. Say that they do, or which one stands out."
        )
    if now.resolved:
        return ""
    told = " ".join(head.words for head in now.wrong)
    return f"{told} Put the bolts right and look again, or write down why it is tightened all the same."


def review(transmission: Transmission, state: JobState, body: HeightsSeen | HoleMarked) -> Outcome:
    """Whether what was seen or tapped may join the log."""
    joint = transmission.joint(body.joint)
    named = [body.place] if isinstance(body, HoleMarked) else [head.place for head in body.heads]
    strangers = [place for place in named if place not in joint.place_ids]
    if strangers:
        return object_to(f"{joint.name} has no place {', '.join(strangers)}.")
    if _begun(state, joint.id):
        what = "Its holes are marked" if isinstance(body, HoleMarked) else "Heads are looked at"
        return object_to(
            f"{joint.name} has had torque already. {what} before the first round: undo its rounds first."
        )
    if isinstance(body, HoleMarked) and any(place.at_mm for place in joint.places):
        return object_to(f"The file says where the holes of {joint.name} lie; no picture is needed.")
    return ACCEPTED


def _begun(state: JobState, joint_id: str) -> bool:
    return any(body.joint == joint_id for body in state.bodies(Tightened))


def _heads(transmission: Transmission, joint: Joint, body: HeightsSeen) -> tuple[Standing, ...]:
    """What each measured head says, against every bolt of the unit."""
    if not body.heads:
        return ()
    known = {place.id: place for place in holes(transmission.fasteners)}
    bolted = [one for one in transmission.fasteners if one.kind in ("bolt", "stud")]
    name_of = {own: name for name, own in hole_names(bolted).items()}
    own = {
        head.place: name_of[joint.id, head.place] for head in body.heads if (joint.id, head.place) in name_of
    }
    return tuple(
        who_stands(
            known[own[head.place]],
            tuple(known.values()),
            height=_exact(head.height_mm),
            length=_exact(head.length_mm),
            also=tuple(name for place, name in own.items() if place != head.place),
        )
        for head in body.heads
        if own.get(head.place) in known
    )


def _exact(value: object) -> Fraction | None:
    return None if value is None else Fraction(str(value))
