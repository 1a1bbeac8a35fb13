"""A question about one bolt that stands in no file: preload of a torque, torque for a preload, and all of its check."""

from __future__ import annotations

from dataclasses import dataclass

from countershaft.desk.bolt_working import bolt_working
from countershaft.errors import BadInput
from countershaft.mechanics.bearing_face import bearing_face
from countershaft.mechanics.bolt_check import USUAL_FRICTION, Answer, BoltedPlace, check_bolt
from countershaft.mechanics.preload import Friction, nut_factor, tightening_torque

__all__ = ["BoltAnswer", "TorqueFor", "ask_bolt"]


@dataclass(frozen=True, slots=True)
class TorqueFor:
    """The torque that a preload [N] asks for, at one friction, in N·m; with its shares and its nut factor."""

    friction: float
    torque: float
    nut_factor: float
    working: str


@dataclass(frozen=True, slots=True)
class BoltAnswer:
    """All that can be told of a bolt; `torques` are those for a wanted preload, at least and most friction."""

    answers: tuple[Answer, ...]
    working: tuple[str, ...]
    torques: tuple[TorqueFor, ...]


def ask_bolt(
    place: BoltedPlace, *, preload: float | None = None, friction: tuple[float, float] = USUAL_FRICTION
) -> BoltAnswer:
    """Check a bolt; `preload` [N] asks for the torque instead, which needs the kind of head."""
    torques: tuple[TorqueFor, ...] = ()
    if preload is not None:
        if place.head is None:
            raise BadInput("the torque for a preload needs the kind of head; name it with --head.")
        face = bearing_face(place.head, place.thread)
        found = [
            (each, tightening_torque(preload, place.thread, face, Friction(each, each))) for each in friction
        ]
        torques = tuple(
            TorqueFor(each, one.total, nut_factor(one.total, preload, place.thread.diameter), one.working)
            for each, one in dict(found).items()
        )
    return BoltAnswer(check_bolt(place, friction=friction), bolt_working(place, friction), torques)
