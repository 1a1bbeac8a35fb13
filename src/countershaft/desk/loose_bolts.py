"""Loose bolts as they are typed, one line for one sort, put to the places of a unit."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, Literal

from countershaft.desk.place_names import places_words
from countershaft.errors import BadInput, CountershaftError
from countershaft.mechanics.thread import parse_thread
from countershaft.model.bolting import holes
from countershaft.model.transmission import Transmission
from countershaft.planning.identify import Identified, Loose, identify
from countershaft.planning.places import Place, describe

__all__ = ["EXAMPLE", "LineFault", "Pile", "SortedLine", "read_pile", "sort_pile"]

#: What a line may look like.
EXAMPLE: Final = "25 6 1.0, or M6 25, or four of them as 4x M6 25"
_INCH: Final = Fraction(254, 10)
_COUNT = re.compile(r"^(?:(\d+)\s*[x×*]|[x×*]\s*(\d+))$", re.IGNORECASE)
_LEADING = re.compile(r"^(\d+)\s*[x×*]\s+", re.IGNORECASE)
_NUMBER = re.compile(r"^(\d+(?:[.,]\d+)?|\d*[.,]\d+|(?:\d+-)?\d+/\d+)(mm|in|\"|tpi)?$", re.IGNORECASE)
_THREAD = re.compile(r"^(M\d|#?\d+(?:/\d+)?-\d)", re.IGNORECASE)
_MOST_LINES: Final = 400


@dataclass(frozen=True, slots=True)
class LineFault:
    """What is wrong with a typed line, and what to type."""

    line: int
    text: str
    words: str


@dataclass(frozen=True, slots=True)
class _Typed:
    line: int
    text: str
    count: int
    bolt: Loose


@dataclass(frozen=True, slots=True)
class SortedLine:
    """A typed line and where its bolts go.

    `equal` are all places that take such a bolt, `placed` how many of them found one; `also` holds the places of every
    other sort that it could be; `left` says why bolts of it are left over.
    """

    line: int
    text: str
    said: str
    count: int
    placed: int
    equal: tuple[str, ...]
    also: tuple[tuple[str, ...], ...]
    left: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pile:
    """A pile sorted: every line, what is missing, and the lines that could not be read."""

    lines: tuple[SortedLine, ...]
    missing: tuple[str, ...]
    faults: tuple[LineFault, ...]
    bolts: int


def sort_pile(
    transmission: Transmission, text: str, *, joints: Collection[str] = (), whole: bool = False
) -> Pile:
    """Put typed bolts to the places of a unit, or of some joints of it; `whole` says that the pile is all there is.

    Nothing is sorted while a line cannot be read.
    """
    places = holes(transmission.fasteners)
    if joints:
        wanted = {transmission.joint(joint).name for joint in joints}
        places = tuple(place for place in places if place.joint in wanted)
    typed, faults = read_pile(text, {place.bolt.head for place in places if place.bolt.head})
    if faults:
        return Pile((), (), faults, 0)
    pile = [
        replace(one.bolt, id=f"{one.line}.{number}") for one in typed for number in range(1, one.count + 1)
    ]
    found = identify(pile, places, whole=whole)
    return Pile(
        tuple(_sorted(one, found) for one in typed),
        tuple(_missing(found, places)),
        (),
        len(pile),
    )


def read_pile(text: str, heads: Collection[str] = ()) -> tuple[tuple[_Typed, ...], tuple[LineFault, ...]]:
    """Read the lines: "25 6 1.0" is length, diameter, pitch; "4x M6 44.8" four of them; "1.5in 1/4-20".

    A dash stands for what was not measured; "left" for a left-hand thread, "class 8.8" for the mark on the head.
    """
    typed: list[_Typed] = []
    faults: list[LineFault] = []
    total = 0
    for number, line in enumerate(text.splitlines(), start=1):
        plain = line.partition(";")[0].strip()
        if not plain:
            continue
        try:
            one = _line(number, plain, heads)
            total += one.count
            if total > _MOST_LINES:
                raise BadInput(f"more than {_MOST_LINES} bolts; sort them joint by joint.")
            typed.append(one)
        except CountershaftError as cause:
            faults.append(LineFault(number, plain, str(cause)))
    if not typed and not faults:
        faults.append(
            LineFault(1, "", "type at least one bolt, such as 25 6 1.0 for length, diameter, pitch in mm.")
        )
    return tuple(typed), tuple(faults)


def _line(number: int, plain: str, heads: Collection[str]) -> _Typed:
    count = 1
    leading = _LEADING.match(plain)
    rest = plain[leading.end() :] if leading else plain
    if leading:
        count = int(leading[1])
    tokens = rest.split()
    if tokens and (found := _COUNT.match(tokens[-1])):
        count = int(found[1] or found[2])
        tokens = tokens[:-1]
    elif tokens and (found := _COUNT.match(tokens[0])):
        count = int(found[1] or found[2])
        tokens = tokens[1:]
    if not 1 <= count <= _MOST_LINES:
        raise BadInput(f"{count} of them? Type a count from 1 to {_MOST_LINES}.")
    bolt = _bolt(str(number), tokens, heads)
    if bolt.length is None and bolt.diameter is None and bolt.pitch is None:
        raise BadInput("neither length, diameter nor pitch is typed; at least one is needed.")
    return _Typed(number, plain, count, bolt)


def _bolt(name: str, tokens: Sequence[str], heads: Collection[str]) -> Loose:
    """A bolt from the words of a line."""
    figures: list[Fraction | None] = []
    diameter = pitch = None
    hand: Literal["right", "left"] | None = None
    strength = None
    words: list[str] = []
    inch = bool(tokens) and tokens[-1].lower() in ("in", '"', "inch")
    left = list(tokens[:-1] if inch or (tokens and tokens[-1].lower() == "mm") else tokens)
    while left:
        token = left.pop(0)
        lower = token.lower()
        if lower in ("left", "lh", "left-hand", "right", "rh", "right-hand"):
            hand = "left" if lower.startswith("l") else "right"
        elif lower == "class" and left:
            strength = left.pop(0)
        elif token in ("-", "–", "?"):
            figures.append(None)
        elif found := _NUMBER.match(token):
            if (found[2] or "").lower() == "tpi":
                pitch = _INCH / _fraction(found[1])
            else:
                figures.append(_millimetres(found, inch=inch))
        elif _THREAD.match(token):
            thread = parse_thread(token)
            diameter = thread.diameter_mm
            pitch = thread.pitch_mm if "x" in lower or "×" in lower or "-" in token else None
        else:
            words.append(token)
    return _filled(name, figures, diameter, pitch, hand, _head(words, heads), strength)


def _filled(
    name: str,
    figures: Sequence[Fraction | None],
    diameter: Fraction | None,
    pitch: Fraction | None,
    hand: Literal["right", "left"] | None,
    head: str | None,
    strength: str | None,
) -> Loose:
    """Figures in their order: length, diameter, pitch; what the thread says already is left out."""
    slots = [
        "length",
        *([] if diameter is not None else ["diameter"]),
        *([] if pitch is not None else ["pitch"]),
    ]
    if len(figures) > len(slots):
        raise BadInput(f"{len(figures)} figures, expected at most {len(slots)}: {', '.join(slots)}.")
    got = dict(zip(slots, figures, strict=False))
    for what, value in got.items():
        if value is not None and value <= 0:
            raise BadInput(f"a {what} of {float(value):g} mm makes no sense; type more than 0, or a dash.")
    return Loose(
        name,
        length=got.get("length"),
        diameter=diameter if diameter is not None else got.get("diameter"),
        pitch=pitch if pitch is not None else got.get("pitch"),
        hand=hand,
        head=head,
        strength=strength,
    )


def _head(words: Sequence[str], heads: Collection[str]) -> str | None:
    said = " ".join(words)
    if not said:
        return None
    known = next((head for head in heads if head.lower() == said.lower()), None)
    if known is None:
        listed = f"; heads of this unit: {', '.join(sorted(heads))}" if heads else ""
        raise BadInput(
            f"{said!r} is no figure; type length, diameter and pitch in that order, such as 25 6 1.0, or M6 25{listed}."
        )
    return known


def _millimetres(found: re.Match[str], *, inch: bool) -> Fraction:
    unit = (found[2] or "").lower()
    value = _fraction(found[1])
    return value * _INCH if unit in ("in", '"') or (inch and not unit) else value


def _fraction(text: str) -> Fraction:
    """A figure such as 24.9, 24,9, 1/2 or 1-1/2."""
    whole, dash, part = text.partition("-")
    try:
        if dash:
            return Fraction(whole) + Fraction(part)
        value = Fraction(text.replace(",", "."))
    except (ValueError, ZeroDivisionError) as cause:
        raise BadInput(f"{text!r} is no number; type a figure such as 24.9.") from cause
    return value


def _sorted(one: _Typed, found: Identified) -> SortedLine:
    mine = [match for match in found.matches if match.loose.partition(".")[0] == str(one.line)]
    left = [why for loose, why in found.too_many if loose.partition(".")[0] == str(one.line)]
    words = tuple(dict.fromkeys(re.sub(r"^\d+\.\d+ ", "", why) for why in left))
    return SortedLine(
        line=one.line,
        text=one.text,
        said=_said(one.bolt),
        count=one.count,
        placed=len(mine),
        equal=tuple(dict.fromkeys(name for match in mine for name in match.equal)),
        also=tuple(dict.fromkeys(names for match in mine for names in match.also)),
        left=tuple(_plural(words_of, len(left)) for words_of in words),
    )


def _plural(why: str, count: int) -> str:
    """Why bolts of a line are left over, where it is several of them."""
    if count == 1:
        return why
    return f"{count} {why}".replace(" is one too many", " are too many").replace(
        " fits no place", " fit no place"
    )


def _said(bolt: Loose) -> str:
    """A bolt as it was measured, in words, so that a slip of the keys is seen."""

    def mm(value: Fraction) -> str:
        return f"{float(round(value, 2)):g} mm"

    parts = (
        "length not measured" if bolt.length is None else f"{mm(bolt.length)} long",
        "" if bolt.diameter is None else f"{mm(bolt.diameter)} thick",
        "" if bolt.pitch is None else f"pitch {mm(bolt.pitch)}",
        f"{bolt.hand}-hand" if bolt.hand else "",
        bolt.head or "",
        f"class {bolt.strength}" if bolt.strength else "",
    )
    return ", ".join(part for part in parts if part)


def _missing(found: Identified, places: Sequence[Place]) -> Iterator[str]:
    bolt_of = {place.id: place.bolt for place in places}
    for names in found.missing:
        yield f"{len(names)} × {describe(bolt_of[names[0]])}, for {places_words(names, most=12)}"
