"""Everything that can be told about the fasteners of a unit; the page, the paper and the terminal share it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Final, Literal

from countershaft.desk.place_names import places_words
from countershaft.job.state import JobState
from countershaft.mechanics.bolt_check import Answer, check_bolt
from countershaft.mechanics.thread import Turning, turning
from countershaft.mechanics.torque_tool import SideBySide, side_by_side
from countershaft.model.bolting import bolted_place, friction_band, hole_names, holes
from countershaft.model.fasteners import Joint, Stage
from countershaft.model.transmission import Transmission
from countershaft.planning.mixup import MixUps, Pairing, mix_ups
from countershaft.planning.places import Place, StandingHeights, standing_heights
from countershaft.planning.tightening import Round, TighteningOrder, loosening_rounds, rounds
from countershaft.stages.fastening import order_of

__all__ = [
    "Alike",
    "JointSheet",
    "Torque",
    "UnitSheet",
    "joint_sheet",
    "tags_in_short",
    "torque_of",
    "unit_sheet",
    "worst_of",
]

Verdict = Literal["good", "caution", "bad", "unknown"]

#: Verdicts from the worst to the best; what is unknown is worse than what is good, and no excuse for what is bad.
WORST: Final[tuple[Verdict, ...]] = ("bad", "caution", "unknown", "good")


@dataclass(frozen=True, slots=True)
class Torque:
    """One round in words: what the file says, and its torque in the other units where it has one."""

    words: str
    side: SideBySide | None


@dataclass(frozen=True, slots=True)
class Alike:
    """Places of a joint that are alike in everything that the check takes, and the check of one of them."""

    places: tuple[str, ...]
    length_mm: Decimal | None
    grip_mm: Decimal | None
    height_mm: Decimal | None
    answers: tuple[Answer, ...]

    @property
    def worst(self) -> Verdict:
        """The worst of its lines."""
        return worst_of(self.answers)


@dataclass(frozen=True, slots=True)
class JointSheet:
    """A joint with all that follows from its file.

    `names` are its places as the mix-ups call them; `inside` are the mix-ups among its own bolts, None where it has no
    bolts; `others` are pairings that hide and are dangerous, with a bolt or a hole of this joint and one of another.
    """

    joint: Joint
    names: dict[str, str]
    order: TighteningOrder[str]
    torques: tuple[Torque, ...]
    rounds: tuple[Round[str], ...]
    loosening: tuple[Round[str], ...]
    tighten: Turning
    loosen: Turning
    heights: tuple[StandingHeights, ...]
    checks: tuple[Alike, ...]
    inside: MixUps | None
    others: tuple[Pairing, ...]
    source: str

    @property
    def worst(self) -> Verdict:
        """The worst verdict of all its places."""
        return worst_of([answer for one in self.checks for answer in one.answers])

    @property
    def unknown(self) -> tuple[str, ...]:
        """What cannot be told about at least one place."""
        return tuple(
            dict.fromkeys(
                answer.name for one in self.checks for answer in one.answers if answer.verdict == "unknown"
            )
        )


@dataclass(frozen=True, slots=True)
class UnitSheet:
    """Every joint of a unit, and what must be kept apart; `mix` is None where the file has no bolts."""

    joints: tuple[JointSheet, ...]
    mix: MixUps | None
    bolts: int


def unit_sheet(transmission: Transmission, state: JobState | None = None) -> UnitSheet:
    """All joints of a unit; with the state of a job, the order follows the holes that were tapped on a picture."""
    places = holes(transmission.fasteners)
    mix = _mix(places) if places else None
    return UnitSheet(
        tuple(_sheet(transmission, joint, state, places, mix) for joint in transmission.fasteners),
        mix,
        len(places),
    )


def joint_sheet(transmission: Transmission, joint_id: str, state: JobState | None = None) -> JointSheet:
    """One joint of a unit; raises Unknown."""
    places = holes(transmission.fasteners)
    return _sheet(transmission, transmission.joint(joint_id), state, places, _mix(places) if places else None)


def tags_in_short(mix: MixUps) -> str:
    """What to bag apart, with counted places of one joint from the first to the last."""
    words = mix.words
    for names in sorted({pairing.bolts for pairing in mix.pairings}, key=len, reverse=True):
        words = words.replace(", ".join(names), places_words(names, most=20))
    return words


def torque_of(stage: Stage) -> Torque:
    """A round, with its torque in N·m, lbf·ft and lbf·in where it has one."""
    torque = stage.torque
    return Torque(stage.words(), side_by_side(torque.value, torque.unit) if torque is not None else None)


def worst_of(answers: Sequence[Answer]) -> Verdict:
    """The worst verdict of some lines; nothing to say is unknown."""
    return min((answer.verdict for answer in answers), key=WORST.index, default="unknown")


def _sheet(
    transmission: Transmission,
    joint: Joint,
    state: JobState | None,
    places: tuple[Place, ...],
    mix: MixUps | None,
) -> JointSheet:
    order = order_of(state, joint)
    sequence = order.sequence or joint.place_ids
    names = _names(transmission, joint)
    own = tuple(place for place in places if place.id in names.values())
    source = transmission.source(joint.source)
    return JointSheet(
        joint=joint,
        names=names,
        order=order,
        torques=tuple(torque_of(stage) for stage in joint.stages),
        rounds=rounds(sequence, [stage.words() for stage in joint.stages]),
        loosening=loosening_rounds(sequence),
        tighten=turning(joint.hand, "tighten"),
        loosen=turning(joint.hand, "loosen"),
        heights=standing_heights(own),
        checks=_checks(joint),
        inside=_mix(own) if own else None,
        others=_others(mix, set(names.values())) if own and mix is not None else (),
        source=str(source) if source else "none: the torque is unverified",
    )


def _names(transmission: Transmission, joint: Joint) -> dict[str, str]:
    """Place of the joint -> its name in the mix-ups; plugs and nuts are not mixed up with bolts and keep their own."""
    bolted = [one for one in transmission.fasteners if one.kind in ("bolt", "stud")]
    found = {place: name for name, (owner, place) in hole_names(bolted).items() if owner == joint.id}
    return found or {place: place for place in joint.place_ids}


def _checks(joint: Joint) -> tuple[Alike, ...]:
    """The check of every sort of place, places that are alike together."""
    groups: dict[object, list[str]] = {}
    for place_id in joint.place_ids:
        groups.setdefault((bolted_place(joint, place_id), joint.place(place_id).length_mm), []).append(
            place_id
        )
    found = []
    for place_ids in groups.values():
        place = joint.place(place_ids[0])
        found.append(
            Alike(
                tuple(place_ids),
                place.length_mm,
                place.grip_mm,
                joint.standing_height_mm(place_ids[0]),
                check_bolt(bolted_place(joint, place_ids[0]), friction=friction_band(joint)),
            )
        )
    return tuple(found)


@lru_cache(maxsize=256)
def _mix(places: tuple[Place, ...]) -> MixUps:
    """Asked again for every page of a unit, and always the same."""
    return mix_ups(places)


def _others(mix: MixUps, own: set[str]) -> tuple[Pairing, ...]:
    """Dangerous pairings across the border of the joint, each cut down to where one side is its own."""
    found = []
    for pairing in mix.dangerous:
        for bolts, into in (
            (
                [name for name in pairing.bolts if name in own],
                [name for name in pairing.holes if name not in own],
            ),
            (
                [name for name in pairing.bolts if name not in own],
                [name for name in pairing.holes if name in own],
            ),
        ):
            if bolts and into:
                found.append(Pairing(tuple(bolts), tuple(into), pairing.result, pairing.by_mm, pairing.how))
    return tuple(found)
