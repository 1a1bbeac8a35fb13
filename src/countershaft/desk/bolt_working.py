"""How the figures of a bolt's check follow: the formulas with their numbers, as far as they can be told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Final

from countershaft.errors import CountershaftError
from countershaft.mechanics.bearing_face import BearingFace, bearing_face
from countershaft.mechanics.bolt_check import BoltedPlace
from countershaft.mechanics.preload import Friction, preload_at
from countershaft.mechanics.property_class import strength
from countershaft.mechanics.tightening_stress import tightening_stress

__all__ = ["SOURCES", "bolt_working"]

#: What the check computes by, for the line below its working.
SOURCES: Final = (
    "torque and preload: VDI 2230; classes: ISO 898-1, SAE J429; threads: ISO 724, ASME B1.1; "
    "stripping: Alexander, SAE 770420"
)


def bolt_working(place: BoltedPlace, friction: tuple[float, float]) -> tuple[str, ...]:
    """Every line of working that the file gives the figures for."""
    found: list[str] = []
    for lines in (_lengths, _strength, lambda one: _torque(one, friction)):
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
    if place.torque is None or place.by_angle or face is None:
        return
    for each in reversed(friction):
        shares = preload_at(place.torque, place.thread, face, Friction(each, each))
        yield f"friction {each:g}: {shares.working}"
        stress = tightening_stress(shares.preload, place.thread, each)
        yield (
            f"friction {each:g}: √(σ² + 3·τ²) = √({stress.tension / 1e6:.4g}² + 3·{stress.torsion / 1e6:.4g}²) "
            f"= {stress.equivalent / 1e6:.4g} MPa"
        )


def _face(place: BoltedPlace) -> BearingFace | None:
    if place.face is not None or place.head is None:
        return place.face
    return bearing_face(place.head, place.thread)


def _mm(value: float) -> str:
    return f"{Decimal(repr(round(value * 1e3, 3))).normalize():f}"
