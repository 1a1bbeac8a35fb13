"""Bench sums: the list of them, and one with what was typed, what it answers, and how that follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import quote, urlencode

from countershaft.sums.answer import Figure, Sum, Worked, printed
from countershaft.sums.asked import WORD, Asked, with_units
from countershaft.sums.register import GROUPS
from countershaft.web.pages.shown import Caution, Link, Working

__all__ = [
    "AnsweredFigure",
    "SumField",
    "SumGroup",
    "SumPage",
    "SumsPage",
    "answered_figure",
    "sum_href",
    "sum_page",
    "sums_page",
]


@dataclass(frozen=True, slots=True)
class SumGroup:
    """Some sums about one thing: where each leads, and what it answers."""

    heading: str
    sums: tuple[tuple[Link, str], ...]


@dataclass(frozen=True, slots=True)
class SumsPage:
    """Every sum."""

    groups: tuple[SumGroup, ...]


@dataclass(frozen=True, slots=True)
class AnsweredFigure:
    """A figure of an answer in one system, the same in the other, and its working."""

    label: str
    first: str
    second: str
    working: Working


@dataclass(frozen=True, slots=True)
class SumField:
    """A field of a sum with what stands in it; `unit` is that of the bare figure in it."""

    name: str
    label: str
    kind: str
    hint: str
    unit: str
    options: tuple[tuple[str, str], ...]
    value: str
    needed: bool
    error: str


@dataclass(frozen=True, slots=True)
class SumPage:
    """One sum: its fields with what stands in them, and its answer once there is one.

    `system` is that of a bare figure, `other` leads to the same sum in the other one.
    """

    title: str
    asks: str
    cautions: tuple[Caution, ...]
    figures: tuple[AnsweredFigure, ...]
    verdict: str
    why: str
    remarks: tuple[str, ...]
    problems: tuple[str, ...]
    mended: tuple[tuple[str, str], ...]
    fields: tuple[SumField, ...]
    optional: tuple[SumField, ...]
    optional_open: bool
    action: str
    system: str
    other: Link
    example: Link


def sums_page() -> SumsPage:
    """Every sum as the list's template reads it."""
    return SumsPage(
        tuple(
            SumGroup(heading, tuple((Link(one.title, sum_href(one.name)), one.asks) for one in sums))
            for heading, sums in GROUPS
        )
    )


def sum_href(name: str, typed: Mapping[str, str] | None = None) -> str:
    """Where a sum is done, with what was typed in the address."""
    query = urlencode({key: text for key, text in (typed or {}).items() if text})
    return f"/sums/{quote(name)}{'?' if query else ''}{query}"


def sum_page(
    one: Sum, typed: Mapping[str, str], *, inch: bool, worked: Worked | None, errors: Mapping[str, str]
) -> SumPage:
    """One sum as its template reads it; `errors` has a word for each field that is wrong."""
    fields = [(asked, _field(asked, typed, errors, inch=inch)) for asked in one.fields]
    needed = tuple(field for asked, field in fields if asked.needed)
    optional = tuple(field for asked, field in fields if not asked.needed)
    turned = {**with_units(one.fields, typed, inch=inch), "system": "metric" if inch else "inch"}
    example = {
        asked.name: asked.shown(inch=inch) for asked in one.fields if asked.needed or asked.kind == WORD
    }
    system = "inch" if inch else "metric"
    known = {asked.name for asked in one.fields}
    return SumPage(
        title=one.title,
        asks=one.asks,
        cautions=tuple(Caution(*words) for words in one.cautions),
        figures=_answered(worked, inch=inch),
        verdict=worked.outcome.verdict if worked else "",
        why=worked.outcome.why if worked else "",
        remarks=worked.outcome.remarks if worked else (),
        problems=tuple(words for name, words in errors.items() if name not in known),
        mended=tuple(
            (name, f"{one.field(name).label}: {words}") for name, words in errors.items() if name in known
        ),
        fields=needed,
        optional=optional,
        optional_open=any(field.value or field.error for field in optional),
        action=sum_href(one.name),
        system=system,
        other=Link("Type in millimetres" if inch else "Type in inches", sum_href(one.name, turned)),
        example=Link("Fill in an example", sum_href(one.name, {**example, "system": system})),
    )


def _answered(worked: Worked | None, *, inch: bool) -> tuple[AnsweredFigure, ...]:
    if worked is None:
        return ()
    return tuple(answered_figure(worked, figure, inch=inch) for figure in worked.outcome.figures)


def answered_figure(worked: Worked, figure: Figure, *, inch: bool) -> AnsweredFigure:
    """A figure in both systems, the one that is worked in first."""
    units = figure.units[::-1] if inch else figure.units
    texts = [printed(figure, unit) for unit in units]
    return AnsweredFigure(
        figure.label,
        texts[0],
        texts[1] if len(texts) > 1 else "",
        Working(worked.working(figure), worked.sum.source),
    )


def _field(asked: Asked, typed: Mapping[str, str], errors: Mapping[str, str], *, inch: bool) -> SumField:
    text = typed.get(asked.name, "")
    bare = not text or with_units((asked,), {asked.name: text}, inch=inch)[asked.name] != text
    unit = asked.unit(inch=inch) if bare and asked.kind != WORD else ""
    such = f"Such as {asked.shown(inch=inch)}." if asked.kind != WORD else ""
    return SumField(
        asked.name,
        asked.label,
        "text" if asked.kind != WORD else "select" if len(asked.options) > 3 else "choice",
        " ".join(words for words in (such, asked.hint) if words),
        unit,
        options=asked.options,
        value=text,
        needed=asked.needed,
        error=errors.get(asked.name, ""),
    )
