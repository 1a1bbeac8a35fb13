"""A small deterministic writer of SVG.

One number format, stable order, escaped text, no dates and no identifiers, so that the same
drawing is the same text and several drawings can stand in one page.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

from countershaft.errors import OutOfRange

__all__ = ["Anchor", "Box", "Canvas", "number", "text_box", "text_width", "wrap"]

Anchor = Literal["start", "middle", "end"]

# Widths in em, at or above the widest glyph of the kind in the vendored face, either weight.
_WIDE = 0.95
_CAPITAL = 0.70
_COMMON = 0.61
_NARROW = 0.42
_NARROW_CHARACTERS = frozenset(" .,:;'|!()ijl-°·")
_WIDE_CHARACTERS = frozenset("mwMW%@—…#&æÆœŒ")
_ASCENT = 0.78
_DESCENT = 0.22


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle of the drawing, in its units; y grows downward."""

    left: float
    top: float
    right: float
    bottom: float

    def touches(self, other: Box, gap: float = 0.0) -> bool:
        """Tell whether the boxes overlap or come nearer than `gap` in both directions."""
        across = self.left < other.right + gap and other.left < self.right + gap
        return across and self.top < other.bottom + gap and other.top < self.bottom + gap

    def inside(self, other: Box) -> bool:
        """Tell whether this box lies wholly within the other."""
        across = other.left <= self.left and self.right <= other.right
        return across and other.top <= self.top and self.bottom <= other.bottom


def number(value: float) -> str:
    """Return a coordinate with at most two decimals, no trailing zeros and no minus zero."""
    if not math.isfinite(value):
        raise OutOfRange(f"drawing: a coordinate must be a finite number, got {value}.")
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def text_width(text: str, size: float) -> float:
    """Return a width that the text does not exceed when set in the vendored face."""
    em = 0.0
    for character in text:
        if character in _NARROW_CHARACTERS:
            em += _NARROW
        elif character in _WIDE_CHARACTERS or (ord(character) > 0x2FF and not character.isspace()):
            em += _WIDE
        elif character.isupper():
            em += _CAPITAL
        else:
            em += _COMMON
    return em * size


def text_box(x: float, y: float, text: str, size: float, anchor: Anchor) -> Box:
    """Return the box of a text whose base line starts, centres or ends at x, y."""
    width = text_width(text, size)
    left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
    return Box(left, y - _ASCENT * size, left + width, y + _DESCENT * size)


def wrap(text: str, size: float, width: float, lines: int) -> list[str]:
    """Break a text into at most `lines` lines of a width; what does not fit ends in an ellipsis."""
    rows = [""]
    for word in text.split():
        longer = f"{rows[-1]} {word}".strip()
        if text_width(longer, size) <= width or not rows[-1]:
            rows[-1] = longer
        else:
            rows.append(word)
    if len(rows) > lines:
        rows = [*rows[: lines - 1], f"{rows[lines - 1]}…"]
    return [_cut(row, size, width) for row in rows]


def _cut(row: str, size: float, width: float) -> str:
    """Shorten one row until it fits, with an ellipsis as its last character."""
    if text_width(row, size) <= width:
        return row
    row = row.rstrip("…")
    while row and text_width(f"{row}…", size) > width:
        row = row[:-1]
    return f"{row.rstrip()}…"


class Canvas:
    """One drawing under way; `svg()` gives its text.

    `title` names the drawing, `description` says in words what it shows: both together are the
    text alternative.
    With `linked` the drawing is announced as a group, because an image would hide its links.
    """

    def __init__(self, width: float, height: float, *, title: str, description: str, linked: bool = False):
        self.frame = Box(0.0, 0.0, width, height)
        self.texts: list[Box] = []
        self._title = title
        self._description = description
        self._role = "group" if linked else "img"
        self._parts: list[str] = []
        self._open: list[str] = []

    def line(self, x1: float, y1: float, x2: float, y2: float, style: str) -> None:
        """Draw a straight line."""
        ends = f'x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}"'
        self._add(f'<line class="{style}" {ends}/>')

    def rect(self, box: Box, style: str) -> None:
        """Draw a box."""
        size = f'width="{number(box.right - box.left)}" height="{number(box.bottom - box.top)}"'
        self._add(f'<rect class="{style}" x="{number(box.left)}" y="{number(box.top)}" {size}/>')

    def circle(self, x: float, y: float, radius: float, style: str) -> None:
        """Draw a circle."""
        self._add(f'<circle class="{style}" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"/>')

    def path(self, points: Iterable[tuple[float, float]], style: str, *, closed: bool = False) -> None:
        """Draw a line through points."""
        body = "L".join(f"{number(x)} {number(y)}" for x, y in points)
        self._add(f'<path class="{style}" d="M{body}{"Z" if closed else ""}"/>')

    def arc(self, x: float, y: float, radius: float, start: float, end: float, style: str) -> None:
        """Draw a part of a circle, clockwise on the screen from `start` to `end` [rad, 0 = right]."""
        x1, y1 = x + radius * math.cos(start), y + radius * math.sin(start)
        x2, y2 = x + radius * math.cos(end), y + radius * math.sin(end)
        large = 1 if (end - start) % math.tau > math.pi else 0
        radii = f"{number(radius)} {number(radius)}"
        body = f"M{number(x1)} {number(y1)}A{radii} 0 {large} 1 {number(x2)} {number(y2)}"
        self._add(f'<path class="{style}" d="{body}"/>')

    def text(
        self, x: float, y: float, text: str, size: float, style: str = "", anchor: Anchor = "start"
    ) -> Box:
        """Set one line of text on the base line y and return its box."""
        box = text_box(x, y, text, size, anchor)
        self.texts.append(box)
        place = f'x="{number(x)}" y="{number(y)}" font-size="{number(size)}"'
        kind = f'class="{style}" ' if style else ""
        self._add(f'<text {kind}{place} text-anchor="{anchor}">{escape(text)}</text>')
        return box

    def begin(self, style: str) -> None:
        """Open a group."""
        self._add(f'<g class="{style}">')
        self._open.append("g")

    def begin_link(self, href: str, label: str, style: str) -> None:
        """Open a link that holds what is drawn until `end`."""
        self._add(f'<a class="{style}" href={quoteattr(href)} aria-label={quoteattr(label)}>')
        self._open.append("a")

    def end(self) -> None:
        """Close the innermost group or link."""
        self._add(f"</{self._open.pop()}>")

    def svg(self) -> str:
        """Return the finished drawing as SVG text."""
        while self._open:
            self.end()
        size = f"{number(self.frame.right)} {number(self.frame.bottom)}"
        spoken = quoteattr(f"{self._title}. {self._description}")
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}" role="{self._role}"'
            f" aria-label={spoken}>"
            f"<title>{escape(self._title)}</title><desc>{escape(self._description)}</desc>"
        )
        return head + "".join(self._parts) + "</svg>"

    def _add(self, part: str) -> None:
        self._parts.append(part)
