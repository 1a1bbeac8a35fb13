"""The blocks that every paper is made of; they know nothing of HTML or of a printer."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "Block",
    "Document",
    "Gauge",
    "Gauges",
    "Heading",
    "Pairs",
    "Paragraph",
    "Pictures",
    "Signatures",
    "Table",
]


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of the second level; the document's title is the first."""

    text: str
    kind: str = "heading"


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph; `strong` where it is what the paper is about."""

    text: str
    strong: bool = False
    kind: str = "paragraph"


@dataclass(frozen=True, slots=True)
class Pairs:
    """Labels with their values."""

    rows: tuple[tuple[str, str], ...]
    kind: str = "pairs"


@dataclass(frozen=True, slots=True)
class Table:
    """A table; `right` are the columns that hold figures."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str = ""
    right: tuple[int, ...] = ()
    kind: str = "table"


@dataclass(frozen=True, slots=True)
class Pictures:
    """Kept pictures by digest, with captions."""

    pictures: tuple[tuple[str, str], ...]
    kind: str = "pictures"


@dataclass(frozen=True, slots=True)
class Gauge:
    """A measured value drawn in its slot, with its name and its verdict as a word."""

    name: str
    svg: str
    word: str


@dataclass(frozen=True, slots=True)
class Gauges:
    """Many measured values, each in its slot."""

    gauges: tuple[Gauge, ...]
    kind: str = "gauges"


@dataclass(frozen=True, slots=True)
class Signatures:
    """Lines to sign on, by what they are for."""

    lines: tuple[str, ...]
    kind: str = "signatures"


Block = Heading | Paragraph | Pairs | Table | Pictures | Gauges | Signatures


@dataclass(frozen=True, slots=True)
class Document:
    """A paper: its title and its blocks in order."""

    title: str
    blocks: tuple[Block, ...]
