"""Comparisons: the list of them, whose turn it is, and what came out once all have measured."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.job.words import Stage
from countershaft.metrology.study import Study
from countershaft.stages import comparing as stage
from countershaft.stages.progress import Progress
from countershaft.web.pages.first import stage_href
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Link, Working, enter, listed, measure, said

__all__ = ["ComparisonPage", "ComparisonsPage", "comparison_page", "comparisons_page"]


@dataclass(frozen=True, slots=True)
class ComparisonRow:
    """One comparison in the list."""

    href: str
    what: str
    people: str
    how: str


@dataclass(frozen=True, slots=True)
class ComparisonsPage:
    """Every comparison of a job."""

    frame: Frame
    rows: tuple[ComparisonRow, ...]
    new_href: str
    back: Link


@dataclass(frozen=True, slots=True)
class PairRow:
    """Two people on one piece: what each found, E_n and the sentence, with its working."""

    piece: str
    people: tuple[str, str]
    found: tuple[str, str]
    e_n: str
    word: str
    why: str
    working: Working


@dataclass(frozen=True, slots=True)
class StudyShown:
    """Where the scatter comes from, in words and as a table."""

    words: tuple[str, ...]
    rows: tuple[tuple[str, str, str], ...]
    table: tuple[tuple[str, ...], ...]
    working: Working


@dataclass(frozen=True, slots=True)
class ComparisonPage:
    """One comparison; `pairs` and `study` stay empty until all have measured."""

    frame: Frame
    name: str
    what: str
    begun: str
    lead: str
    next: Link
    done: tuple[str, ...]
    pairs: tuple[PairRow, ...]
    study: StudyShown | None
    back: Link


def comparisons_page(job: OpenJob, progress: Progress) -> ComparisonsPage:
    """The list as its template reads it."""
    mine = f"/jobs/{quote(job.tag)}/compare"
    return ComparisonsPage(
        frame=frame(job, progress, Stage.INSPECT),
        rows=tuple(
            ComparisonRow(_href(job, one), one.begun.what, listed(one.begun.people), _how(one))
            for one in stage.comparisons(job.transmission, job.state)
        ),
        new_href=enter(job, "comparison", back=mine),
        back=Link("Back to the checks", stage_href(job.tag, Stage.INSPECT)),
    )


def comparison_page(job: OpenJob, progress: Progress, name: str) -> ComparisonPage:
    """One comparison as its template reads it; raises Unknown."""
    now = stage.comparison(job.transmission, job.state, name)
    mine = _href(job, now)
    again = Link("Compare once more", enter(job, "comparison", key=now.begun.limit or "", back=mine))
    turn = now.turns[0] if now.turns else None
    return ComparisonPage(
        frame=frame(job, progress, Stage.INSPECT),
        name=name,
        what=now.begun.what,
        begun=said(now.entry),
        lead=_lead(now),
        next=Link(f"{turn.person}: measure piece {turn.piece}", measure(job, "blind", key=name, back=mine))
        if turn
        else again,
        done=tuple(
            f"{person} has measured {_pieces(now, person)} of {now.begun.pieces}"
            for person in now.begun.people
        ),
        pairs=tuple(_pair(now, pair) for pair in now.pairs),
        study=_study(now, now.study) if now.study else None,
        back=Link("All comparisons", f"/jobs/{quote(job.tag)}/compare"),
    )


def _href(job: OpenJob, now: stage.Comparison) -> str:
    return f"/jobs/{quote(job.tag)}/compare/{quote(now.begun.comparison)}"


def _pieces(now: stage.Comparison, person: str) -> int:
    return sum(1 for who, _ in now.found if who == person)


def _how(now: stage.Comparison) -> str:
    if not now.complete:
        return f"{len(now.found)} of {now.all_turns} turns are taken"
    apart = sum(not pair.agreement.agree for pair in now.pairs)
    return "all agree" if not apart else f"{apart} of {len(now.pairs)} pairs do not agree"


def _lead(now: stage.Comparison) -> str:
    if not now.complete:
        left = len(now.turns)
        return (
            f"{len(now.found)} of {now.all_turns} turns are taken. What was found is shown when the last "
            f"{'one is' if left == 1 else f'{left} are'} taken."
        )
    if now.agree:
        return "Everybody agrees: what differs is explained by the uncertainty that each has."
    return "Somebody differs by more than both uncertainties explain. Measure that piece together, and find out why."


def _pair(now: stage.Comparison, pair: stage.Pair) -> PairRow:
    unit, digits = now.begun.unit, now.digits
    agreement = pair.agreement
    lines = [
        line
        for person, found in zip(pair.people, pair.found, strict=True)
        for line in (f"{person}:", *found.working(unit, digits=digits))
    ]
    difference = f"{pair.found[0].mean:.{digits + 1}f} − {pair.found[1].mean:.{digits + 1}f}"
    lines.append(
        f"E_n = ({difference}) / {agreement.expanded:.{digits + 2}f} = {agreement.e_n:.2f}; "
        "they agree where it lies between −1 and 1"
    )
    return PairRow(
        piece=str(pair.piece),
        people=pair.people,
        found=(pair.found[0].stated(unit, digits=digits), pair.found[1].stated(unit, digits=digits)),
        e_n=f"{agreement.e_n:.2f}".replace("-", "−"),
        word="good" if agreement.agree else "bad",
        why=agreement.why,
        working=Working(tuple(lines), "ISO 13528, E_n score"),
    )


def _study(now: stage.Comparison, found: Study) -> StudyShown:
    unit, places = now.begun.unit, now.digits + 2

    def figure(value: float) -> str:
        return f"{value:.{places}f} {unit}"

    rows = [
        ("Repeatability", figure(found.repeatability), "one person, one piece, again and again"),
        ("Reproducibility", figure(found.reproducibility), "between people"),
        ("Measuring in all", figure(found.measuring), "both together"),
        ("Between the pieces", figure(found.parts), "what is to be told apart"),
    ]
    table = tuple(
        (
            one.name,
            str(one.degrees_of_freedom),
            f"{one.sum_of_squares:.4g}",
            f"{one.mean_square:.4g}",
            "" if one.ratio is None else f"{one.ratio:.2f}",
            "" if one.chance is None else _chance(one.chance),
        )
        for one in found.sources
    )
    together = (
        f"{figure(found.repeatability)}² + {figure(found.reproducibility)}² = ({figure(found.measuring)})²"
    )
    lines = [
        f"repeatability² + reproducibility² = {together}",
        f"share of all scatter = {found.measuring:.{places}f} / {found.total:.{places}f} = {found.share:.3f}",
    ]
    if found.of_window is not None and now.window is not None:
        wide = f"{now.window:.{now.digits}f} {unit}"
        lines.append(f"6 × {found.measuring:.{places}f} / {wide} of window = {found.of_window:.2f}")
    if found.pooled:
        lines.append("people × pieces is luck here, so it counts as repeatability")
    return StudyShown(
        _study_words(found),
        tuple(rows),
        table,
        Working(tuple(lines), "crossed study by analysis of variance"),
    )


#: Where measuring takes less than a tenth of the scatter it is fine, above three tenths it is not (from memory).
_FINE, _POOR = 0.1, 0.3


def _study_words(found: Study) -> tuple[str, ...]:
    words = [f"Measuring makes {found.share:.2f} of the scatter, as standard deviations."]
    if found.of_window is not None:
        verdict = (
            "fine enough" if found.of_window < _FINE
            else "usable with care" if found.of_window <= _POOR
            else "too coarse to judge this limit by one reading"
        )  # fmt: skip
        words.append(
            f"Six standard deviations of measuring are {found.of_window:.2f} of the window: {verdict}."
        )
    if found.classes is not None:
        words.append(f"{found.classes} sorts of piece can be told apart.")
    if found.people > found.repeatability:
        words.append("People differ more than one person's own readings: watch each other measure.")
    return tuple(words)


def _chance(chance: float) -> str:
    return "under 0.001" if chance < 0.001 else f"{chance:.3f}"  # what three digits can show
