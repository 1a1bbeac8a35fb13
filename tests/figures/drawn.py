"""Reads a drawing back from its SVG text, so that the tests look at what was written and not at how.

Widths of texts come from `barlow_advances.json`: the advance of each glyph in the hmtx table of
Barlow 1.408, the larger of regular and semi-bold, equal-width figures for 0 to 9, in 1/1000 em.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

from countershaft.figures.canvas import Box

HERE = Path(__file__).parent
ADVANCES: dict[str, int] = json.loads((HERE / "barlow_advances.json").read_text(encoding="utf-8"))
_SVG = "{http://www.w3.org/2000/svg}"
_CAP, _DEPTH = 0.76, 0.20


@dataclass(frozen=True)
class Words:
    """One text of a drawing with the box that its letters cover."""

    text: str
    style: str
    size: float
    box: Box


@dataclass(frozen=True)
class Drawn:
    """A drawing, read back."""

    root: ElementTree.Element
    frame: Box
    words: tuple[Words, ...]

    def styled(self, tag: str, style: str) -> list[ElementTree.Element]:
        """Return the elements of a kind that carry a class."""
        return [e for e in self.root.iter(_SVG + tag) if style in e.get("class", "").split()]

    def figures(self, element: ElementTree.Element, *names: str) -> tuple[float, ...]:
        """Return attributes as numbers."""
        return tuple(float(element.get(name, "nan")) for name in names)


def width(text: str, size: float) -> float:
    """Return the width of a text from the glyph table."""
    return sum(ADVANCES[character] for character in text) / 1000 * size


def read(svg: str) -> Drawn:
    """Read a drawing back; a text that is no well-formed XML fails here."""
    root = ElementTree.fromstring(svg)
    _, _, right, bottom = (float(part) for part in root.get("viewBox", "").split())
    words = tuple(_words(element) for element in root.iter(_SVG + "text"))
    return Drawn(root, Box(0, 0, right, bottom), words)


def _words(element: ElementTree.Element) -> Words:
    text = element.text or ""
    x, y, size = (float(element.get(name, "nan")) for name in ("x", "y", "font-size"))
    wide = width(text, size)
    left = {"start": x, "middle": x - wide / 2, "end": x - wide}[element.get("text-anchor", "start")]
    return Words(
        text, element.get("class", ""), size, Box(left, y - _CAP * size, left + wide, y + _DEPTH * size)
    )


def points(element: ElementTree.Element) -> list[tuple[float, float]]:
    """Return the corners of a path made of straight lines."""
    pairs = re.findall(r"(-?[\d.]+) (-?[\d.]+)", element.get("d", ""))
    return [(float(x), float(y)) for x, y in pairs]


def overlaps(words: tuple[Words, ...]) -> list[tuple[str, str]]:
    """Return the pairs of texts that touch each other."""
    return [(a.text, b.text) for i, a in enumerate(words) for b in words[i + 1 :] if a.box.touches(b.box)]
