"""The signs of a stick diagram: gears, planets, clutches, brakes, one-way clutches, sleeves and the case.

They follow the kinematic signs of ISO 3952 as textbooks use them: a gear is a web with a bar where its teeth
are, a planet turns on a circle, the case is hatched.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from countershaft.figures.canvas import Anchor, Box, Canvas

__all__ = [
    "BAR",
    "PLATE",
    "SHADE",
    "Pen",
    "State",
    "band",
    "brake",
    "case",
    "clutch",
    "dog",
    "one_way",
    "roller",
    "sleeve",
]

BAR = 16.0
"""Half the length of a bar of teeth."""

PIVOT = 5.0
PLATE = 12.0
"""Half the height of a clutch plate."""

SHADE = 8.0
"""How far the hatching of a member that stands still reaches from its line."""

_GAP = 5.0
_LET_BY = 7.0
_STEM, _CASE_AT = 17.0, 44.0

State = Literal["open", "applied", "overruns"]
_STYLES: dict[State, str] = {"open": "d-open", "applied": "d-applied", "overruns": "d-open"}


@dataclass
class Pen:
    """Draws on a canvas, shifted, and remembers what is covered, so that texts can keep clear of it.

    `strokes` are the straight lines with the member that was being drawn; both are kept without the shift.
    """

    canvas: Canvas
    right: float = 0.0
    down: float = 0.0
    member: str = ""
    covered: list[Box] = field(default_factory=list)
    strokes: list[tuple[str, float, float, float, float, str]] = field(default_factory=list)

    @property
    def shades(self) -> list[Box]:
        """Where the hatching of members goes, should they stand still: under flat lines, left of upright ones."""
        far = SHADE - 3.0  # names keep clear by more than the rest
        return [
            Box(min(x1, x2), y1, max(x1, x2), y1 + far)
            if y1 == y2
            else Box(x1 - far, min(y1, y2), x1, max(y1, y2))
            for member, x1, y1, x2, y2, style in self.strokes
            if member and style == "d-shaft"
        ]

    def line(self, x1: float, y1: float, x2: float, y2: float, style: str = "d-shaft") -> None:
        """Draw a straight line."""
        self.canvas.line(x1 + self.right, y1 + self.down, x2 + self.right, y2 + self.down, style)
        self.covered.append(Box(min(x1, x2) - 2.0, min(y1, y2) - 2.0, max(x1, x2) + 2.0, max(y1, y2) + 2.0))
        self.strokes.append((self.member, x1, y1, x2, y2, style))

    def broken(self, x: float, top: float, bottom: float, passing: Iterable[float]) -> None:
        """Draw an upright line, open where it lets flat lines pass at these heights."""
        at = top
        for y in sorted(y for y in passing if top <= y <= bottom):
            if at < y - _LET_BY:
                self.line(x, at, x, y - _LET_BY)
            at = y + _LET_BY
        if at < bottom:
            self.line(x, at, x, bottom)

    def box(self, left: float, top: float, right: float, bottom: float, style: str) -> None:
        """Draw a box."""
        shifted = Box(left + self.right, top + self.down, right + self.right, bottom + self.down)
        self.canvas.rect(shifted, style)
        self.covered.append(Box(left - 2.0, top - 2.0, right + 2.0, bottom + 2.0))

    def circle(self, x: float, y: float, radius: float, style: str) -> None:
        """Draw a circle."""
        self.canvas.circle(x + self.right, y + self.down, radius, style)
        out = radius + 2.0
        self.covered.append(Box(x - out, y - out, x + out, y + out))

    def wedge(self, x: float, y: float, length: float, half: float) -> None:
        """Draw a filled arrow head that points to the right, with its tip at x, y."""
        corners = [(x, y), (x - length, y - half), (x - length, y + half)]
        shifted = [(a + self.right, b + self.down) for a, b in corners]
        self.canvas.path(shifted, "d-solid", closed=True)
        self.covered.append(Box(x - length, y - half, x, y + half))

    def text(
        self, x: float, y: float, text: str, size: float, style: str = "", anchor: Anchor = "start"
    ) -> None:
        """Set a text."""
        self.canvas.text(x + self.right, y + self.down, text, size, style, anchor)

    def teeth(self, x: float, y: float, half: float = BAR) -> None:
        """Draw the bar of a gear's teeth."""
        self.line(x - half, y, x + half, y, "d-teeth")

    def pivot(self, x: float, y: float) -> None:
        """Draw the circle in which a planet turns on its pin."""
        self.circle(x, y, PIVOT, "d-pivot")


