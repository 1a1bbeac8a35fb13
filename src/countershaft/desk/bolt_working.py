"""How the figures of a bolt's check follow: the formulas with their numbers, as far as they can be told."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Final

from countershaft.errors import CountershaftError
from countershaft.mechanics.bearing_face import BearingFace, bearing_face
from countershaft.mechanics.bolt_check import BoltedPlace
from countershaft.mechanics.preload import Friction, nut_factor, preload_at
from countershaft.mechanics.preload_scatter import TIGHTENING_METHODS, scatter
from countershaft.mechanics.property_class import strength
from countershaft.mechanics.tapped_material import tapped_material
from countershaft.mechanics.tightening_stress import preload_at_yield_share, tightening_stress
from countershaft.mechanics.turned_bolt import Springs, springs_in_hole

__all__ = ["SOURCES", "bolt_working"]

#: What the check computes by, for the line below its working.
SOURCES: Final = (
    "torque, preload, scatter, angle: VDI 2230; stiffness: Shigley, ch. 8; classes: ISO 898-1, SAE J429; "
    "threads: ISO 724, ASME B1.1; stripping: Alexander, SAE 770420"
)


def bolt_working(place: BoltedPlace, friction: tuple[float, float]) -> tuple[str, ...]:
    """Every line of working that the file gives the figures for."""
    found: list[str] = []
    for lines in (
        _lengths,
        _strength,
        _springs,
        lambda one: _torque(one, friction),
        lambda one: _angle(one, friction),
        lambda one: _methods(one, friction),
    ):
        found += _told(lines, place)
    return tuple(found)


def _told(lines: Callable[[BoltedPlace], Iterator[str]], place: BoltedPlace) -> list[str]:
    """The lines up to where a figure is missing or out of range; the check itself says what is missing."""
    told: list[str] = []
    try:
        told.extend(lines(place))
    except CountershaftError:
        return told
    return told


def _lengths(place: BoltedPlace) -> Iterator[str]:
    if place.length is None or place.grip is None:
        return
    reach = place.length - place.grip
    yield f"reach = length − grip = {_mm(place.length)} − {_mm(place.grip)} = {_mm(reach)} mm"
    if place.thread_depth is not None and not place.through:
        left = place.thread_depth - reach
        yield f"left at the bottom = thread depth − reach = {_mm(place.thread_depth)} − {_mm(reach)} = {_mm(left)} mm"
    held = reach if place.thread_depth is None else min(reach, place.thread_depth)
    if held > 0:
        turns = held / place.thread.diameter
        yield f"engagement = {_mm(held)} mm = {_mm(held)} / {_mm(place.thread.diameter)} · d = {turns:.3g} d"


def _strength(place: BoltedPlace) -> Iterator[str]:
    area = place.thread.stress_area
    core = f"{place.thread.stress_diameter * 1e3:.4g} mm"
    yield f"stress area of {place.thread.designation} = π/4·({core})² = {area * 1e6:.4g} mm²"
    if place.property_class is not None:
        row = strength(place.property_class, place.thread)
        load = row.proof_stress * area
        yield (
            f"proof load of class {place.property_class} = {row.proof_stress / 1e6:.0f} MPa × {area * 1e6:.4g} mm² "
            f"= {load / 1e3:.3g} kN"
        )


def _torque(place: BoltedPlace, friction: tuple[float, float]) -> Iterator[str]:
    face = _face(place)
    if place.torque is None or face is None:
        return
    for each in reversed(friction):
        shares = preload_at(place.torque, place.thread, face, Friction(each, each))
        yield f"friction {each:g}: {shares.working}"
        factor = nut_factor(place.torque, shares.preload, place.thread.diameter)
        yield (
            f"friction {each:g}: nut factor K = T/(F·d) = {place.torque:.4g} N·m / ({shares.preload / 1e3:.4g} kN × "
            f"{_mm(place.thread.diameter)} mm) = {factor:.3f}"
        )
        stress = tightening_stress(shares.preload, place.thread, each)
        yield (
            f"friction {each:g}: √(σ² + 3·τ²) = √({stress.tension / 1e6:.4g}² + 3·{stress.torsion / 1e6:.4g}²) "
            f"= {stress.equivalent / 1e6:.4g} MPa"
        )


def _springs(place: BoltedPlace) -> Iterator[str]:
    pair = _pair(place)
    if pair is None:
        return
    soft, stiff = pair
    yield (
        f"bolt: 1/k = Σ length/(E·area), half a diameter of engaged thread with it: {soft.bolt / 1e6:.4g} kN/mm "
        f"threaded throughout, {stiff.bolt / 1e6:.4g} with a plain shank"
    )
    yield f"clamped: two cones of 30° from {_mm(_outer(place))} mm under the head: {soft.members / 1e6:.4g} kN/mm"
    for spring in pair:
        yield (
            f"share of a load from outside = {spring.bolt / 1e6:.4g} / ({spring.bolt / 1e6:.4g} + "
            f"{spring.members / 1e6:.4g}) = {spring.share:.3f}"
        )


def _angle(place: BoltedPlace, friction: tuple[float, float]) -> Iterator[str]:
    pair, face = _pair(place), _face(place)
    if None in (place.angle, place.torque, pair, face, place.property_class):
        return
    assert place.angle is not None and place.torque is not None and place.property_class is not None
    assert pair is not None and face is not None
    thread, turn = place.thread, math.degrees(place.angle)
    limit = strength(place.property_class, thread).yield_stress
    advance = thread.pitch * place.angle / (2 * math.pi)
    yield f"drawn together = pitch × angle / 360° = {_mm(thread.pitch)} × {turn:g}° / 360° = {advance * 1e3:.4g} mm"
    for each in reversed(friction):
        snug = preload_at(place.torque, thread, face, Friction(each, each)).preload
        most = preload_at_yield_share(thread, limit, each, share=1.0)
        for spring in pair:
            taken = (most - snug) * (1 / spring.bolt + 1 / spring.members)
            yield (
                f"friction {each:g}: to yield ({most / 1e3:.4g} − {snug / 1e3:.4g}) kN × (1/{spring.bolt / 1e6:.4g} + "
                f"1/{spring.members / 1e6:.4g}) mm/kN = {taken * 1e3:.4g} mm; beyond it stays "
                f"{max(0.0, advance - taken) * 1e3:.3g} mm"
            )


def _methods(place: BoltedPlace, friction: tuple[float, float]) -> Iterator[str]:
    """How far bolts that are all tightened alike scatter about the mean, by the way they are tightened."""
    face = _face(place)
    if place.torque is None or face is None or place.angle is not None:
        return
    mean = (
        sum(preload_at(place.torque, place.thread, face, Friction(each, each)).preload for each in friction)
        / 2
    )
    yield f"mean of both: {mean / 1e3:.4g} kN; bolts that are all tightened alike scatter about such a mean:"
    for method, (_, spread) in TIGHTENING_METHODS.items():
        band = scatter(mean, method)
        yield (
            f"{method}: ±{spread * 100:.0f} %, {band.least / 1e3:.3g} to {band.most / 1e3:.3g} kN, most / least "
            f"{band.factor:.2g}"
        )


def _pair(place: BoltedPlace) -> tuple[Springs, Springs] | None:
    if place.grip is None or place.into is None or place.under_head is None or _face(place) is None:
        return None
    return springs_in_hole(
        place.thread,
        grip=place.grip,
        face_diameter=_outer(place),
        clamped=tapped_material(place.under_head).modulus,
        tapped=tapped_material(place.into).modulus,
    )


def _outer(place: BoltedPlace) -> float:
    face = _face(place)
    assert face is not None, "asked only where there is a face"
    return face.outer


def _face(place: BoltedPlace) -> BearingFace | None:
    if place.face is not None or place.head is None:
        return place.face
    return bearing_face(place.head, place.thread)


def _mm(value: float) -> str:
    return f"{Decimal(repr(round(value * 1e3, 3))).normalize():f}"
