"""Joints of a transmission file as the mechanics and the mix-up analysis know them; what is not in the file is None."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Final

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.bearing_face import CLEARANCE_HOLES, BearingFace
from countershaft.mechanics.bolt_check import USUAL_FRICTION, BoltedPlace
from countershaft.mechanics.property_class import strength
from countershaft.mechanics.tapped_material import MATERIALS
from countershaft.mechanics.thread import Thread
from countershaft.model import fasteners
from countershaft.model.fasteners import Joint
from countershaft.planning.places import Bolt, Place

__all__ = ["bolted_place", "friction_band", "hole_names", "holes"]

MPA: Final = 1e6


def bolted_place(joint: Joint, place_id: str) -> BoltedPlace:
    """One bolt in its hole, for `check_bolt`.

    The class of a nut says nothing about its bolt, and a hollow bolt has no stress area that a table knows: both go
    without a class.  A head with `bearing_mm` over a hole that is in no table goes without a face.
    """
    place = joint.place(place_id)
    thread = joint.screw_thread()
    given = next((stage.torque for stage in reversed(joint.stages) if stage.torque is not None), None)
    told = joint.kind != "nut" and place.special != "hollow"
    return BoltedPlace(
        thread=thread,
        property_class=joint.strength if told else None,
        head=joint.head if joint.bearing_mm is None else None,
        face=_face(joint, thread),
        into=place.into,
        under_head=joint.under_head,
        length=_metres(place.length_mm),
        grip=_metres(place.grip_mm),
        thread_depth=_metres(place.thread_depth_mm),
        torque=given.to("N·m") if given is not None else None,
        angle=_angle_after(joint),
        through=place.hole == "through",
    )


def _angle_after(joint: Joint) -> float | None:
    """What is turned by angle after the last torque [rad]."""
    turned = Decimal(0)
    for stage in joint.stages:
        turned = Decimal(0) if stage.torque is not None else turned + (stage.angle_deg or 0)
    return math.radians(turned) or None


def friction_band(joint: Joint) -> tuple[float, float]:
    """Least and most friction to compute with: that of the file, else the usual band."""
    if joint.friction is None:
        return USUAL_FRICTION
    least, most = sorted((float(joint.friction.thread), float(joint.friction.head)))
    return least, most


def hole_names(joints: Iterable[Joint]) -> dict[str, tuple[str, str]]:
    """A name of its own for every place -> its joint and its place.

    A place that the file lists keeps its id; where two joints share one, or places are only counted, the id of the
    joint goes before it, as F01/3.
    """
    listed = tuple(joints)
    own = Counter(place.id for joint in listed for place in joint.places)
    found: dict[str, tuple[str, str]] = {}
    for joint in listed:
        for place_id in joint.place_ids:
            alone = bool(joint.places) and own[place_id] == 1
            found[place_id if alone else f"{joint.id}/{place_id}"] = (joint.id, place_id)
    return found


def holes(joints: Iterable[Joint]) -> tuple[Place, ...]:
    """Every place of these joints, for `mix_ups`, `identify` and `standing_heights`, by the names of `hole_names`.

    Plugs are left out: no bolt is put in their place.
    """
    known = {joint.id: joint for joint in joints if joint.kind in ("bolt", "stud")}
    return tuple(
        _hole(name, known[joint_id], place_id)
        for name, (joint_id, place_id) in hole_names(known.values()).items()
    )


def _hole(name: str, joint: Joint, place_id: str) -> Place:
    place = joint.place(place_id)
    thread = joint.screw_thread()
    bolt = Bolt(
        diameter=thread.diameter_mm,
        pitch=thread.pitch_mm,
        length=_exact(place.length_mm),
        hand=joint.hand,
        strength=joint.strength,
        proof=_proof(joint, place, thread),
        head=joint.head,
        coating=joint.coating,
        special=place.special,
        one_use=joint.reuse == "always new",
    )
    through = place.hole == "through"
    return Place(
        id=name,
        joint=joint.name,
        bolt=bolt,
        grip=_exact(place.grip_mm),
        depth=None if through else _exact(place.thread_depth_mm),
        needed=_needed(place, thread),
    )


def _needed(place: fasteners.Place, thread: Thread) -> Fraction | None:
    """The engagement that is usual in the tapped material."""
    material = MATERIALS.get(place.into or "")
    return None if material is None else Fraction(str(material.usual_engagement)) * thread.diameter_mm


def _proof(joint: Joint, place: fasteners.Place, thread: Thread) -> Fraction | None:
    if joint.strength is None or place.special == "hollow":
        return None
    try:
        return Fraction(round(strength(joint.strength, thread).proof_stress / MPA))
    except (BadInput, OutOfRange):
        return None


def _face(joint: Joint, thread: Thread) -> BearingFace | None:
    """The face under a head whose size the file gives; the hole is that of the file, else of the medium series."""
    if joint.bearing_mm is None:
        return None
    hole = _metres(joint.hole_mm)
    if hole is None and thread.system == "metric":
        hole = CLEARANCE_HOLES.get(thread.diameter_mm)
    outer = float(joint.bearing_mm) / 1e3
    if hole is None or hole >= outer:
        return None
    return BearingFace(outer, hole)


def _metres(value: Decimal | None) -> float | None:
    return None if value is None else float(value) / 1e3


def _exact(value: Decimal | None) -> Fraction | None:
    return None if value is None else Fraction(value)