def case(pen: Pen, x: float, y: float, side: str = "above", half: float = 15.0) -> None:
    """The hatched case, seen from the line that ends at it: `above`, or to its `left` or `right`."""
    ticks = [half * (2 * index - 3) / 4 for index in range(4)]
    if side == "above":
        pen.line(x - half, y, x + half, y, "d-shaft")
        for tick in ticks:
            pen.line(x + tick - 3.0, y - 1.0, x + tick + 4.0, y - 9.0, "d-case")
        return
    out = -1.0 if side == "left" else 1.0
    pen.line(x, y - half, x, y + half, "d-shaft")
    for tick in ticks:
        pen.line(x + out, y + tick + 3.0, x + out * 9.0, y + tick - 4.0, "d-case")


def clutch(pen: Pen, x1: float, x2: float, y: float, state: State) -> None:
    """Two plates that face each other; what fills the gap shows that they are pressed together."""
    middle = (x1 + x2) / 2
    if state != "open":
        pen.box(middle - _GAP, y - PLATE, middle + _GAP, y + PLATE, _STYLES[state])
    for x, end in ((middle - _GAP, x1), (middle + _GAP, x2)):
        pen.line(end, y, x, y)
        pen.line(x, y - PLATE, x, y + PLATE)


def brake(pen: Pen, x: float, y: float, state: State) -> None:
    """A plate on the member, a plate on the case above it."""
    low, high = y - _STEM, y - _STEM - 2 * _GAP
    if state != "open":
        pen.box(x - PLATE, high, x + PLATE, low, _STYLES[state])
    pen.line(x, y, x, low)
    pen.line(x - PLATE, low, x + PLATE, low)
    pen.line(x - PLATE, high, x + PLATE, high)
    pen.line(x, high, x, y - _CASE_AT)
    case(pen, x, y - _CASE_AT)


def band(pen: Pen, x: float, y: float, state: State) -> None:
    """A drum with the section of a band on it, anchored in the case."""
    drum = y - _STEM
    lifted = 0.0 if state != "open" else 6.0
    pen.line(x, y, x, drum)
    pen.line(x - PLATE - 4, drum, x + PLATE + 4, drum)
    pen.box(x - PLATE + 2, drum - lifted - 9.0, x + PLATE - 2, drum - lifted - 1.0, _STYLES[state])
    pen.line(x, drum - lifted - 9.0, x, y - _CASE_AT)
    case(pen, x, y - _CASE_AT)


def roller(pen: Pen, x: float, y: float, state: State) -> None:
    """A one-way clutch to the case: a roller in the wedge between a race and a ramp."""
    low = y - 10.0
    pen.line(x, y, x, low)
    pen.line(x - PLATE, low, x + PLATE, low)
    pen.circle(x - 2.0, low - 8.0, 6.0, _STYLES[state])
    pen.line(x - PLATE, low - 20.0, x + PLATE, low - 13.0)
    pen.line(x, low - 16.5, x, y - _CASE_AT)
    case(pen, x, y - _CASE_AT)


def one_way(pen: Pen, x1: float, x2: float, y: float, state: State) -> None:
    """A one-way clutch between two members: a roller in the wedge between a race and a ramp."""
    middle = (x1 + x2) / 2
    pen.line(x1, y, middle - 10.0, y)
    pen.line(middle - 10.0, y - PLATE, middle - 10.0, y + PLATE)
    pen.circle(middle - 2.0, y + 2.0, 6.0, _STYLES[state])
    pen.line(middle + 10.0, y + PLATE, middle + 3.0, y - PLATE)
    pen.line(middle + 6.5, y, x2, y)


def dog(pen: Pen, x1: float, x2: float, y: float, state: State) -> None:
    """A sleeve of one position: two toothed rings, and the sleeve that slides over both."""
    middle = (x1 + x2) / 2
    for x, end in ((middle - 7.0, x1), (middle + 7.0, x2)):
        pen.line(end, y, x, y)
        pen.line(x, y - 9.0, x, y + 9.0)
    left = middle - 13.0 if state != "open" else middle + 1.0
    pen.box(left, y - 16.0, middle + 13.0, y - 10.0, _STYLES[state])


def sleeve(pen: Pen, xs: tuple[float, float, float], y: float, engaged: str) -> None:
    """A sleeve on its hub between two toothed rings; `engaged` is left, right or neither."""
    left, middle, right = xs
    for x, end in ((middle - 18.0, left), (middle + 18.0, right)):
        pen.line(end, y, x, y)
        pen.line(x, y - 9.0, x, y + 9.0)
    pen.line(middle, y + 9.0, middle, y - 9.0)
    out = {"left": -12.0, "right": 12.0}.get(engaged, 0.0)
    pen.box(
        middle - 11.0 + out, y - 16.0, middle + 11.0 + out, y - 10.0, "d-applied" if engaged else "d-open"
    )
