"""The alignment clock: the readings of a sweep at their hours, the way that the housing must move, and the dowels."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.figures.canvas import Anchor, Canvas, wrap

__all__ = ["AlignmentClock", "ClockDowel", "ClockPlace", "alignment_clock"]

_WIDTH: Final = 764.0
_RING: Final = 150.0
_NUMERAL, _LABEL, _READING, _FOOT = 20.0, 20.0, 26.0, 30.0
#: From the middle to the labels, to the dowels, and to the edge above and below.
_LABELS, _DOWELS, _EDGE = _RING + 20.0, _RING + 128.0, _RING + 84.0
_DOWEL = 13.0


@dataclass(frozen=True, slots=True)
class ClockPlace:
    """A place of the sweep in hours, its name and its reading as it is to be read."""

    hour: float
    name: str
    reading: str


@dataclass(frozen=True, slots=True)
class ClockDowel:
    """A dowel at its hour; `home` is None where nobody has read how far it stands out."""

    hour: float
    name: str
    home: bool | None


@dataclass(frozen=True, slots=True)
class AlignmentClock:
    """One sweep seen from the gearbox; `toward` is the hour that the housing must move to, None for no direction."""

    title: str
    places: tuple[ClockPlace, ...]
    toward: float | None
    move: str
    dowels: tuple[ClockDowel, ...] = ()


def alignment_clock(clock: AlignmentClock) -> str:
    """Draw the clock and return its SVG text."""
    _check(clock)
    head = wrap(clock.title, _LABEL, _WIDTH, 2)
    foot = wrap(clock.move, _FOOT, _WIDTH, 2)
    reach = max([_EDGE, *(_height(dowel) for dowel in clock.dowels)])
    middle = 30.0 * len(head) + reach
    base = middle + reach + _FOOT
    canvas = Canvas(
        _WIDTH, base + 38.0 * (len(foot) - 1) + 12.0, title=clock.title, description=_in_words(clock)
    )
    for index, words in enumerate(head):
        canvas.text(0, _LABEL + 30.0 * index, words, _LABEL, "d-quiet")
    _face(canvas, middle)
    for place in clock.places:
        _place(canvas, middle, place)
    for dowel in clock.dowels:
        _dowel(canvas, middle, dowel)
    if clock.toward is not None:
        _arrow(canvas, middle, clock.toward)
    for index, words in enumerate(foot):
        canvas.text(_WIDTH / 2, base + 38.0 * index, words, _FOOT, "d-strong", "middle")
    return canvas.svg()


def _check(clock: AlignmentClock) -> None:
    """Refuse hours that are not on a clock."""
    hours = [place.hour for place in clock.places] + [dowel.hour for dowel in clock.dowels]
    hours += [] if clock.toward is None else [clock.toward]
    for hour in hours:
        if not 0 <= hour <= 12:
            raise OutOfRange(f"alignment clock {clock.title!r}: {hour:g} o'clock; expected 0 to 12 hours.")


def _at(hour: float, radius: float, middle: float) -> tuple[float, float]:
    angle = math.radians(30 * hour)
    return _WIDTH / 2 + radius * math.sin(angle), middle - radius * math.cos(angle)


def _height(dowel: ClockDowel) -> float:
    """How far a dowel reaches above or below the middle."""
    return abs(_DOWELS * math.cos(math.radians(30 * dowel.hour))) + 40.0


def _face(canvas: Canvas, middle: float) -> None:
    """The ring with its hours, and the axis of the crank as a cross."""
    canvas.circle(_WIDTH / 2, middle, _RING, "d-rule")
    for hour in range(1, 13):
        canvas.line(*_at(hour, _RING - 12.0, middle), *_at(hour, _RING, middle), "d-hair")
        x, y = _at(hour, _RING - 28.0, middle)
        canvas.text(x, y + 0.35 * _NUMERAL, str(hour), _NUMERAL, "d-quiet", "middle")
    canvas.line(_WIDTH / 2 - 14.0, middle, _WIDTH / 2 + 14.0, middle, "d-hair")
    canvas.line(_WIDTH / 2, middle - 14.0, _WIDTH / 2, middle + 14.0, "d-hair")


def _side(hour: float) -> Anchor:
    sine = math.sin(math.radians(30 * hour))
    return "start" if sine > 0.2 else "end" if sine < -0.2 else "middle"


def _place(canvas: Canvas, middle: float, place: ClockPlace) -> None:
    """A dot on the ring, with the name of the place over its reading outside."""
    canvas.circle(*_at(place.hour, _RING, middle), 7.0, "d-solid")
    x, y = _at(place.hour, _LABELS, middle)
    lift = -math.cos(math.radians(30 * place.hour))
    top = y + (lift - 1) * (_LABEL + _READING) * 0.55
    canvas.text(x, top + _LABEL, place.name, _LABEL, "d-quiet", _side(place.hour))
    canvas.text(x, top + _LABEL + _READING + 2.0, place.reading, _READING, "d-strong", _side(place.hour))


def _dowel(canvas: Canvas, middle: float, dowel: ClockDowel) -> None:
    """A dowel as a circle outside the ring: filled where it is home, struck where it is not."""
    x, y = _at(dowel.hour, _DOWELS, middle)
    canvas.begin("d-bad" if dowel.home is False else "d-good" if dowel.home else "d-none")
    canvas.circle(x, y, _DOWEL, "d-pin" if dowel.home else "d-pin-hollow")
    if dowel.home is False:
        canvas.line(x - 20.0, y + 20.0, x + 20.0, y - 20.0, "d-strike")
    canvas.end()
    side: Anchor = "end" if _side(dowel.hour) == "end" else "start"
    x += 26.0 if side == "start" else -26.0
    room = _WIDTH - x if side == "start" else x
    (words,) = wrap(f"dowel {dowel.name}", _LABEL, room, 1)
    state = {True: "home", False: "not home", None: "not read"}[dowel.home]
    canvas.text(x, y - 4.0, words, _LABEL, "", side)
    canvas.text(x, y + _LABEL, state, _LABEL, "d-strong", side)


def _arrow(canvas: Canvas, middle: float, toward: float) -> None:
    """The way that the housing must move, from the axis of the crank."""
    tip, neck = _RING * 0.66, _RING * 0.66 - 26.0
    canvas.line(*_at(toward, 0.0, middle), *_at(toward, neck, middle), "d-ring")
    angle = math.radians(30 * toward)
    x, y = _at(toward, neck, middle)
    across = (math.cos(angle) * 12.0, math.sin(angle) * 12.0)
    corners: Sequence[tuple[float, float]] = (
        _at(toward, tip, middle),
        (x + across[0], y + across[1]),
        (x - across[0], y - across[1]),
    )
    canvas.path(corners, "d-solid", closed=True)


def _in_words(clock: AlignmentClock) -> str:
    """What the drawing shows, for who cannot see it."""
    read = "; ".join(f"{place.name}: {place.reading}" for place in clock.places)
    said = [f"Clock seen from the gearbox. Readings: {read}", clock.move]
    for dowel in clock.dowels:
        state = {True: "is home", False: "is not home", None: "was not read"}[dowel.home]
        said.append(f"Dowel {dowel.name} near {round(dowel.hour) or 12} o'clock {state}")
    return ". ".join(said) + "."
