"""One bolt in one hole, all that can be told about it; what cannot be told is named, with the reason.

Nothing is guessed: a missing grip, class, head or material leaves its own lines unknown and the others standing.
Friction is never known at the bench, so every line that needs it is given for a band of it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.bearing_face import BearingFace, bearing_face, bearing_pressure
from countershaft.mechanics.bolted_joint import AngleTightening
from countershaft.mechanics.engagement import Engagement, engagement, stripping
from countershaft.mechanics.preload import Friction, preload_at
from countershaft.mechanics.preload_scatter import Band
from countershaft.mechanics.property_class import Strength, strength
from countershaft.mechanics.tapped_material import TappedMaterial, tapped_material
from countershaft.mechanics.thread import Thread
from countershaft.mechanics.thread_limits import limits_of_size
from countershaft.mechanics.tightening_stress import tightening_stress
from countershaft.mechanics.turned_bolt import Springs, springs_in_hole, turned_by_angle, turned_words

__all__ = ["USUAL_FRICTION", "Answer", "BoltedPlace", "check_bolt"]

#: Least and most friction of steel that is plated or lightly oiled: class B of VDI 2230 (from memory) [-].
USUAL_FRICTION: Final = (0.08, 0.16)

Verdict = Literal["good", "caution", "bad", "unknown"]


@dataclass(frozen=True, slots=True)
class BoltedPlace:
    """What is known of a bolt and its hole, SI; None is "not known".

    `torque` is the last torque stage [N m], `angle` what is turned after it [rad].  `face` stands for a head that
    is in no table.  `into` is the material that is tapped, `under_head` the one that the head presses on.
    A `through` hole has no bottom that a bolt could meet.
    """

    thread: Thread
    property_class: str | None = None
    head: str | None = None
    face: BearingFace | None = None
    into: str | None = None
    under_head: str | None = None
    length: float | None = None
    grip: float | None = None
    thread_depth: float | None = None
    torque: float | None = None
    angle: float | None = None
    through: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """One line of the check: its figure or band in SI (None where unknown), the verdict, and one sentence."""

    name: str
    verdict: Verdict
    least: float | None
    most: float | None
    unit: str
    words: str


def check_bolt(place: BoltedPlace, *, friction: tuple[float, float] = USUAL_FRICTION) -> tuple[Answer, ...]:
    """Everything that can be told about one bolt in its hole.

    Parameters
    ----------
    place : BoltedPlace
        What is known.
    friction : tuple[float, float], optional [-]
        Least and most coefficient, in the thread and under the head alike.

    Returns
    -------
    tuple[Answer, ...]
        Reach, bottom reserve, engagement, stripping, joint stiffness, preload, what an angle does (where one is
        turned), share of proof load, equivalent stress, pressure.

    Raises
    ------
    OutOfRange
        The friction band is no band.

    References
    ----------
    Those of the functions that it calls; verdicts on the bottom and on engagement are common practice, no source.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> place = BoltedPlace(parse_thread("M8x1.25"), "8.8", "hex flange", torque=24.0)
    >>> answers = {answer.name: answer for answer in check_bolt(place)}
    >>> answers["share of proof load"].words
    '0.61 to 1.10 of proof load (21.2 kN) for friction 0.16 to 0.08: oil on a dry thread can pass it'
    >>> answers["bottom reserve"].words
    'unknown: length, grip and thread depth are not given'
    """
    if friction[0] > friction[1]:
        raise OutOfRange(f"friction goes from least to most, got {friction[0]:g} to {friction[1]:g}.")
    lines: tuple[tuple[str, str, Callable[[], Answer]], ...] = (
        ("reach", "m", lambda: _reach(place)),
        ("bottom reserve", "m", lambda: _reserve(place)),
        ("engagement", "m", lambda: _engagement(place)),
        ("stripping", "N", lambda: _stripping(place, friction)),
        ("joint stiffness", "N/m", lambda: _stiffness(place)),
        ("preload", "N", lambda: _preload(place, friction)),
        *((("torque and angle", "m", lambda: _turned(place, friction)),) if place.angle else ()),
        ("share of proof load", "-", lambda: _proof(place, friction)),
        ("equivalent stress", "Pa", lambda: _equivalent(place, friction)),
        ("pressure under the head", "Pa", lambda: _pressure(place, friction)),
    )
    return tuple(_told(name, unit, work) for name, unit, work in lines)


class _Unknown(Exception):
    """A line cannot be told; the text says why."""


def _told(name: str, unit: str, work: Callable[[], Answer]) -> Answer:
    try:
        return work()
    except (_Unknown, BadInput, OutOfRange) as reason:
        return Answer(name, "unknown", None, None, unit, f"unknown: {reason}")


def _reach(place: BoltedPlace) -> Answer:
    if place.length is None or place.grip is None:
        raise _Unknown(_missing(("length", place.length), ("grip", place.grip)))
    reach = round(place.length - place.grip, 9)
    if reach <= 0:
        words = f"{-reach * 1e3:.3g} mm too short to reach the thread"
        return Answer("reach", "bad", reach, reach, "m", words)
    words = f"reaches {reach * 1e3:.3g} mm into the hole; dropped in, its head stands that high"
    return Answer("reach", "good", reach, reach, "m", words)


def _reserve(place: BoltedPlace) -> Answer:
    found = _engaged(place)
    verdict: Verdict = "good"
    if place.through:
        words = "the hole goes through: there is no bottom to meet; see that nothing moves behind it"
        return Answer("bottom reserve", verdict, None, None, "m", words)
    words = f"{found.reserve * 1e3:.3g} mm is left below the bolt"
    if found.cautions and found.reach > 0:
        verdict, words = ("bad" if found.bottoms else "caution"), found.cautions[0]
    return Answer("bottom reserve", verdict, found.reserve, found.reserve, "m", words)


def _engagement(place: BoltedPlace) -> Answer:
    found = _engaged(place)
    material = _material(place.into, "tapped material")
    turns = found.held / place.thread.diameter
    wanted = material.usual_engagement
    good = turns >= wanted * (1 - 1e-9)
    words = f"{found.held * 1e3:.3g} mm is {turns:.2g} d in {material.name}; {wanted:g} d is usual (common practice)"
    return Answer("engagement", "good" if good else "caution", found.held, found.held, "m", words)


def _stripping(place: BoltedPlace, friction: tuple[float, float]) -> Answer:
    found = _engaged(place)
    material = _material(place.into, "tapped material")
    row = _strength(place)
    strips = stripping(
        place.thread,
        found.held,
        limits_of_size(place.thread),
        bolt_tensile=row.tensile_strength,
        hole_shear=material.shear_strength,
    )
    load = min(strips.hole, strips.bolt_thread, strips.bolt_breaks)
    words = f"{strips.weakest} at {load / 1e3:.3g} kN ({material.alloy} taken for {material.name})"
    verdict: Verdict = "good" if strips.weakest == "bolt breaks" else "caution"
    pull = _most_pull(place, friction)
    if pull is not None and pull > load:
        verdict, words = "bad", f"{words}; the torque pulls up to {pull / 1e3:.3g} kN"
    return Answer("stripping", verdict, load, load, "N", "; ".join([words, *strips.cautions]))


def _stiffness(place: BoltedPlace) -> Answer:
    soft, stiff = _springs(place)
    words = (
        f"bolt {soft.bolt / 1e6:.0f} (threaded throughout) to {stiff.bolt / 1e6:.0f} kN/mm (plain shank), what it "
        f"clamps {soft.members / 1e6:.0f} kN/mm if all of it is {place.under_head}: of a load from outside the bolt "
        f"takes {soft.share:.2f} to {stiff.share:.2f}"
    )
    return Answer("joint stiffness", "good", soft.bolt, stiff.bolt, "N/m", words)


def _preload(place: BoltedPlace, friction: tuple[float, float]) -> Answer:
    band = _band(place, friction)
    reach = f"{band.least / 1e3:.3g} to {band.most / 1e3:.3g} kN"
    turned = "" if place.angle is None else f" and {math.degrees(place.angle):g}°"
    words = f"{reach} from {place.torque:.4g} N·m{turned} for friction {_of(friction)}"
    return Answer("preload", "good", band.least, band.most, "N", words)


def _turned(place: BoltedPlace, friction: tuple[float, float]) -> Answer:
    assert place.angle is not None, "asked only where an angle is turned"
    _springs(place), _strength(place)  # say first what is missing
    if place.torque is None:
        raise _Unknown("no torque is given before the angle")
    before = Band(_snug(place, friction[1]), _snug(place, friction[0]))
    try:
        cases = tuple(case for each in friction for case in _cases(place, each))
    except OutOfRange as beyond:
        return Answer("torque and angle", "bad", None, None, "m", str(beyond))
    longer = [case.plastic for case in cases]
    snug = f"{before.least / 1e3:.3g} to {before.most / 1e3:.3g} kN before the angle"
    verdict: Verdict = "caution" if any(case.yields for case in cases) else "good"
    words = f"{snug}; {turned_words(cases, place.angle)}"
    return Answer("torque and angle", verdict, min(longer), max(longer), "m", words)


def _proof(place: BoltedPlace, friction: tuple[float, float]) -> Answer:
    band, row = _band(place, friction), _strength(place)
    proof = row.proof_stress * place.thread.stress_area
    least, most = band.least / proof, band.most / proof
    words = f"{least:.2f} to {most:.2f} of proof load ({proof / 1e3:.3g} kN) for friction {_of(friction)}"
    verdict: Verdict = "good"
    if place.angle is not None and most > 1:
        verdict, words = "caution", f"{words}: the angle takes it past proof, so it is never used twice"
    elif least > 1:
        verdict, words = "bad", f"{words}: above it whatever the friction; torque or class is wrong"
    elif most > 1:
        verdict, words = "caution", f"{words}: oil on a dry thread can pass it"
    return Answer("share of proof load", verdict, least, most, "-", words)


def _equivalent(place: BoltedPlace, friction: tuple[float, float]) -> Answer:
    _band(place, friction)  # says first what is missing
    row = _strength(place)
    stresses = sorted(
        tightening_stress(pull, place.thread, each).equivalent
        for each in friction
        for pull in _pulls(place, each)
    )
    least, most = stresses[0], stresses[-1]
    words = (
        f"{least / 1e6:.0f} to {most / 1e6:.0f} MPa with the twist of tightening, "
        f"{least / row.yield_stress:.2f} to {most / row.yield_stress:.2f} of yield ({row.yield_stress / 1e6:.0f} MPa)"
    )
    over = row.yield_stress * (1 + 1e-9)
    verdict: Verdict = "bad" if least > over else "caution" if most > over else "good"
    if place.angle is not None and most * (1 + 1e-9) > row.yield_stress:
        verdict, words = "caution", f"{words}: the angle takes it there"
    return Answer("equivalent stress", verdict, least, most, "Pa", words)


def _pressure(place: BoltedPlace, friction: tuple[float, float]) -> Answer:
    band = _band(place, friction)
    material = _material(place.under_head, "material under the head")
    face = _face(place)
    least, most = bearing_pressure(band.least, face), bearing_pressure(band.most, face)
    words = (
        f"{least / 1e6:.0f} to {most / 1e6:.0f} MPa under the head; {material.alloy} bears about "
        f"{material.limit_pressure / 1e6:.0f} MPa"
    )
    verdict: Verdict = "good" if most <= material.limit_pressure else "caution"
    return Answer("pressure under the head", verdict, least, most, "Pa", words)


def _engaged(place: BoltedPlace) -> Engagement:
    if place.length is None or place.grip is None or place.thread_depth is None:
        given = (("length", place.length), ("grip", place.grip), ("thread depth", place.thread_depth))
        raise _Unknown(_missing(*given))
    return engagement(place.thread, length=place.length, grip=place.grip, thread_depth=place.thread_depth)


def _band(place: BoltedPlace, friction: tuple[float, float]) -> Band:
    if place.torque is None:
        raise _Unknown("no torque is given")
    pulls = [pull for each in friction for pull in _pulls(place, each)]
    return Band(min(pulls), max(pulls))


def _most_pull(place: BoltedPlace, friction: tuple[float, float]) -> float | None:
    """Largest preload of the torque, where it can be told."""
    try:
        return _band(place, friction).most
    except (_Unknown, BadInput, OutOfRange):
        return None


def _pulls(place: BoltedPlace, friction: float) -> tuple[float, ...]:
    """Preloads that the bolt may end with at one friction; an angle leaves one for each stiffness it may have."""
    if place.angle is None:
        return (_snug(place, friction),)
    return tuple(case.preload for case in _cases(place, friction))


def _snug(place: BoltedPlace, friction: float) -> float:
    """Preload of the torque alone."""
    assert place.torque is not None, "asked only where a torque is given"
    return preload_at(place.torque, place.thread, _face(place), Friction(friction, friction)).preload


def _cases(place: BoltedPlace, friction: float) -> tuple[AngleTightening, ...]:
    assert place.angle is not None, "asked only where an angle is turned"
    springs = _springs(place)
    assert place.grip is not None, "the springs have asked for it"
    return turned_by_angle(
        {friction: _snug(place, friction)},
        place.angle,
        thread=place.thread,
        springs=springs,
        yield_stress=_strength(place).yield_stress,
        grip=place.grip,
    )


def _springs(place: BoltedPlace) -> tuple[Springs, Springs]:
    if place.grip is None:
        raise _Unknown(_missing(("grip", place.grip)))
    clamped = _material(place.under_head, "material under the head")
    tapped = _material(place.into, "tapped material")
    outer = _face(place).outer
    return springs_in_hole(
        place.thread, grip=place.grip, face_diameter=outer, clamped=clamped.modulus, tapped=tapped.modulus
    )


def _face(place: BoltedPlace) -> BearingFace:
    if place.face is not None:
        return place.face
    if place.head is None:
        raise _Unknown("the kind of head is not given")
    return bearing_face(place.head, place.thread)


def _strength(place: BoltedPlace) -> Strength:
    if place.property_class is None:
        raise _Unknown("the class on the head is not given")
    return strength(place.property_class, place.thread)


def _material(name: str | None, what: str) -> TappedMaterial:
    if name is None:
        raise _Unknown(f"the {what} is not given")
    return tapped_material(name)


def _missing(*given: tuple[str, float | None]) -> str:
    names = [name for name, value in given if value is None]
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return f"{listed} {'is' if len(names) == 1 else 'are'} not given"


def _of(friction: tuple[float, float]) -> str:
    return f"{friction[1]:g} to {friction[0]:g}"
