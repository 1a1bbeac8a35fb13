"""The converter's depth, gap and hub as the page of the alignment shows them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Entry
from countershaft.metrology.clock_face import LengthUnit, length_words
from countershaft.stages.converter import ConverterState, Judged
from countershaft.stages.housing_sweep import told_in
from countershaft.web.forms.converter import next_position
from countershaft.web.pages.shown import Answer, Link, Told, Window, Working, answer, measure, source_words

__all__ = ["ConverterShown", "PositionRow", "converter_shown"]

_DIGITS: Final[dict[str, int]] = {"mm": 2, "in": 3}


@dataclass(frozen=True, slots=True)
class PositionRow:
    """One position of the bolt pattern, the runout that it gives, and whether it was tried."""

    position: str
    total: str
    how: str


@dataclass(frozen=True, slots=True)
class ConverterShown:
    """Depth and gap in their gauges, what they say, the hub, and how it would run in every position."""

    answers: tuple[Answer, ...]
    sentences: tuple[str, ...]
    hub: Answer | None
    hub_sentences: tuple[str, ...]
    positions: tuple[PositionRow, ...]
    working: Working | None
    links: tuple[Link, ...]


def converter_shown(job: OpenJob, found: ConverterState, here: str) -> ConverterShown:
    """The converter's fit as the template reads it."""
    depths, newest = found.depths, found.newest
    judged = tuple(one for one in (depths.depth, depths.gap) if one is not None) if depths else ()
    unit: LengthUnit = told_in(newest.body.unit) if newest else "mm"
    return ConverterShown(
        answers=tuple(_answer(one, depths.entry if depths else None) for one in judged),
        sentences=depths.sentences if depths else (),
        hub=_answer(newest.total, newest.entry) if newest else None,
        hub_sentences=found.advice,
        positions=tuple(_positions(found, unit)),
        working=Working(found.clocking.working(unit), "the trials, by adding arrows")
        if found.clocking
        else None,
        links=(
            Link(
                "Measure depth and gap" + (" again" if depths else ""), measure(job, "converter", back=here)
            ),
            *_hub_links(job, found, here),
        ),
    )


def _hub_links(job: OpenJob, found: ConverterState, here: str) -> Iterator[Link]:
    """The next position in which the hub is not read, and the newest once more."""
    following = str(next_position(job))
    yield Link(f"Read the hub in position {following}", measure(job, "hub", key=following, back=here))
    if found.newest is not None and str(found.newest.body.position) != following:
        at = str(found.newest.body.position)
        yield Link(f"Read the hub in position {at} again", measure(job, "hub", key=at, back=here))


def _answer(one: Judged, entry: Entry | None) -> Answer:
    window = Window(
        one.name, one.lower, one.upper, None, one.unit, _DIGITS[one.unit], source_words(one.source)
    )
    told = Told(instead=one.working)
    return answer(window, one.value, one.judgement, when="", entry=entry, told=told)


def _positions(found: ConverterState, unit: LengthUnit) -> Iterator[PositionRow]:
    if found.clocking is None:
        return
    tried = {one.body.position for one in found.trials}
    for place, (total, standard) in enumerate(found.clocking.totals):
        how = "best" if place == found.clocking.best else ""
        seen = "tried" if place in tried else "computed"
        off = length_words(2 * standard, unit, extra=1)
        yield PositionRow(
            str(place),
            f"{length_words(total, unit)} ± {off}",
            f"{seen}, {how}" if how else seen,
        )
