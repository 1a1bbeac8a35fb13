"""Diagnose: good and bad gears on the chart, which elements explain them, and which gear would tell more."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from countershaft.desk.desk import OpenJob
from countershaft.inference.elements import Explanation, NextGear
from countershaft.job.words import Stage
from countershaft.stages import diagnose as stage
from countershaft.stages.progress import Progress
from countershaft.web.pages.first import stage_href
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import (
    Caution,
    Head,
    Link,
    Picture,
    at_stage,
    enter,
    listed,
    onward,
    pictures,
    said,
)

__all__ = [
    "Cell",
    "DiagnosePage",
    "ElementRow",
    "GearRow",
    "KillerRow",
    "TestRow",
    "diagnose_page",
    "killer_rows",
]

_ROAD: Final = Caution(
    "WARNING",
    "A unit that slips or binds can stop the vehicle without notice. Drive on a closed or safe road, "
    "with a second person to write.",
)

#: The mark of the slot gauge that stands beside what was said of a gear.
_MARK: Final = {"good": "good", "bad": "bad", "not tried": "not measured"}


@dataclass(frozen=True, slots=True)
class Cell:
    """A gear and an element: `mark` is empty, applied or suspect; `position` is that of a sleeve."""

    mark: str
    position: str


@dataclass(frozen=True, slots=True)
class GearRow:
    """A gear of the chart and what was said of it."""

    gear: str
    cells: tuple[Cell, ...]
    mark: str
    word: str
    said: str


@dataclass(frozen=True, slots=True)
class ElementRow:
    """An element and what the gears say of it."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class TestRow:
    """A test and its result."""

    test: str
    result: str
    said: str


@dataclass(frozen=True, slots=True)
class KillerRow:
    """What would destroy the next unit too; `href` leads to clearing it, empty once that is done."""

    name: str
    cleared: str
    href: str


@dataclass(frozen=True, slots=True)
class DiagnosePage:
    """Diagnosis as its page shows it."""

    frame: Frame
    head: Head
    elements: tuple[str, ...]
    gears: tuple[GearRow, ...]
    sentences: tuple[str, ...]
    next_gears: tuple[str, ...]
    spoken: tuple[ElementRow, ...]
    tests: tuple[TestRow, ...]
    test_href: str
    cause: str
    cause_element: str
    cause_href: str
    killers: tuple[KillerRow, ...]
    photos: tuple[Picture, ...]


def diagnose_page(job: OpenJob, progress: Progress) -> DiagnosePage:
    """Diagnosis as its template reads it."""
    found = stage.survey(job.transmission, job.state)
    here = stage_href(job.tag, Stage.DIAGNOSE)
    explained = found.explanation
    return DiagnosePage(
        frame=frame(job, progress, Stage.DIAGNOSE),
        head=_head(job, progress, found, here),
        elements=tuple(found.names),
        gears=tuple(_gear(one, found) for one in found.gears),
        sentences=_sentences(found) if explained else (),
        next_gears=tuple(_next(one) for one in explained.next_gears) if explained else (),
        spoken=tuple(_spoken(element, found) for element in found.names) if explained else (),
        tests=tuple(TestRow(body.test, body.result, said(entry)) for entry, body in found.tests),
        test_href=enter(job, "test", back=here),
        cause=found.cause.words if found.cause else "",
        cause_element=_label(found.cause.element, found) if found.cause and found.cause.element else "",
        cause_href=enter(job, "cause", back=here),
        killers=killer_rows(job, found.killers, here),
        photos=pictures(job, Stage.DIAGNOSE),
    )


def killer_rows(job: OpenJob, killers: tuple[stage.Killer, ...], back: str) -> tuple[KillerRow, ...]:
    """Killers with how each was cleared, or where to say so."""
    return tuple(
        KillerRow(
            one.name, one.cleared or "", "" if one.cleared else enter(job, "killer", key=one.name, back=back)
        )
        for one in killers
    )


def _head(job: OpenJob, progress: Progress, found: stage.Diagnosis, here: str) -> Head:
    gears = Link("Say which gears are good and bad", enter(job, "gears", back=here))
    test = Link("Add a test", enter(job, "test", back=here))
    cause = Link("Name the cause of death", enter(job, "cause", back=here))
    explained = found.explanation
    apart = next(iter(explained.next_gears), None) if explained and len(explained.explains) > 1 else None
    taken_down = any(one.stage is Stage.TEARDOWN and one.how == "done" for one in progress.stages)
    if found.open:
        first = gears if found.gears else test
    elif apart is not None:
        first = Link(f"Try gear {apart.gear} and say how it was", gears.href)
    elif taken_down and found.cause is None:
        first = cause
    else:
        first = onward(job, progress)
    offered = (*((gears,) if found.gears else ()), test, *(() if found.cause else (cause,)))
    return Head(
        heading=_heading(found),
        lead=_lead(found),
        cautions=(_ROAD,) if found.gears else (),
        next=first,
        beside=tuple(link for link in offered if link.href != first.href),
        further=at_stage(job, Stage.DIAGNOSE),
    )


