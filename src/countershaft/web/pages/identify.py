"""Loose bolts typed in, and the places where they belong."""

from __future__ import annotations

from dataclasses import dataclass

from countershaft.desk.loose_bolts import EXAMPLE, LineFault, Pile, SortedLine
from countershaft.desk.place_names import places_words
from countershaft.web.pages.fasteners import Whose
from countershaft.web.pages.frame import Frame

__all__ = ["IdentifyPage", "identify_page"]


@dataclass(frozen=True, slots=True)
class LineRow:
    """A typed line and what became of it; `key` is the verdict's shape."""

    line: str
    text: str
    said: str
    verdict: str
    goes: str
    also: str
    left: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class IdentifyPage:
    """What was typed, what is wrong with it, and where it goes."""

    frame: Frame | None
    unit: str
    text: str
    example: str
    joints: tuple[tuple[str, str], ...]
    joint: str
    whole: bool
    faults: tuple[LineFault, ...]
    summary: str
    rows: tuple[LineRow, ...]
    missing: tuple[str, ...]
    action: str
    back_href: str


def identify_page(
    whose: Whose, text: str = "", *, joint: str = "", whole: bool = False, pile: Pile | None = None
) -> IdentifyPage:
    """The page as its template reads it; `pile` is None before anything was typed."""
    return IdentifyPage(
        frame=whose.frame,
        unit=whose.transmission.name,
        text=text,
        example=EXAMPLE,
        joints=tuple(
            (one.id, f"{one.name}, {one.thread}")
            for one in whose.transmission.fasteners
            if one.kind in ("bolt", "stud")
        ),
        joint=joint,
        whole=whole,
        faults=pile.faults if pile else (),
        summary=_summary(pile) if pile and not pile.faults else "",
        rows=tuple(_row(one) for one in pile.lines) if pile else (),
        missing=pile.missing if pile else (),
        action=f"{whose.here}/identify",
        back_href=f"{whose.here}/fasteners",
    )


def _row(one: SortedLine) -> LineRow:
    goes = ""
    if one.placed:
        among = places_words(one.equal, most=14)
        goes = among if len(one.equal) == one.placed else f"{one.placed} of {len(one.equal)}: {among}"
    return LineRow(
        line=str(one.line),
        text=one.text,
        said=one.said if one.count == 1 else f"{one.count} × {one.said}",
        verdict="bad" if one.left else "measure again" if one.also else "good",
        goes=goes,
        also="; or ".join(places_words(names, most=10) for names in one.also),
        left=one.left,
    )


def _summary(pile: Pile) -> str:
    placed = sum(one.placed for one in pile.lines)
    doubtful = sum(one.placed for one in pile.lines if one.also)
    over = pile.bolts - placed
    said = [f"{placed} of {pile.bolts} {'has' if placed == 1 else 'have'} a place"]
    if doubtful:
        said.append(f"{doubtful} could be another sort as well: measure one more figure")
    if over:
        said.append(
            "1 is one too many or fits nowhere" if over == 1 else f"{over} are too many or fit nowhere"
        )
    return "; ".join(said) + "."