def _heading(found: stage.Diagnosis) -> str:
    explained = found.explanation
    if explained is None:
        if not found.gears:
            return "This file has no gear train"
        tried = any(one.verdict == "good" for one in found.gears)
        return "Every gear that was tried is good" if tried else "No gear was tried yet"
    if not explained.explains:
        return f"No element of the chart explains {listed(explained.bad)}"
    sets = [listed(names, "with") for names in explained.explains]
    alone = " alone" if len(sets) == 1 and len(explained.explains[0]) == 1 else ""
    rest = f"; {listed(explained.unexplained)} stays open" if explained.unexplained else ""
    return f"{listed(sets, 'or')}{alone} explains {listed(_covered(explained))}{rest}"


def _lead(found: stage.Diagnosis) -> str:
    if not found.gears:
        return "Without a chart only tests tell something: write each down with its result."
    if found.explanation is None:
        return "A good gear clears every element it uses; a bad gear makes its elements suspects."
    bad, good = found.explanation.bad, found.explanation.good
    tried = f"{len(bad) + len(good)} of {len(found.gears)} gears were tried"
    return f"{tried}: bad in {listed(bad)}, good in {listed(good) if good else 'none'}."


def _sentences(found: stage.Diagnosis) -> tuple[str, ...]:
    explained = found.explanation
    assert explained is not None, "sentences are made of an explanation"
    said_so = [*_covers(explained, found), *_unexplained(explained, found)]
    if not explained.good:
        said_so.append("No good gear was tried; a gear that drives well clears every element it uses.")
    return tuple(said_so)


def _covers(explained: Explanation, found: stage.Diagnosis) -> list[str]:
    covered = _covered(explained)
    if not explained.explains:
        return []
    whole = "it" if len(covered) == 1 else "both" if len(covered) == 2 else f"all {len(covered)}"
    if len(explained.explains[0]) > 1:
        sets = [listed(names, "with") for names in explained.explains]
        return [
            (
                f"No single element serves {listed(covered)} and no good gear. "
                f"Only together do they explain {whole}: {listed(sets, 'or')}."
            )
        ]
    names = [_label(names[0], found) for names in explained.explains]
    if len(names) == 1:
        return [f"{names[0]} alone explains {listed(covered)}: it serves {whole}, and no good gear."]
    return [
        (
            f"{listed(names, 'or')} alone could explain {listed(covered)}: "
            f"each serves {whole}, and no good gear. The gears tried so far do not tell them apart."
        )
    ]


def _unexplained(explained: Explanation, found: stage.Diagnosis) -> list[str]:
    """What is said of bad gears all of whose elements serve good gears too."""
    cleared = dict(explained.cleared)
    said_so = []
    for one in found.gears:
        if one.gear in explained.unexplained:
            served = [f"{name} is good in {listed(cleared[name])}" for name in one.applied if name in cleared]
            said_so.append(f"{one.gear} stays unexplained: {listed(served)}.")
    if said_so:
        said_so.append(
            "So no element fails as a whole. Drive the good gears again as warm and as loaded as the bad "
            "ones, and test what only the bad gears ask of their elements: pressure, timing, valve, solenoid."
        )
    return said_so


def _next(one: NextGear) -> str:
    uses, leaves = listed(one.uses), listed(one.leaves)
    rest = "remains" if len(one.leaves) == 1 else "remain"
    return (
        f"Gear {one.gear} uses {uses} but not {leaves}. "
        f"If it is good, {uses} {'is' if len(one.uses) == 1 else 'are'} cleared and {leaves} {rest}; "
        f"if it is bad, look at {listed(one.uses, 'or')} first."
    )


def _covered(explained: Explanation) -> list[str]:
    return [gear for gear in explained.bad if gear not in explained.unexplained]


def _gear(one: stage.GearState, found: stage.Diagnosis) -> GearRow:
    suspects = found.explanation.suspects if found.explanation else ()
    applied = {token.partition(":")[0]: token for token in one.applied}
    cells = []
    for element in found.names:
        token = applied.get(element, "")
        suspect = token != "" and (token in suspects or element in suspects)
        cells.append(Cell("suspect" if suspect else "applied" if token else "", token.partition(":")[2]))
    return GearRow(one.gear, tuple(cells), _MARK[one.verdict], one.verdict, said(one.entry))


def _spoken(element: str, found: stage.Diagnosis) -> ElementRow:
    explained = found.explanation
    assert explained is not None, "elements are spoken of once a gear is bad"
    cleared = [
        gear for name, gears in explained.cleared if name.partition(":")[0] == element for gear in gears
    ]
    serves = [
        one.gear
        for one in found.gears
        if one.verdict == "bad" and any(token.partition(":")[0] == element for token in one.applied)
    ]
    if cleared:
        words = f"cleared by {listed(cleared)}"
    elif serves:
        words = f"suspect: serves {listed(serves)}, and no gear that is known to be good"
    else:
        words = "nothing is known: no gear that uses it was tried"
    name = found.names[element]
    named = element in name.replace(":", " ").replace(",", " ").split()
    return ElementRow(name if named else f"{element} {name}", words)


def _label(element: str, found: stage.Diagnosis) -> str:
    name = found.names.get(element.partition(":")[0], element)
    return element if name == element else f"{element} ({name})"
